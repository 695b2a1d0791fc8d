"""Notes: the strokes of a take written down: each in its bar and place, with its hand and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.transcribe_costs import RIGHT, Events, Model
from drumgen.study.transcribe_hands import find_hands

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Kit
    from drumgen.levels import Level
    from drumgen.sticking import Limb
    from drumgen.study.transcribe_costs import Weights
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.study.transcribe_grid import Grid


class Note(NamedTuple):
    """One stroke written down: its bar (from 0), beat, slot of the beat and place (grains), limb, voice and level.

    ``sure`` is the chance of its hand, of a foot 1. ``hits`` are the take's, by index.
    """

    bar: int
    beat: int
    slot: int
    place: int
    limb: Limb
    voice: str
    level: Level
    grace: int = 0
    grace_voice: str = ""
    buzz: bool = False
    sure: float = 1.0
    hits: tuple[int, ...] = ()
    at_s: float = 0.0


class LeftOut(NamedTuple):
    """A stroke that a phrase cannot say: its bar (from 0) and place (grains), its voice, and why not."""

    bar: int
    place: int
    voice: str
    why: str


THIRD_HAND = "would need a third hand"
GRACE_BEFORE_BOTH = "is a grace note before both hands"
TWICE = "came to one place with another stroke of its voice"


class Written(NamedTuple):
    """The notes, and what could not be written, each in order."""

    notes: tuple[Note, ...]
    left_out: tuple[LeftOut, ...]


Group = list[int]
MOST_AT_ONCE = 2
"""So many voices are struck at one place: one with each hand."""


def write_notes(
    gestures: Sequence[Gesture], grid: Grid, levels: Sequence[Level], kit: Kit, weights: Weights | None = None
) -> Written:
    """The notes of some gestures, which are in order of time."""
    groups, feet, over = _grouped(gestures, grid)
    names = sorted(
        {name for gesture in gestures if not gesture.limb for name in (gesture.voice, gesture.grace_voice) if name}
    )
    numbers = {name: number for number, name in enumerate(names)}
    model = Model(kit, [kit.voice(name) for name in names], weights)
    events = _events(groups, gestures, grid, levels, numbers)
    found = find_hands(events, model)
    where = np.stack([grid.bar, grid.beat, grid.slot, grid.place], axis=1).tolist()

    def note(index: int, limb: Limb, sure: float, *, alone: bool = True) -> Note:
        at_s, _, voice, _, _, grace, grace_voice, _, buzz, hits = gestures[index]
        if grace and not alone:
            grace, grace_voice, hits = 0, "", hits[grace:]
        bar, beat, slot, place = where[index]
        return Note(bar, beat, slot, place, limb, voice, levels[index], grace, grace_voice, buzz, sure, hits, at_s)

    notes: list[Note] = []
    for group, struck, sure in zip(groups, found.hand.tolist(), found.sure.tolist(), strict=True):
        hands: tuple[Limb, Limb] = ("R", "L") if struck == RIGHT else ("L", "R")
        alone = len(group) == 1
        over += [] if alone else [(index, GRACE_BEFORE_BOTH) for index in group for _ in range(gestures[index].grace)]
        notes += [note(index, hand, sure, alone=alone) for index, hand in zip(group, hands, strict=False)]
    for index in feet:
        limb: Limb = "H" if gestures[index].limb == "H" else "K"
        notes.append(note(index, limb, 1.0))
    notes.sort(key=lambda each: (each.bar, each.place, "RLKH".index(each.limb), each.voice))
    left_out = [LeftOut(where[index][0], where[index][3], gestures[index].voice, why) for index, why in sorted(over)]
    return Written(tuple(notes), tuple(left_out))


Over = list[tuple[int, str]]
"""The strokes that are too much, each with why."""


def _grouped(gestures: Sequence[Gesture], grid: Grid) -> tuple[list[Group], list[int], Over]:
    """Hand strokes by place, the two loudest voices of each; feet once a voice and place; what was too much."""
    places = list(zip(grid.bar.tolist(), grid.place.tolist(), strict=True))
    by_place: dict[tuple[int, int], Group] = {}
    feet: dict[tuple[tuple[int, int], str], int] = {}
    over: Over = []
    for index, (gesture, where) in enumerate(zip(gestures, places, strict=True)):
        if gesture.limb:
            if feet.setdefault((where, gesture.voice), index) != index:
                over.append((index, TWICE))
            continue
        group = by_place.setdefault(where, [])
        group.append(index)
        if len(group) > 1:
            over += _reduced(group, gestures)
    for group in by_place.values():
        group.sort(key=lambda each: -gestures[each].grace)
    return [by_place[where] for where in sorted(by_place)], list(feet.values()), over


def _reduced(group: Group, gestures: Sequence[Gesture]) -> Over:
    """Leave a group one stroke a voice and two voices, the loudest, of equals the earlier; what has gone."""
    *known, last = group
    twin = next((each for each in known if gestures[each].voice == gestures[last].voice), None)
    if twin is None and len(group) <= MOST_AT_ONCE:
        return []
    rivals = group if twin is None else [twin, last]
    gone = min(reversed(rivals), key=lambda each: gestures[each].velocity)
    group.remove(gone)
    return [(gone, THIRD_HAND if twin is None else TWICE)]


def _events(
    groups: Sequence[Group],
    gestures: Sequence[Gesture],
    grid: Grid,
    levels: Sequence[Level],
    numbers: dict[str, int],
) -> Events:
    """What the hands struck, place by place."""
    firsts = [gestures[group[0]] for group in groups]
    seconds, flams, strong = [], [], []
    where = np.stack([grid.bar, grid.beat, grid.place], axis=1)[[group[0] for group in groups]].tolist()
    for group, first, (bar, beat, place) in zip(groups, firsts, where, strict=True):
        other = gestures[group[1]].voice if len(group) == 2 else first.grace_voice
        seconds.append(numbers[other] if other else -1)
        flams.append(len(group) == 1 and bool(first.grace))
        start, grains = grid.meters[bar].beats[beat]
        strong.append(2 if place == start else 1 if (place - start) * 2 == grains else 0)
    times = np.array([first.at_s for first in firsts])
    return Events(
        np.maximum.accumulate(times) if len(times) else times,
        np.array([numbers[first.voice] for first in firsts], dtype=np.int64),
        np.array(seconds, dtype=np.int64),
        np.array(flams, dtype=np.bool_),
        np.array([first.velocity for first in firsts], dtype=np.float64),
        np.array([levels[group[0]] == "accent" for group in groups], dtype=np.bool_),
        np.array(strong, dtype=np.int64),
    )
