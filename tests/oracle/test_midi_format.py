"""The writer's bytes against Standard MIDI Files 1.0 (RP-001, revised February 1996, in two transcriptions that agree).

The whole files below were written out by hand from that text, before the writer was asked. Velocities, note lengths
(a thirty-second) and the order within one tick are the product's own. Percussion on channel 10, status nibble 9:
General MIDI System Level 1.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from drum_room import one_bar, performed, phrase, said
from smf_music import LYRIC, MARKER, TRACK_NAME, in_order, metas, notes, onsets, overlaps, tempo_map, texts
from smf_reader import END_OF_TRACK, METER, TEMPO, File, read_smf

from drumgen.midi.events import TRACK_WAYS
from drumgen.midi.write import render_midi
from drumgen.performance import Words
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import read_phrase

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.midi.events import Tracks


def file_of(annotated: str) -> bytes:
    """Bytes written in hexadecimal, a comment after ``;`` on each line."""
    return bytes.fromhex("".join(line.partition(";")[0] for line in annotated.splitlines()))


def written(text: str, practice: Practice | None = None, *, tracks: Tracks = "one", ppq: int | None = None) -> bytes:
    return render_midi(performed(text, practice, ppq=ppq), tracks=tracks)


def read(text: str, practice: Practice | None = None, *, tracks: Tracks = "one") -> File:
    return read_smf(written(text, practice, tracks=tracks))


# -- whole files

ROCK = """
title = "Rock"
tempo = 120
phrase = ["beat"]
[bars.beat]
subdivision = "eighths"
sticking = "RRBR RRBR"
accents.L = "2 4"
hands.R = "hihat"
hands.L = "snare"
feet.kick = "1 3"
"""

# 960 ticks to the quarter (03 C0): an eighth is 480, a thirty-second 120 (78), what is left of the eighth 360 (82 68).
# Velocities: normal 82 (52), accent 112 (70). Keys: 42 (2A) closed hi-hat, 38 (26) snare, 36 (24) bass drum.
ROCK_FILE = """
    4D 54 68 64  00 00 00 06     ; MThd, six bytes
    00 00  00 01  03 C0          ; format 0, one track, 960 to the quarter
    4D 54 72 6B  00 00 00 B9     ; MTrk, 185 bytes
    00 FF 03 04 52 6F 63 6B      ; sequence name "Rock"
    00 FF 58 04 04 02 18 08      ; 4/4, a click every 24 clocks, eight 32nds to the quarter
    00 FF 51 03 07 A1 20         ; 500 000 microseconds to the quarter
    00 FF 06 0B                  ; marker of 11 bytes
       67 72 6F 6F 76 65 20 62 65 61 74  ; "groove beat"
    00 FF 05 01 52               ; 1: lyric "R"
    00 99 2A 52   00 24 52       ; hi-hat, and bass drum under running status
    78 89 2A 40   00 24 40       ; off after a thirty-second, release velocity 64
 82 68 FF 05 01 52               ; 1&
    00 99 2A 52
    78 89 2A 40
 82 68 FF 05 01 42               ; 2: lyric "B"
    00 99 2A 52   00 26 70       ; hi-hat, accented snare
    78 89 2A 40   00 26 40
 82 68 FF 05 01 52               ; 2&
    00 99 2A 52
    78 89 2A 40
 82 68 FF 05 01 52               ; 3
    00 99 2A 52   00 24 52
    78 89 2A 40   00 24 40
 82 68 FF 05 01 52               ; 3&
    00 99 2A 52
    78 89 2A 40
 82 68 FF 05 01 42               ; 4
    00 99 2A 52   00 26 70
    78 89 2A 40   00 26 40
 82 68 FF 05 01 52               ; 4&
    00 99 2A 52
    78 89 2A 40
 82 68 FF 06 03 65 6E 64         ; the bar line: marker "end"
    00 FF 2F 00                  ; and the end of the track
"""

SIX_EIGHT = """
title = "Sechs"
tempo = "dotted quarter 80"
meter = "6/8"
phrase = ["turn"]
[bars.turn]
role = "fill"
landing = []
subdivision = "eighths"
sticking = "R(L)L >lR LL"
hands.R = "floor-tom"
feet.kick = "1 4"
"""

# Dotted quarter 80 is quarter 120. The flam's grace note, 25 ms = 48 ticks before, is the left hand's on the drum of
# its main stroke. An eighth is 480 ticks (83 60).
SIX_EIGHT_FILE = """
    4D 54 68 64  00 00 00 06     ; MThd, six bytes
    00 01  00 04  03 C0          ; format 1, four tracks, 960 to the quarter
    4D 54 72 6B  00 00 00 55     ; the tempo track, 85 bytes
    00 FF 03 05 53 65 63 68 73   ; sequence name "Sechs"
    00 FF 58 04 06 03 24 08      ; 6/8, a click every 36 clocks: the dotted quarter
    00 FF 51 03 07 A1 20         ; 500 000 microseconds to the quarter
    00 FF 06 09                  ; marker of 9 bytes
       66 69 6C 6C 20 74 75 72 6E  ; "fill turn"
    00 FF 05 01 52               ; lyrics "R" "L" "L"
 83 60 FF 05 01 4C
 83 60 FF 05 01 4C
 83 60 FF 05 02 6C 52            ; "lR"
 83 60 FF 05 01 4C               ; "L" "L"
 83 60 FF 05 01 4C
 83 60 FF 06 03 65 6E 64         ; 2880, the bar line: marker "end"
    00 FF 2F 00
    4D 54 72 6B  00 00 00 24     ; right hand, 36 bytes
    00 FF 03 0A                  ; track name of 10 bytes
       72 69 67 68 74 20 68 61 6E 64
    00 99 2B 52                  ; floor tom (43) at 0
    78 89 2B 40
 8A 28 99 2B 70                  ; 1320 on: at 1440, accented
    78 89 2B 40
 8A 28 FF 2F 00                  ; 1320 on: 2880
    4D 54 72 6B  00 00 00 3F     ; left hand, 63 bytes
    00 FF 03 09                  ; track name of 9 bytes
       6C 65 66 74 20 68 61 6E 64
 83 60 99 26 24                  ; snare at 480, a ghost of velocity 36
    78 89 26 40
 82 68 99 26 52                  ; at 960
    78 89 26 40
 82 38 99 2B 2D                  ; 312 on: the grace note at 1392, on the floor tom, velocity 45
    30 89 2B 40                  ; off when the main stroke of that key begins, 48 on
 83 60 99 26 52                  ; at 1920
    78 89 26 40
 82 68 99 26 52                  ; at 2400
    78 89 26 40
 82 68 FF 2F 00                  ; 2880
    4D 54 72 6B  00 00 00 23     ; kick foot, 35 bytes
    00 FF 03 09                  ; track name of 9 bytes
       6B 69 63 6B 20 66 6F 6F 74
    00 99 24 52                  ; bass drum at 0
    78 89 24 40
 8A 28 99 24 52                  ; at 1440
    78 89 24 40
 8A 28 FF 2F 00                  ; 2880
"""

SEVENS = """
title = "7"
tempo = 60
meter = "2/4"
phrase = ["a"]
[bars.a]
sticking = "RL"
subdivision = ["septuplets", "triplets"]
"""

# 10 080 ticks to the quarter (27 60): a septuplet is 1440, a triplet 3360, a thirty-second 1260 (89 6C).
# After a thirty-second 180 ticks (81 34) of a septuplet are left, and 2100 (90 34) of a triplet.
SEVENS_FILE = """
    4D 54 68 64  00 00 00 06     ; MThd, six bytes
    00 00  00 01  27 60          ; format 0, one track, 10 080 to the quarter
    4D 54 72 6B  00 00 00 C1     ; MTrk, 193 bytes
    00 FF 03 01 37               ; sequence name "7"
    00 FF 58 04 02 02 18 08      ; 2/4
    00 FF 51 03 0F 42 40         ; 1 000 000 microseconds to the quarter
    00 FF 06 08                  ; marker of 8 bytes
       67 72 6F 6F 76 65 20 61   ; "groove a"
    00 FF 05 01 52               ; beat 1, seven strokes, "R"
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 4C               ; "L"
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 52
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 4C
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 52
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 4C
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 52
    00 99 26 52
 89 6C 89 26 40
 81 34 FF 05 01 4C               ; beat 2, three strokes, the eighth of the sticking: "L"
    00 99 26 52
 89 6C 89 26 40
 90 34 FF 05 01 52
    00 99 26 52
 89 6C 89 26 40
 90 34 FF 05 01 4C
    00 99 26 52
 89 6C 89 26 40
 90 34 FF 06 03 65 6E 64         ; 20 160, the bar line: marker "end"
    00 FF 2F 00
"""


def test_a_rock_groove_byte_by_byte() -> None:
    assert written(ROCK).hex(" ") == file_of(ROCK_FILE).hex(" ")


def test_a_bar_of_six_eight_in_a_track_a_limb_byte_by_byte() -> None:
    assert written(SIX_EIGHT, tracks="limbs").hex(" ") == file_of(SIX_EIGHT_FILE).hex(" ")


def test_a_bar_of_septuplets_byte_by_byte() -> None:
    assert written(SEVENS).hex(" ") == file_of(SEVENS_FILE).hex(" ")


@pytest.mark.parametrize("annotated", [ROCK_FILE, SIX_EIGHT_FILE, SEVENS_FILE])
def test_the_strict_reader_takes_the_files_written_by_hand(annotated: str) -> None:
    assert not overlaps(read_smf(file_of(annotated)))


# -- delta times

VARIABLE = {  # the specification's own table
    0x00: "00",
    0x40: "40",
    0x7F: "7F",
    0x80: "81 00",
    0x2000: "C0 00",
    0x3FFF: "FF 7F",
    0x4000: "81 80 00",
    0x100000: "C0 80 00",
    0x1FFFFF: "FF FF 7F",
    0x200000: "81 80 80 00",
    0x8000000: "C0 80 80 00",
    0xFFFFFFF: "FF FF FF 7F",
}


def ending_at(tick: int) -> bytes:
    """A file that says nothing between its start and its end."""
    return render_midi(replace(performed(ROCK), hits=(), markers=(), letters=(), end_tick=tick))


@pytest.mark.parametrize(("ticks", "expected"), VARIABLE.items())
def test_variable_length_quantities(ticks: int, expected: str) -> None:
    before, after = bytes.fromhex("FF 51 03 07 A1 20"), bytes.fromhex("FF 2F 00")
    assert ending_at(ticks).endswith(before + bytes.fromhex(expected) + after)


def test_a_delta_time_of_more_than_four_bytes_is_refused() -> None:
    fault = "expected at most 268435455 ticks between two events of a track, got 268435456"
    assert said(lambda: ending_at(0x10000000)) == fault


# -- meters and tempos

METERS = {
    "4/4": "04 02 18 08",  # the specification's own
    "6/8": "06 03 24 08",  # the specification's own
    "6/8 in 2": "06 03 24 08",
    "9/8": "09 03 24 08",  # these follow from its rule: nn, log2 of the lower number, clocks in a click, eight
    "12/8": "0C 03 24 08",
    "12/8 in 4": "0C 03 24 08",
    "3/4": "03 02 18 08",
    "2/2": "02 01 30 08",
    "5/8": "05 03 0C 08",
    "7/8": "07 03 0C 08",
    "7/8 2+2+3": "07 03 0C 08",  # an uneven click cannot be said: the eighth
    "8/8 3+3+2": "08 03 0C 08",
    "5/4": "05 02 18 08",
    "4/4 2+2": "04 02 30 08",  # even groups can: the half
    "3/8": "03 03 0C 08",
    "6/16": "06 04 12 08",
    "1/1": "01 00 60 08",
    "32/32": "20 05 03 08",
}


@pytest.mark.parametrize(("meter", "expected"), METERS.items())
def test_time_signature_bytes(meter: str, expected: str) -> None:
    text = one_bar('sticking = "R"\nsubdivision = "triplets"', top=f'meter = "{meter}"\ntempo = "eighth 100"\n')
    [event] = metas(read(text), METER)
    assert event.raw.hex(" ").upper() == f"FF 58 04 {expected}"
    assert event.tick == 0


# 60 000 000 over the quarters a minute, to the nearest: by hand and by long division.
TEMPOS = {
    "40": 1_500_000,
    "60": 1_000_000,
    "90": 666_667,
    "100": 600_000,
    "120": 500_000,
    "127": 472_441,
    "140": 428_571,
    "180": 333_333,
    "240": 250_000,
    "400": 150_000,
    "10": 6_000_000,
    "92.5": 648_649,
    '"eighth 210"': 571_429,
    '"dotted quarter 80"': 500_000,
    '"half 60"': 500_000,
    '"sixteenth 400"': 600_000,
    '"dotted eighth 100"': 800_000,
    '"whole 40"': 375_000,
}


@pytest.mark.parametrize(("tempo", "us"), TEMPOS.items())
def test_tempo_bytes(tempo: str, us: int) -> None:
    [event] = metas(read(one_bar('sticking = "R"', top=f"tempo = {tempo}\n")), TEMPO)
    assert event.raw == bytes.fromhex(f"FF 51 03 {us:06X}")
    assert event.tick == 0


@pytest.mark.parametrize("tempo", range(20, 401))
def test_every_whole_tempo_is_read_back_as_it_was_said(tempo: int) -> None:
    [(_, us)] = tempo_map(read(one_bar('sticking = "R"\nsubdivision = "quarters"', top=f"tempo = {tempo}\n")))
    assert us == (60_000_000 * 2 + tempo) // (2 * tempo)
    assert round(60_000_000 / us) == tempo


def test_the_slowest_tempo_is_the_slowest_that_three_bytes_hold() -> None:
    [(_, us)] = tempo_map(read(one_bar('sticking = "R"', top='tempo = "thirty-second 29"\n')))
    assert us == 16_551_724
    fault = said(lambda: phrase(one_bar('sticking = "R"', top='tempo = "thirty-second 28"\n')))
    assert fault == (
        "shed.toml:1: tempo: expected a tempo of at least 3.577 quarter notes a minute, the slowest of a MIDI file, "
        "got 3.5"
    )


def test_meter_and_tempo_stand_at_the_start_and_at_each_change_in_the_first_track_alone() -> None:
    file = read(
        """
        tempo = 100
        phrase = ["a x2", "b", "a"]
        [bars.a]
        sticking = "RL"
        [bars.b]
        sticking = "RL"
        meter = "7/8"
        tempo = "eighth 300"
        """,
        tracks="voices",
    )
    first, *others = file.tracks
    tempo = [(event.tick, int.from_bytes(event.data, "big")) for event in first.events if event.meta == TEMPO]
    assert tempo == [(0, 600_000), (7680, 400_000), (11_040, 600_000)]
    meter = [(event.tick, event.data.hex()) for event in first.events if event.meta == METER]
    assert meter == [(0, "04021808"), (7680, "07030c08"), (11_040, "04021808")]
    assert not [event for track in others for event in track.events if event.meta in (METER, TEMPO)]


# -- channel, order, end of track

EVERYTHING = """
title = "Everything"
tempo = 132
phrase = ["pick", "verse x2", "turn"]
[bars.pick]
role = "pickup"
sticking = "---- ---- ---- RLRL"
[bars.verse]
sticking = "RLRR LRLL"
accents = "1 3"
ghosts.L = "all"
hands.R = { main = "hihat", accent = "hihat-open" }
feet.kick = "1 3"
feet.hihat-foot = "2 4"
[bars.turn]
role = "fill"
sticking = "lR llR Rz B"
subdivision = "triplets"
hands.R = { around = ["high-tom", "floor-tom"] }
[feel]
spread_ms = 4
"""
PLAIN, COUNTED, LOOPED = Practice(), Practice(count_in=1, times=2), Practice(loop=True)
PRACTICES = pytest.mark.parametrize("practice", [PLAIN, COUNTED, LOOPED], ids=["plain", "counted", "looped"])
TRACKS = pytest.mark.parametrize("tracks", TRACK_WAYS)


@PRACTICES
@TRACKS
def test_every_channel_message_is_on_channel_ten(practice: Practice, tracks: Tracks) -> None:
    file = read(EVERYTHING, practice, tracks=tracks)
    assert {event.status for _, event in in_order(file) if event.kind == "channel"} == {0x99, 0x89}


def test_a_kit_with_a_program_and_a_pedal_says_both_on_channel_ten(tmp_path: Path) -> None:
    file = read_smf(on_kit(tmp_path, "program = 8", one_bar('sticking = "RL"\nhands.R = "hihat"')))
    events = [event for _, event in in_order(file) if event.kind == "channel"]
    assert {event.status for event in events} == {0x99, 0x89, 0xB9, 0xC9}
    assert [event.raw.hex() for event in events if event.status == 0xC9] == ["c908"]
    assert events[0].status == 0xC9
    assert events[0].tick == 0


@PRACTICES
@TRACKS
def test_every_track_ends_on_the_same_bar_line_with_a_marker_on_it_in_the_first(
    practice: Practice, tracks: Tracks
) -> None:
    file = read(EVERYTHING, practice, tracks=tracks)
    ends = {track.end_tick for track in file.tracks}
    assert len(ends) == 1
    [end] = ends
    assert end % (4 * 960) == 0
    assert [(text.tick, text.content) for text in texts(file, MARKER) if text.track == 0][-1] == (end, b"end")
    assert all(track.events[-1].meta == END_OF_TRACK for track in file.tracks)


@pytest.mark.parametrize(("tracks", "number", "count"), [("one", 0, 1), ("voices", 1, 9), ("limbs", 1, 5)])
def test_one_track_is_format_0_and_many_are_format_1_with_a_tempo_track(
    tracks: Tracks, number: int, count: int
) -> None:
    file = read(EVERYTHING, tracks=tracks)
    assert (file.header.format, file.header.ntrks) == (number, count)
    if number:
        assert not [event for event in file.tracks[0].events if event.kind == "channel"]


def test_tracks_are_named_by_their_voice_or_limb() -> None:
    names = [text.content.decode() for text in texts(read(EVERYTHING, tracks="limbs"), TRACK_NAME)]
    assert names == ["Everything", "right hand", "left hand", "kick foot", "hi-hat foot"]
    names = [text.content.decode() for text in texts(read(EVERYTHING, tracks="voices"), TRACK_NAME)]
    assert set(names) == {
        "Everything", "snare", "hihat", "hihat-open", "hihat-foot", "kick", "high-tom", "floor-tom", "crash",
    }  # fmt: skip
    assert names[0] == "Everything"


@PRACTICES
@TRACKS
def test_status_is_sent_again_after_every_meta(practice: Practice, tracks: Tracks) -> None:
    for track in read(EVERYTHING, practice, tracks=tracks).tracks:
        before = None
        for event in track.events:
            if event.kind == "channel" and (before is None or before.kind == "meta"):
                assert event.raw[0] == event.status
            before = event


def test_running_status_is_used_where_it_may_be() -> None:
    events = [event for _, event in in_order(read(ROCK)) if event.kind == "channel"]
    assert sum(event.raw[0] < 0x80 for event in events) == 8


@PRACTICES
@TRACKS
def test_notes_are_whole_never_overlap_and_end_before_others_begin(practice: Practice, tracks: Tracks) -> None:
    file = read(EVERYTHING, practice, tracks=tracks)
    assert not overlaps(file)
    assert min(note.length_ticks for note in notes(file)) >= 1
    hits = [(onset.tick, onset.key) for onset in onsets(file)]
    assert len(set(hits)) == len(hits)
    for track in file.tracks:
        rows = [(event.tick, event.status == 0x99) for event in track.events if event.kind == "channel"]
        assert rows == sorted(rows)


def test_a_marker_a_bar_says_its_role_and_name() -> None:
    markers = [(text.tick, text.content.decode()) for text in texts(read(EVERYTHING), MARKER)]
    assert [tick for tick, _ in markers] == [0, 3840, 7680, 11_520, 15_360, 19_200]
    assert [text for _, text in markers] == [
        "pickup pick", "groove verse", "groove verse", "fill turn", "landing", "end",
    ]  # fmt: skip


def test_the_sticking_stands_as_lyrics_on_its_strokes() -> None:
    lyrics = texts(read(one_bar('sticking = ">lR (L) llR B -- K H"\nsubdivision = "eighths"')), LYRIC)
    assert [(text.tick - 3840, text.content) for text in lyrics] == [  # after an empty bar for the grace note
        (0, b"lR"), (480, b"L"), (960, b"llR"), (1440, b"B"), (2880, b"K"), (3360, b"H"),
    ]  # fmt: skip


# -- texts


@pytest.mark.parametrize("title", ["Übung \N{EN DASH} Größe", "日本語", "مقدمة", "ритм 1", "♩ = 90", "a" * 200])
def test_titles_and_bar_names_are_written_in_utf_8(title: str) -> None:
    file = read(f'title = "{title}"\nphrase = ["{title[:90]}"]\n[bars."{title[:90]}"]\nsticking = "R"\n')
    assert texts(file, TRACK_NAME)[0].content == title.encode()
    assert texts(file, MARKER)[0].content == f"groove {title[:90]}".encode()


def test_a_kit_that_says_ascii_gets_ascii(tmp_path: Path) -> None:
    text = 'title = "Übung \\u2013 Größe 日本"\nphrase = ["Prélude"]\n[bars."Prélude"]\nsticking = "R"\n'
    file = read_smf(on_kit(tmp_path, '[limits]\ntext_characters = "ascii"', text))
    assert texts(file, TRACK_NAME)[0].content == b"Ubung ? Gro?e ??"
    assert texts(file, MARKER)[0].content == b"groove Prelude"
    assert all(byte < 0x80 for written in texts(file) for byte in written.content)


def test_control_characters_never_reach_the_file() -> None:
    file = read('title = "a\\u0007b\\u001b[31m"\nphrase = ["x"]\n[bars.x]\nsticking = "R"\n')
    assert texts(file, TRACK_NAME)[0].content == b"a b [31m"


# -- kits

KIT = """
title = "A pedal kit, invented"
{more}
[voices.kick]
note = 36
played_by = "kick foot"
[voices.snare]
note = 38
[voices.hihat]
note = 46
pedal = 127
[voices.hihat-half]
note = 46
pedal = 60
[voices.hihat-open]
note = 46
pedal = 0
[voices.hihat-foot]
note = 44
played_by = "hi-hat foot"
[voices.crash]
note = 49
[voices.click]
note = 77
[voices.click-accent]
note = 76
"""
KIT_LINE = 'kit = "barn.toml"\n'


def on_kit(folder: Path, more: str, text: str, practice: Practice | None = None, *, tracks: Tracks = "one") -> bytes:
    """The file of a phrase on an invented kit whose file says ``more``."""
    (folder / "barn.toml").write_text(KIT.format(more=more), encoding="utf-8")
    found = read_phrase(KIT_LINE + text, file="shed.toml", name="shed", beside=folder).phrase
    return render_midi(perform(arrange(found, practice)), tracks=tracks)


HATS = """
phrase = ["a"]
[bars.a]
sticking = "R L"
subdivision = "eighths"
hands.R = { main = "hihat", "2 3" = "hihat-open", "4" = "hihat-half" }
hands.L = "snare"
"""


@TRACKS
def test_controller_4_stands_just_before_the_note_whose_pedal_differs(tmp_path: Path, tracks: Tracks) -> None:
    file = read_smf(on_kit(tmp_path, "", HATS, tracks=tracks))
    rows = [event for _, event in in_order(file) if event.status in (0xB9, 0x99)]
    if tracks == "one":
        assert [(event.tick, event.data.hex()) for event in rows if event.status == 0xB9] == [
            (0, "047f"), (960, "0400"), (2880, "043c"),
        ]  # fmt: skip
    pedal, before = None, None
    for track in file.tracks:
        for event in track.events:
            if event.status == 0xB9:
                pedal = event.data[1]
                assert event.data[0] == 4
            if event.status == 0x99 and event.data[0] == 46:
                wanted = {0: 127, 960: 0, 1920: 0, 2880: 60}[event.tick]
                assert pedal == wanted
            if event.status == 0x99 and before is not None and before.status == 0xB9:
                assert before.tick == event.tick
            before = event


def test_notes_only_leaves_notes_meter_tempo_and_end(tmp_path: Path) -> None:
    for tracks in TRACK_WAYS:
        file = read_smf(on_kit(tmp_path, "program = 8\n[limits]\nnotes_only = true", HATS, tracks=tracks))
        assert {event.meta for _, event in in_order(file) if event.kind == "meta"} == {METER, TEMPO, END_OF_TRACK}
        assert {event.status for _, event in in_order(file) if event.kind == "channel"} == {0x99, 0x89}
        assert {track.end_tick for track in file.tracks} == {3840}


def limits(folder: Path, line: str, text: str = HATS, practice: Practice | None = None) -> str:
    return said(lambda: on_kit(folder, f"[limits]\n{line}", text, practice))


def test_a_kits_ticks_are_kept_or_it_is_said_what_does_not_fit(tmp_path: Path) -> None:
    file = read_smf(on_kit(tmp_path, "[limits]\nppq = 96", HATS))
    assert file.header.division == 96
    assert file.tracks[0].end_tick == 384
    fives = 'phrase = ["a"]\n[bars.a]\nsticking = "RL"\nsubdivision = "quintuplets"\n'
    assert limits(tmp_path, "ppq = 96", fives) == (
        'kits.barn.limits.ppq: expected strokes that 96 ticks to the quarter hold, got bar 1 "a", 1 and 1/5 (L)'
    )


def test_a_kits_longest_file_is_kept_or_it_is_said(tmp_path: Path) -> None:
    assert on_kit(tmp_path, "[limits]\nlongest_s = 4", "tempo = 60\n" + HATS)
    assert limits(tmp_path, "longest_s = 3", "tempo = 60\n" + HATS) == (
        "kits.barn.limits.longest_s: expected at most 3 s, got 4.0 s"
    )


def test_a_kits_largest_file_is_kept_or_it_is_said(tmp_path: Path) -> None:
    assert len(on_kit(tmp_path, "[limits]\nlargest_kib = 1", HATS, Practice(times=4))) <= 1024
    assert limits(tmp_path, "largest_kib = 1", HATS, Practice(times=40)) == (
        "kits.barn.limits.largest_kib: expected at most 1 KiB, got 6 KiB"
    )


def test_another_ppq_than_the_kits_is_refused(tmp_path: Path) -> None:
    (tmp_path / "barn.toml").write_text(KIT.format(more="[limits]\nppq = 96"), encoding="utf-8")
    found = read_phrase(KIT_LINE + HATS, file="shed.toml", name="shed", beside=tmp_path).phrase
    assert said(lambda: perform(arrange(found), ppq=480)) == (
        'ppq: expected the 96 ticks to the quarter of the kit "barn", got 480'
    )


def test_a_file_that_would_be_too_large_is_refused_before_it_is_made() -> None:
    performance = performed(ROCK)
    crowd = replace(performance, hits=performance.hits[:1] * 8_500_000)
    assert said(lambda: render_midi(crowd)) == "expected a MIDI file of at most 64 MiB, got about 65 MiB"


def test_what_is_said_beside_the_strokes_counts_too() -> None:
    performance = performed(ROCK)
    wordy = replace(performance, letters=(Words(0, "m" * 65_000),) * 1_100)
    assert said(lambda: render_midi(wordy)) == "expected a MIDI file of at most 64 MiB, got about 69 MiB"


def test_a_track_never_goes_backwards() -> None:
    performance = performed(ROCK)
    with pytest.raises(ValueError, match="-960 ticks between two events"):
        render_midi(replace(performance, hits=(replace(performance.hits[0], tick=-960),)))


def test_hits_of_a_callers_own_may_stand_in_any_order() -> None:
    performance = performed(ROCK)
    assert render_midi(replace(performance, hits=performance.hits[::-1])).count(b"\xff\x2f\x00") == 1
