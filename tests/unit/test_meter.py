"""Meters: what is a bar, a beat, a count and a click, and what is no meter at all."""

import pytest
from drum_room import said

from drumgen.meter import Meter, parse_meter
from drumgen.note_values import GRAINS_PER_QUARTER

EIGHTH, QUARTER, DOTTED, HALF = 5_040, 10_080, 15_120, 20_160
SIMPLE = {"": 0, "e": 2520, "&": 5040, "a": 7560, "t": 3360, "l": 6720, "&t": 6720, "&l": 8400}


@pytest.mark.parametrize(
    ("text", "bar_quarters", "beats", "counts", "clocks"),
    [
        ("4/4", 4, [QUARTER] * 4, 4, 24),
        ("3/4", 3, [QUARTER] * 3, 3, 24),
        ("2/2", 4, [HALF] * 2, 2, 48),
        ("6/4", 6, [QUARTER] * 6, 6, 24),
        ("3/8", 1.5, [EIGHTH] * 3, 3, 12),
        ("6/8", 3, [DOTTED] * 2, 6, 36),
        ("9/8", 4.5, [DOTTED] * 3, 9, 36),
        ("12/8", 6, [DOTTED] * 4, 12, 36),
        ("6/8 in 2", 3, [DOTTED] * 2, 2, 36),
        ("12/8 in 4", 6, [DOTTED] * 4, 4, 36),
        ("7/8", 3.5, [EIGHTH] * 7, 7, 12),
        ("7/8 2+2+3", 3.5, [QUARTER, QUARTER, DOTTED], 7, 12),
        ("7/8 2+2+3 in 3", 3.5, [QUARTER, QUARTER, DOTTED], 3, 12),
        ("8/8 3+3+2", 4, [DOTTED, DOTTED, QUARTER], 8, 12),
        ("12/8 3+3+3+3", 6, [DOTTED] * 4, 12, 36),
        ("5/16", 1.25, [2520] * 5, 5, 6),
        ("6/16", 1.5, [7560] * 2, 6, 18),
        ("4/4 2+2", 4, [HALF] * 2, 4, 48),
        ("10/8 5+5", 5, [25_200] * 2, 10, 12),
        ("1/1", 4, [40_320], 1, 96),
        ("32/32", 4, [1260] * 32, 32, 3),
    ],
)
def test_bar_beats_counts_and_clocks(  # clocks: 24 to the quarter (MIDI 1.0); 36 for a dotted quarter
    text: str, bar_quarters: float, beats: list[int], counts: int, clocks: int
) -> None:
    meter = parse_meter(text)
    assert meter.grains == bar_quarters * QUARTER
    assert [beat.grains for beat in meter.beats] == beats
    assert [beat.start for beat in meter.beats] == [sum(beats[:i]) for i in range(len(beats))]
    assert len(meter.counts) == counts
    assert meter.counts[0].start == 0
    assert sum(count.grains for count in meter.counts) == meter.grains
    assert meter.clocks == clocks


@pytest.mark.parametrize(
    ("text", "grains"),
    [
        ("4/4", QUARTER),
        ("2/2", HALF),
        ("6/8", DOTTED),
        ("9/16", 7560),
        ("7/8", EIGHTH),
        ("7/8 2+2+3", None),
        ("10/8 5+5", None),
        ("4/4 2+2", HALF),
    ],
)
def test_a_bare_tempo_counts_the_beat(text: str, grains: int | None) -> None:
    assert parse_meter(text).tempo_grains == grains


def test_the_parts_of_a_simple_count_are_its_quarters_and_thirds() -> None:
    assert parse_meter("4/4").counts[1] == (QUARTER, QUARTER, SIMPLE)


def test_the_parts_of_an_eighth_are_its_half() -> None:
    assert parse_meter("7/8 2+2+3").counts[6] == (6 * EIGHTH, EIGHTH, {"": 0, "&": 2520})
    assert parse_meter("5/16").counts[0].parts == {"": 0, "&": 1260}


def test_the_parts_of_a_felt_beat_of_three_are_its_thirds() -> None:
    assert parse_meter("12/8 in 4").counts[3] == (
        3 * DOTTED,
        DOTTED,
        {"": 0, "t": 5040, "&": 5040, "l": 10_080, "a": 10_080},
    )


def test_groups_counted_in_n_have_the_parts_of_their_size() -> None:
    one, two, three = parse_meter("7/8 2+2+3 in 3").counts
    assert one.parts == two.parts == SIMPLE
    assert three.parts == {"": 0, "t": 5040, "&": 5040, "l": 10_080, "a": 10_080}


def test_other_groups_counted_in_n() -> None:
    one, four, five = parse_meter("10/8 1+4+5 in 3").counts
    assert one.parts == {"": 0, "&": 2520}
    assert four.parts["&"] == 10_080
    assert five.parts == {"": 0}


def test_a_group_of_one_quarter_is_a_simple_count() -> None:
    assert parse_meter("4/4 2+1+1 in 3").counts[1].parts == SIMPLE


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("4/4", "4/4"),
        (" 7/8   2 + 2+3 ", "7/8 2+2+3"),
        ("2+2+3/8", "7/8 2+2+3"),
        ("2+2+3 / 8 in 3", "7/8 2+2+3 in 3"),
        ("12/8  in  4", "12/8 in 4"),
        ("4/4 in 4", "4/4"),
        ("7/8 in 7", "7/8"),
        ("12/8", "12/8"),
        ("5/16", "5/16"),
        ("32/32", "32/32"),
        ("1/1", "1/1"),
    ],
)
def test_meters_print_themselves(text: str, printed: str) -> None:
    assert str(parse_meter(text)) == printed
    assert parse_meter(printed) == parse_meter(text)


def test_grouping_in_threes_is_not_the_same_writing_as_a_compound_meter() -> None:
    assert parse_meter("6/8 3+3") != parse_meter("6/8")
    assert parse_meter("6/8 3+3").beats == parse_meter("6/8").beats
    assert not parse_meter("6/8 3+3").compound
    assert [Meter(upper, 8).compound for upper in (3, 6, 9, 12, 15, 4)] == [False, True, True, True, True, False]
    assert not Meter(6, 4).compound


FORM = 'expected a meter such as "4/4" or "7/8 2+2+3"'
LOWER = "expected a lower number of 1, 2, 4, 8, 16 or 32"
UPPER = "expected an upper number from 1 to 32"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("4/6", f"{LOWER}, got 6\n    4/6\n      ^"),
        ("7/12", f"{LOWER}, got 12\n    7/12\n      ^^"),
        ("3/0", f"{LOWER}, got 0\n    3/0\n      ^"),
        ("0/4", f"{UPPER}, got 0\n    0/4\n    ^"),
        ("33/4", f"{UPPER}, got 33\n    33/4\n    ^^"),
        ("16+17/8", f"{UPPER}, got 33\n    16+17/8\n    ^^^^^"),
        ("5", f'{FORM}, got "5"'),
        ("", f'{FORM}, got ""'),
        ("7/8/2", f'{FORM}, got "7/8/2"'),
        ("-3/4", f'{FORM}, got "-3/4"'),
        ("4.5/4", f'{FORM}, got "4.5/4"'),
        ("2+2+3/8 2+2+3", f'{FORM}, got "2+2+3/8 2+2+3"'),
        ("4/4 4", f'{FORM}, got "4/4 4"'),
        ("4/4 0+4", f'{FORM}, got "4/4 0+4"'),
        (
            "\uff14\uff0f\uff14",
            f'{FORM}, got "\uff14\uff0f\uff14" (nearest: "4/4")',
        ),
        ("\uff17/8 2+2+\uff13", f'{FORM}, got "\uff17/8 2+2+\uff13" (nearest: "7/8 2+2+3")'),
        ("\uff14", f'{FORM}, got "\uff14"'),
        ("4/\N{SUPERSCRIPT TWO}", f'{FORM}, got "4/\N{SUPERSCRIPT TWO}"'),
        ("7/8 2+2+2", "expected groups that add up to 7, got 6\n    7/8 2+2+2\n        ^^^^^"),
        ("12/8 in 3", 'expected the number of felt beats, "in 4", got 3\n    12/8 in 3\n            ^'),
        ("4/4 in 2", 'expected the number of felt beats, "in 4", got 2\n    4/4 in 2\n           ^'),
    ],
)
def test_what_is_no_meter(text: str, message: str) -> None:
    assert said(lambda: parse_meter(text)) == message


@pytest.mark.parametrize("text", ["9" * 5000 + "/4", "4/" + "9" * 5000, "12/8 in " + "4" * 5000])
def test_five_thousand_digits_are_refused(text: str) -> None:
    assert said(lambda: parse_meter(text)).startswith("expected ")


@pytest.mark.parametrize(
    ("text", "beats"),
    [("3/4", [0, 0, 1, 1, 2, 2]), ("6/8", [0, 0, 0, 1, 1, 1]), ("7/8 2+2+3", [0, 0, 1, 1, 2, 2, 2])],
)
def test_the_beat_that_a_place_stands_in(text: str, beats: list[int]) -> None:
    """Of every eighth, and of the last grain before the next."""
    meter = parse_meter(text)
    eighth = GRAINS_PER_QUARTER // 2
    assert [meter.beat_at(index * eighth) for index in range(len(beats))] == beats
    assert [meter.beat_at((index + 1) * eighth - 1) for index in range(len(beats))] == beats
