"""The search by rule against every pair of maps and every rule of the foot, laid out one by one by the real layout."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice, permutations, product
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from study_room import arrangements_of, cases

from drumgen.errors import DrumgenError
from drumgen.layout import lay_out
from drumgen.orchestration import HandMap
from drumgen.study import cost
from drumgen.study.wish import Wish

if TYPE_CHECKING:
    from collections.abc import Iterator

    from study_room import Case

    from drumgen.bar import Bar
    from drumgen.kit import Kit
    from drumgen.orchestration import Every
    from drumgen.study.arrangements import Arrangements
    from drumgen.study.puzzle import Puzzle

WISH = Wish(space="rules")
EVERIES: tuple[Every, ...] = ("stroke", "beat", "group")
RULES = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])


def arrangements(case: Case) -> Arrangements:
    found: Arrangements | None = None
    try:
        found = arrangements_of(case, WISH)
    except DrumgenError:
        assume(condition=False)
    assert found is not None
    return found


def maps(names: list[str], drums: list[str], levels: set[str]) -> Iterator[HandMap]:
    """Every map over some voices: a main voice or a way around two to four drums; other accents and ghost notes."""
    rounds = [around for size in (2, 3, 4) for around in permutations(drums, size)]
    accents, ghosts = (("", *names) if level in levels else ("",) for level in ("accent", "ghost"))
    for accent, ghost in product(accents, ghosts):
        yield from (HandMap(main, accent, ghost) for main in names)
        yield from (HandMap("", accent, ghost, around, every) for every in EVERIES for around in rounds)


def played(bar: Bar, kit: Kit, hand: str, hand_map: HandMap) -> tuple[str, ...]:
    layer = replace(bar.layer, hands={**bar.layer.hands, hand: hand_map})
    strokes = lay_out(replace(bar, layer=layer), kit).strokes
    return tuple(kit.voice(stroke.voice).name for stroke in strokes if stroke.limb == hand)


def ways_of(puzzle: Puzzle, bar: Bar, kit: Kit, hand: str) -> dict[tuple[str, ...], int]:
    """What a hand can be made to play, and the rules that it takes at least; as it is written for nothing."""
    own = [choice for choice in puzzle.material.choices if choice.limb == hand]
    found = {tuple(choice.written for choice in own): 0}
    if not all(choice.fixed for choice in own):
        names = [voice.name for voice in puzzle.voices]
        drums = [voice.name for voice in puzzle.voices if voice.drum]
        for each in maps(names, drums, {choice.stroke.level for choice in own}):
            voices = played(bar, kit, hand, each)
            found[voices] = min(found.get(voices, 10_000), cost.rules(each))
    return found


def brute(found: Arrangements) -> list[tuple[int, tuple[int, ...], str | None]]:
    """The cheapest way to each orchestration under each rule of the foot: its cost, its voices, the rule."""
    bar, kit, rows, one = found.phrase.bars["x"], found.kit, [], found.bars[0]
    right, left = (ways_of(one.puzzles[0], bar, kit, hand) for hand in ("R", "L"))
    for (foot, points), puzzle in zip(one.feet, one.puzzles, strict=True):
        names = [voice.name for voice in puzzle.voices]
        for (rights, more), (lefts, even_more) in product(right.items(), left.items()):
            voices = {"R": iter(rights), "L": iter(lefts)}
            numbers = tuple(names.index(next(voices[choice.limb])) for choice in puzzle.material.choices)
            own = puzzle.cost_of(numbers)
            if own is not None:
                rows.append((own.total + more + even_more + points, numbers, foot))
    return sorted(rows, key=lambda row: (row[0], row[1], str(row[2])))


@RULES
@given(cases(most=5))
def test_all_of_them_at_the_same_cost(case: Case) -> None:
    found = arrangements(case)
    told = [(points, entries[0].numbers, entries[0].foot) for points, entries in found.in_order_of_cost()]
    assert [points for points, _, _ in told] == sorted(points for points, _, _ in told)
    assert sorted(told, key=lambda row: (row[0], row[1], str(row[2]))) == brute(found)


@RULES
@given(cases(most=5), st.integers(1, 10))
def test_the_k_best_cost_what_the_k_best_of_all_cost(case: Case, number: int) -> None:
    found = arrangements(case)
    told = [points for points, _ in islice(found.in_order_of_cost(), number)]
    assert told == [points for points, _, _ in brute(found)[:number]]


@RULES
@given(case=cases(most=5))
def test_each_map_is_laid_out_as_it_was_counted(case: Case) -> None:
    found = arrangements(case)
    for each in islice(found.in_order_of_cost(), 6):
        entry = each[1][0]
        names = [voice.name for voice in found.bars[0].puzzles[0].voices]
        for hand in ("R", "L"):
            hand_map = entry.maps[hand]
            own = [
                n for n, choice in zip(entry.numbers, found.materials["x"].choices, strict=True) if choice.limb == hand
            ]
            if hand_map is not None:
                assert [names[n] for n in own] == list(played(found.phrase.bars["x"], found.kit, hand, hand_map))


@settings(RULES, max_examples=30)
@given(case=cases(most=5))
def test_reading_on_in_larger_bites_changes_nothing(case: Case) -> None:
    from drumgen.study import by_rule

    found = arrangements(case)
    whole = list(found.in_order_of_cost())
    first, by_rule.FIRST_READ = by_rule.FIRST_READ, 3
    try:
        assert list(arrangements(case).in_order_of_cost()) == whole
    finally:
        by_rule.FIRST_READ = first
