"""By rule: the orchestrations of one bar that are two hand maps and a rule for the foot, in the order of their cost.

Each hand's maps are ordered by what the hand costs alone; the terms between the hands are never less than nothing. So
the pairs are read in the order of the two costs alone until no pair can be cheaper than those found: every pair of maps
is looked at or known to be dearer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drumgen.study.maps import Candidates, candidates
from drumgen.study.puzzle import NEVER

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.kit import Kit
    from drumgen.orchestration import HandMap
    from drumgen.study.maps import Probe
    from drumgen.study.puzzle import Points, Puzzle

FIRST_READ = 256
_BLOCK = 64


@dataclass(frozen=True, slots=True)
class Ruled:
    """One orchestration by rule: its cost, its voices by choice, the map of each hand (None: as written), the foot."""

    points: int
    numbers: tuple[int, ...]
    right: HandMap | None
    left: HandMap | None
    foot: int


@dataclass(frozen=True, slots=True)
class FootRule:
    """A rule for the foot with the puzzle it leaves the hands, and what it costs; ``words`` is its line in a file."""

    words: str | None
    puzzle: Puzzle
    points: int


class RuledBar:
    """All orchestrations by rule of one bar."""

    def __init__(self, feet: Sequence[FootRule], kit: Kit, probe: Probe) -> None:
        self.feet = feet
        self.leading = 2 if kit.hand == "left" else 1  # so that a mirrored kit gives the mirror image, equal costs too
        self.pairs = [_Pairs(foot, kit, probe) for foot in feet]
        self.covered = sum(pair.covered for pair in self.pairs)

    def in_order_of_cost(self) -> Iterator[Ruled]:
        """The cheapest first; equal ones in the order of the foot rules and of the maps, the kit's own hand first."""
        told, most = 0, FIRST_READ
        while True:
            found = [(*row, foot) for foot, pair in enumerate(self.pairs) for row in pair.cheapest(most)]
            found.sort(key=lambda row: (row[0], row[3], row[self.leading], row[3 - self.leading]))
            for points, right, left, foot in found[told:most]:
                yield self.pairs[foot].ruled(points, right, left, foot)
            if len(found) < most:
                return
            told, most = most, most * 4


class _Pairs:
    """The pairs of maps under one rule for the foot."""

    def __init__(self, foot: FootRule, kit: Kit, probe: Probe) -> None:
        self.foot, self.puzzle = foot, foot.puzzle
        self.right = candidates(foot.puzzle, "R", kit, probe)
        self.left = candidates(foot.puzzle, "L", kit, probe)
        self.covered = self.right.covered * self.left.covered
        self.crash_right = _crashes(foot.puzzle, self.right)
        self.crash_left = _crashes(foot.puzzle, self.left)
        self.together = self._together()

    def _together(self) -> Points:
        """By line of the right hand's candidates: what each voice of each choice of the left hand costs beside it."""
        row_of = {choice: i for i, choice in enumerate(self.right.choices)}
        column_of = {choice: i for i, choice in enumerate(self.left.choices)}
        voices = len(self.puzzle.voices)
        table = np.zeros((len(self.right.lines), len(self.left.choices) * voices), dtype=np.int64)
        for (first, second), points in self.puzzle.together.items():
            if first in row_of and second in column_of:
                mine, theirs, shown = first, second, points
            elif second in row_of and first in column_of:
                mine, theirs, shown = second, first, points.T
            else:
                continue
            start = column_of[theirs] * voices
            table[:, start : start + voices] += shown[self.right.numbers[:, row_of[mine]]]
        return np.minimum(table, NEVER)

    def cheapest(self, most: int) -> list[tuple[int, int, int]]:
        """At least the ``most`` cheapest pairs and all that are equal to the dearest of them: (cost, right, left)."""
        right, left, foot = self.right, self.left, self.foot.points
        found: list[Points] = []
        limit = NEVER
        left_from = np.arange(len(left.choices)) * len(self.puzzle.voices)
        if not len(right.lines) or not len(left.lines):
            return []
        for start in range(0, len(right.lines), _BLOCK):
            if right.points[start] + left.points[0] + foot > limit:
                break
            rows = slice(start, start + _BLOCK)
            lefts = int(np.searchsorted(left.points, limit - foot - right.points[start], side="right"))
            total = foot + right.points[rows, None] + left.points[None, :lefts]
            for i, column in enumerate(left_from):
                total += self.together[rows, column + left.numbers[:lefts, i]]
            crashes = self.crash_right[rows, None] + self.crash_left[None, :lefts]
            total[crashes > self.puzzle.most_crashes] = NEVER
            where = np.nonzero(total <= min(limit, NEVER - 1))
            found.append(np.stack([total[where], where[0] + start, where[1]], axis=1))
            limit = _limit(found, most, limit)
        rows_found = np.concatenate(found)
        return list(map(tuple, rows_found[rows_found[:, 0] <= limit].tolist()))

    def ruled(self, points: int, right: int, left: int, foot: int) -> Ruled:
        """One pair as an orchestration."""
        numbers = dict(zip(self.right.choices, self.right.numbers[right].tolist(), strict=True))
        numbers |= dict(zip(self.left.choices, self.left.numbers[left].tolist(), strict=True))
        voices = tuple(numbers[i] for i in range(self.puzzle.size))
        return Ruled(points, voices, self.right.hand_map(right), self.left.hand_map(left), foot)


def _crashes(puzzle: Puzzle, hand: Candidates) -> Points:
    """By line: how many crashes there are on choices that are open to others."""
    crash = np.array(puzzle.crashes)
    open_choices = [i for i, choice in enumerate(hand.choices) if len(puzzle.open_to[choice]) > 1]
    return crash[hand.numbers[:, open_choices]].sum(axis=1)  # type: ignore[no-any-return]


def _limit(found: list[Points], most: int, limit: int) -> int:
    """The cost of the ``most``-th cheapest pair so far; what is dearer is dropped."""
    points = np.concatenate([row[:, 0] for row in found])
    if len(points) < most:
        return limit
    least = int(np.partition(points, most - 1)[most - 1])
    found[:] = [row[row[:, 0] <= least] for row in found]
    return least
