"""Combining: the orchestrations of several bars together, in the order of their cost with their seams.

Each bar's own list is read in its order. The cost of seams is never less than nothing, so a combination is told once no
unread one can be cheaper: exact for any number of bars.
"""

from __future__ import annotations

from heapq import heappop, heappush
from typing import TYPE_CHECKING, Generic, TypeVar

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


def combined(
    lists: Sequence[Listed[Found]],
    points_of: Callable[[Found], int],
    seams: Callable[[tuple[Found, ...]], int | None],
    before: int = 0,
    *,
    most: int,
) -> Iterator[tuple[int, tuple[Found, ...]]]:
    """Combinations of one of each list, the cheapest first; equal ones in the order of the lists.

    ``seams`` is what a combination costs beyond its parts (nothing or more), None where it cannot be; ``before`` is
    added to each. Where combinations that can be are so rare that ``most`` have been looked at, it ends.
    """
    start = (0,) * len(lists)
    waiting: list[tuple[int, tuple[int, ...]]] = []
    ready: list[tuple[int, tuple[int, ...], tuple[Found, ...]]] = []
    seen: set[tuple[int, ...]] = set()
    tried = 0

    def wait(at: tuple[int, ...]) -> None:
        entries = _entries(lists, at)
        if at not in seen and entries is not None:
            seen.add(at)
            heappush(waiting, (sum(map(points_of, entries)), at))

    wait(start)
    while waiting or ready:
        while waiting and (not ready or waiting[0][0] <= ready[0][0]):
            if tried == most:
                return
            tried += 1
            points, at = heappop(waiting)
            entries = _entries(lists, at)
            more = seams(entries) if entries is not None else None
            if entries is not None and more is not None:
                heappush(ready, (points + more, at, entries))
            for i in range(len(at)):
                wait((*at[:i], at[i] + 1, *at[i + 1 :]))
        if ready:
            points, _, entries = heappop(ready)
            yield before + points, entries


def _entries(lists: Sequence[Listed[Found]], at: tuple[int, ...]) -> tuple[Found, ...] | None:
    entries = tuple(each.get(index) for each, index in zip(lists, at, strict=True))
    return None if any(entry is None for entry in entries) else entries  # type: ignore[return-value]
