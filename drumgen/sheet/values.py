"""Values: how the notes and rests of a cell are spelled.

A stroke is short in sound; it is written to the next stroke of its line or to the end of its cell, as far as one note
value (dotted or not) reaches there, and rests fill what is left. No note crosses a beat and none is tied; in a beat of
several whole notes (7/1 in 2+2+3) none is longer than a dotted one.

Rules of where a value may stand (*common practice*, after the usual manuals of engraving): a note off the beat by no
less than half of its undotted value; a rest only on a multiple of its own value, save that a dotted eighth may open a
quarter beat and a dotted value may fill a compound beat. Rests of whole beats are joined in pairs where there are two,
four or eight beats and they are alike: never across the middle of the bar.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sheet.cells import WHOLE, Cell, cells_of, writing_beats

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.meter import Beat, Meter

_NAMES = ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th")
VALUE_NAMES: dict[int, str] = {WHOLE >> index: name for index, name in enumerate(_NAMES)}
"""MusicXML's name of each plain note value, by its 1024ths."""

QUARTER = GRAINS_PER_QUARTER


class Spelled(NamedTuple):
    """A note or rest as it is written: its place and length in grains, the written value (1024ths) and its dots."""

    place: int
    grains: int
    value: int
    dots: int
    rest: bool
    cell: Cell


def spell(meter: Meter, onsets: Iterable[int], *, start: int = 0) -> list[Spelled]:
    """The notes and rests of one line of a bar from ``start`` on, with strokes on ``onsets`` (grains from the bar)."""
    onsets = sorted(set(onsets))
    cells = cells_of(meter, onsets)
    spelled: list[Spelled] = []
    for beat in writing_beats(meter):
        for cell in cells:
            if beat.start <= cell.start < beat.start + beat.grains and cell.start + cell.grains > start:
                spelled += _spell_cell(cell, beat, onsets, max(start, cell.start))
    return _join_rests(spelled, meter)


def _spell_cell(cell: Cell, beat: Beat, onsets: Sequence[int], start: int) -> list[Spelled]:
    end = cell.start + cell.grains
    inside = [place for place in onsets if start <= place < end]
    spelled: list[Spelled] = []
    at = start
    for index, place in enumerate(inside):
        spelled += _rests(cell, beat, at, place)
        until = inside[index + 1] if index + 1 < len(inside) else end
        note = _note(cell, beat, place, until)
        spelled.append(note)
        at = place + note.grains
        spelled += _rests(cell, beat, at, until)
        at = until
    return spelled + _rests(cell, beat, at, end)


def _note(cell: Cell, beat: Beat, place: int, until: int) -> Spelled:
    """The note that leaves the fewest rests before ``until``; of those the longest."""
    fitting = [
        Spelled(place, grains, value, dots, rest=False, cell=cell)
        for grains, value, dots in _values(cell)
        if place + grains <= until and _may_note(cell, beat, place, grains, dots)
    ]
    return min(fitting, key=lambda note: (len(_rests(cell, beat, place + note.grains, until)), -note.grains))


@lru_cache(maxsize=64)
def _values(cell: Cell) -> tuple[tuple[int, int, int], ...]:
    """The values of a cell, longest first, as (grains they last, written 1024ths, dots): none over a whole note."""
    values = []
    size = 1
    while size * cell.unit <= cell.grains and size * cell.written <= WHOLE:
        values.append((size * cell.unit, size * cell.written, 0))
        if size % 2 == 0 and size * 3 // 2 * cell.unit <= cell.grains:
            values.append((size * 3 // 2 * cell.unit, size * cell.written, 1))
        size *= 2
    return tuple(sorted(values, reverse=True))


def _may_note(cell: Cell, beat: Beat, place: int, grains: int, dots: int) -> bool:
    """Whether a note may stand there; in a tuplet of an odd number there is nothing that it could hide."""
    if not cell.plain:
        return _may_note_in_tuplet(cell, place - cell.start, grains, dots)
    off = place - beat.start
    if beat.grains % (QUARTER * 3 // 2) == 0 and off % (beat.grains // 3) and dots:
        ends = off % (beat.grains // 3) + grains <= beat.grains // 3 or off + grains == beat.grains
        return ends and off * 2 % _undotted(grains, dots) == 0
    return off * 2 % _undotted(grains, dots) == 0


def _may_note_in_tuplet(cell: Cell, off: int, grains: int, dots: int) -> bool:
    """In a tuplet of an odd number there is nothing to hide; in a sextuplet only pairs cross its middle."""
    if cell.actual == 6 and off % (cell.grains // 2) + grains > cell.grains // 2:
        return off % (2 * cell.unit) == 0 and grains % (2 * cell.unit) == 0
    return cell.actual % 2 == 1 or grains <= cell.unit or off * 2 % _undotted(grains, dots) == 0


def _undotted(grains: int, dots: int) -> int:
    return grains * 2 // 3 if dots else grains


def _rests(cell: Cell, beat: Beat, start: int, end: int) -> list[Spelled]:
    """The rests of a gap, each as long as its place allows."""
    rests: list[Spelled] = []
    while start < end:
        grains, value, dots = next(
            each for each in _values(cell) if start + each[0] <= end and _may_rest(cell, beat, start, each)
        )
        rests.append(Spelled(start, grains, value, dots, rest=True, cell=cell))
        start += grains
    return rests


def _may_rest(cell: Cell, beat: Beat, place: int, value: tuple[int, int, int]) -> bool:
    grains, _, dots = value
    if grains == cell.unit:
        return True
    if not cell.plain:
        middle = (place - cell.start) * 2 == cell.grains and grains * 2 <= cell.grains
        return not dots and (cell.actual % 2 == 1 or middle or (place - cell.start) % grains == 0)
    off = place - beat.start
    if dots:
        fills = off == 0 and grains == beat.grains
        return fills or (off % QUARTER == 0 and grains == QUARTER * 3 // 4 and beat.grains % QUARTER == 0)
    return off % grains == 0


def _join_rests(spelled: list[Spelled], meter: Meter) -> list[Spelled]:
    """Rests of whole beats joined in pairs from the bar's start, and pairs of pairs, where beats are alike."""
    beats = meter.beats
    sizes = {beat.grains for beat in beats}
    if len(sizes) != 1 or len(beats) not in (4, 8, 16) or meter.groups:
        return spelled
    size = sizes.pop()
    while size * 2 < meter.grains:
        spelled = _paired(spelled, size)
        size *= 2
    return spelled


def _paired(spelled: list[Spelled], size: int) -> list[Spelled]:
    joined: list[Spelled] = []
    for each in spelled:
        before = joined[-1] if joined else None
        if (
            before is not None
            and before.rest
            and each.rest
            and before.grains == each.grains == size
            and before.place % (2 * size) == 0
            and before.value == each.value
            and before.value * 2 in VALUE_NAMES
        ):
            joined[-1] = before._replace(grains=2 * size, value=before.value * 2)
        else:
            joined.append(each)
    return joined
