"""Swing moves the pair of its own subdivision and nothing else."""

from fractions import Fraction

import pytest
from drum_room import said

from drumgen.feel import Feel, Swing, parse_ratio, swung, swung_pairs
from drumgen.meter import Meter, parse_meter

EIGHTH, QUARTER, DOTTED = 5_040, 10_080, 15_120
FOUR_FOUR = parse_meter("4/4")
TRIPLET_FEEL = Swing("eighths", 2, 1)


def moved(place: int, swing: Swing, meter: Meter = FOUR_FOUR) -> Fraction:
    above, below = swung(place, swing=swing, meter=meter)
    return Fraction(above, below)


def test_what_feel_is_unless_said() -> None:
    feel = Feel()
    assert (feel.spread_ms, feel.seed, feel.flam_ms, feel.drag_ms) == (0, 0, 25, 40)
    assert feel.swing.long == feel.swing.short


def test_two_to_one_puts_the_and_on_the_last_third() -> None:
    for beat in range(4):
        assert moved(beat * QUARTER, TRIPLET_FEEL) == beat * QUARTER
        assert moved(beat * QUARTER + EIGHTH, TRIPLET_FEEL) == beat * QUARTER + QUARTER * Fraction(2, 3)


@pytest.mark.parametrize(("ratio", "share"), [((3, 1), "3/4"), ((3, 2), "3/5"), ((5, 4), "5/9"), ((9, 1), "9/10")])
def test_the_second_of_a_pair_lasts_its_share(ratio: tuple[int, int], share: str) -> None:
    assert moved(EIGHTH, Swing("eighths", *ratio)) == QUARTER * Fraction(share)


def test_strokes_between_are_moved_in_proportion() -> None:
    assert moved(2520, TRIPLET_FEEL) == 3360  # half of the long part
    assert moved(7560, TRIPLET_FEEL) == 8400  # half of the short one
    assert moved(1260, TRIPLET_FEEL) == 1680


def test_sixteenths_move_within_the_eighth() -> None:
    swing = Swing("sixteenths", 2, 1)
    assert [moved(place, swing) for place in (0, 2520, 5040, 7560, 10_080)] == [0, 3360, 5040, 8400, 10_080]


def test_the_odd_third_of_a_group_of_three_stays() -> None:
    meter = parse_meter("7/8 2+2+3")
    eighths = [moved(index * EIGHTH, TRIPLET_FEEL, meter) for index in range(7)]
    assert eighths == [0, 6720, 10_080, 16_800, 20_160, 26_880, 30_240]


def test_sixteenths_swing_in_a_compound_meter() -> None:
    meter = parse_meter("6/8")
    assert swung_pairs(Swing("sixteenths", 2, 1), meter) == tuple((index * 5040, 5040) for index in range(6))
    assert moved(DOTTED + 2520, Swing("sixteenths", 2, 1), meter) == DOTTED + 3360


def test_a_half_note_beat_holds_two_pairs_of_eighths() -> None:
    assert len(swung_pairs(TRIPLET_FEEL, parse_meter("2/2"))) == 4


def test_straight_moves_nothing_and_asks_nothing_of_the_meter() -> None:
    assert swung_pairs(Swing("eighths", 1, 1), parse_meter("6/8")) == ()
    assert moved(EIGHTH, Swing("eighths", 3, 3)) == EIGHTH


@pytest.mark.parametrize("meter", ["6/8", "9/8", "12/8 in 4"])
def test_eighths_do_not_swing_in_compound_meters(meter: str) -> None:
    assert said(lambda: swung_pairs(TRIPLET_FEEL, parse_meter(meter))) == (
        f"feel.swing.of: expected swing of sixteenths in {meter}, whose beats are groups of three eighths, "
        'got "eighths"'
    )


@pytest.mark.parametrize(("of", "meter"), [("eighths", "7/8"), ("eighths", "3/8"), ("sixteenths", "5/16")])
def test_a_beat_that_holds_no_pair(of: str, meter: str) -> None:
    swing = Swing("eighths" if of == "eighths" else "sixteenths", 2, 1)
    assert said(lambda: swung_pairs(swing, parse_meter(meter))) == (
        f"feel.swing.of: expected a meter whose beats hold a pair of {of}, got {meter}"
    )


@pytest.mark.parametrize(
    ("text", "ratio"), [("2:1", (2, 1)), (" 3 : 2 ", (3, 2)), ("1:1", (1, 1)), ("9:9", (9, 9)), ("9:1", (9, 1))]
)
def test_ratios(text: str, ratio: tuple[int, int]) -> None:
    assert parse_ratio(text) == ratio
    assert parse_ratio(Swing("eighths", *ratio).ratio) == ratio


@pytest.mark.parametrize("text", ["1:2", "0:0", "2:0", "66", "66%", "2.5:1", "10:1", "2:1:1", "\uff12:1", ""])
def test_what_is_no_ratio(text: str) -> None:
    assert said(lambda: parse_ratio(text)) == (
        'expected a ratio of whole numbers from 1 to 9, the first not the smaller, such as "2:1" or "3:2", '
        f'got "{text}"'
    )
