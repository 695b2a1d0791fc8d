"""Notes: the strokes of a take written down: each in its bar and place, with its hand and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from drumgen.study.transcribe_costs import RIGHT, Events, Model
from drumgen.study.transcribe_hands import find_hands

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Kit
    from drumgen.levels import Level
    from drumgen.study.transcribe_costs import Weights
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.study.transcribe_grid import Grid

    Limb = Literal["R", "L", "K", "H"]


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


class Written(NamedTuple):
    """The notes in order, and what could not be written: strokes a third hand would need, doubled strokes."""

    notes: tuple[Note, ...]
    third_hand: int
    doubled: int


Group = list[int]


def write_notes(
    gestures: Sequence[Gesture], grid: Grid, levels: Sequence[Level], kit: Kit, weights: Weights | None = None
) -> Written:
    """The notes of some gestures, which are in order of time."""
    groups, feet, third, doubled = _grouped(gestures, grid)
    names = sorted(
        {name for gesture in gestures if not gesture.limb for name in (gesture.voice, gesture.grace_voice) if name}
    )
    numbers = {name: number for number, name in enumerate(names)}
    model = Model(kit, [kit.voice(name) for name in names], weights)
    events = _events(groups, gestures, grid, levels, numbers)
    found = find_hands(events, model)
    rows = [list(row.tolist()) for row in (grid.bar, grid.beat, grid.slot, grid.place)]

    def note(index: int, limb: Limb, sure: float, *, alone: bool = True) -> Note:
        gesture = gestures[index]
        bar, beat, slot, place = (row[index] for row in rows)
        return Note(
            *(bar, beat, slot, place, limb, gesture.voice, levels[index]),
            *(gesture.grace if alone else 0, gesture.grace_voice if alone else "", gesture.buzz, sure),
            *(gesture.hits if alone else gesture.hits[gesture.grace :], gesture.at_s),
        )

    notes: list[Note] = []
    for group, struck, sure in zip(groups, found.hand.tolist(), found.sure.tolist(), strict=True):
        hands: tuple[Limb, Limb] = ("R", "L") if struck == RIGHT else ("L", "R")
        alone = len(group) == 1
        third += 0 if alone else sum(gestures[index].grace for index in group)
        notes += [note(index, hand, sure, alone=alone) for index, hand in zip(group, hands, strict=False)]
    for index in feet:
        limb: Limb = "H" if gestures[index].limb == "H" else "K"
        notes.append(note(index, limb, 1.0))
    notes.sort(key=lambda each: (each.bar, each.place, "RLKH".index(each.limb), each.voice))
    return Written(tuple(notes), third, doubled)


def _grouped(gestures: Sequence[Gesture], grid: Grid) -> tuple[list[Group], list[int], int, int]:
    """Hand strokes by place, at most two voices on each; feet once a voice and place; and what was too much."""
    places = list(zip(grid.bar.tolist(), grid.place.tolist(), strict=True))
    by_place: dict[tuple[int, int], Group] = {}
    feet: dict[tuple[tuple[int, int], str], int] = {}
    third = doubled = 0
    for index, (gesture, where) in enumerate(zip(gestures, places, strict=True)):
        if gesture.limb:
            doubled += (where, gesture.voice) in feet
            feet.setdefault((where, gesture.voice), index)
            continue
        group = by_place.setdefault(where, [])
        twin = next((each for each in group if gestures[each].voice == gesture.voice), None)
        if twin is not None:
            doubled += 1
            if gestures[twin].velocity < gesture.velocity:
                group[group.index(twin)] = index
        elif len(group) == 2:
            third += 1
        else:
            group.append(index)
    for group in by_place.values():
        group.sort(key=lambda each: -gestures[each].grace)
    return [by_place[where] for where in sorted(by_place)], list(feet.values()), third, doubled


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
    for group, first in zip(groups, firsts, strict=True):
        other = gestures[group[1]].voice if len(group) == 2 else first.grace_voice
        seconds.append(numbers[other] if other else -1)
        flams.append(len(group) == 1 and bool(first.grace))
        place, meter = int(grid.place[group[0]]), grid.meters[int(grid.bar[group[0]])]
        start, grains = meter.beats[int(grid.beat[group[0]])]
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
