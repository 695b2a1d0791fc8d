"""Seams between varied bars: what a hand's way from one into the next costs, and which voices have no way at all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.builder import reach_points
from drumgen.study.puzzle import NEVER, Puzzle, Row

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from drumgen.study.arrays import Flags
    from drumgen.study.material import BarMaterial
    from drumgen.study.puzzle import Points
    from drumgen.study.surroundings import Seam
    from drumgen.trade.limits import Skill


class SeamTable(NamedTuple):
    """What a seam costs, *(voice of the first, voice of the second)*, by the numbers of each bar's own voices.

    The bars are numbers as well, in the order in which they are varied; each has its choice.
    """

    first: int
    one: int
    second: int
    other: int
    points: Points


def seam_tables(seams: Iterable[Seam], materials: Mapping[str, BarMaterial], skill: Skill) -> list[SeamTable]:
    """The tables of all seams between the bars of some materials, which are in their order."""
    bars = {name: number for number, name in enumerate(materials)}
    tables = []
    for seam in seams:
        ones, others = materials[seam.first_bar].voices, materials[seam.second_bar].voices
        points = reach_points(ones, others, seam.first, seam.second, skill)
        tables.append(SeamTable(bars[seam.first_bar], seam.one, bars[seam.second_bar], seam.other, points))
    return tables


def by_last_bar(tables: Iterable[SeamTable], bars: int) -> list[list[SeamTable]]:
    """By bar its seams with the bars before it."""
    found: list[list[SeamTable]] = [[] for _ in range(bars)]
    for table in tables:
        found[max(table.first, table.second)].append(table)
    return found


def with_a_way(puzzles: Sequence[Sequence[Puzzle]], tables: Sequence[SeamTable]) -> list[list[Puzzle]]:
    """The puzzles of each bar without the voices from which, or to which, no voice of another bar has a way.

    What one seam closes may close more at the next, so all are looked at until nothing changes. Nothing is lost: what
    is closed is in no orchestration of all bars that can be played.
    """
    ends = {end for table in tables for end in ((table.first, table.one), (table.second, table.other))}
    open_to: dict[tuple[int, int], Flags] = {
        (bar, choice): np.asarray(np.array([puzzle.alone[choice] < NEVER for puzzle in puzzles[bar]]).any(axis=0))
        for bar, choice in sorted(ends)
    }
    changed = True
    while changed:
        changed = False
        for first, one, second, other, points in tables:
            ways = (points < NEVER) & open_to[first, one][:, None] & open_to[second, other]
            for end, axis in (((first, one), 1), ((second, other), 0)):
                left = np.asarray(ways.any(axis=axis))
                changed |= bool((left != open_to[end]).any())
                open_to[end] = left
    closed: list[list[Row]] = [[] for _ in puzzles]
    for (bar, choice), left in open_to.items():
        closed[bar].append(Row("", choice, np.where(left, 0, NEVER)))
    return [[_closed(puzzle, rows) for puzzle in each] for each, rows in zip(puzzles, closed, strict=True)]


def _closed(puzzle: Puzzle, rows: Sequence[Row]) -> Puzzle:
    """A puzzle with rows of what must not be."""
    alone = list(puzzle.alone)
    for row in rows:
        alone[row.choice] = np.minimum(alone[row.choice] + row.points, NEVER)
    return replace(puzzle, rows=(*puzzle.rows, *rows), alone=tuple(alone))
