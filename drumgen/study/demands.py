"""Demands: by how much the tempo may rise until a limb has just the time it needs, stroke by stroke. Closed form.

With a *factor* f on the tempo the time between two strokes is divided by f. Grace notes are the exception: they hang a
fixed time before their stroke (at most a third of the room), whatever the tempo. So for each pair of strokes of one
limb the largest f is a quotient, and the top tempo is the smallest of all.
"""

from __future__ import annotations

from collections import Counter
from itertools import islice, pairwise
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sticking import OTHER_HAND
from drumgen.study.reach import Need, foot_need, hand_need

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.sticking import Limb
    from drumgen.study.moments import Moment, Moments, Placed
    from drumgen.trade.limits import Skill


_SLACK = 1e-9
"""By so little a room may be under what is needed: it is rounding."""

DRAG = 2
"""So many grace notes are a drag: one full stroke and its rebound."""


class Demand(NamedTuple):
    """What one limb is asked for from ``first`` to ``second``; with ``middle``, by three strokes of which one is full.

    ``factor`` is what the tempo may be multiplied by until the limb has just the time it needs.
    """

    first: Moment
    second: Moment
    need: Need
    factor: float
    middle: Moment | None = None

    @property
    def is_met(self) -> bool:
        """Whether the limb has the time it needs as it is."""
        return is_enough(self.factor)


class Asked(NamedTuple):
    """A demand as it is first met, and how often it comes."""

    demand: Demand
    times: int


def asked_of(moments: Moments, limb: Limb, *, skill: Skill, loop: bool = False) -> list[Asked]:
    """The different demands on one limb in a plan, in the order in which they are first met; a loop has its seam.

    What is asked in a span hangs on how it is played and on the two strokes before it: worked out once for each.
    """
    rows = {timed: _one_by_one(timed.by_limb[limb]) for timed in dict.fromkeys(moments.timed)}
    found: dict[tuple[object, ...], list[Demand]] = {}
    times: Counter[tuple[object, ...]] = Counter()
    tail: list[Placed] = []
    for span, timed in enumerate(moments.timed):
        if not rows[timed]:
            continue
        key = (timed, *(moments.since(each, span) for each in tail))
        if key not in found:
            found[key] = _after(moments, tail, [(span, moment) for moment in rows[timed]], skill)
        times[key] += 1
        tail = [*tail, *((span, moment) for moment in rows[timed][-2:])][-2:]
    asked = [Asked(demand, times[key]) for key, row in found.items() for demand in row]
    if loop:
        again = enumerate(moments.timed, len(moments.timed))
        first = list(islice(((span, moment) for span, timed in again for moment in rows[timed]), 2))
        seam = _after(moments, tail, first, skill)
        asked += [Asked(demand, 1) for demand in seam if demand.first.at_s < moments.end_s]
    return asked


def _after(moments: Moments, before: list[Placed], own: list[Placed], skill: Skill) -> list[Demand]:
    """The demands that end in ``own``; ``before`` are the two strokes before it, or as many as there are."""
    row = [moments.placed(*each) for each in (*before, *own)]
    return list(islice(demands(row, skill=skill), int(len(before) == 2), None))


def _one_by_one(row: Sequence[Moment]) -> list[Moment]:
    """Without the second of two strokes at one moment."""
    return [moment for index, moment in enumerate(row) if not index or moment.at_s > row[index - 1].at_s]


def demands(row: Sequence[Moment], *, skill: Skill) -> Iterator[Demand]:
    """The demands on one limb, in order.

    Strokes of one limb at one moment are no demand but a fault, and are passed over.
    """
    row = _one_by_one(row)
    before: Demand | None = None
    for first, second in pairwise(row):
        need = need_between(first, second, skill=skill)
        demand = Demand(first, second, need, factor(first, second, need.least_ms))
        yield demand
        if before and before.need.asked == need.asked == "rebound":
            widest = max(factor(one, other, need.full_ms) for one, other in ((before.first, first), (first, second)))
            yield Demand(before.first, second, need, widest, first)
        before = demand


def in_a_row(demand: Demand, moments: Moments) -> bool:
    """Whether its three strokes follow one another within a half note, the other hand silent between them."""
    first, second = demand.first, demand.second
    if demand.middle is None or second.limb == "H" or moments.grains_between(first, second) > GRAINS_PER_QUARTER * 2:
        return False
    return second.limb not in OTHER_HAND or moments.silent(OTHER_HAND[second.limb], first, second)


def is_enough(room: float) -> bool:
    """Whether the time there is, by the time that is needed, is enough."""
    return room >= 1 - _SLACK


def need_between(first: Moment, second: Moment, *, skill: Skill) -> Need:
    """What the limb of two moments, one after the other, needs between them."""
    if second.limb in ("K", "H"):
        return foot_need(first.voice, second.voice, skill=skill)
    bounced = second.buzz or first.buzz or DRAG in (first.grace, second.grace)  # of which a hand has rebounds already
    bounces = not (second.accented or bounced)
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
