"""Counting aloud: *common practice*, no published standard is known."""

from __future__ import annotations

import pytest

from drumgen.counts import Slot
from drumgen.meter import Meter, parse_meter
from drumgen.subdivision import is_straight, places_in, subdivided
from drumgen.syllables import said


def slots(meter: Meter, *names: str) -> tuple[Slot, ...]:
    found = []
    for index, (name, beat) in enumerate(zip(subdivided(meter, names), meter.beats, strict=True)):
        number = places_in(name, beat.grains)
        size = beat.grains // number
        straight = is_straight(name, beat.grains)
        found += [Slot(beat.start + i * size, size, index, straight) for i in range(number)]
    return tuple(found)


@pytest.mark.parametrize(
    ("meter", "names", "aloud"),
    [
        ("4/4", ["quarters"], "1 2 3 4"),
        ("2/4", ["eighths"], "1 & 2 &"),
        ("2/4", ["sixteenths"], "1 e & a 2 e & a"),
        ("2/4", ["triplets"], "1 trip let 2 trip let"),
        ("1/4", ["sextuplets"], "1 trip let & trip let"),
        ("1/4", ["thirty-seconds"], "1 e & a & e & a"),
        ("1/4", ["quintuplets"], "1 2 3 4 5"),
        ("1/4", ["septuplets"], "1 2 3 4 5 6 7"),
        ("6/8", ["eighths"], "1 2 3 4 5 6"),
        ("3/8", ["sixteenths"], "1 & 2 & 3 &"),
        ("6/8 in 2", ["eighths"], "1 & a 2 & a"),
        ("6/8 in 2", ["sixteenths"], "1 ta & ta a ta 2 ta & ta a ta"),
        ("7/8 2+2+3 in 3", ["eighths"], "1 & 2 & 3 & a"),
        ("7/8 2+2+3", ["eighths"], "1 2 3 4 5 6 7"),
        ("2/4", ["sixteenths", "triplets"], "1 e & a 2 trip let"),
    ],
)
def test_what_is_said_on_each_place(meter: str, names: list[str], aloud: str) -> None:
    found = slots(parse_meter(meter), *names)
    assert " ".join(said(slot.start, meter=parse_meter(meter), slots=found) for slot in found) == aloud


@pytest.mark.parametrize(
    ("place", "syllable"), [(3_360, "trip"), (6_720, "let"), (5_040, "&"), (8_400, "let"), (1_234, ".")]
)
def test_a_place_between_the_slots_is_said_as_its_part_of_the_count(place: int, syllable: str) -> None:
    meter = parse_meter("4/4")
    assert said(place, meter=meter, slots=slots(meter, "quarters")) == syllable


def test_uneven_places_are_said_by_their_part() -> None:
    uneven = (Slot(0, 2_520, beat=0, straight=True), Slot(2_520, 7_560, beat=0, straight=True))
    assert said(2_520, meter=parse_meter("1/4"), slots=uneven) == "e"


def test_a_half_of_a_count_in_three_is_said_as_half_a_sextuplet() -> None:
    """The sixteenth triplets of the single stroke four and the ratamacues, and of one that begins on the &."""
    four = tuple(Slot(start, 1_680, beat=0, straight=False) for start in (0, 1_680, 3_360, 5_040))
    late = tuple(Slot(start, 1_680, beat=0, straight=False) for start in (0, 5_040, 6_720, 8_400))
    meter = parse_meter("1/4")
    assert [said(slot.start, meter=meter, slots=four) for slot in four] == ["1", "trip", "let", "&"]
    assert [said(slot.start, meter=meter, slots=late) for slot in late] == ["1", "&", "trip", "let"]


def test_a_beat_of_three_eighths_counted_as_one_has_no_such_half() -> None:
    uneven = tuple(Slot(start, 2_520, beat=0, straight=False) for start in (0, 2_520, 5_040, 7_560))
    meter = parse_meter("6/8 in 2")
    assert [said(slot.start, meter=meter, slots=uneven) for slot in uneven] == ["1", ".", "&", "."]
