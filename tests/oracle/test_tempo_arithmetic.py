"""When strokes sound, from the file that is written: by arithmetic, and by what drummers count on.

Seconds are worked out from ticks and tempos as Standard MIDI Files 1.0 says: ticks times microseconds a quarter, over
the division. The tables are plain arithmetic; which sticking fills which bar is *common practice*.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from drum_room import one_bar, performed, phrase
from smf_music import onsets, seconds_at, tempo_map
from smf_reader import File, read_smf

from drumgen.coming_round import round_bars
from drumgen.midi.write import render_midi
from drumgen.practice import Practice
from drumgen.tempo import parse_tempo


def file_of(text: str, practice: Practice | None = None, *, ppq: int | None = None) -> File:
    return read_smf(render_midi(performed(text, practice, ppq=ppq)))


def seconds(file: File) -> list[Fraction]:
    """When each onset is."""
    return [seconds_at(file, onset.tick) for onset in onsets(file)]


def length(file: File) -> Fraction:
    return seconds_at(file, file.tracks[0].end_tick)


def bar_of(subdivision: str, *, tempo: str, meter: str = "4/4", sticking: str = "RL") -> File:
    top = f'tempo = {tempo}\nmeter = "{meter}"\n'
    return file_of(one_bar(f'sticking = "{sticking}"\nsubdivision = "{subdivision}"', top=top))


def test_sixteenths_at_120_are_125_ms_apart() -> None:
    gaps = [after - before for before, after in pairwise(seconds(bar_of("sixteenths", tempo="120")))]
    assert gaps == [Fraction(125, 1000)] * 15


def test_a_bar_of_six_eight_at_dotted_quarter_80_lasts_a_second_and_a_half() -> None:
    assert length(bar_of("eighths", tempo='"dotted quarter 80"', meter="6/8")) == Fraction(3, 2)
    assert length(bar_of("eighths", tempo="80", meter="6/8")) == Fraction(3, 2)


@pytest.mark.parametrize("meter", ["7/8", "7/8 2+2+3", "7/8 3+2+2"])
def test_a_bar_of_seven_eight_at_eighth_210_lasts_two_seconds(meter: str) -> None:
    bar = length(bar_of("eighths", tempo='"eighth 210"', meter=meter))
    assert abs(bar - 2) < Fraction(7, 2 * 2 * 1_000_000)  # a tempo is said in whole microseconds a quarter
    assert bar == Fraction(7 * 571_429, 2 * 1_000_000)


LASTS: dict[tuple[str, str], Fraction | int] = {  # tempo, meter: seconds of a bar
    ("60", "4/4"): 4,
    ("60", "3/4"): 3,
    ("120", "5/4"): Fraction(5, 2),
    ("100", "2/2"): Fraction(6, 5),  # counts halves
    ("60", "12/8"): 4,  # counts dotted quarters
    ("60", "12/8 in 4"): 4,
    ('"eighth 240"', "12/8"): 3,
    ('"quarter 60"', "6/8"): 3,
    ("120", "5/8"): Fraction(5, 2),  # counts eighths
    ("150", "6/16"): Fraction(4, 5),  # counts dotted eighths
    ('"half 30"', "4/4"): 4,
    ('"sixteenth 240"', "4/4"): 4,
    ("400", "1/4"): Fraction(3, 20),
    ("10", "4/4"): 24,
}


@pytest.mark.parametrize(("tempo", "meter"), LASTS)
def test_how_long_a_bar_lasts(tempo: str, meter: str) -> None:
    file = bar_of("triplets", tempo=tempo, meter=meter)
    quarters = Fraction(file.tracks[0].end_tick, 960)
    assert abs(length(file) - LASTS[tempo, meter]) <= quarters / 2_000_000  # a tempo is said in whole microseconds


# Milliseconds from one note to the next, to the nearest, by the quarter's tempo.
GAPS = {
    60: (500, 333, 250, 167, 125),
    80: (375, 250, 188, 125, 94),
    100: (300, 200, 150, 100, 75),
    120: (250, 167, 125, 83, 62),
    140: (214, 143, 107, 71, 54),
    160: (188, 125, 94, 62, 47),
    180: (167, 111, 83, 56, 42),
    200: (150, 100, 75, 50, 38),
    220: (136, 91, 68, 45, 34),
    240: (125, 83, 62, 42, 31),
}
NAMES = ("eighths", "triplets", "sixteenths", "sextuplets", "thirty-seconds")
PLACES = dict(zip(NAMES, (2, 3, 4, 6, 8), strict=True))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("tempo", GAPS)
def test_the_gaps_between_notes(tempo: int, name: str) -> None:
    times = seconds(bar_of(name, tempo=str(tempo)))
    exact = Fraction(60, tempo * PLACES[name])
    for number, time in enumerate(times):  # no error adds up: each onset is as near as the tempo's microseconds allow
        assert abs(time - number * exact) <= Fraction(number, PLACES[name]) / 2_000_000
    gap_ms = (times[1] - times[0]) * 1000
    assert abs(gap_ms - GAPS[tempo][NAMES.index(name)]) <= Fraction(1, 2) + Fraction(1, 1000)


def test_the_same_hand_of_alternating_strokes_plays_every_second_gap() -> None:
    done = performed(one_bar('sticking = "RL"\nsubdivision = "sixteenths"', top="tempo = 120\n"))
    right = [hit.tick for hit in done.hits if hit.limb == "R"]
    assert {after - before for before, after in pairwise(right)} == {2 * 960 // 4}


# -- tempos that change

MIXED = """
tempo = 120
meter = "4/4"
phrase = ["four", "six", "seven", "two", "own", "four"]
[bars.four]
sticking = "RL"
subdivision = "eighths"
[bars.six]
sticking = "RL"
subdivision = "eighths"
meter = "6/8"
[bars.seven]
sticking = "RL"
subdivision = "eighths"
meter = "7/8 2+2+3"
[bars.two]
sticking = "RL"
subdivision = "eighths"
meter = "2/2"
[bars.own]
sticking = "RL"
subdivision = "eighths"
meter = "6/8"
tempo = 40
"""


def test_across_a_change_of_meter_the_eighth_stays() -> None:
    file = file_of(MIXED)
    gaps = [after - before for before, after in pairwise(seconds(file))]
    eighths_before = 8 + 6 + 7 + 8
    assert gaps[:eighths_before] == [Fraction(1, 4)] * eighths_before
    assert gaps[eighths_before : eighths_before + 6] == [Fraction(1, 2)] * 6  # dotted quarter 40 is eighth 120
    assert gaps[eighths_before + 6 :] == [Fraction(1, 4)] * 7
    assert tempo_map(file) == [(0, 500_000), (480 * 29, 1_000_000), (480 * 35, 500_000)]


def slowing(tempo: str, *, meter: str = "4/4", top: str = "tempo = 120\n") -> File:
    bars = f"""
        {top}
        meter = "{meter}"
        phrase = ["a", "slow", "a"]
        [bars.a]
        sticking = "RL"
        [bars.slow]
        like = "a"
        tempo = "{tempo}"
    """
    return file_of(bars)


@pytest.mark.parametrize(("first", "last"), [(152, 120), (120, 60), (60, 240), (90, 89)])
def test_a_tempo_that_changes_through_a_bar_changes_evenly_on_its_sixteenths(first: int, last: int) -> None:
    file = slowing(f"{first} to {last}", top="tempo = 77\n")
    steps = [(tick, us) for tick, us in tempo_map(file) if 3840 <= tick < 7680]
    exact = [first + Fraction(last - first, 15) * index for index in range(16)]
    assert [tick for tick, _ in steps] == [3840 + 240 * index for index in range(16)]
    assert all(abs(us - 60_000_000 / tempo) <= Fraction(1, 2) for (_, us), tempo in zip(steps, exact, strict=True))
    assert 60_000_000 / Fraction(steps[0][1]) == pytest.approx(first, abs=1e-3)
    assert 60_000_000 / Fraction(steps[-1][1]) == pytest.approx(last, abs=1e-3)


@pytest.mark.parametrize(("first", "last"), [(152, 120), (120, 60), (60, 240)])
def test_how_long_a_bar_lasts_whose_tempo_changes(first: int, last: int) -> None:
    """The bar's seconds are the sum of its sixteenths: 15 / (a + (b - a) i / 15), i from 0 to 15."""
    file = slowing(f"{first} to {last}")
    closed = sum(15 / (first + Fraction(last - first, 15) * index) for index in range(16))
    lasts = seconds_at(file, 7680) - seconds_at(file, 3840)
    assert abs(lasts - closed) <= 16 * Fraction(1, 4) * Fraction(1, 2_000_000)
    assert min(Fraction(240, first), Fraction(240, last)) < lasts < max(Fraction(240, first), Fraction(240, last))


def test_a_bars_own_tempo_is_that_bars_only() -> None:
    assert tempo_map(slowing("120 to 60"))[-1] == (7680, 500_000)


@pytest.mark.parametrize("tempo", ["60", "240", "180", "eighth 120", "127"])
def test_another_tempo_scales_every_bar_in_proportion(tempo: str) -> None:
    plain = file_of(MIXED)
    scaled = file_of(MIXED, Practice(tempo=parse_tempo(tempo)))
    quarters = parse_tempo(tempo).quarters(phrase(MIXED).meter)[0]
    assert [tick for tick, _ in tempo_map(scaled)] == [tick for tick, _ in tempo_map(plain)]
    for (_, before), (_, after) in zip(tempo_map(plain), tempo_map(scaled), strict=True):
        assert abs(after - before * 120 / quarters) <= Fraction(1, 2)
    assert [onset.tick for onset in onsets(scaled)] == [onset.tick for onset in onsets(plain)]


def test_a_changing_tempo_is_scaled_at_both_its_ends() -> None:
    text = 'tempo = 100\nphrase = ["a"]\n[bars.a]\nsticking = "RL"\ntempo = "100 to 50"\n'
    doubled = tempo_map(file_of(text, Practice(tempo=parse_tempo("200"))))
    assert (doubled[0], doubled[-1]) == ((0, 300_000), (3600, 600_000))


# -- when stickings come round: common practice

ROUND = [
    # sticking, subdivision, strokes, quarters until it begins again on a beat, with the same hand
    ("single paradiddle", "sixteenths", 8, 2),
    ("double paradiddle", "triplets", 12, 4),
    ("triple paradiddle", "sixteenths", 16, 4),
]


@pytest.mark.parametrize(("name", "subdivision", "strokes", "quarters"), ROUND)
def test_a_rudiment_comes_round(name: str, subdivision: str, strokes: int, quarters: int) -> None:
    found = phrase(one_bar(f'rudiment = "{name}"\nsubdivision = "{subdivision}"'))
    only = found.bars["a"]
    assert only.layer.sticking is not None
    assert only.layer.sticking.strokes == strokes
    assert round_bars(only.layer, only.meter) == Fraction(quarters, 4)
    done = performed(one_bar(f'rudiment = "{name}"\nsubdivision = "{subdivision}"'))
    hands = "".join(hit.limb for hit in done.hits)
    assert len(hands) == strokes * 4 // quarters
    assert hands == hands[:strokes] * (4 // quarters)
    assert done.hits[strokes % len(done.hits)].tick == quarters * 960 % done.end_tick


def test_a_double_paradiddle_fills_a_bar_of_eighth_triplets() -> None:
    done = performed(one_bar('rudiment = "double paradiddle"\nsubdivision = "triplets"'))
    assert "".join(hit.limb for hit in done.hits) == "RLRLRRLRLRLL"
    assert [hit.tick for hit in done.hits] == [320 * index for index in range(12)]


def test_a_paradiddle_diddle_carried_in_sixteenths_comes_round_after_three_bars() -> None:
    text = """
        phrase = ["a x7"]
        [bars.a]
        sticking = "RLRRLL"
        across = "carry"
    """
    found = phrase(text).bars["a"]
    assert round_bars(found.layer, found.meter) == 3
    letters = [words.text for words in performed(text).letters]
    bars = ["".join(letters[start : start + 16]) for start in range(0, 7 * 16, 16)]
    assert bars[0] == "RLRRLLRLRRLLRLRR"
    assert bars[0] == bars[3] == bars[6]
    assert len(set(bars[:3])) == 3
    accented = performed(text.replace('"carry"', '"carry"\naccents = "every 6"'))
    assert [hit.tick for hit in accented.hits if hit.velocity == 112] == list(range(0, 7 * 3840, 6 * 240))
