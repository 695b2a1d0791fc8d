"""The search stroke by stroke against every orchestration there is, and its cost against the slow way."""

from __future__ import annotations

from itertools import islice, product
from math import prod
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from study_room import SlowWay, arrangements_of, cases

from drumgen.errors import DrumgenError
from drumgen.study import by_stroke
from drumgen.study.by_stroke import in_order_of_cost
from drumgen.study.wish import Wish

if TYPE_CHECKING:
    from study_room import Case

    from drumgen.study.arrangements import Arrangements
    from drumgen.study.puzzle import Puzzle

MOST = 4000
WISH = Wish(space="strokes")
many = settings(deadline=None, max_examples=300, suppress_health_check=[HealthCheck.too_slow])


def puzzle_of(case: Case, wish: Wish = WISH) -> Puzzle:
    found: Arrangements | None = None
    try:
        found = arrangements_of(case, wish)
    except DrumgenError:
        assume(condition=False)
    assert found is not None
    puzzle = found.bars[0].puzzles[0]
    assume(prod(map(len, puzzle.open_to)) <= MOST)
    return puzzle


def brute(puzzle: Puzzle) -> list[tuple[int, tuple[int, ...]]]:
    """Every orchestration that can be, by cost and then by the order of its voices."""
    costs = ((puzzle.cost_of(numbers), numbers) for numbers in product(*puzzle.open_to))
    return sorted((found.total, numbers) for found, numbers in costs if found is not None)


@many
@given(cases())
def test_all_of_them_in_the_same_order_at_the_same_cost(case: Case) -> None:
    puzzle = puzzle_of(case)
    assert list(in_order_of_cost(puzzle)) == brute(puzzle)


@settings(many, max_examples=100)
@given(cases(), st.integers(1, 12))
def test_the_k_best_are_the_first_of_all(case: Case, number: int) -> None:
    puzzle = puzzle_of(case)
    assert list(islice(in_order_of_cost(puzzle), number)) == brute(puzzle)[:number]


@settings(many, max_examples=100)
@given(case=cases())
def test_a_bound_that_looks_back_less_far_changes_nothing(case: Case) -> None:
    puzzle = puzzle_of(case)
    cells, by_stroke.MOST_CELLS = by_stroke.MOST_CELLS, 4
    try:
        assert list(in_order_of_cost(puzzle)) == brute(puzzle)
    finally:
        by_stroke.MOST_CELLS = cells


@many
@given(cases(most=5), st.data())
def test_the_cost_is_what_the_slow_way_adds_up(case: Case, data: st.DataObject) -> None:
    puzzle = puzzle_of(case)
    slow = SlowWay(case, WISH, puzzle)
    every = list(product(*puzzle.open_to))
    for numbers in data.draw(st.lists(st.sampled_from(every), min_size=1, max_size=20, unique=True)):
        if sum(puzzle.crashes[n] and len(puzzle.open_to[i]) > 1 for i, n in enumerate(numbers)) > puzzle.most_crashes:
            continue
        found = puzzle.cost_of(numbers)
        assert (found.total if found else None) == slow.cost_of(numbers)
