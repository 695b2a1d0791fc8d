"""Counting aloud in English: the syllable said on each place of a bar.

There is no standard; these are the most usual ways of drum lessons (*common practice*): ``1 e & a``, ``1 trip let``,
``1 trip let & trip let``, eighths numbered in x/8, and ``1 & a`` in a meter counted by its felt beats. Fives and sevens
have no usual count: the number of the beat, then 2 3 4 5.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drumgen.counts import Slot
    from drumgen.meter import Count, Meter

_SAID: dict[int, tuple[str, ...]] = {
    2: ("", "&"),
    3: ("", "trip", "let"),
    4: ("", "e", "&", "a"),
    6: ("", "trip", "let", "&", "trip", "let"),
    8: ("", "e", "&", "a", "&", "e", "&", "a"),
}
_COMPOUND: dict[int, tuple[str, ...]] = {3: ("", "&", "a"), 6: ("", "ta", "&", "ta", "a", "ta")}


def said(place: int, *, meter: Meter, slots: tuple[Slot, ...]) -> str:
    """What is said on a place (grains from the bar's start), under the hands' slots.

    A half of a count in three is said as in a sextuplet; another place between even slots as the plain part of its
    count, or it is shown as a dot.
    """
    number, count = next((i, c) for i, c in enumerate(meter.counts, start=1) if place < c.start + c.grains)
    if place == count.start:
        return str(number)
    here = [slot.start for slot in slots if count.start <= slot.start < count.start + count.grains]
    if place in here and _even(here, count):
        words = _words(len(here), compound="&" in count.parts and count.parts["&"] * 3 == count.grains)
        return words[here.index(place)]
    if place in (thirds := _thirds_of_a_half(place, here, count)):
        return ("&", "trip", "let")[thirds.index(place)]
    part = next((name for name, grains in count.parts.items() if count.start + grains == place), ".")
    return {"t": "trip", "l": "let", "&t": "trip", "&l": "let"}.get(part, part)


def _even(places: list[int], count: Count) -> bool:
    gap = count.grains // len(places)
    return places == [count.start + index * gap for index in range(len(places))]


def _thirds_of_a_half(place: int, here: list[int], count: Count) -> list[int]:
    """The places in the half of a simple count around ``place``, where they are its thirds; else none."""
    half = count.parts.get("&", 0)
    if half * 2 != count.grains:
        return []
    first = count.start + (place - count.start) // half * half
    inside = [start for start in here if first <= start < first + half]
    return inside if [3 * (start - first) for start in inside] == [0, half, 2 * half] else []


def _words(number: int, *, compound: bool) -> tuple[str, ...]:
    table = _COMPOUND if compound else _SAID
    return table.get(number) or ("", *map(str, range(2, number + 1)))
