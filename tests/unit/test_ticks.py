"""Ticks that hold the strokes: 960, else 10 080, and a fixed number that is too coarse."""

import pytest
from drum_room import GRUMPY_KIT, loaded, one_bar, performed, said

from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.strokes import strokes
from drumgen.ticks import choose_ppq, nearest_tick


@pytest.mark.parametrize(
    ("above", "below", "ppq", "tick"),
    [
        (10_080, 1, 960, 960),
        (5040, 1, 960, 480),
        (20_160, 3, 960, 640),  # two thirds of a quarter
        (21, 1, 960, 2),
        (21, 2, 960, 1),  # exactly one
        (63, 4, 960, 2),  # one and a half goes up
        (63, 5, 960, 1),
    ],
)
def test_the_nearest_tick(above: int, below: int, ppq: int, tick: int) -> None:
    assert nearest_tick(above, below, ppq) == tick


@pytest.mark.parametrize(
    "subdivision",
    ["quarters", "eighths", "sixteenths", "thirty-seconds", "triplets", "sextuplets", "quintuplets"],
)
def test_the_usual_ticks_hold_everything_but_septuplets(subdivision: str) -> None:
    done = performed(one_bar(f'sticking = "RL"\nsubdivision = "{subdivision}"'))
    assert done.ppq == 960
    assert done.remarks == ()


def test_septuplets_take_the_finest_ticks_and_say_so() -> None:
    done = performed(one_bar('sticking = "RL"\nsubdivision = ["quarters", "septuplets", "quarters", "quarters"]'))
    assert done.ppq == 10_080
    assert done.remarks == ('10080 ticks to the quarter, as 960 do not hold bar 1 "a", 2 and 1/7 (R)',)


def test_a_fixed_number_that_is_too_coarse_names_the_first_stroke() -> None:
    septuplets = one_bar('sticking = "R-L"\nsubdivision = "septuplets"')
    assert said(lambda: performed(septuplets, ppq=480)) == (
        'ppq: expected strokes that 480 ticks to the quarter hold, got bar 1 "a", 1 and 2/7 (L)'
    )
    assert performed(septuplets, ppq=7).ppq == 7
    assert performed(septuplets, ppq=480 * 7).hits[1].tick == 2 * 480


def test_the_first_that_does_not_fit_may_be_in_a_later_bar() -> None:
    text = 'phrase = ["a x2", "b"]\n[bars.a]\nsticking = "R"\n[bars.b]\nsticking = "RL"\nsubdivision = "triplets"\n'
    assert said(lambda: performed(text, ppq=100)) == (
        'ppq: expected strokes that 100 ticks to the quarter hold, got bar 3 "b", 1t (L)'
    )


def test_bar_lines_are_on_ticks_too() -> None:
    text = 'meter = "1/8"\nphrase = ["a x2"]\n[bars.a]\nsubdivision = "eighths"\nsticking = "R"\n'
    assert said(lambda: performed(text, ppq=1)) == (
        "ppq: expected strokes that 1 ticks to the quarter hold, got the bar line of bar 2"
    )
    assert said(lambda: performed(text.replace(" x2", ""), ppq=1)) == (
        "ppq: expected strokes that 1 ticks to the quarter hold, got the last bar line"
    )


def test_clicks_are_on_ticks_too() -> None:
    text = 'meter = "2/8"\nphrase = ["a"]\n[bars.a]\nsticking = "R"\nsubdivision = "eighths"\nacross = "once"\n'
    assert performed(text, ppq=1).ppq == 1
    assert said(lambda: performed(text, Practice(count_in=1), ppq=1)) == (
        "ppq: expected strokes that 1 ticks to the quarter hold, got bar 0, 2 (click)"
    )


def test_the_ticks_of_a_kit(tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("kits")
    folder.joinpath("shed.toml").write_text(GRUMPY_KIT + "[limits]\nppq = 96\n", encoding="utf-8")
    text = one_bar('sticking = "RL"\nsubdivision = "{}"', top='kit = "shed.toml"\n')
    triplets = arrange(loaded(text.format("triplets"), beside=folder).phrase)
    assert perform(triplets).ppq == 96
    assert perform(triplets, ppq=96).ppq == 96
    assert said(lambda: perform(triplets, ppq=480)) == (
        'ppq: expected the 96 ticks to the quarter of the kit "shed", got 480'
    )
    quintuplets = arrange(loaded(text.format("quintuplets"), beside=folder).phrase)
    assert said(lambda: perform(quintuplets)) == (
        'kits.shed.limits.ppq: expected strokes that 96 ticks to the quarter hold, got bar 1 "a", 1 and 1/5 (L)'
    )


def test_who_fixes_the_ticks_is_named() -> None:
    played = strokes(arrange(loaded(one_bar('sticking = "RL"\nsubdivision = "triplets"')).phrase))
    assert choose_ppq(played, fixed=3) == (3, "")
    assert said(lambda: choose_ppq(played, fixed=2, fixed_by=("option",))).startswith("option: expected strokes that 2")
