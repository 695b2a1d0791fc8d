"""Combining: the orchestrations of several bars together, in the order of their cost with their seams.

Each bar's own list is read in its order. Combinations grow bar by bar, the cheapest first, with the seams between the
bars that they have; what is left costs at least the first of each list, and a seam never less than nothing. So a
combination is told once no other can be cheaper: exact for any number of bars.
"""

from __future__ import annotations

from heapq import heappop, heappush
from typing import TYPE_CHECKING, Generic, NamedTuple, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

Found = TypeVar("Found")


class Listed(Generic[Found]):
    """An iterator that is read only as far as it is asked for."""

    def __init__(self, source: Iterator[Found]) -> None:
        self._source, self._read = source, list[Found]()

    def get(self, index: int) -> Found | None:
        """The entry at ``index``, or None past the end."""
        while len(self._read) <= index:
            try:
                self._read.append(next(self._source))
            except StopIteration:
                return None
        return self._read[index]


_LOOSE, _JOINED, _WHOLE = range(3)
"""The last bar without its seams, with them, and all bars with all seams; what may still be cheaper stands first."""


class _Begun(NamedTuple, Generic[Found]):
    """The first so many bars of a combination; ``bound`` is what all of it costs at least.

    ``points`` are those of its entries and of their seams, but for the seams of a last bar that is loose.
    """

    bound: int
    stage: int
    at: tuple[int, ...]
    entries: tuple[Found, ...]
    points: int


class Combined(Generic[Found]):
    """Combinations of one of each list.

    ``seams`` is what the last of the first so many entries costs beyond its own points (nothing or more), None where it
    cannot be there; ``before`` is added to each combination. After ``most`` looks at seams the search is ``cut``: what
    has been begun is then finished, the longest first, for a tenth as many, and what comes of it is told.
    """

    def __init__(
        self,
        lists: Sequence[Listed[Found]],
        points_of: Callable[[Found], int],
        seams: Callable[[tuple[Found, ...]], int | None],
        *,
        before: int = 0,
        most: int,
    ) -> None:
        self._lists, self._points_of, self._seams, self._before, self._most = lists, points_of, seams, before, most
        self._rest: list[int] = []
        self.tried, self.cut = 0, False

    def in_order_of_cost(self) -> Iterator[tuple[int, tuple[Found, ...]]]:
        """The cheapest first; equal ones in the order of the lists."""
        firsts = [each.get(0) for each in self._lists]
        least = [self._points_of(first) for first in firsts if first is not None]
        if len(least) < len(firsts):
            return
        self._rest = [sum(least[number:]) for number in range(len(least) + 1)]
        begun = self._begin((), (), 0, self._before)
        while begun and self.tried < self._most:
            taken = heappop(begun)
            if taken.stage == _WHOLE:
                yield taken.bound, taken.entries
            for more in self._further(taken):
                heappush(begun, more)
        self.cut = bool(begun)
        yield from ((each.bound, each.entries) for each in sorted(self._finished(begun)))

    def _further(self, begun: _Begun[Found]) -> list[_Begun[Found]]:
        """What comes of a combination that was begun: another last bar, its seams, or one more bar."""
        _, stage, at, entries, points = begun
        if stage == _WHOLE:
            return []
        if stage == _JOINED:
            return self._begin(at, entries, 0, points)
        more = self._begin(at[:-1], entries[:-1], at[-1] + 1, points - self._points_of(entries[-1]))
        self.tried += 1
        seams = self._seams(entries)
        if seams is not None:
            points += seams
            stage = _WHOLE if len(at) == len(self._lists) else _JOINED
            more.append(_Begun(points + self._rest[len(at)], stage, at, entries, points))
        return more

    def _begin(self, at: tuple[int, ...], entries: tuple[Found, ...], index: int, points: int) -> list[_Begun[Found]]:
        """One more bar, the ``index``-th of its list; none where that has ended."""
        found = self._lists[len(at)].get(index)
        if found is None:
            return []
        points += self._points_of(found)
        return [_Begun(points + self._rest[len(at) + 1], _LOOSE, (*at, index), (*entries, found), points)]

    def _finished(self, begun: list[_Begun[Found]]) -> Iterator[_Begun[Found]]:
        """The whole ones, and those that come of the others, the longest and cheapest first."""
        begun.sort(key=lambda each: (each.stage, len(each.at), -each.bound))
        last = self.tried + self._most // 10
        while begun and (begun[-1].stage == _WHOLE or self.tried < last):
            taken = begun.pop()
            if taken.stage == _WHOLE:
                yield taken
            begun += self._further(taken)
