"""Subdivisions: straight ones are note values, tuplets are so many to the beat."""

import pytest
from drum_room import said

from drumgen.meter import parse_meter
from drumgen.subdivision import is_straight, places_in, subdivided

EIGHTH, QUARTER, DOTTED, HALF = 5_040, 10_080, 15_120, 20_160


@pytest.mark.parametrize(
    ("name", "quarter", "dotted", "half"),
    [
        ("quarters", 1, 0, 2),
        ("eighths", 2, 3, 4),
        ("sixteenths", 4, 6, 8),
        ("thirty-seconds", 8, 12, 16),
        ("triplets", 3, 3, 3),
        ("quintuplets", 5, 5, 5),
        ("sextuplets", 6, 6, 6),
        ("septuplets", 7, 7, 7),
    ],
)
def test_how_many_places_fill_a_beat(name: str, quarter: int, dotted: int, half: int) -> None:
    assert [places_in(name, grains) for grains in (QUARTER, DOTTED, HALF)] == [quarter, dotted, half]


def test_a_subdivision_longer_than_the_beat_does_not_fit() -> None:
    assert places_in("quarters", EIGHTH) == 0
    assert places_in("eighths", 2520) == 0


@pytest.mark.parametrize(
    ("name", "grains", "straight"),
    [
        ("sixteenths", QUARTER, True),
        ("triplets", QUARTER, False),
        ("sextuplets", QUARTER, False),
        ("quintuplets", QUARTER, False),
        ("triplets", DOTTED, True),  # three eighths
        ("sextuplets", DOTTED, True),  # six sixteenths
        ("quintuplets", DOTTED, False),
        ("quintuplets", 25_200, True),  # a group of five eighths
    ],
)
def test_three_to_a_compound_beat_are_straight(name: str, grains: int, straight: bool) -> None:  # noqa: FBT001
    assert is_straight(name, grains) is straight


def test_one_for_the_bar_or_one_a_beat() -> None:
    meter = parse_meter("3/4")
    assert subdivided(meter, ("eighths",)) == ("eighths",) * 3
    assert subdivided(meter, ("eighths", "triplets", "quarters")) == ("eighths", "triplets", "quarters")
    assert subdivided(parse_meter("1/4"), ("triplets",)) == ("triplets",)
    assert subdivided(parse_meter("7/8 2+2+3"), ("quarters", "quarters", "eighths")) == (
        "quarters",
        "quarters",
        "eighths",
    )


def test_a_part_is_divided_on_its_own_beats_alone() -> None:
    meter = parse_meter("7/8 2+2+3")
    assert subdivided(meter, ("quarters",), (0, 1))[:2] == ("quarters", "quarters")
    assert subdivided(meter, ("quarters", "triplets"), (0, 1))[:2] == ("quarters", "triplets")
    assert subdivided(meter, ("eighths", "quarters", "eighths"), (1, 1))[1] == "quarters"
    assert said(lambda: subdivided(meter, ("quarters",), (1, 2))) == (
        "subdivision: expected a subdivision that fits each beat of the part (eighths, sixteenths, thirty-seconds, "
        'triplets, quintuplets, sextuplets, septuplets), got "quarters"'
    )
    assert said(lambda: subdivided(parse_meter("4/4"), ("eighths",) * 3, (1, 2))) == (
        "subdivision: expected one subdivision, or one for each of the 2 beats of the part, got 3"
    )


def test_a_part_of_one_beat_has_one_subdivision() -> None:
    assert said(lambda: subdivided(parse_meter("4/4"), ("eighths",) * 2, (1, 1))) == (
        "subdivision: expected one subdivision for the one beat of the part, got 2"
    )


def test_a_number_of_subdivisions_that_is_not_the_number_of_beats() -> None:
    assert said(lambda: subdivided(parse_meter("6/8"), ("eighths",) * 3)) == (
        "subdivision: expected one subdivision, or one for each of the 2 beats of 6/8, got 3"
    )


def test_a_subdivision_that_does_not_fit_names_those_that_do() -> None:
    assert said(lambda: subdivided(parse_meter("6/8"), ("quarters",))) == (
        "subdivision: expected a subdivision that fits each beat of 6/8 (eighths, sixteenths, thirty-seconds, "
        'triplets, quintuplets, sextuplets, septuplets), got "quarters"'
    )
    assert said(lambda: subdivided(parse_meter("5/16"), ("eighths",))) == (
        "subdivision: expected a subdivision that fits each beat of 5/16 (sixteenths, thirty-seconds, "
        'triplets, quintuplets, sextuplets, septuplets), got "eighths"'
    )
