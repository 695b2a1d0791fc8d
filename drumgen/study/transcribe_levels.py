"""Levels: which strokes of a take are accents and which are ghost notes, from their velocities.

The velocities (without the kit's offsets, so that a soft voice's may be over 127) are parted into at most three groups,
exactly, by the least sum of squares; more groups only where they stand clearly apart. Which level a group is: those
whose usual velocities it is nearest to, in the same order. One group alone is plain strokes.
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import combinations, pairwise
from math import log
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.levels import Dynamics

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.levels import Level
    from drumgen.study.arrays import Numbers, Wholes
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.take import Take

ORDER: tuple[Level, ...] = ("ghost", "normal", "accent")
LOUDER = 1.22
APART = 2.6
LEAST_STEP = 12
LEAST_SPREAD = 2.0
SMALLEST_SHARE = 0.004
LOUDEST = 127


class Levels(NamedTuple):
    """The level of every gesture, and the velocity that each level has in the take."""

    each: list[Level]
    dynamics: Dynamics


def find_levels(gestures: Sequence[Gesture], take: Take) -> Levels:
    """The levels of some gestures."""
    usual = Dynamics()
    forces = np.array([gesture.velocity for gesture in gestures], dtype=np.int64)
    groups = _groups(np.bincount(forces)[1:])
    centres = [group.centre for group in groups]
    names = _named(centres)
    bounds = [(one.last + other.first + 1) / 2 for one, other in pairwise(groups)]
    of_force = {force: names[bisect_left(bounds, force)] for force in set(forces.tolist())}
    each = [of_force[force] for force in forces.tolist()]
    figures = {name: min(LOUDEST, round(centre)) for name, centre in zip(names, centres, strict=True)}
    graces = [_own(gesture, take) for gesture in gestures if gesture.grace]
    known = Dynamics(
        accent=figures.get("accent", min(LOUDEST, max(usual.accent, round(centres[-1] * 1.2)))),
        normal=figures.get("normal", usual.normal),
        ghost=figures.get("ghost", min(usual.ghost, max(1, round(centres[0] * 0.6)))),
        grace=min(LOUDEST, int(np.median(graces))) if graces else usual.grace,
    )
    return Levels(each, known)


def _own(gesture: Gesture, take: Take) -> int:
    """The velocity of a gesture's first grace note, without its voice's offset."""
    return max(1, take.hits[gesture.hits[0]].velocity - take.kit.voice(gesture.grace_voice).velocity)


class _Group(NamedTuple):
    """A range of velocities, both ends in, with its mean and standard deviation."""

    first: int
    last: int
    centre: float
    spread: float
    share: float


def _groups(counts: Wholes) -> list[_Group]:
    """The groups of velocities, softest first: as many as stand clearly apart."""
    for number in (3, 2):
        found = _parted(counts, number)
        if found and all(_apart(one, other) for one, other in pairwise(found)):
            return found
    return _parted(counts, 1)


def _apart(one: _Group, other: _Group) -> bool:
    spread = max(LEAST_SPREAD, (one.spread + other.spread) / 2)
    step = other.centre - one.centre
    clear = step >= max(LEAST_STEP, APART * spread) and other.centre >= one.centre * LOUDER
    return clear and min(one.share, other.share) >= SMALLEST_SHARE


def _parted(counts: Wholes, number: int) -> list[_Group]:
    """The velocities from 1 on in ``number`` groups with the least sum of squares; nothing where there are too few."""
    heard = np.flatnonzero(counts)
    if len(heard) < number:
        return []
    squares = _squares(heard, counts)
    rows = list(combinations(range(1, len(heard)), number - 1))
    cuts = np.array(rows, dtype=np.int64).reshape(len(rows), number - 1)
    edges = np.hstack([np.zeros((len(cuts), 1), np.int64), cuts, np.full((len(cuts), 1), len(heard))])
    best = edges[squares[edges[:, :-1], edges[:, 1:]].sum(axis=1).argmin()].tolist()
    return [_group(heard[a:b], counts) for a, b in pairwise(best)]


def _squares(heard: Wholes, counts: Wholes) -> Numbers:
    """The sums of squares about their mean of all groups: *(first velocity heard, the one after the last)*."""
    weights, velocities = counts[heard].astype(np.float64), (heard + 1).astype(np.float64)
    sums = [np.concatenate([[0.0], np.cumsum(weights * velocities**power)]) for power in (0, 1, 2)]
    number, first, second = (row[None, :] - row[:, None] for row in sums)
    squares: Numbers = second - first**2 / np.where(number > 0, number, 1.0)
    return squares


def _group(heard: Wholes, counts: Wholes) -> _Group:
    weights = counts[heard]
    centre = float(np.average(heard + 1, weights=weights))
    spread = float(np.sqrt(np.average((heard + 1 - centre) ** 2, weights=weights)))
    return _Group(int(heard[0]) + 1, int(heard[-1]) + 1, centre, spread, float(weights.sum() / counts.sum()))


def _named(centres: Sequence[float]) -> tuple[Level, ...]:
    """The levels of groups from soft to loud: the nearest to their usual velocities, in their order."""
    usual = Dynamics()
    if len(centres) == 1:
        return ("normal",)

    def far(names: tuple[Level, ...]) -> float:
        return sum(abs(log(centre / usual.of(name))) for centre, name in zip(centres, names, strict=True))

    return min(combinations(ORDER, len(centres)), key=far)
