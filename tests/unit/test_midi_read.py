"""Reading what real files do to the format, each oddity alone, as bytes written by hand from the standard."""

from __future__ import annotations

import pytest
from drum_room import said
from hypothesis import given, settings
from hypothesis import strategies as st

from drumgen.errors import DrumgenError
from drumgen.midi.decoding import decode_text
from drumgen.midi.pedal import parse_pedal
from drumgen.midi.read import Reading, read_take
from drumgen.midi.scan import scan
from drumgen.spec.loading import load_kit
from drumgen.take import Bars, Take

END = "00 FF 2F 00"
SNARE = "00 99 26 64"
BEAT_LATER = "83 60 99 26 50"


def header(tracks: int = 1, *, form: int = 0, division: int = 480) -> bytes:
    return b"MThd" + bytes([0, 0, 0, 6]) + b"".join(n.to_bytes(2, "big") for n in (form, tracks, division))


def track(text: str, *, length: int | None = None) -> bytes:
    body = bytes.fromhex(text)
    return b"MTrk" + (len(body) if length is None else length).to_bytes(4, "big") + body


def take(content: bytes, reading: Reading | None = None, *, kit: str = "general-midi") -> Take:
    return read_take(content, kit=load_kit(kit), reading=reading)


def one(text: str, reading: Reading | None = None, *, kit: str = "general-midi") -> Take:
    return take(header() + track(text), reading, kit=kit)


def onsets(found: Take) -> list[tuple[int, int]]:
    return [(hit.tick, hit.key) for hit in found.hits]


def lines(found: Take) -> list[str]:
    """The oddities but for what is assumed of these files, which say neither tempo nor meter."""
    return [str(oddity) for oddity in found.oddities if "assumed" not in oddity.words]


TWO = [(0, 38), (480, 38)]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"{SNARE} 00 F8 {BEAT_LATER} {END}", "byte 27: a stray real-time byte F8 skipped"),
        (f"{SNARE} 83 60 99 26 FE 50 {END}", "byte 30: a stray real-time byte FE skipped"),
        (f"{SNARE} 00 F2 01 02 {BEAT_LATER} {END}", "byte 27: a stray system byte F2 skipped"),
        (f"00 26 64 {SNARE} {BEAT_LATER} {END}", "byte 23: data bytes without a status byte skipped"),
        (f"{SNARE} 00 FF 51 03 00 00 00 {BEAT_LATER} {END}", "byte 27: a tempo of no time skipped"),
        (f"{SNARE} 00 FF 58 04 04 09 18 08 {BEAT_LATER} {END}", "byte 27: a meter of 4/512 skipped"),
        (f"{SNARE} 00 FF 58 04 00 02 18 08 {BEAT_LATER} {END}", "byte 27: a meter of 0/4 skipped"),
        (
            f"{SNARE} 00 F0 7D 01 02 F7 {BEAT_LATER} {END}",
            "byte 27: a sysex event with a wrong length, skipped up to its F7",
        ),
        (f"{SNARE} 00 FF 85 01 00 {BEAT_LATER} {END}", "byte 27: a meta event of type 85, which is over 7F, skipped"),
        (f"{SNARE} {BEAT_LATER}", "byte 31: a track without an end of track"),
        (f"{SNARE} {BEAT_LATER} 00 99 26", "byte 32: the file is cut off inside an event"),
        (f"80 80 80 80 00 99 26 64 {BEAT_LATER} {END}", "byte 22: a delta time of more than four bytes"),
        (f"{SNARE} {BEAT_LATER} {END} 01 02 03", "byte 35: bytes after an end of track skipped"),
    ],
)
def test_an_oddity_is_one_line_and_the_strokes_around_it_are_read(text: str, line: str) -> None:
    found = one(text)
    assert onsets(found) == TWO
    assert lines(found)[0] == line


def test_an_unknown_chunk_and_a_longer_header_are_skipped() -> None:
    content = header()[:7] + bytes([8]) + header()[8:] + b"\x00\x01" + b"XFIH" + bytes([0, 0, 0, 2, 1, 2])
    found = take(content + track(f"{SNARE} {BEAT_LATER} {END}"))
    assert onsets(found) == TWO
    assert lines(found) == ['byte 16: an unknown chunk "XFIH" skipped']


@pytest.mark.parametrize("length", [5, 14, 30, 4000])
def test_a_wrong_length_of_a_track_loses_nothing(length: int) -> None:
    body = f"{SNARE} {BEAT_LATER} {END}"
    content = header(2, form=1) + track(body, length=length) + track("87 40 99 24 40 00 FF 2F 00")
    assert onsets(take(content)) == [*TWO, (960, 36)]


@pytest.mark.parametrize("length", [0, 4, 9, 5000])
def test_a_wrong_length_of_the_header_is_read_as_six(length: int) -> None:
    content = b"MThd" + length.to_bytes(4, "big") + header()[8:] + track(f"{SNARE} {BEAT_LATER} {END}")
    assert onsets(take(content)) == TWO


def test_a_sysex_without_an_end_cuts_the_track_there() -> None:
    found = one(f"{SNARE} 00 F0 7D 01 02 {BEAT_LATER} {END}")
    assert onsets(found) == [(0, 38)]
    assert lines(found)[0] == "byte 27: a sysex event says 125 bytes, 11 are left; what follows cannot be read"


def test_an_unknown_format_is_read_as_1() -> None:
    found = take(header(form=7) + track(f"{SNARE} {BEAT_LATER} {END}"))
    assert onsets(found) == TWO
    assert lines(found) == ["byte 8: format 7 is none of 0, 1, 2, read as 1"]


def test_metas_that_are_whole_are_no_oddity() -> None:
    metas = "00 FF 00 02 00 01 00 FF 54 05 60 00 00 00 00 00 FF 59 02 00 00"
    found = one(f"{metas} {SNARE} {BEAT_LATER} {END}")
    assert lines(found) == []
    assert found.length_s == 0.5


def test_a_delta_without_an_end_is_the_largest_there_is() -> None:
    found = one(f"{SNARE} 80 80 80 80 80 80 80 80 80 80 80 80 99 26 50 {END}")
    assert lines(found)[0] == "byte 26: a delta time of more than four bytes"


def test_a_broken_riff_wrapper_is_looked_through() -> None:
    content = b"RIFF\x00\x00\x00\x00RMID" + b"data\xff\xff" + header() + track(f"{SNARE} {BEAT_LATER} {END}")
    found = take(content)
    assert onsets(found) == TWO
    assert lines(found) == ["byte 0: a MIDI file inside a broken RIFF wrapper, unwrapped"]


@pytest.mark.parametrize("before", [b"", b"DISP" + bytes.fromhex("03 00 00 00 01 02 03 00")])
@pytest.mark.parametrize("form", [0, 1, 7])
def test_a_file_in_a_riff_wrapper_is_read_as_it_is_alone(before: bytes, form: int) -> None:
    """What is told of it stands as many bytes further on; a chunk of odd length is padded."""
    alone = header(3, form=form) + track(f"{SNARE} 00 F8 {BEAT_LATER} {END}") + track(f"{BEAT_LATER} {END}")
    chunks = b"RMID" + before + b"data" + len(alone).to_bytes(4, "little") + alone
    content = b"RIFF" + len(chunks).to_bytes(4, "little") + chunks
    found, expected = take(content), take(alone)
    assert found.hits == expected.hits
    further = content.index(b"MThd")
    shifted = [(each.words, each.byte + further if each.byte is not None else None) for each in expected.oddities]
    told = [(each.words, each.byte) for each in found.oddities]
    assert sorted(told, key=str) == sorted([*shifted, ("a MIDI file inside a RIFF wrapper, unwrapped", 0)], key=str)


@pytest.mark.parametrize("lower", range(8))
@pytest.mark.parametrize("upper", [0, 1, 2, 7, 32, 33, 255])
def test_a_meter_of_the_language_is_read_and_another_is_skipped(upper: int, lower: int) -> None:
    """The numerator as it stands, the denominator a power of 2 (Standard MIDI Files 1.0, Time Signature)."""
    found = one(f"00 FF 58 04 {upper:02X} {lower:02X} 18 08 {SNARE} {BEAT_LATER} {END}")
    written = f"{upper}/{2**lower}"
    if 1 <= upper <= 32 and 2**lower <= 32:
        assert ([str(change.meter) for change in found.meters], lines(found)) == ([written], [])
    else:
        assert lines(found) == [f"byte 23: a meter of {written} skipped"]


def test_a_file_over_64_mib_is_refused() -> None:
    assert said(lambda: take(bytes((64 << 20) + 1))) == "expected a MIDI file of at most 64 MiB, got 64 MiB"


def test_junk_in_front_is_skipped() -> None:
    found = take(b"\n\n" + header() + track(f"{SNARE} {BEAT_LATER} {END}"))
    assert onsets(found) == TWO
    assert lines(found) == ["byte 0: 2 bytes before the header skipped"]


def test_bytes_between_two_tracks_of_three_end_at_the_next() -> None:
    content = header(3, form=1) + track(END) + b"??" + track(f"{SNARE} {BEAT_LATER} {END}") + track(END)
    found = take(content)
    assert onsets(found) == TWO
    assert "2 extra bytes ignored" in " ".join(lines(found))


def test_patterns_of_format_2_come_one_after_the_other() -> None:
    body = f"{SNARE} {BEAT_LATER} 83 60 FF 2F 00"
    found = take(header(2, form=2) + track(body) + track(body))
    assert onsets(found) == [(0, 38), (480, 38), (960, 38), (1440, 38)]
    assert lines(found) == ["format 2: 2 patterns, read one after the other"]


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b"", "expected a MIDI file, which begins with MThd, got an empty file"),
        (b"RIFF\x04\x00\x00\x00WAVEfmt ", "expected a MIDI file, which begins with MThd, got a WAV sound file"),
        (
            b"RIFF\x04\x00\x00\x00AVI LIST",
            "expected a MIDI file, which begins with MThd, got a RIFF file without one inside",
        ),
        (b"\x1f\x8b\x08\x00", "expected a MIDI file, which begins with MThd, got a gzip archive"),
        (b"PK\x03\x04abc", "expected a MIDI file, which begins with MThd, got a ZIP archive"),
        (b"title = 3", 'expected a MIDI file, which begins with MThd, got "title = 3…"'),
        (b"\x00\x01\x02\x03", "expected a MIDI file, which begins with MThd, got bytes 00 01 02 03"),
        (header(), "expected a MIDI file with a track, got none"),
        (header()[:10], "byte 0: expected a MIDI file's header of 6 bytes, got 2"),
        (header(division=0), "byte 12: expected ticks to the quarter note or to a frame, got none"),
        (header(division=0xE700), "byte 12: expected ticks to the quarter note or to a frame, got none"),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_line(content: bytes, line: str) -> None:
    assert said(lambda: take(content)) == line


@pytest.mark.parametrize(("division", "second"), [(0xE828, 40 * 24), (0xE728, 40 * 25), (0xE228, 40 * 30)])
def test_smpte_ticks_are_parts_of_a_second(division: int, second: int) -> None:
    later = bytes([0x80 | second >> 7, second & 0x7F]).hex(" ")
    found = take(header(division=division) + track(f"{SNARE} {later} 99 26 50 {END}"))
    assert found.seconds() == [0.0, 1.0]


def test_thirty_drop_frame_counts_1001_thousandths() -> None:
    """Thirty frames of 1001/30 000 s: the rate of SMPTE time code at 29.97 frames a second."""
    found = take(header(division=0xE328) + track(f"{SNARE} 89 30 99 26 50 {END}"))
    assert found.seconds() == [0.0, 1.001]


def test_a_choke_is_kept_with_its_stroke() -> None:
    found = one(f"00 99 31 70 30 A9 31 7F 10 A9 31 00 83 40 99 31 60 {END}")
    assert found.chokes == (48, None)


def test_double_triggers_are_left_out_only_when_asked_and_are_counted() -> None:
    text = f"{SNARE} 0A 99 26 20 00 99 24 40 83 56 99 26 50 {END}"
    assert len(one(text).hits) == 4
    found = one(text, Reading(debounce_ms=20))
    assert onsets(found) == [(0, 38), (10, 36), (480, 38)]
    assert lines(found) == ["1 double trigger within 20 ms left out"]


def test_two_strokes_of_one_key_on_one_tick_are_kept_and_named() -> None:
    found = one(f"{SNARE} 00 99 26 50 {END}")
    assert len(found.hits) == 2
    assert lines(found) == ["1 stroke of one key on one tick with another"]


def test_a_file_without_drums_names_the_channel_that_has_notes() -> None:
    found = one(f"00 93 40 64 {END}")
    assert lines(found) == ["notes on other channels than 10: channel 4 (1); --channel 4 reads it"]


def test_a_kit_with_pedal_values_says_itself_how_open_the_hat_is() -> None:
    text = f"00 B9 04 7F 00 99 2A 64 00 B9 04 00 83 60 99 2A 64 00 B9 04 46 83 60 99 2A 64 {END}"
    assert [hit.voice for hit in one(text, kit="pedal-hihat").hits] == ["hihat", "hihat-open", "hihat-half"]


@pytest.mark.parametrize(
    "text", ["", "closed 127", "closed 200, open 0", "closed 5, open 5", "closed 9, half 99, open 3"]
)
def test_a_pedal_that_means_nothing_is_refused(text: str) -> None:
    assert said(lambda: parse_pedal(text))


def test_a_bar_line_between_ticks_is_rounded_by_itself() -> None:
    """Three eighths at 5 ticks to the quarter are 7.5 ticks: bar lines at 0, 8, 15, 23, 30."""
    found = take(header(division=5) + track(f"00 FF 58 04 03 03 18 08 {SNARE} 50 99 26 40 {END}"))
    bars = Bars(found.meters, found.ppq)
    edges = [0]
    while len(edges) < 5:
        edges.append(bars.at(edges[-1]).end)
    assert edges == [0, 8, 15, 23, 30]
    assert [bars.at(tick).number for tick in range(31)] == [sum(edge <= tick for edge in edges) for tick in range(31)]


def test_texts_are_read_in_the_encoding_they_look_like() -> None:
    assert decode_text("Größe".encode()) == ("Größe", "")
    assert decode_text("太鼓".encode("cp932")) == ("太鼓", "cp932")
    assert decode_text(b"{@LATIN}\xdc") == ("Ü", "latin-1")
    assert decode_text(b"a\x07b")[0].isprintable()


@settings(deadline=None)
@given(st.binary(max_size=200))
def test_no_bytes_make_a_traceback(body: bytes) -> None:
    for content in (body, header() + body, header() + b"MTrk\x00\x00\x00\x40" + body):
        try:
            found = take(content)
        except DrumgenError:
            continue
        ticks = [hit.tick for hit in found.hits]
        assert ticks == sorted(ticks)
        assert all(1 <= hit.velocity <= 127 and 0 <= hit.key <= 127 for hit in found.hits)


@settings(deadline=None)
@given(st.integers(0, 400))
def test_a_file_cut_anywhere_keeps_what_is_before_the_cut(cut: int) -> None:
    whole = header() + track(" ".join([SNARE, *["30 99 26 40"] * 40, END]))
    content = whole[: min(cut, len(whole))]
    complete = max(0, (len(content) - 22) // 4)
    try:
        found = scan(content)
    except DrumgenError:
        assert len(content) < 30
    else:
        assert sum(event.status == 0x99 for event in found.tracks[0]) == min(41, complete)
