"""Maps: every map of a hand that can be taught, and what each makes the hand play in one bar.

A map is a main voice, another for accents, another for ghost notes, and instead of the main voice a way around two to
four drums, a step with every stroke, beat or group (and with every bar, where a bar is played on and on). Which stroke
of an ``around`` comes where is not worked out a second time here: the bar is laid out with numbered voices, and the
numbers are read off.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import accumulate, permutations, product
from typing import TYPE_CHECKING, NamedTuple

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
    from drumgen.study.material import BarMaterial
    from drumgen.study.puzzle import Points, Puzzle

LONGEST_AROUND = 4
EVERIES: tuple[Every, ...] = ("stroke", "beat", "group")
_MOST_ALIKE = 1 << 40
_ACCENT, _GHOST = "accent", "ghost"
_NUMBERS = tuple(map(str, range(256)))


@dataclass(frozen=True, eq=False, slots=True)
class Block:
    """Maps of one kind: ``lists`` has a line a map, the numbers of its drums (or its main voice) among ``names``."""

    names: tuple[str, ...]
    accent: str
    ghost: str
    every: Every | None
    lists: Points

    @property
    def rules(self) -> int:
        """What there is to remember of each."""
        around = self.lists.shape[1] if self.every else 0
        return cost.rules_of(around, accent=bool(self.accent), ghost=bool(self.ghost))

    def hand_map(self, line: int) -> HandMap:
        """The map of a line."""
        drums = tuple([self.names[number] for number in self.lists[line].tolist()])
        if self.every is None:
            return HandMap(drums[0], self.accent, self.ghost)
        return HandMap("", self.accent, self.ghost, drums, self.every)


@dataclass(frozen=True, eq=False, slots=True)
class Ways:
    """Every map of one hand over some voices, after the hand as it is written, which is no map.

    ``numbers`` has a line a map with the voice of each of ``choices``; ``points`` is what that hand costs alone but for
    what each stroke says, its rules included; ``alike`` is the same number for maps that give the same voices. Nothing
    of it hangs on the foot. A map is made where it is asked for.
    """

    choices: tuple[int, ...]
    blocks: tuple[Block, ...]
    starts: tuple[int, ...]
    numbers: Points
    points: Points
    alike: Points

    def hand_map(self, line: int) -> HandMap | None:
        """The map of a line; None is the hand as it is written."""
        if not line:
            return None
        block = bisect_right(self.starts, line) - 1
        return self.blocks[block].hand_map(line - self.starts[block])


@dataclass(frozen=True, eq=False, slots=True)
class Candidates:
    """The maps of one hand that can be played, one for each different way it plays the bar: the simplest.

    ``lines`` are theirs among the ``ways``; ``points`` is what that hand costs alone. ``covered`` is how many maps were
    looked at.
    """

    ways: Ways
    lines: Points
    numbers: Points
    points: Points

    @property
    def choices(self) -> tuple[int, ...]:
        """The choices of the hand."""
        return self.ways.choices

    @property
    def covered(self) -> int:
        """How many maps were looked at."""
        return len(self.ways.points)

    def hand_map(self, index: int) -> HandMap | None:
        """One of the maps."""
        return self.ways.hand_map(int(self.lines[index]))


class Probe:
    """Finds the steps of a bar's rounds by laying the bar out in its plan; what is known is kept."""

    def __init__(self, plan: Plan, shown: tuple[int, ...]) -> None:
        self.plan, self.shown = plan, shown
        self._known: dict[tuple[bool, bool, str], dict[str, RoundSteps]] = {}
        self._ways: dict[tuple[str, tuple[int, ...]], Ways] = {}

    def ways(self, puzzle: Puzzle, hand: str, kit: Kit) -> Ways:
        """Every map of a hand over the voices that its choices are open to."""
        choices = tuple(i for i, choice in enumerate(puzzle.material.choices) if choice.limb == hand)
        fixed = all(puzzle.material.choices[i].fixed for i in choices)
        offered = () if fixed else tuple(sorted({number for i in choices for number in puzzle.open_to[i]}))
        if (hand, offered) not in self._ways:
            self._ways[hand, offered] = _ways(puzzle, hand, choices, offered, kit, self)
        return self._ways[hand, offered]

    def steps(self, material: BarMaterial, hand: str, given: Given, every: Every | None) -> RoundSteps:
        """Which step of its round each choice of a hand is."""
        key = (given.accent is not None, given.ghost is not None, every or "")
        if key not in self._known:
            self._known[key] = self._read_off(material, given, every)
        return self._known[key][hand]

    def _read_off(self, material: BarMaterial, given: Given, every: Every | None) -> dict[str, RoundSteps]:
        """The steps of both hands: with this between them, one does not change what the other does."""
        played = played_with(self.plan, _probing(material, given, every))
        voices = {
            (playing, stroke.place, stroke.limb): stroke.voice
            for playing, span in enumerate(self.shown)
            for stroke in played[span].laid.strokes
        }
        found: dict[str, list[str]] = {"R": [], "L": []}
        for choice in material.choices:
            found[choice.limb].append(voices[choice.playing, choice.place, choice.limb])
        return {hand: RoundSteps(row, every) for hand, row in found.items()}


class RoundSteps:
    """Which step of a hand's round each of its choices is; which of them are accents', ghost notes', or stay."""

    def __init__(self, found: list[str], every: Every | None) -> None:
        self.every = every
        self.steps = np.array([int(name) if name.isdecimal() else 0 for name in found], dtype=np.int64)
        self.accents, self.ghosts = ([i for i, name in enumerate(found) if name == one] for one in (_ACCENT, _GHOST))
        self.stays = [i for i, name in enumerate(found) if not (name.isdecimal() or name in (_ACCENT, _GHOST))]
        self._columns: dict[int, Points] = {}

    def column(self, size: int) -> Points:
        """By choice, which of so many drums it is: they come round with every stroke, else it stays on the last."""
        if size not in self._columns:
            self._columns[size] = self.steps % size if self.every == "stroke" else np.minimum(self.steps, size - 1)
        return self._columns[size]


class Given(NamedTuple):
    """The numbers of the voices of a hand's accents and ghost notes, None where they have none of their own."""

    accent: int | None
    ghost: int | None


def candidates(puzzle: Puzzle, hand: str, kit: Kit, probe: Probe) -> Candidates:
    """The maps of one hand (R or L as it is played) on a puzzle, the cheapest first; ``probe`` is of its bar."""
    ways = probe.ways(puzzle, hand, kit)
    points = ways.points.copy()
    for i, choice in enumerate(ways.choices):
        points += puzzle.alone[choice][ways.numbers[:, i]]
    taken = _maps_of_parts(puzzle.material, written_hand(puzzle.material.bar, hand))
    if taken:
        points[[line for line in range(len(points)) if ways.hand_map(line) in taken]] = NEVER
    order = np.argsort(points, kind="stable")
    order = order[points[order] < NEVER]
    kept = order[np.sort(np.unique(ways.alike[order], return_index=True)[1])]
    return Candidates(ways, kept, ways.numbers[kept], points[kept])


def _maps_of_parts(material: BarMaterial, hand: str) -> set[HandMap]:
    """The maps that parts of the bar have of their own: with the same one the bar would go around on into them."""
    return {part.layer.hands[hand] for i, part in enumerate(material.bar.parts) if (i, hand) in material.said.hands}


def _ways(
    puzzle: Puzzle, hand: str, choices: tuple[int, ...], offered: tuple[int, ...], kit: Kit, probe: Probe
) -> Ways:
    as_written = puzzle.material.written
    written = np.array([[as_written[i] for i in choices]], dtype=np.int64)
    found = list(_all_maps(puzzle, hand, written[0], offered, kit, probe)) if offered else []
    blocks = tuple(block for block, _ in found)
    numbers = np.concatenate([written, *(each for _, each in found)])
    sizes = [len(block.lists) for block in blocks]
    rules = np.repeat([0, *(block.rules for block in blocks)], [1, *sizes])
    starts = tuple(accumulate(sizes, initial=1))[:-1]
    alike = _alike(numbers, len(puzzle.voices))
    return Ways(choices, blocks, starts, numbers, rules + _between(puzzle, choices, numbers), alike)


def _alike(numbers: Points, voices: int) -> Points:
    """A number for each line, the same for those that are the same."""
    found = np.zeros(len(numbers), dtype=np.int64)
    for column in numbers.T:
        found = found * voices + column
        if found.max() >= _MOST_ALIKE:
            found = np.unique(found, return_inverse=True)[1]
    return found


def _between(puzzle: Puzzle, choices: tuple[int, ...], numbers: Points) -> Points:
    """By line: what one hand's choices cost two by two."""
    column = {choice: i for i, choice in enumerate(choices)}
    total = np.zeros(len(numbers), dtype=np.int64)
    for (first, second), points in puzzle.together.items():
        if first in column and second in column:
            total += points[numbers[:, column[first]], numbers[:, column[second]]]
    return total


def _all_maps(
    puzzle: Puzzle, hand: str, written: Points, offered: tuple[int, ...], kit: Kit, probe: Probe
) -> Iterator[tuple[Block, Points]]:
    """Blocks of maps with the voices they give; ``written`` are those of the hand's choices."""
    material = puzzle.material
    names = tuple(voice.name for voice in puzzle.voices)
    levels = {choice.stroke.level for choice in material.choices if choice.limb == hand}
    accents = [None, *offered] if _ACCENT in levels else [None]
    ghosts = [None, *(n for n in offered if names[n] in (kit.home, "hihat"))] if _GHOST in levels else [None]
    drums = [number for number in offered if puzzle.voices[number].drum]
    sizes = range(2, min(LONGEST_AROUND, len(drums)) + 1)
    orders = [np.array(list(permutations(drums, size)), dtype=np.int64) for size in sizes]
    rounds = list(product(EVERIES if len(material.shown) == 1 else (*EVERIES, "bar"), orders))
    for given in map(Given._make, product(accents, ghosts)):
        mains = np.array([[number] for number in offered if number != given.accent], dtype=np.int64)
        for every, lists in ((None, mains), *rounds):
            if len(lists):
                accent, ghost = (names[number] if number is not None else "" for number in given)
                steps = probe.steps(material, hand, given, every)
                yield Block(names, accent, ghost, every, lists), _voices(written, given, lists, steps)


def _voices(written: Points, given: Given, lists: Points, steps: RoundSteps) -> Points:
    """The voices that all maps of one kind give; ``lists`` are their drums."""
    numbers: Points = lists[:, steps.column(lists.shape[1])]
    if given.accent is not None:
        numbers[:, steps.accents] = given.accent
    if given.ghost is not None:
        numbers[:, steps.ghosts] = given.ghost
    if len(steps.stays):
        numbers[:, steps.stays] = written[steps.stays]
    return numbers


def _probing(material: BarMaterial, given: Given, every: Every | None) -> Bar:
    """The bar with numbers for the voices of each hand's round."""
    bar = material.bar
    probe = HandMap(
        main="0" if every is None else "",
        accent=_ACCENT if given.accent is not None else "",
        ghost=_GHOST if given.ghost is not None else "",
        around=_NUMBERS if every else (),
        every=every or "stroke",
    )
    parts = tuple(
        replace(
            part, layer=_with_hands(part.layer, {hand: probe for hand in "RL" if (i, hand) not in material.said.hands})
        )
        for i, part in enumerate(bar.parts)
    )
    return replace(bar, layer=_with_hands(bar.layer, {"R": probe, "L": probe}), parts=parts, landing=())


def _with_hands(layer: Layer, probes: dict[str, HandMap]) -> Layer:
    return replace(layer, hands={**layer.hands, **probes}, grace_voice="main")
