"""Tempos bar by bar in MIDI's microseconds: what stays, what is a bar's own, what slows."""

import pytest
from drum_room import performed, phrase

from drumgen.performance import TempoChange
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.tempo import parse_tempo
from drumgen.tempo_map import TempoMap


def tempo_map(text: str, *, loop: bool = False) -> TempoMap:
    return TempoMap(arrange(phrase(text), Practice(loop=loop)))


BARS = """
tempo = 120
phrase = ["a", "slow", "six"]
[bars.a]
sticking = "R"
[bars.slow]
like = "a"
tempo = "120 to 60"
[bars.six]
like = "a"
meter = "6/8"
"""


def test_a_bars_tempo_is_that_bars_only() -> None:
    steps = tempo_map(BARS).steps
    assert steps[0] == steps[2] == ((0, 500_000),)


def test_a_tempo_that_slows_changes_on_every_sixteenth_from_its_first_to_its_last() -> None:
    ramp = tempo_map(BARS).steps[1]
    assert [grains for grains, _ in ramp] == list(range(0, 40_320, 2520))
    assert ramp[0][1] == 500_000
    assert ramp[-1][1] == 1_000_000
    assert ramp[5][1] == 600_000  # a third of the way: 100
    assert [us for _, us in ramp] == sorted(us for _, us in ramp)


def test_in_a_bar_of_one_sixteenth_there_is_only_its_first_tempo() -> None:
    text = 'phrase = ["a"]\n[bars.a]\nmeter = "1/16"\ntempo = "sixteenth 120 to 60"\n'
    assert tempo_map(text).steps == [((0, 2_000_000),)]


def test_a_bar_that_is_no_whole_number_of_sixteenths() -> None:
    text = 'phrase = ["a"]\n[bars.a]\nmeter = "3/32"\ntempo = "quarter 120 to 60"\nsubdivision = "thirty-seconds"\n'
    assert tempo_map(text).steps == [((0, 500_000), (2520, 1_000_000))]


@pytest.mark.parametrize(
    ("index", "place", "us"),
    [
        (0, 0, 500_000),
        (0, 1, 500_000),
        (1, 0, 500_000),
        (1, 1, 500_000),
        (1, 2520, 500_000),
        (1, 2521, 517_241),  # 120 less a fifteenth of 60: 116
        (1, 40_320, 1_000_000),
        (2, 0, 1_000_000),
        (2, 1, 500_000),
    ],
)
def test_the_tempo_just_before_a_place(index: int, place: int, us: int) -> None:
    assert tempo_map(BARS).before(index, place) == us


def test_before_a_loop_is_its_end() -> None:
    text = BARS.replace('"slow", "six"', '"slow"')
    assert tempo_map(text).before(0, 0) == 500_000
    assert tempo_map(text, loop=True).before(0, 0) == 1_000_000


def test_the_eighth_stays_across_a_change_of_meter() -> None:
    text = BARS.replace('"slow", "six"', '"six", "own"') + '[bars.own]\nlike = "six"\ntempo = 120\n'
    done = performed(text)
    # 6/8 goes on in quarter notes 120, so its beat is a dotted quarter 80; its own 120 is a dotted quarter
    assert done.tempos == (TempoChange(0, 500_000), TempoChange(3840 + 2880, 333_333))
    assert done.seconds == pytest.approx(2 + 1.5 + 1, rel=1e-5)


@pytest.mark.parametrize(
    ("top", "seconds"),
    [
        ('tempo = 80\nmeter = "6/8"\n', 1.5),  # a bar of 6/8 at dotted quarter 80
        ('tempo = "eighth 210"\nmeter = "7/8 2+2+3"\n', 2.0),
        ('tempo = 120\nmeter = "4/4"\n', 2.0),
        ('tempo = 60\nmeter = "2/2"\n', 2.0),
    ],
)
def test_how_long_a_bar_lasts(top: str, seconds: float) -> None:
    done = performed(f'{top}phrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "R"\n')
    assert done.seconds == pytest.approx(seconds, abs=2e-6)


def test_sixteenths_at_120_are_125_ms_apart() -> None:
    done = performed('tempo = 120\nphrase = ["a"]\n[bars.a]\nsticking = "RL"\n')
    assert [hit.tick * 500_000 // done.ppq for hit in done.hits[:3]] == [0, 125_000, 250_000]


def test_another_tempo_scales_the_bars_in_proportion() -> None:
    done = performed(BARS, Practice(tempo=parse_tempo("60")))
    assert done.tempos[0] == (0, 1_000_000)
    assert max(us for _, us in done.tempos) == 2_000_000
