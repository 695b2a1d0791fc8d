"""Clearing: words over the staff, dynamics and letters under it, kept clear of all else as an engraver would set them.

Labels are groups of the kind ``label``, dynamics and hairpins of the kind ``loudness``; these kinds are gone once they
are placed. Of labels the lowest is lifted first, and those over it then keep clear of it too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sheet.boxes import bounds, mark_box
from drumgen.sheet.ink import Fill, Group, Mark, Polyline

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from drumgen.sheet.boxes import Box

LABEL, LOUDNESS = "label", "loudness"
OVER, BESIDE = 50.0, 200.0
"""What stays free over and beside whatever a label stands above: a quarter of a staff space, and a whole one."""


def cleared(marks: Sequence[Mark]) -> tuple[tuple[Mark, ...], float]:
    """The marks with their labels lifted, all moved down by what then stood over y = 0; and how far that was."""
    labels = sorted(_labels(marks), key=lambda label: -bounds(label)[3])
    taken = [mark_box(mark) for mark in _leaves(marks)]
    lifts: dict[Group, float] = {}
    for label in labels:
        left, top, right, bottom = bounds(label)
        lifts[label] = lift = _lift((left, top, right, bottom), taken)
        taken.append((left, top - lift, right, bottom - lift))
    over = max((0.0, *(lift - bounds(label)[1] for label, lift in lifts.items() if lift)))
    return tuple(_placed(mark, lifts, over) for mark in marks), over


def sunk(marks: Sequence[Mark], is_low: Callable[[Mark], bool]) -> tuple[tuple[Mark, ...], float]:
    """The marks, all low ones moved down together until they are free of what begins over them; and how far."""
    low: list[Box] = []
    others: list[Box] = []
    for mark in _parted(marks, is_low):
        (low if is_low(mark) else others).append(mark_box(mark))
    needed = (
        other[3] + OVER - one[1]
        for one in low
        for other in others
        if other[1] < one[1] and other[0] < one[2] + OVER and one[0] - OVER < other[2]
    )
    down = max((0.0, *needed))
    return tuple(_moved(mark, is_low, down) for mark in marks), down


def _parted(marks: Iterable[Mark], is_low: Callable[[Mark], bool]) -> Iterator[Mark]:
    """All low marks, whole, and all other single marks."""
    for mark in marks:
        if isinstance(mark, Group) and not is_low(mark):
            yield from _parted(mark.marks, is_low)
        else:
            yield mark


def _moved(mark: Mark, is_low: Callable[[Mark], bool], down: float) -> Mark:
    if is_low(mark):
        placed = _placed(mark, {}, down)
        return placed._replace(kind="") if isinstance(placed, Group) else placed
    if isinstance(mark, Group):
        return mark._replace(marks=tuple(_moved(each, is_low, down) for each in mark.marks))
    return mark


def _labels(marks: Iterable[Mark]) -> Iterator[Group]:
    for mark in marks:
        if isinstance(mark, Group):
            if mark.kind == LABEL:
                yield mark
            else:
                yield from _labels(mark.marks)


def _leaves(marks: Iterable[Mark]) -> Iterator[Mark]:
    """All single marks outside labels."""
    for mark in marks:
        if not isinstance(mark, Group):
            yield mark
        elif mark.kind != LABEL:
            yield from _leaves(mark.marks)


def _lift(label: Box, taken: Sequence[Box]) -> float:
    """How far up a label must go to be free of everything; nothing where it is free already."""
    left, top, right, bottom = label
    beside = sorted(
        (each for each in taken if each[0] < right + BESIDE and left - BESIDE < each[2]), key=lambda each: -each[3]
    )
    lift = 0.0
    for _, high, _, low in beside:
        if high - OVER < bottom - lift and top - lift < low + OVER:
            lift = bottom - high + OVER
    return lift


def _placed(mark: Mark, lifts: dict[Group, float], down: float) -> Mark:
    match mark:
        case Group():
            moved = down - lifts.get(mark, 0.0) if mark.kind == LABEL else down
            kind = "" if mark.kind == LABEL else mark.kind
            return mark._replace(marks=tuple(_placed(each, lifts, moved) for each in mark.marks), kind=kind)
        case Polyline() | Fill():
            return mark._replace(points=tuple((x, y + down) for x, y in mark.points))
        case _:
            return mark._replace(y=mark.y + down)
