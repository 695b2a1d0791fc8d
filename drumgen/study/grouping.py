"""Grouping: which hand strokes of a bar are heard as one figure, and which of them carries it.

The *carrier* of a figure is its first accent, else its first stroke.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drumgen.bar import Bar
    from drumgen.layout import Laid, Stroke


def heard_figures(bar: Bar, laid: Laid, strokes: list[Stroke]) -> list[int]:
    """The number of the figure that each stroke belongs to.

    In a fill of three accents or more that do not all begin a beat, a figure begins with each accent after a tap.
    Else it is a beat, or one coming round of a sticking that goes across the beats.
    """
    accents = [stroke.level == "accent" for stroke in strokes]
    starts = _even_starts(bar, laid)
    off = any(accent and stroke.place not in starts for stroke, accent in zip(strokes, accents, strict=True))
    if bar.role != "groove" and sum(accents) >= 3 and off:
        begins = [accent and not (i and accents[i - 1]) for i, accent in enumerate(accents)]
        return [sum(begins[: i + 1]) for i in range(len(strokes))]
    return [sum(start <= stroke.place for start in starts) for stroke in strokes]


def _even_starts(bar: Bar, laid: Laid) -> set[int]:
    beats = {beat.start for beat in bar.meter.beats}
    sticking = bar.layer.sticking
    if sticking is None or sticking.rhythm or bar.parts:
        return beats
    turns = {slot.start for slot in laid.slots[:: len(sticking.signs)]}
    return beats if beats <= turns or turns <= beats else turns


def carriers_of(strokes: list[Stroke], numbers: list[int]) -> set[int]:
    """The index of the stroke that carries each figure; ``numbers`` are those of the figures."""
    carriers: dict[int, int] = {}
    for index, (stroke, number) in enumerate(zip(strokes, numbers, strict=True)):
        known = carriers.setdefault(number, index)
        if stroke.level == "accent" and strokes[known].level != "accent":
            carriers[number] = index
    return set(carriers.values())
