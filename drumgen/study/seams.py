"""Seams between varied bars: what a hand's way from one into the next costs, and which voices have no way at all."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.builder import reach_points
from drumgen.study.puzzle import NEVER, Puzzle, Row

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from drumgen.study.arrays import Flags
    from drumgen.study.material import Material
    from drumgen.study.puzzle import Points
    from drumgen.study.surroundings import Seam
    from drumgen.trade.limits import Skill

Spot = tuple[str, int]
"""A bar and the number of its choice."""


@dataclass(frozen=True, eq=False, slots=True)
class SeamTable:
    """What a seam costs, *(voice of the first, voice of the second)*, by the numbers of each bar's own voices."""

    first: Spot
    second: Spot
    points: Points


def seam_tables(seams: Iterable[Seam], materials: Mapping[str, Material], skill: Skill) -> list[SeamTable]:
    """The tables of all seams."""
    return [
        SeamTable(
            (seam.first_bar, seam.first.choice or 0),
            (seam.second_bar, seam.second.choice or 0),
            reach_points(
                materials[seam.first_bar].voices, materials[seam.second_bar].voices, seam.first, seam.second, skill
            ),
        )
        for seam in seams
    ]


class Joint(NamedTuple):
    """A seam table by the numbers of two bars in an order, each with its choice."""

    first: int
    one: int
    second: int
    other: int
    points: Points


def joints(tables: Iterable[SeamTable], names: Sequence[str]) -> list[list[Joint]]:
    """By bar, in the order of ``names``, its seams with the bars before it."""
    found: list[list[Joint]] = [[] for _ in names]
    for table in tables:
        (first, one), (second, other) = table.first, table.second
        joint = Joint(names.index(first), one, names.index(second), other, table.points)
        found[max(joint.first, joint.second)].append(joint)
    return found


def with_a_way(puzzles: Mapping[str, Sequence[Puzzle]], tables: Iterable[SeamTable]) -> dict[str, list[Puzzle]]:
    """The puzzles without the voices from which, or to which, no voice of another bar has a way.

    What one seam closes may close more at the next, so all are looked at until nothing changes. Nothing is lost: what
    is closed is in no orchestration of all bars that can be played.
    """
    tables = list(tables)
    open_to: dict[Spot, Flags] = {}
    for table in tables:
        for name, number in (table.first, table.second):
            rows = np.array([puzzle.alone[number] < NEVER for puzzle in puzzles[name]])
            open_to[name, number] = np.asarray(rows.any(axis=0))
    changed = True
    while changed:
        changed = False
        for table in tables:
            ways = (table.points < NEVER) & open_to[table.first][:, None] & open_to[table.second]
            for choice, axis in ((table.first, 1), (table.second, 0)):
                left = np.asarray(ways.any(axis=axis))
                changed |= bool((left != open_to[choice]).any())
                open_to[choice] = left
    closed = {
        name: [Row("", number, np.where(left, 0, NEVER)) for (bar, number), left in open_to.items() if bar == name]
        for name in puzzles
    }
    return {name: [_closed(puzzle, closed[name]) for puzzle in each] for name, each in puzzles.items()}


def _closed(puzzle: Puzzle, rows: Sequence[Row]) -> Puzzle:
    """A puzzle with rows of what must not be."""
    alone = list(puzzle.alone)
    for row in rows:
        alone[row.choice] = np.minimum(alone[row.choice] + row.points, NEVER)
    return replace(puzzle, rows=(*puzzle.rows, *rows), alone=tuple(alone))
