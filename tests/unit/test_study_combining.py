"""Combinations of several lists: every one that can be, the cheapest first, and what is told where it is cut."""

from __future__ import annotations

from itertools import pairwise, product

from hypothesis import given, settings
from hypothesis import strategies as st

from drumgen.study.combining import Combined, Listed

Entry = tuple[int, int]
"""Its points, and its number among a list's."""

SEAMS = st.one_of(st.none(), st.integers(0, 30))


def lists_of(rows: list[list[int]]) -> list[Listed[Entry]]:
    return [Listed((points, number) for number, points in enumerate(sorted(row))) for row in rows]


def combined(rows: list[list[int]], table: dict[tuple[int, int, int], int | None], most: int) -> Combined[Entry]:
    """Lists of points; what the seam of a list with the one before costs, by the list and the numbers of both."""

    def seams(entries: tuple[Entry, ...]) -> int | None:
        last = len(entries) - 1
        return table.get((last, entries[-2][1], entries[-1][1]), 0) if last else 0

    return Combined(lists_of(rows), lambda entry: entry[0], seams, before=7, most=most)


@settings(deadline=None)
@given(
    st.lists(st.lists(st.integers(0, 20), max_size=5), min_size=1, max_size=4),
    st.dictionaries(st.tuples(st.integers(1, 3), st.integers(0, 4), st.integers(0, 4)), SEAMS),
)
def test_every_combination_that_can_be_the_cheapest_first(
    rows: list[list[int]], table: dict[tuple[int, int, int], int | None]
) -> None:
    every = []
    for entries in product(*[[(points, number) for number, points in enumerate(sorted(row))] for row in rows]):
        numbers = tuple(number for _, number in entries)
        seams = [table.get((i, *pair), 0) for i, pair in enumerate(pairwise(numbers), start=1)]
        if None not in seams:
            every.append((7 + sum(points for points, _ in entries) + sum(filter(None, seams)), numbers))
    search = combined(rows, table, 1_000_000)
    told = [(points, tuple(number for _, number in entries)) for points, entries in search.in_order_of_cost()]
    assert told == sorted(every)
    assert not search.cut


def test_where_it_is_cut_what_can_be_is_told_all_the_same() -> None:
    rows = [list(range(200))] * 4
    table: dict[tuple[int, int, int], int | None] = {
        (bar, one, other): 60 for bar in (1, 2, 3) for one in range(200) for other in range(200)
    }
    search = combined(rows, table, 100)
    told = list(search.in_order_of_cost())
    assert search.cut
    assert search.tried == 110
    assert told
    assert [points for points, _ in told] == sorted(points for points, _ in told)
    assert all(points == 7 + 180 + sum(each for each, _ in entries) for points, entries in told)


def test_where_nothing_can_be_it_ends() -> None:
    rows = [list(range(1000))] * 3
    search = combined(rows, {(2, one, other): None for one in range(1000) for other in range(1000)}, 5000)
    assert list(search.in_order_of_cost()) == []
    assert search.cut
    assert search.tried == 5500
