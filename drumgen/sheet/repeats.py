"""Repeats: bars that follow one another alike, one or several, are printed once between repeat signs.

Bars are alike where everything printed of them is: a bar with a landing on its first beat, or in which a carried
sticking stands elsewhere, is not like the others. A bar of a changing tempo is never folded.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.sheet.score import Measure

LONGEST_BLOCK = 8
"""So many bars at most are repeated together."""


def fold(measures: Sequence[Measure]) -> list[Measure]:
    """The measures as they are printed, equal runs folded."""
    numbers: dict[object, int] = {}
    looks = [numbers.setdefault(_look(measure), len(numbers)) for measure in measures]
    folded: list[Measure] = []
    at = 0
    while at < len(measures):
        size, times = _best(looks, at)
        block = [_of_all(measures[at + index : at + size * times : size]) for index in range(size)]
        if times > 1:
            block[0] = replace(block[0], opens=True, block_times=times)
            block[-1] = replace(block[-1], times=times)
        folded += block
        at += size * times
    return folded


def _look(measure: Measure) -> tuple[object, ...]:
    """All that is printed of a measure, but its number."""
    span, bar = measure.span, measure.span.bar
    told = (bar.note, bar.dynamics) if bar is not None and span.kind == "bar" else ("", None)
    unlike = measure.bars if span.quarters[0] != span.quarters[1] or measure.implicit else ()
    return (measure.meter, measure.lines, measure.tempo, measure.name, measure.role, span.feel.swing, told, unlike)


def _best(looks: Sequence[int], at: int) -> tuple[int, int]:
    """The block from here on that saves most when it is repeated, as (bars, times); of equal ones the shortest."""
    best, saved = (1, 1), 0
    for size in range(1, LONGEST_BLOCK + 1):
        block, times = looks[at : at + size], 1
        while len(block) == size and looks[at + times * size : at + (times + 1) * size] == block:
            times += 1
        if (times - 1) * size > saved:
            best, saved = (size, times), (times - 1) * size
    return best


def _of_all(same: Sequence[Measure]) -> Measure:
    """One measure that stands for all of them."""
    return replace(same[0], bars=tuple(number for each in same for number in each.bars))
