"""The writer on the inputs that trip programs of its kind: ticks, ends, graces, loops, names, swing.

The exact places are arithmetic on Standard MIDI Files 1.0; the inputs are invented, after faults that users of general
MIDI libraries have reported in public.
"""

from __future__ import annotations

import os
import subprocess
import sys
from fractions import Fraction
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from drum_room import one_bar, performed, phrase, said
from smf_music import MARKER, TRACK_NAME, meters, notes, onsets, overlaps, seconds_at, tempo_map, texts
from smf_reader import File, read_smf

from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.tempo import parse_tempo

if TYPE_CHECKING:
    from pathlib import Path

QUARTER = 960
BAR = 4 * QUARTER


def file_of(text: str, practice: Practice | None = None, *, ppq: int | None = None) -> File:
    return read_smf(render_midi(performed(text, practice, ppq=ppq)))


def ticks_of(file: File) -> list[int]:
    return [onset.tick for onset in onsets(file)]


def drumgen(*arguments: str, folder: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    """One run of the program in a process of its own."""
    code = "import sys; from drumgen.cli import run; sys.argv[0] = 'drumgen'; run()"
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=folder,
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=120,
    )


# -- ticks

SEVENS = """phrase = ["a"]
[bars.a]
sticking = "RLRRLRL"
subdivision = ["septuplets", "sixteenths", "septuplets", "triplets"]
"""


def test_septuplets_take_10_080_ticks_and_it_is_said() -> None:
    done = performed(SEVENS)
    assert done.ppq == 10_080
    assert done.remarks == ('10080 ticks to the quarter, as 960 do not hold bar 1 "a", 1 and 1/7 (L)',)
    assert [hit.tick for hit in done.hits][:7] == [1440 * index for index in range(7)]


def test_480_ticks_cannot_hold_septuplets_and_the_first_that_does_not_fit_is_named() -> None:
    fault = 'ppq: expected strokes that 480 ticks to the quarter hold, got bar 1 "a", 1 and 1/7 (L)'
    assert said(lambda: performed(SEVENS, ppq=480)) == fault


def test_the_program_says_both_too(tmp_path: Path) -> None:
    (tmp_path / "sevens.toml").write_text(SEVENS, encoding="utf-8")
    done = drumgen("render", "sevens.toml", "-o", "sevens.mid", folder=tmp_path)
    assert (done.returncode, done.stderr) == (
        0,
        'remark: 10080 ticks to the quarter, as 960 do not hold bar 1 "a", 1 and 1/7 (L)\n',
    )
    assert read_smf((tmp_path / "sevens.mid").read_bytes()).header.division == 10_080
    refused = drumgen("render", "sevens.toml", "-o", "other.mid", "--ppq", "480", folder=tmp_path)
    assert refused.returncode == 2
    assert 'expected strokes that 480 ticks to the quarter hold, got bar 1 "a", 1 and 1/7 (L)' in refused.stderr
    assert not (tmp_path / "other.mid").exists()


MILE = """
phrase = ["threes x2500", "fives x2500", "fours x2500", "mixed x2500"]
[bars.threes]
sticking = "RLR"
subdivision = "triplets"
[bars.fives]
sticking = "RLRRL"
subdivision = "quintuplets"
[bars.fours]
sticking = "RLRR"
[bars.mixed]
sticking = "R"
subdivision = ["triplets", "quintuplets", "sixteenths", "sextuplets"]
"""


def test_ten_thousand_bars_of_threes_fives_and_fours_end_on_the_exact_tick() -> None:
    file = file_of(MILE)
    assert file.tracks[0].end_tick == 10_000 * BAR
    per_bar = [(3,) * 4, (5,) * 4, (4,) * 4, (3, 5, 4, 6)]
    exact = [
        (bar * 4 + beat) * QUARTER + Fraction(QUARTER * place, places)
        for bar in range(10_000)
        for beat, places in enumerate(per_bar[bar // 2500])
        for place in range(places)
    ]
    assert ticks_of(file) == exact
    assert seconds_at(file, 10_000 * BAR) == 10_000 * 4 * Fraction(666_667, 1_000_000)


@pytest.mark.parametrize(("subdivision", "places", "fits"), [
    ("triplets", 3, (96, 480, 960, 120, 9)),
    ("quintuplets", 5, (480, 960, 120, 5)),
    ("sextuplets", 6, (96, 480, 960, 24)),
    ("septuplets", 7, (10_080, 3360, 7, 32_767 // 7 * 7)),
])  # fmt: skip
def test_in_every_division_that_holds_them_places_are_exact_and_bar_lines_too(
    subdivision: str, places: int, fits: tuple[int, ...]
) -> None:
    text = f'phrase = ["a x4"]\n[bars.a]\nsticking = "RL"\nsubdivision = "{subdivision}"\n'
    for ppq in fits:
        file = file_of(text, ppq=ppq)
        assert file.header.division == ppq
        assert ticks_of(file) == [ppq * index // places for index in range(16 * places)]
        assert file.tracks[0].end_tick == 16 * ppq


@pytest.mark.parametrize(("subdivision", "ppq"), [("triplets", 100), ("quintuplets", 96), ("septuplets", 960)])
def test_a_division_that_does_not_hold_them_is_refused_rather_than_rounded(subdivision: str, ppq: int) -> None:
    text = one_bar(f'sticking = "RL"\nsubdivision = "{subdivision}"')
    assert said(lambda: performed(text, ppq=ppq)).startswith(f"ppq: expected strokes that {ppq} ticks")


# -- the end of the track, and chaining


def test_silence_at_the_end_of_the_last_bar_is_kept() -> None:
    file = file_of('tempo = 120\nphrase = ["a", "b"]\n[bars.a]\nsticking = "R"\nsubdivision = "eighths"\n'
                   '[bars.b]\nfeet.kick = "1"\n')  # fmt: skip
    assert ticks_of(file)[-1] == BAR
    assert file.tracks[0].end_tick == 2 * BAR
    assert seconds_at(file, file.tracks[0].end_tick) == 4


def test_a_phrase_after_another_begins_on_its_downbeat() -> None:
    one, other = (file_of(f'phrase = ["a"]\n[bars.a]\nsticking = "{row}"\n') for row in ("R---", "RLRR"))
    chained = file_of('phrase = ["a", "b"]\n[bars.a]\nsticking = "R---"\n[bars.b]\nsticking = "RLRR"\n')
    end = one.tracks[0].end_tick
    assert ticks_of(chained) == [*ticks_of(one), *(end + tick for tick in ticks_of(other))]


def test_meters_change_on_bar_lines_alone() -> None:
    file = file_of("""
        phrase = ["a", "b", "c", "a"]
        [bars.a]
        sticking = "RL"
        [bars.b]
        like = "a"
        meter = "3/4"
        [bars.c]
        like = "a"
        meter = "7/8"
    """)
    assert [(meter.tick, meter.upper, meter.lower) for meter in meters(file)] == [
        (0, 4, 4), (3840, 3, 4), (6720, 7, 8), (10_080, 4, 4),
    ]  # fmt: skip
    assert [text.tick for text in texts(file, MARKER)] == [0, 3840, 6720, 10_080, 13_920]


# -- a flam on the first downbeat

FLAM = 'title = "Flam"\ntempo = {tempo}\nphrase = ["a"]\n[bars.a]\nsticking = "lR L R L"\nsubdivision = "quarters"\n'
TEMPOS = pytest.mark.parametrize("tempo", [40, 120, 300])


def grace_ticks(tempo: int) -> int:
    """25 ms to the nearest tick: 960 ticks last a minute over the tempo."""
    return round(Fraction(25 * QUARTER * tempo, 60_000))


@TEMPOS
def test_a_loop_that_begins_with_a_flam_has_its_grace_note_at_its_end(tempo: int) -> None:
    file = file_of(FLAM.format(tempo=tempo), Practice(loop=True))
    assert file.tracks[0].end_tick == BAR
    assert ticks_of(file) == [0, QUARTER, 2 * QUARTER, 3 * QUARTER, BAR - grace_ticks(tempo)]
    assert onsets(file)[-1].velocity == 45
    assert not overlaps(file)
    assert max(note.end_tick for note in notes(file)) <= BAR


@TEMPOS
def test_without_a_loop_an_empty_bar_stands_in_front_and_it_is_said(tempo: int) -> None:
    done = performed(FLAM.format(tempo=tempo))
    assert done.remarks == ("an empty bar stands in front, for the grace notes before the first downbeat",)
    file = read_smf(render_midi(done))
    assert file.tracks[0].end_tick == 2 * BAR
    assert ticks_of(file) == [BAR - grace_ticks(tempo), *(BAR + QUARTER * beat for beat in range(4))]
    assert [text.content for text in texts(file, MARKER)] == [b"empty", b"groove a", b"end"]
    gap = seconds_at(file, BAR) - seconds_at(file, ticks_of(file)[0])
    assert abs(gap - Fraction(25, 1000)) <= Fraction(60, 2 * QUARTER * tempo) + Fraction(1, 1_000_000)


@TEMPOS
def test_after_a_count_in_there_is_room_for_it(tempo: int) -> None:
    done = performed(FLAM.format(tempo=tempo), Practice(count_in=1))
    assert not done.remarks
    assert [hit.tick for hit in done.hits if hit.kind == "grace"] == [BAR - grace_ticks(tempo)]
    assert [hit.tick for hit in done.hits if hit.kind == "click"] == [QUARTER * beat for beat in range(4)]
    assert done.end_tick == 2 * BAR


@TEMPOS
@pytest.mark.parametrize("sticking", ["llR L", "- lR", "- llR", "llR llR llR llR lR lR lR lR"])
def test_no_grace_note_stands_before_the_start_or_on_its_stroke(tempo: int, sticking: str) -> None:
    for practice in (Practice(), Practice(loop=True), Practice(count_in=1)):
        text = (
            f'tempo = {tempo}\nphrase = ["a"]\n[bars.a]\nsticking = "{sticking}"\n[feel]\nflam_ms = 60\ndrag_ms = 60\n'
        )
        done = performed(text, practice)
        assert min(hit.tick for hit in done.hits) >= 0
        mains = {(hit.tick, hit.key) for hit in done.hits if hit.kind == "stroke"}
        assert not {(hit.tick, hit.key) for hit in done.hits if hit.kind == "grace"} & mains


def test_the_program_says_that_it_put_a_bar_in_front(tmp_path: Path) -> None:
    (tmp_path / "flam.toml").write_text(FLAM.format(tempo=120), encoding="utf-8")
    done = drumgen("render", "flam.toml", "-o", "flam.mid", folder=tmp_path)
    assert done.stderr == "remark: an empty bar stands in front, for the grace notes before the first downbeat\n"
    assert done.stdout == "wrote flam.mid: 2 bars, 5 strokes, 4.0 s, kit general-midi\n"
    looped = drumgen("render", "flam.toml", "-o", "loop.mid", "--loop", folder=tmp_path)
    assert (looped.returncode, looped.stderr) == (0, "")
    assert read_smf((tmp_path / "loop.mid").read_bytes()).tracks[0].end_tick == BAR


# -- the same bytes, and muting

LIVELY = """
title = "Lively"
phrase = ["a x3", "b"]
landing = ["crash", "kick"]
[feel]
spread_ms = 8
seed = 5
[bars.a]
sticking = "lRLRR LRLzL"
ghosts.L = "all"
accents = "1 3"
hands.R = { main = "hihat", accent = "ride", "4e" = "hihat-open" }
feet.kick = "1 2& 3"
feet.hihat-foot = "2 4"
[bars.b]
role = "fill"
sticking = "lRLRL llR"
subdivision = "triplets"
hands.R = { around = ["high-tom", "mid-tom", "floor-tom"], every = "beat" }
feet.kick = "with R"
"""


def test_the_same_command_in_other_processes_gives_the_same_bytes(tmp_path: Path) -> None:
    (tmp_path / "lively.toml").write_text(LIVELY, encoding="utf-8")
    found = set()
    for seed in ("0", "1", "4242", "random"):
        options = ("--tracks", "voices", "--times", "2", "--count-in", "1")
        done = drumgen("render", "lively.toml", "-o", "x.mid", *options, folder=tmp_path, PYTHONHASHSEED=seed)
        assert done.returncode == 0, done.stderr
        found.add((tmp_path / "x.mid").read_bytes())
    assert len(found) == 1
    assert found == {render_midi(performed(LIVELY, Practice(times=2, count_in=1)), tracks="voices")}


@pytest.mark.parametrize("voice", ["snare", "hihat", "hihat-open", "kick", "hihat-foot", "crash", "high-tom", "ride"])
@pytest.mark.parametrize("loop", [False, True])
def test_muting_a_voice_moves_no_other_stroke(voice: str, *, loop: bool) -> None:
    found = phrase(LIVELY)
    whole = perform(arrange(found, Practice(loop=loop, times=2)))
    muted = perform(arrange(found, Practice(loop=loop, times=2, mute=(voice,))))
    assert any(hit.voice == voice for hit in whole.hits)
    assert any(hit.moved_us for hit in whole.hits)
    assert muted.hits == tuple(hit for hit in whole.hits if hit.voice != voice)


# -- notes, tempos, names


def test_what_is_written_at_the_finest_spacing_is_still_whole_notes() -> None:
    text = one_bar('sticking = "B Rz llR lR"\nsubdivision = "thirty-seconds"\nhands.R = "snare"', top="tempo = 400\n")
    for ppq in (24, 96, 480, 960, 10_080):
        try:
            file = file_of(text, Practice(loop=True), ppq=ppq)
        except ValueError as error:  # where a tick is longer than there is room for grace notes
            assert "room for the grace notes" in str(error)  # noqa: PT017 - either outcome is right
            assert ppq < 96
            continue
        assert min(note.length_ticks for note in notes(file)) >= 1
        assert not overlaps(file)
        assert len(notes(file)) == len({(note.tick, note.key) for note in notes(file)})


def test_notes_of_no_length_are_never_written_for_other_readers_to_lose() -> None:
    import pretty_midi

    text = one_bar('sticking = "Rz"\nsubdivision = "thirty-seconds"', top="tempo = 400\n")
    done = performed(text)
    read = pretty_midi.PrettyMIDI(BytesIO(render_midi(done)))
    assert sum(len(instrument.notes) for instrument in read.instruments) == len(done.hits)


def test_a_tempo_of_127_is_127() -> None:
    import pretty_midi

    done = performed(one_bar('sticking = "R"', top="tempo = 127\n"))
    assert tempo_map(read_smf(render_midi(done))) == [(0, 472_441)]
    _, tempos = pretty_midi.PrettyMIDI(BytesIO(render_midi(done))).get_tempo_changes()
    assert round(tempos[0], 3) == 127


def test_a_title_in_any_script_is_read_back_as_it_was_by_mido_too() -> None:
    import mido

    for title in ("\N{LATIN CAPITAL LETTER U WITH DIAERESIS}bung \N{EN DASH} Größe", "日本語の練習", "ритм"):
        content = render_midi(performed(f'title = "{title}"\n{one_bar(chr(10))}'))
        assert texts(read_smf(content), TRACK_NAME)[0].content == title.encode()
        assert mido.MidiFile(file=BytesIO(content), charset="utf-8").tracks[0].name == title


# -- swing

HATS = 'sticking = "RL"\nsubdivision = "{subdivision}"\nfeet.kick = "1 2& 3t 4a"\n'


@pytest.mark.parametrize(("ratio", "off_beat"), [("1:1", 480), ("2:1", 640), ("3:1", 720), ("3:2", 576), ("5:3", 600)])
def test_swung_eighths_stand_where_the_ratio_says(ratio: str, off_beat: int) -> None:
    feel = f'[feel]\nswing = {{ of = "eighths", ratio = "{ratio}" }}\n'
    file = file_of(one_bar(f'sticking = "RL"\nsubdivision = "eighths"\n{feel}'))
    assert ticks_of(file) == [QUARTER * beat + place for beat in range(4) for place in (0, off_beat)]
    assert file.tracks[0].end_tick == BAR


@pytest.mark.parametrize("subdivision", ["triplets", "quintuplets", "sextuplets"])
def test_swing_leaves_tuplets_and_bar_lines_where_they_are(subdivision: str) -> None:
    body = f'sticking = "RL"\nsubdivision = "{subdivision}"\n'
    swung = file_of(one_bar(body + '[feel]\nswing = { of = "eighths", ratio = "3:1" }\n'))
    assert ticks_of(swung) == ticks_of(file_of(one_bar(body)))
    assert swung.tracks[0].end_tick == BAR


def test_what_stands_between_swung_eighths_is_moved_in_proportion() -> None:
    swung = file_of(one_bar('sticking = "RLRL"\n[feel]\nswing = { of = "eighths", ratio = "2:1" }\n'))
    assert ticks_of(swung)[:5] == [0, 320, 640, 800, 960]


def test_the_odd_third_of_a_group_of_three_stays() -> None:
    body = 'sticking = "RL"\nsubdivision = "eighths"\n[feel]\nswing = { of = "eighths", ratio = "2:1" }\n'
    swung = file_of(one_bar(body, top='meter = "7/8 2+2+3"\ntempo = "eighth 200"\n'))
    assert ticks_of(swung) == [0, 640, 960, 1600, 1920, 2560, 2880]


# -- tempo on the command line


@pytest.mark.parametrize(("tempo", "us"), [("127", 472_441), ("eighth 210", 571_429), ("dotted quarter 80", 500_000)])
def test_the_tempo_of_the_command_line_is_rounded_never_cut(tempo: str, us: int) -> None:
    file = file_of(one_bar('sticking = "R"', top="tempo = 60\n"), Practice(tempo=parse_tempo(tempo)))
    assert tempo_map(file) == [(0, us)]


def test_tempos_that_lie_close_together_do_not_drift() -> None:
    file = file_of(one_bar('sticking = "RL"', top="tempo = 61.5\n"), Practice(times=1000))
    assert [after - before for before, after in pairwise(ticks_of(file))] == [240] * 15_999
    assert tempo_map(file) == [(0, 975_610)]
