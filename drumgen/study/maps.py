"""Maps: every map of a hand that can be taught, and what each makes the hand play in one bar.

A map is a main voice, another for accents, another for ghost notes, and instead of the main voice a way around two to
four drums, a step with every stroke, beat or group. Which stroke of an ``around`` comes where is not worked out a
second time here: the bar is laid out with numbered voices, and the numbers are read off.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from drumgen.orchestration import HandMap
from drumgen.study import cost
from drumgen.study.material import written_hand
from drumgen.study.playings import played_with
from drumgen.study.puzzle import NEVER

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.bar import Bar, Layer
    from drumgen.kit import Kit
    from drumgen.orchestration import Every
    from drumgen.plan import Plan
    from drumgen.study.material import Material
    from drumgen.study.puzzle import Points, Puzzle

LONGEST_AROUND = 4
EVERIES: tuple[Every, ...] = ("stroke", "beat", "group")
_ACCENT, _GHOST = "accent", "ghost"
_NUMBERS = tuple(map(str, range(256)))


@dataclass(frozen=True, eq=False, slots=True)
class Candidates:
    """The maps of one hand that can be played, one for each different way it plays the bar: the simplest.

    ``numbers`` has a line a map with the voice of each of ``choices``; ``points`` is what that hand costs alone, its
    rules included. A map of None is the hand as it is written. ``covered`` is how many maps were looked at.
    """

    choices: tuple[int, ...]
    maps: tuple[HandMap | None, ...]
    numbers: Points
    points: Points
    rules: Points
    covered: int


class Probe:
    """Finds the steps of a bar's rounds by laying the bar out in its plan; what is known is kept."""

    def __init__(self, plan: Plan, shown: tuple[int, ...]) -> None:
        self.plan, self.shown = plan, shown
        self._known: dict[tuple[str, bool, bool, str], Points] = {}

    def steps(self, material: Material, hand: str, given: HandMap, every: Every | None) -> Points:
        """Which step of its round each choice of a hand is.

        -1 is for the accents' voice, -2 the ghosts', -3 where it stays.
        """
        key = (hand, bool(given.accent), bool(given.ghost), every or "")
        if key not in self._known:
            self._known[key] = self._read_off(material, hand, given, every)
        return self._known[key]

    def _read_off(self, material: Material, hand: str, given: HandMap, every: Every | None) -> Points:
        played = played_with(self.plan, _probing(material, hand, given, every))
        voices = {
            (playing, stroke.place): stroke.voice
            for playing, span in enumerate(self.shown)
            for stroke in played[span].laid.strokes
            if stroke.limb == hand
        }
        special = {_ACCENT: -1, _GHOST: -2}
        own = [choice for choice in material.choices if choice.limb == hand]
        found = [voices[choice.playing, choice.place] for choice in own]
        return np.array([special.get(name, int(name) if name.isdecimal() else -3) for name in found], dtype=np.int64)


def candidates(puzzle: Puzzle, hand: str, kit: Kit, probe: Probe) -> Candidates:
    """The maps of one hand (R or L as it is played) on a puzzle, the cheapest first; ``probe`` is of its bar."""
    material = puzzle.material
    choices = tuple(i for i, choice in enumerate(material.choices) if choice.limb == hand)
    written = np.array([[material.written[i] for i in choices]], dtype=np.int64)
    maps: list[HandMap | None] = [None]
    blocks = [written]
    if not all(material.choices[i].fixed for i in choices):
        for found, numbers in _all_maps(puzzle, hand, choices, kit, probe):
            maps += found
            blocks.append(numbers)
    numbers = np.concatenate(blocks)
    rules = np.array([cost.rules(each) if each else 0 for each in maps], dtype=np.int64)
    points = rules + own_points(puzzle, choices, numbers)
    taken = _maps_of_parts(material, written_hand(material.bar, hand))
    points[[i for i, each in enumerate(maps) if each in taken]] = NEVER
    order = np.lexsort((np.arange(len(maps)), points))
    order = order[points[order] < NEVER]
    first = np.unique(numbers[order], axis=0, return_index=True)[1] if choices else np.arange(1)
    kept = order[np.sort(first)]
    return Candidates(choices, tuple(maps[i] for i in kept), numbers[kept], points[kept], rules[kept], len(maps))


def _maps_of_parts(material: Material, hand: str) -> set[HandMap]:
    """The maps that parts of the bar have of their own: with the same one the bar would go around on into them."""
    return {part.layer.hands[hand] for i, part in enumerate(material.bar.parts) if (i, hand) in material.said.hands}


def own_points(puzzle: Puzzle, choices: tuple[int, ...], numbers: Points) -> Points:
    """By line: the rows of one hand's choices and the tables between two of them."""
    alone, column = puzzle.points_alone(), {choice: i for i, choice in enumerate(choices)}
    total = np.zeros(len(numbers), dtype=np.int64)
    for choice, i in column.items():
        total += alone[choice][numbers[:, i]]
    for (first, second), points in puzzle.points_together().items():
        if first in column and second in column:
            total += points[numbers[:, column[first]], numbers[:, column[second]]]
    return total


def _all_maps(
    puzzle: Puzzle, hand: str, choices: tuple[int, ...], kit: Kit, probe: Probe
) -> Iterator[tuple[list[HandMap | None], Points]]:
    """Blocks of maps with the voices they give."""
    material = puzzle.material
    names = [voice.name for voice in puzzle.voices]
    offered = sorted({number for i in choices for number in puzzle.open_to[i]})
    levels = {material.choices[i].stroke.level for i in choices}
    accents = [None, *offered] if _ACCENT in levels else [None]
    ghosts = [None, *(n for n in offered if names[n] in (kit.home, "hihat"))] if _GHOST in levels else [None]
    drums = [number for number in offered if puzzle.voices[number].drum]
    for accent in accents:
        for ghost in ghosts:
            given = HandMap(
                accent=names[accent] if accent is not None else "", ghost=names[ghost] if ghost is not None else ""
            )
            mains: list[tuple[int, ...]] = [(number,) for number in offered if number != accent]
            around: list[tuple[Every | None, list[tuple[int, ...]]]] = [
                (every, list(permutations(drums, size)))
                for every in EVERIES
                for size in range(2, min(LONGEST_AROUND, len(drums)) + 1)
            ]
            around.insert(0, (None, mains))
            for every, lists in around:
                yield _block(puzzle, choices, given, lists, every, probe.steps(material, hand, given, every))


def _block(
    puzzle: Puzzle,
    choices: tuple[int, ...],
    given: HandMap,
    lists: list[tuple[int, ...]],
    every: Every | None,
    steps: Points,
) -> tuple[list[HandMap | None], Points]:
    """All maps of one kind, with the voices they give; ``lists`` are their drums."""
    if not lists:
        return [], np.empty((0, len(choices)), dtype=np.int64)
    names = [voice.name for voice in puzzle.voices]
    table = np.array(lists, dtype=np.int64)
    size = table.shape[1]
    column = np.where(steps < 0, 0, steps % size if every == "stroke" else np.minimum(steps, size - 1))
    numbers = table[:, column]
    for i, choice in enumerate(choices):
        name = given.accent if steps[i] == -1 else given.ghost if steps[i] == -2 else ""
        if name:
            numbers[:, i] = names.index(name)
        elif steps[i] == -3:
            numbers[:, i] = puzzle.material.written[choice]
    accent, ghost = given.accent, given.ghost
    if every is None:
        maps: list[HandMap | None] = [HandMap(names[row[0]], accent, ghost) for row in lists]
    else:
        maps = [HandMap("", accent, ghost, tuple([names[n] for n in row]), every) for row in lists]
    return maps, numbers


def _probing(material: Material, hand: str, given: HandMap, every: Every | None) -> Bar:
    """The bar with numbers for the voices of a hand's round."""
    bar = material.bar
    key = written_hand(bar, hand)
    probe = HandMap(
        main="0" if every is None else "",
        accent=_ACCENT if given.accent else "",
        ghost=_GHOST if given.ghost else "",
        around=_NUMBERS if every else (),
        every=every or "stroke",
    )
    parts = tuple(
        replace(part, layer=_with_hand(part.layer, key, None if (i, key) in material.said.hands else probe))
        for i, part in enumerate(bar.parts)
    )
    return replace(bar, layer=_with_hand(bar.layer, key, probe), parts=parts, landing=())


def _with_hand(layer: Layer, key: str, probe: HandMap | None) -> Layer:
    hands = {**layer.hands, key: probe} if probe is not None else layer.hands
    return replace(layer, hands=hands, grace_voice="main")
