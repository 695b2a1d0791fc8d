"""Stroke by stroke: the orchestrations of one bar in the order of their cost, each stroke on any voice it is open to.

Dynamic programming from the last choice to the first: for every choice, a table of what the rest costs at best, over
the voices of those earlier choices that a later one still looks back to (in most bars the last tap and the last accent
of each hand). With these tables as a bound that is never wrong, a best-first search reads the orchestrations one by
one: none is passed over, and equal costs come in the order of the voices. Where the tables would be too large, links
that reach far back are left out of the bound (it is then too low, never too high) and the order stays exact.
"""

from __future__ import annotations

from heapq import heappop, heappush
from math import prod
from typing import TYPE_CHECKING

import numpy as np

from drumgen.study.puzzle import NEVER

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.study.puzzle import Points, Puzzle

MOST_CELLS = 1_500_000

Solution = tuple[int, tuple[int, ...]]
"""A cost, and the number of each choice's voice."""


class Tables:
    """What the rest of a bar costs at best, from each choice on."""

    def __init__(self, puzzle: Puzzle) -> None:
        self.puzzle = puzzle
        self.alone = [puzzle.alone[i][list(known)] for i, known in enumerate(puzzle.open_to)]
        self.links: list[list[tuple[int, Points]]] = [[] for _ in puzzle.open_to]
        for (first, second), points in puzzle.together.items():
            table = points[np.ix_(puzzle.open_to[first], puzzle.open_to[second])]
            if table.any():
                self.links[second].append((first, table))
        self.crash = [[puzzle.crashes[number] and len(known) > 1 for number in known] for known in puzzle.open_to]
        self.counted = sum(any(row) for row in self.crash) > puzzle.most_crashes
        self.bounding = self._bounding()
        self.looked_back = [self._frontier(i) for i in range(puzzle.size + 1)]
        self.rest = self._backward()

    def _bounding(self) -> list[list[tuple[int, Points]]]:
        """The links of the bound: all of them, or without those that reach back farthest where tables get too large."""
        kept = [list(row) for row in self.links]
        while True:
            sizes = [prod(len(self.puzzle.open_to[i]) for i in self._frontier(at, kept)) for at in range(len(kept))]
            if max(sizes, default=0) <= MOST_CELLS:
                return kept
            _, second, index = max(
                (second - first, second, index)
                for second, row in enumerate(kept)
                for index, (first, _) in enumerate(row)
            )
            del kept[second][index]

    def _frontier(self, at: int, links: list[list[tuple[int, Points]]] | None = None) -> tuple[int, ...]:
        """The choices before ``at`` that ``at`` or a later one looks back to."""
        rows = (self.bounding if links is None else links)[at:]
        return tuple(sorted({first for row in rows for first, _ in row if first < at}))

    def _backward(self) -> list[Points]:
        """By choice: the least cost of it and all later ones, over (crashes so far,) voices looked back to."""
        states = self.puzzle.most_crashes + 1 if self.counted else 1
        rest: list[Points] = [np.zeros(states, dtype=np.int64)]
        for at in range(self.puzzle.size - 1, -1, -1):
            axes = tuple(sorted({*self.looked_back[at], at}))
            total = _spread(rest[-1], self.looked_back[at + 1], axes)
            total = np.broadcast_to(total, (states, *(len(self.puzzle.open_to[i]) for i in axes))).copy()
            if self.counted and any(self.crash[at]):
                self._count_crash(total, at)
            total += _spread(self.alone[at][None], (at,), axes)
            for first, table in self.bounding[at]:
                total += _spread(table[None], (first, at), axes)
            rest.append(np.minimum(total.min(axis=-1), NEVER))
        return rest[::-1]

    def _count_crash(self, total: Points, at: int) -> None:
        """``at`` is the last axis: on a crash the rest is that of one crash more, and none is left after the last."""
        for index, crash in enumerate(self.crash[at]):
            if crash:
                total[:-1, ..., index] = total[1:, ..., index]
                total[-1, ..., index] = NEVER

    def children(self, chosen: tuple[int, ...], crashes: int) -> list[tuple[int, int, int]]:
        """For the next choice after ``chosen`` (indexes of open voices): (its cost, bound of all after it, index)."""
        at = len(chosen)
        found: list[tuple[int, int, int]] = []
        back, rest = self.looked_back[at + 1], self.rest[at + 1]
        for index, alone in enumerate(self.alone[at].tolist()):
            used = crashes + (self.counted and self.crash[at][index])
            points = alone + sum(int(table[chosen[first], index]) for first, table in self.links[at])
            if points >= NEVER or used >= len(rest):
                continue
            known = (*chosen, index)
            bound = int(rest[(used, *(known[i] for i in back))])
            if bound < NEVER:
                found.append((points, bound, index))
        return sorted(found, key=lambda each: (each[0] + each[1], each[2]))


def _spread(table: Points, own: tuple[int, ...], axes: tuple[int, ...]) -> Points:
    """A table over (crashes, *own) given axes of length one for those of ``axes`` that it has not."""
    sizes = dict(zip(own, table.shape[1:], strict=True))
    return table.reshape(table.shape[0], *(sizes.get(axis, 1) for axis in axes))


def in_order_of_cost(puzzle: Puzzle) -> Iterator[Solution]:
    """Every orchestration of a bar that can be, the cheapest first; equal ones in the order of their voices."""
    if not puzzle.size:
        yield 0, ()
        return
    tables = Tables(puzzle)
    memory: dict[tuple[int, ...], list[tuple[int, int, int]]] = {}

    def children(chosen: tuple[int, ...], crashes: int) -> list[tuple[int, int, int]]:
        at = len(chosen)
        needed = {first for first, _ in tables.links[at]} | set(tables.looked_back[at])
        key = (at, crashes, *(chosen[i] for i in sorted(needed)))
        if key not in memory:
            memory[key] = tables.children(chosen, crashes)
        return memory[key]

    heap: list[tuple[int, tuple[int, ...], int, int, tuple[int, ...], int]] = []

    def push(chosen: tuple[int, ...], spent: int, crashes: int, rank: int) -> None:
        row = children(chosen, crashes)
        if rank < len(row):
            points, bound, index = row[rank]
            heappush(heap, (spent + points + bound, (*chosen, index), spent, crashes, chosen, rank))

    push((), 0, 0, 0)
    while heap:
        _, known, spent, crashes, chosen, rank = heappop(heap)
        push(chosen, spent, crashes, rank + 1)
        points, _, index = children(chosen, crashes)[rank]
        if len(known) == puzzle.size:
            yield spent + points, tuple(puzzle.open_to[i][number] for i, number in enumerate(known))
        else:
            used = crashes + (tables.counted and tables.crash[len(chosen)][index])
            push(known, spent + points, used, 0)
