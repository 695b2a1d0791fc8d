"""Beams: which notes are joined, and how many beams each has with its neighbours.

Notes are beamed within a beat of the meter (a group, in a grouped one), and with shorter notes than eighths never over
more than a quarter, nor over two tuplets; thirty-seconds and shorter keep one beam between the eighths of a beat.
*Common practice.*
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sheet.cells import WHOLE, writing_beats

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.meter import Beat, Meter
    from drumgen.sheet.score import BeamWord
    from drumgen.sheet.values import Spelled

_EIGHTH = GRAINS_PER_QUARTER // 2


def beams_of(
    spelled: Sequence[Spelled], meter: Meter, *, drags: frozenset[int] = frozenset()
) -> list[tuple[BeamWord, ...]]:
    """The beams of each note of a line, the first beam first; none for rests and what has no flag.

    ``drags`` are the places before which grace notes with a beam of their own stand.
    """
    words: list[tuple[BeamWord, ...]] = [()] * len(spelled)
    for group in _groups(spelled, meter, drags):
        for index, beams in zip(group, _joined([spelled[index] for index in group]), strict=True):
            words[index] = beams
    return words


def flags(value: int) -> int:
    """The number of flags of a note value (1024ths): 1 for an eighth.

    >>> [flags(value) for value in (256, 128, 64)]
    [0, 1, 2]
    """
    number = 0
    while value < WHOLE // 4:
        value *= 2
        number += 1
    return number


def _groups(spelled: Sequence[Spelled], meter: Meter, drags: frozenset[int]) -> list[list[int]]:
    """The indexes of the notes that are beamed together, two or more."""
    groups: list[list[int]] = []
    for beat in writing_beats(meter):
        for start, end in _spans(beat, spelled):
            group: list[int] = []
            for index, each in enumerate(spelled):
                if start <= each.place < end and not (each.rest and flags(each.value)):
                    if flags(each.value) == 0 or (group and _parts_tuplets(spelled[group[-1]], each)):
                        groups.append(group)
                        group = []
                    if flags(each.value):
                        group.append(index)
            groups.append(group)
    parted = [part for group in groups for part in _parted(group, spelled, drags)]
    return [group for group in parted if len(group) > 1]


def _parted(group: list[int], spelled: Sequence[Spelled], drags: frozenset[int]) -> list[list[int]]:
    """A group, parted between a tuplet and plain notes where it would hold only part of the tuplet.

    So too where a drag stands inside it: verovio 6.4 takes the end of the drag's beam for that of the group, and counts
    the plain notes into the tuplet.
    """
    cells = dict.fromkeys(spelled[index].cell for index in group)
    tuplets = ([at for at, each in enumerate(spelled) if each.cell == cell] for cell in cells if not cell.plain)
    whole = all(tuplet[0] in group and tuplet[-1] in group for tuplet in tuplets)
    if len(cells) == 1 or (whole and not any(spelled[index].place in drags for index in group[1:])):
        return [group]
    return [[index for index in group if spelled[index].cell == cell] for cell in cells]


def _parts_tuplets(one: Spelled, other: Spelled) -> bool:
    """Whether two notes stand in tuplets of their own: each is beamed apart, and easier to read."""
    return one.cell != other.cell and not one.cell.plain and not other.cell.plain


def _spans(beat: Beat, spelled: Sequence[Spelled]) -> list[tuple[int, int]]:
    """What is beamed together of a beat longer than a quarter: all, or quarter by quarter where notes are short."""
    end = beat.start + beat.grains
    inside = [each for each in spelled if beat.start <= each.place < end and not each.rest]
    binary = beat.grains % (2 * GRAINS_PER_QUARTER) == 0
    if binary and any(flags(each.value) > 1 or not each.cell.plain for each in inside):
        return [(at, at + GRAINS_PER_QUARTER) for at in range(beat.start, end, GRAINS_PER_QUARTER)]
    if binary:
        return [(at, at + 2 * GRAINS_PER_QUARTER) for at in range(beat.start, end, 2 * GRAINS_PER_QUARTER)]
    return [(beat.start, end)]


def _joined(group: Sequence[Spelled]) -> list[tuple[BeamWord, ...]]:
    levels = [flags(each.value) for each in group]
    joins = [_common(one, other) for one, other in itertools.pairwise(group)]
    return [
        tuple(
            _word(level, _at(joins, index - 1), _at(joins, index), off=each.place % _EIGHTH > 0)
            for level in range(levels[index])
        )
        for index, each in enumerate(group)
    ]


def _at(joins: Sequence[int], index: int) -> int:
    return joins[index] if 0 <= index < len(joins) else 0


def _common(one: Spelled, other: Spelled) -> int:
    """How many beams join two neighbours: one between eighths where there are three or more."""
    common = min(flags(one.value), flags(other.value))
    if common > 2 and one.cell.plain and one.place // _EIGHTH != other.place // _EIGHTH:
        return 1
    return common


def _word(level: int, before: int, after: int, *, off: bool) -> BeamWord:
    """The word of one beam of a note that shares ``before`` and ``after`` beams with its neighbours.

    A hook points into its own eighth: back from what stands ``off`` its start.
    """
    joins_before, joins_after = level < before, level < after
    if joins_before and joins_after:
        return "continue"
    if joins_after:
        return "begin"
    if joins_before:
        return "end"
    return "backward hook" if before and (off or not after) else "forward hook"
