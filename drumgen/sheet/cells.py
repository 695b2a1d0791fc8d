"""Cells: how a beat is cut for writing — plain, or into tuplets — from the places that are struck in it.

A tuplet fills its cell whole, and no tuplet crosses a beat. A place on a triplet's third and another on a quarter in
one line and beat are written in the smallest tuplet that holds both (twelfths of the beat): exact, if not pretty.
"""

from __future__ import annotations

from math import gcd
from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import GRAINS_PER_QUARTER, GRAINS_PER_WHOLE

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.meter import Beat, Meter

PLAIN_GRAIN = GRAINS_PER_WHOLE // 128
"""The finest plain place: a 128th note."""

WHOLE = 1024
"""A whole note in the measure of written values: 1024ths, so that every value down to a 1024th is a whole number."""


class Cell(NamedTuple):
    """Part of a beat: where it starts, its length, and its tuplet: ``actual`` notes in the time of ``normal``.

    ``unit`` is the length in grains, as it sounds, of what is written as ``written`` 1024ths.
    """

    start: int
    grains: int
    unit: int = PLAIN_GRAIN
    written: int = WHOLE // 128
    actual: int = 1
    normal: int = 1

    @property
    def plain(self) -> bool:
        """Whether it is no tuplet."""
        return self.actual == self.normal


def writing_beats(meter: Meter) -> tuple[Beat, ...]:
    """The spans that notes are beamed in and are not written across: the beats of a meter.

    Where the beat is an eighth or shorter, beats are taken in pairs, the odd one last in a three (5/8 as 2+3, 7/8 as
    2+2+3): *common practice*, as a flag on every note is hard to read.
    """
    beats = meter.beats
    if meter.groups or meter.compound or meter.lower < 8 or len(beats) < 2:
        return beats
    firsts = range(0, len(beats) - 1, 2)
    ends = [*list(firsts)[1:], len(beats)]
    return tuple(
        beats[first]._replace(grains=sum(beat.grains for beat in beats[first:end]))
        for first, end in zip(firsts, ends, strict=True)
    )


def cells_of(meter: Meter, onsets: Iterable[int]) -> list[Cell]:
    """The cells of a bar in which the places ``onsets`` (grains from its start) are struck."""
    places = sorted(set(onsets))
    cells: list[Cell] = []
    for beat in writing_beats(meter):
        inside = _inside(places, beat.start, beat.grains)
        whole = _cut(beat.start, beat.grains, inside)
        if len(whole) > 1 or not whole[0].plain:
            felt = [each for each in meter.beats if beat.start <= each.start < beat.start + beat.grains]
            whole = [cell for each in felt for cell in _cut(each.start, each.grains, _inside(inside, *each))]
        cells += _joined(whole)
    return cells


def _inside(places: Sequence[int], start: int, grains: int) -> list[int]:
    return [place for place in places if start <= place < start + grains]


def _cut(start: int, grains: int, places: Sequence[int]) -> list[Cell]:
    """One span in cells: whole where it is plain or a simple tuplet, else in halves or thirds where that helps."""
    unit = gcd(grains, *(place - start for place in places))
    if unit % PLAIN_GRAIN == 0:
        return [Cell(start, grains)]
    number = grains // unit
    if number in (3, 5, 7):
        return [_tuplet(start, grains, number)]
    parts = [_cut(at, size, _inside(places, at, size)) for at, size in _parts(start, grains)]
    cells = [cell for part in parts for cell in part]
    if not cells or max(cell.actual for cell in cells) >= number:
        return [_tuplet(start, grains, number)]
    if number == 6 and grains <= GRAINS_PER_QUARTER and not any(cell.plain for cell in cells):
        sextuplet = _tuplet(start, grains, 6)
        thirds = {start + index * grains // 3 for index in range(3)}
        return [sextuplet._replace(actual=3, normal=2) if thirds <= set(places) and len(places) < 6 else sextuplet]
    return cells


def _parts(start: int, grains: int) -> list[tuple[int, int]]:
    """The halves of a plain value, the thirds of a dotted one, the quarters and eighths of a longer group."""
    for number in (2, 3):
        size, rest = divmod(grains, number)
        if not rest and GRAINS_PER_WHOLE % size == 0 and (GRAINS_PER_WHOLE // size).bit_count() == 1:
            return [(start + index * size, size) for index in range(number)]
    size = GRAINS_PER_WHOLE // 8
    if grains % size or grains <= size:
        return []
    return [(start + at, size) for at in range(0, grains, size)]


def _tuplet(start: int, grains: int, number: int) -> Cell:
    """``number`` even notes in a span, each written as the next longer plain value, or the next that fits evenly."""
    unit, written = grains // number, WHOLE
    while written // 2 * GRAINS_PER_WHOLE >= unit * WHOLE and written > 1:
        written //= 2
    while grains * WHOLE % (written * GRAINS_PER_WHOLE):
        written //= 2
    return Cell(start, grains, unit, written, number, grains * WHOLE // (written * GRAINS_PER_WHOLE))


def _joined(cells: list[Cell]) -> list[Cell]:
    """Plain neighbours as one."""
    joined: list[Cell] = []
    for cell in cells:
        if joined and cell.plain and joined[-1].plain:
            joined[-1] = joined[-1]._replace(grains=joined[-1].grains + cell.grains)
        else:
            joined.append(cell)
    return joined
