"""The strict reader itself, against the specification's own bytes.

Source: Standard MIDI Files 1.0 (RP-001, revised February 1996): its two worked examples, its table of variable-length
quantities and its time signatures, in two transcriptions that agree. The other meters are worked out from its rule.
"""

from fractions import Fraction

import pytest
from smf_music import (
    LYRIC,
    MARKER,
    TRACK_NAME,
    Meter,
    Note,
    Onset,
    Text,
    meters,
    notes,
    onsets,
    overlaps,
    seconds_at,
    tempo_map,
    texts,
)
from smf_reader import Bytes, Event, File, Header, read_smf


def file_of(annotated: str) -> bytes:
    """Bytes written in hexadecimal, a comment after ``;`` on each line."""
    return bytes.fromhex("".join(line.partition(";")[0] for line in annotated.splitlines()))


# The same music twice: 96 ticks to the quarter, 4/4, 120 to the minute; three channels.
FORMAT_0 = """
    4D 54 68 64              ; MThd
    00 00 00 06              ; six bytes
    00 00                    ; format 0
    00 01                    ; one track
    00 60                    ; 96 to the quarter
    4D 54 72 6B              ; MTrk
    00 00 00 3B              ; 59 bytes
    00 FF 58 04 04 02 18 08  ; 4/4, 24 clocks to the click, eight 32nds to the quarter
    00 FF 51 03 07 A1 20     ; 500 000 microseconds to the quarter
    00 C0 05                 ; channel 1, program 5
    00 C1 2E                 ; channel 2, program 46
    00 C2 46                 ; channel 3, program 70
    00 92 30 60              ; channel 3, key 48 on
    00 3C 60                 ; key 60 on, running status
    60 91 43 40              ; +96, channel 2, key 67 on
    60 90 4C 20              ; +96, channel 1, key 76 on
    81 40 82 30 40           ; +192, channel 3, key 48 off
    00 3C 40                 ; key 60 off, running status
    00 81 43 40              ; channel 2, key 67 off
    00 80 4C 40              ; channel 1, key 76 off
    00 FF 2F 00              ; end of track
"""

FORMAT_1 = """
    4D 54 68 64 00 00 00 06  ; MThd, six bytes
    00 01 00 04 00 60        ; format 1, four tracks, 96 to the quarter

    4D 54 72 6B 00 00 00 14  ; MTrk, 20 bytes: meter and tempo
    00 FF 58 04 04 02 18 08  ; 4/4
    00 FF 51 03 07 A1 20     ; 500 000 microseconds
    83 00 FF 2F 00           ; +384, end of track

    4D 54 72 6B 00 00 00 10  ; MTrk, 16 bytes
    00 C0 05                 ; channel 1, program 5
    81 40 90 4C 20           ; +192, key 76 on
    81 40 4C 00              ; +192, running status, velocity 0: key 76 off
    00 FF 2F 00              ; end of track

    4D 54 72 6B 00 00 00 0F  ; MTrk, 15 bytes
    00 C1 2E                 ; channel 2, program 46
    60 91 43 40              ; +96, key 67 on
    82 20 43 00              ; +288, key 67 off
    00 FF 2F 00              ; end of track

    4D 54 72 6B 00 00 00 15  ; MTrk, 21 bytes
    00 C2 46                 ; channel 3, program 70
    00 92 30 60              ; key 48 on
    00 3C 60                 ; key 60 on
    83 00 30 00              ; +384, key 48 off
    00 3C 00                 ; key 60 off
    00 FF 2F 00              ; end of track
"""


class TestTheWorkedExamples:
    def test_format_0_event_by_event(self) -> None:
        read = read_smf(file_of(FORMAT_0))
        assert len(file_of(FORMAT_0)) == 81
        assert read.header == Header(format=0, ntrks=1, division=96)
        (track,) = read.tracks
        assert [(e.tick, e.kind, e.status, e.meta, e.data.hex()) for e in track.events] == [
            (0, "meta", 0xFF, 0x58, "04021808"),
            (0, "meta", 0xFF, 0x51, "07a120"),
            (0, "channel", 0xC0, None, "05"),
            (0, "channel", 0xC1, None, "2e"),
            (0, "channel", 0xC2, None, "46"),
            (0, "channel", 0x92, None, "3060"),
            (0, "channel", 0x92, None, "3c60"),
            (96, "channel", 0x91, None, "4340"),
            (192, "channel", 0x90, None, "4c20"),
            (384, "channel", 0x82, None, "3040"),
            (384, "channel", 0x82, None, "3c40"),
            (384, "channel", 0x81, None, "4340"),
            (384, "channel", 0x80, None, "4c40"),
            (384, "meta", 0xFF, 0x2F, ""),
        ]
        assert track.end_tick == 384

    def test_raw_bytes_are_the_files_own(self) -> None:
        content = file_of(FORMAT_0)
        (track,) = read_smf(content).tracks
        assert all(content[e.offset : e.offset + len(e.raw)] == e.raw for e in track.events)
        assert track.events[6].raw == bytes.fromhex("3C 60")
        assert track.events[0].raw == bytes.fromhex("FF 58 04 04 02 18 08")

    def test_format_1_track_by_track(self) -> None:
        read = read_smf(file_of(FORMAT_1))
        assert len(file_of(FORMAT_1)) == 118
        assert read.header == Header(format=1, ntrks=4, division=96)
        assert [track.end_tick for track in read.tracks] == [384] * 4
        assert [[(e.tick, e.status, e.data.hex()) for e in track.events] for track in read.tracks] == [
            [(0, 0xFF, "04021808"), (0, 0xFF, "07a120"), (384, 0xFF, "")],
            [(0, 0xC0, "05"), (192, 0x90, "4c20"), (384, 0x90, "4c00"), (384, 0xFF, "")],
            [(0, 0xC1, "2e"), (96, 0x91, "4340"), (384, 0x91, "4300"), (384, 0xFF, "")],
            [
                (0, 0xC2, "46"),
                (0, 0x92, "3060"),
                (0, 0x92, "3c60"),
                (384, 0x92, "3000"),
                (384, 0x92, "3c00"),
                (384, 0xFF, ""),
            ],
        ]

    @pytest.mark.parametrize("example", [FORMAT_0, FORMAT_1], ids=["format 0", "format 1"])
    def test_both_are_the_same_music(self, example: str) -> None:
        read = read_smf(file_of(example))
        assert set(onsets(read)) == {
            Onset(0, 2, 48, 96),
            Onset(0, 2, 60, 96),
            Onset(96, 1, 67, 64),
            Onset(192, 0, 76, 32),
        }
        assert set(notes(read)) == {
            Note(0, 384, 2, 48, 96),
            Note(0, 384, 2, 60, 96),
            Note(96, 384, 1, 67, 64),
            Note(192, 384, 0, 76, 32),
        }
        assert [onset.tick for onset in onsets(read)] == [0, 0, 96, 192]
        assert tempo_map(read) == [(0, 500_000)]
        assert meters(read) == [Meter(0, 4, 4, 24, 8)]
        assert seconds_at(read, 384) == 2
        assert overlaps(read) == []


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (0x00, "00"),
        (0x40, "40"),
        (0x7F, "7F"),
        (0x80, "81 00"),
        (0x2000, "C0 00"),
        (0x3FFF, "FF 7F"),
        (0x4000, "81 80 00"),
        (0x100000, "C0 80 00"),
        (0x1FFFFF, "FF FF 7F"),
        (0x200000, "81 80 80 00"),
        (0x8000000, "C0 80 80 00"),
        (0xFFFFFFF, "FF FF FF 7F"),
    ],
)
def test_variable_length_quantities(number: int, written: str) -> None:
    content = bytes.fromhex(written)
    quantity = Bytes(content, 0, len(content))
    assert (quantity.variable("a number"), quantity.at) == (number, len(content))


def in_track(events: str, *, division: str = "01 E0", header: str = "00 00 00 01") -> bytes:
    """A file of one track: its events without the end of track, in hexadecimal."""
    body = bytes.fromhex(events) + bytes.fromhex("00 FF 2F 00")
    head = bytes.fromhex(f"4D 54 68 64 00 00 00 06 {header} {division} 4D 54 72 6B")
    return head + len(body).to_bytes(4, "big") + body


def one_event(events: str) -> Event:
    return read_smf(in_track(events)).tracks[0].events[0]


@pytest.mark.parametrize(
    ("written", "meter"),
    [
        ("04 02 18 08", Meter(0, 4, 4, 24, 8)),  # both examples
        ("06 03 24 08", Meter(0, 6, 8, 36, 8)),  # the text's own example: a click each dotted quarter
        ("09 03 24 08", Meter(0, 9, 8, 36, 8)),
        ("0C 03 24 08", Meter(0, 12, 8, 36, 8)),
        ("03 02 18 08", Meter(0, 3, 4, 24, 8)),
        ("02 01 30 08", Meter(0, 2, 2, 48, 8)),
        ("05 03 0C 08", Meter(0, 5, 8, 12, 8)),
        ("07 03 0C 08", Meter(0, 7, 8, 12, 8)),
        ("05 02 18 08", Meter(0, 5, 4, 24, 8)),
    ],
)
def test_time_signatures(written: str, meter: Meter) -> None:
    assert meters(read_smf(in_track(f"00 FF 58 04 {written}"))) == [meter]


class TestEvents:
    def test_every_channel_message(self) -> None:
        events = "00 89 26 40 00 99 26 64 00 A9 26 10 00 B9 04 7F 00 C9 10 00 D9 20 00 E9 00 40"
        (track,) = read_smf(in_track(events)).tracks
        assert [(e.status, e.data.hex()) for e in track.events[:-1]] == [
            (0x89, "2640"),
            (0x99, "2664"),
            (0xA9, "2610"),
            (0xB9, "047f"),
            (0xC9, "10"),
            (0xD9, "20"),
            (0xE9, "0040"),
        ]

    def test_running_status_goes_on_through_velocity_0(self) -> None:
        read = read_smf(in_track("00 99 26 64  78 26 00  00 26 50  78 26 00"))
        assert notes(read) == [Note(0, 120, 9, 38, 100), Note(120, 240, 9, 38, 80)]

    def test_a_sysex_in_packets_and_an_escape(self) -> None:
        read = read_smf(in_track("00 F0 03 7D 01 02  64 F7 03 03 04 F7  00 F7 02 F3 01  00 99 24 64  01 89 24 40"))
        assert [(e.tick, e.kind, e.data.hex()) for e in read.tracks[0].events[:3]] == [
            (0, "sysex", "7d0102"),
            (100, "sysex", "0304f7"),
            (100, "sysex", "f301"),
        ]
        assert onsets(read) == [Onset(100, 9, 36, 100)]

    def test_an_unknown_meta_is_kept(self) -> None:
        assert one_event("00 FF 60 02 01 FF").data == b"\x01\xff"

    def test_texts_by_type(self) -> None:
        read = read_smf(in_track("00 FF 03 04 6B 69 74 65  78 FF 05 01 52  00 FF 06 01 41  00 FF 7F 01 00"))
        name, lyric, marker = (
            Text(0, 0, TRACK_NAME, b"kite"),
            Text(120, 0, LYRIC, b"R"),
            Text(120, 0, MARKER, b"A"),
        )
        assert texts(read) == [name, lyric, marker]
        assert texts(read, LYRIC, MARKER) == [lyric, marker]

    def test_a_longer_header_and_unknown_chunks_are_accepted(self) -> None:
        plain = in_track("")
        longer = plain.replace(bytes.fromhex("00 00 00 06"), bytes.fromhex("00 00 00 08")).replace(
            b"\x01\xe0MTrk", b"\x01\xe0\xaa\xbbXtra\x00\x00\x00\x01\x00MTrk"
        )
        assert read_smf(longer).header == read_smf(plain).header
        assert len(read_smf(longer).tracks) == 1


class TestTime:
    def test_sections_of_tempo_add_up(self) -> None:
        # 666 667 to the quarter, from the fifth quarter 333 333; 480 to the quarter.
        read = read_smf(in_track("00 FF 51 03 0A 2C 2B  8F 00 FF 51 03 05 16 15"))
        assert tempo_map(read) == [(0, 666_667), (1920, 333_333)]
        assert seconds_at(read, 1920) == Fraction(4 * 666_667, 1_000_000)
        assert seconds_at(read, 2400) == Fraction(4 * 666_667 + 333_333, 1_000_000)
        assert seconds_at(read, 1) == Fraction(666_667, 480_000_000)
        assert seconds_at(read, 0) == 0

    def test_120_to_the_minute_until_a_tempo_is_stated(self) -> None:
        read = read_smf(in_track("83 60 FF 51 03 0F 42 40"))
        assert tempo_map(read) == [(0, 500_000), (480, 1_000_000)]
        assert seconds_at(read, 960) == Fraction(3, 2)

    def test_6144_ticks_of_96_at_120_are_32_seconds(self) -> None:
        assert seconds_at(read_smf(in_track("", division="00 60")), 6144) == 32

    @pytest.mark.parametrize(
        ("division", "ticks", "seconds"),
        [("E7 28", 1500, Fraction(3, 2)), ("E8 50", 1920, Fraction(1)), ("E3 64", 3000, Fraction(1001, 1000))],
    )
    def test_smpte_time_does_not_mind_the_tempo(self, division: str, ticks: int, seconds: Fraction) -> None:
        read = read_smf(in_track("00 FF 51 03 0F 42 40", division=division))
        assert read.header.ticks_per_quarter is None
        assert seconds_at(read, ticks) == seconds


class TestNotes:
    def test_each_off_ends_the_earliest_note_of_its_key(self) -> None:
        read = read_smf(in_track("00 99 26 60  3C 99 26 28  1E 89 26 40  3C 89 26 40"))
        assert notes(read) == [Note(0, 90, 9, 38, 96), Note(60, 150, 9, 38, 40)]
        assert overlaps(read) == [(Note(0, 90, 9, 38, 96), Note(60, 150, 9, 38, 40))]

    def test_a_note_that_begins_where_the_one_before_ends_does_not_overlap(self) -> None:
        read = read_smf(in_track("00 99 26 60  3C 89 26 40  00 99 26 28  1E 89 26 40"))
        assert [note.length_ticks for note in notes(read)] == [60, 30]
        assert overlaps(read) == []

    def test_keys_and_channels_are_apart(self) -> None:
        read = read_smf(in_track("00 99 26 60  00 98 26 50  00 99 24 40  0A 88 26 00  0A 89 24 00  0A 89 26 00"))
        assert notes(read) == [Note(0, 30, 9, 38, 96), Note(0, 10, 8, 38, 80), Note(0, 20, 9, 36, 64)]
        assert overlaps(read) == []

    @pytest.mark.parametrize(
        ("events", "message"),
        [
            ("00 99 26 64", "byte 23: key 38 is never ended"),
            ("00 89 26 40", "byte 23: a note-off of key 38, which does not sound"),
        ],
    )
    def test_what_does_not_pair_is_refused(self, events: str, message: str) -> None:
        with pytest.raises(ValueError, match=message):
            notes(read_smf(in_track(events)))


HEAD = "4D 54 68 64 00 00 00 06 00 00 00 01 01 E0"
END = "4D 54 72 6B 00 00 00 04 00 FF 2F 00"
CONDUCTOR = "4D 54 68 64 00 00 00 06 00 01 00 02 01 E0" + END


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "byte 0: the file does not begin with MThd"),
        (END, "byte 0: the file does not begin with MThd"),
        ("52 49 46", "byte 0: a chunk's type needs 4 bytes, 3 are left"),
        ("4D 54 68 64 00 00 00 05 00 00 00 01 01", "byte 4: the header is shorter than six bytes"),
        ("4D 54 68 64 00 00 00 06 00 03 00 01 01 E0" + END, "byte 8: format 3"),
        ("4D 54 68 64 00 00 00 06 00 00 00 02 01 E0" + END + END, "byte 10: format 0 has exactly one track"),
        ("4D 54 68 64 00 00 00 06 00 01 00 00 01 E0", "byte 10: no tracks"),
        ("4D 54 68 64 00 00 00 06 00 01 00 02 01 E0" + END, "byte 10: the header says 2 tracks, there are 1"),
        (HEAD + END + END, "byte 10: the header says 1 tracks, there are 2"),
        (HEAD + HEAD + END, "byte 14: a second MThd"),
        ("4D 54 68 64 00 00 00 06 00 00 00 01 00 00" + END, "byte 12: no ticks in a quarter"),
        ("4D 54 68 64 00 00 00 06 00 00 00 01 E6 28" + END, "byte 12: division E628 is no SMPTE time"),
        ("4D 54 68 64 00 00 00 06 00 00 00 01 E7 00" + END, "byte 12: division E700 is no SMPTE time"),
        (HEAD + END + "00", "byte 26: a chunk's type needs 4 bytes, 1 are left"),
        (HEAD + END + "00 00 00 00", "byte 26: .* is no chunk type"),
        (HEAD + END + "58 74 72 61 00 00 00 02 00", "byte 34: the chunk Xtra needs 2 bytes, 1 are left"),
        (HEAD + "4D 54 72 6B 00 00 00 05 00 FF 2F 00", "byte 22: the chunk MTrk needs 5 bytes, 4 are left"),
        (HEAD + "4D 54 72 6B 00 00 00 03 00 FF 2F 00", "byte 25: a chunk's type needs 4 bytes, 1 are left"),
        (HEAD + "4D 54 72 6B 00 00 00 03 00 FF 2F", "byte 25: a meta event's length needs 1 bytes, 0 are left"),
        (HEAD + "4D 54 72 6B 00 00 00 00", "byte 22: the track has no end of track"),
        (HEAD + "4D 54 72 6B 00 00 00 04 00 99 26 64", "byte 26: the track has no end of track"),
        (HEAD + "4D 54 72 6B 00 00 00 08 00 FF 2F 00 00 FF 2F 00", "byte 26: bytes after the end of track"),
        (CONDUCTOR + "4D 54 72 6B 00 00 00 0B 00 FF 51 03 07 A1 20 00 FF 2F 00", "byte 35: meta 51 outside the first"),
        (CONDUCTOR + "4D 54 72 6B 00 00 00 0C 00 FF 58 04 04 02 18 08 00 FF 2F 00", "byte 35: meta 58 outside"),
    ],
)
def test_a_wrong_container_is_refused(content: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{message}"):
        read_smf(bytes.fromhex(content))


@pytest.mark.parametrize(
    ("events", "message"),
    [
        ("00 26 64", "byte 23: data byte 26 where a status byte is due"),
        ("00 99 26 64 00 26 00 00 FF 01 04 66 69 6C 6C 78 26 50", "byte 38: data byte 26 where a status byte is due"),
        ("00 99 26 64 00 F0 01 F7 00 26 50", "byte 31: data byte 26 where a status byte is due"),
        ("00 99 26 C8", "byte 25: data byte C8 is over 7F"),
        ("00 99 80 64", "byte 24: data byte 80 is over 7F"),
        ("00 99 26 64 00 26 C8", "byte 28: data byte C8 is over 7F"),
        ("00 F0 03 7D 90 F7", "byte 26: data byte 90 is over 7F"),
        ("00 F8", "byte 23: status F8 may not stand in a file"),
        ("00 F1 10", "byte 23: status F1 may not stand in a file"),
        ("00 FF 80 00", "byte 24: meta type 80 is over 7F"),
        ("00 FF 51 02 07 A1", "byte 23: meta 51 has 3 bytes, not 2"),
        ("00 FF 58 02 04 02", "byte 23: meta 58 has 4 bytes, not 2"),
        ("00 FF 51 03 00 00 00", "byte 23: a tempo of no time"),
        ("01 FF 00 02 00 01", "byte 23: meta 00 after time 0"),
        ("01 FF 54 05 00 00 00 00 00", "byte 23: meta 54 after time 0"),
        ("FF FF FF FF 00 99 26 64", "byte 22: a delta time is longer than four bytes"),
        ("00 FF 01 7F 41", "byte 26: a meta event needs 127 bytes, 5 are left"),
        ("00 FF 2F 01 00", "byte 23: meta 2F has 0 bytes, not 1"),
    ],
)
def test_a_wrong_event_is_refused(events: str, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{message}$"):
        read_smf(in_track(events))


def test_a_file_cut_anywhere_is_refused() -> None:
    for example in (FORMAT_0, FORMAT_1):
        content = file_of(example)
        for end in range(len(content)):
            with pytest.raises(ValueError, match=r"^byte \d"):
                read_smf(content[:end])


def test_a_file_is_a_value() -> None:
    read: File = read_smf(file_of(FORMAT_1))
    assert read == read_smf(file_of(FORMAT_1))
    assert hash(read) == hash(read_smf(file_of(FORMAT_1)))
