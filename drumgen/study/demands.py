"""Demands: by how much the tempo may rise until a limb has just the time it needs, stroke by stroke. Closed form.

With a *factor* f on the tempo the time between two strokes is divided by f. Grace notes are the exception: they hang a
fixed time before their stroke (at most a third of the room), whatever the tempo. So for each pair of strokes of one
limb the largest f is a quotient, and the top tempo is the smallest of all.
"""

from __future__ import annotations

from itertools import pairwise
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from drumgen.study.reach import Need, foot_need, hand_need

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.study.moments import Moment
    from drumgen.trade.limits import Level as Skill


class Demand(NamedTuple):
    """What one limb is asked for from ``first`` to ``second``; with ``middle``, by three strokes of which one is full.

    ``factor`` is what the tempo may be multiplied by until the limb has just the time it needs.
    """

    first: Moment
    second: Moment
    need: Need
    factor: float
    middle: Moment | None = None


def demands(row: Sequence[Moment], *, skill: Skill, again_s: float | None = None) -> Iterator[Demand]:
    """The demands on one limb, in order; with ``again_s``, the row comes round after that many seconds.

    Strokes of one limb at one moment are no demand but a fault, and are passed over.
    """
    row = [moment for index, moment in enumerate(row) if not index or moment.at_s > row[index - 1].at_s]
    if again_s is not None:
        row += [moment._replace(at_s=moment.at_s + again_s) for moment in row[:2]]
    before: Demand | None = None
    for first, second in pairwise(row):
        need = need_between(first, second, skill=skill)
        demand = Demand(first, second, need, factor(first, second, need.least_ms))
        yield demand
        if before and before.need.asked == need.asked == "rebound":
            widest = max(factor(one, other, need.full_ms) for one, other in ((before.first, first), (first, second)))
            yield Demand(before.first, second, need, widest, first)
        before = demand


def need_between(first: Moment, second: Moment, *, skill: Skill) -> Need:
    """What the limb of two moments, one after the other, needs between them."""
    if second.limb in ("K", "H"):
        return foot_need(first.voice, second.voice, skill=skill)
    bounces = not (second.accented or second.buzz or first.buzz)
    return hand_need(first.voice, second.voice, bounces=bounces, skill=skill)


def factor(first: Moment, second: Moment, least_ms: float) -> float:
    """What the tempo may be multiplied by until ``least_ms`` are just left between two moments of one limb."""
    needed_s = room_needed_s(least_ms / 1000 - first.late_s, early_s=second.early_s)
    return (second.at_s - first.at_s) / needed_s if needed_s > 0 else inf


def room_needed_s(least_s: float, *, early_s: float) -> float:
    """How much time there must be before a stroke whose grace notes begin ``early_s`` before it.

    The grace notes take at most a third of the room, as they are performed.
    """
    if early_s and least_s < 2 * early_s:
        return least_s * 3 / 2
    return least_s + early_s
