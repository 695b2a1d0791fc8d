"""Figures: what a phrase asks of one limb, in numbers, at the tempo it is played at."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from drumgen.study.words import count_words, voice_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.sticking import Limb
    from drumgen.study.demands import Demand
    from drumgen.study.moments import Moment, Moments

REST_S = 1.0
"""So long without a stroke is a rest (ours)."""


@dataclass(frozen=True, slots=True)
class LimbFigures:
    """One limb's figures. Grace notes are strokes.

    ``busiest_second`` is the most strokes in any second, ``longest_unrested_s`` the longest time without a rest;
    ``quickest_repeat_ms`` is the shortest time between two strokes on one spot, None where there are none.
    """

    strokes: int
    strokes_a_bar: float
    most_in_a_bar: int
    busiest_second: int
    longest_move_cm: float
    longest_move: str
    quickest_repeat_ms: float | None
    longest_unrested_s: float

    def __str__(self) -> str:
        words = [
            f"{self.strokes_a_bar:g} stroke{'' if self.strokes_a_bar == 1 else 's'} a bar",
            f"{self.busiest_second} in the busiest second",
            f"{self.longest_unrested_s:.1f} s without a rest",
        ]
        if self.longest_move:
            words.append(f"farthest {self.longest_move_cm:.0f} cm ({self.longest_move})")
        if self.quickest_repeat_ms is not None:
            words.append(f"repeats in {self.quickest_repeat_ms:.0f} ms")
        return ", ".join(words)


def figures_of(moments: Moments, limb: Limb, found: Sequence[Demand]) -> LimbFigures:
    """The figures of a limb that plays at least once; ``found`` are its demands."""
    row = moments.by_limb[limb]
    by_bar = Counter({index: 0 for index, each in enumerate(moments.played) if each.span.kind == "bar"})
    for moment in row:
        by_bar[moment.span] += moment.grace or 1
    pairs = [demand for demand in found if demand.middle is None]
    moves = [demand for demand in pairs if demand.need.reach_cm > 0]
    farthest = max(moves, key=lambda demand: demand.need.reach_cm, default=None)
    repeats = [_gap_s(demand) for demand in pairs if demand.need.asked != "move"]
    total = sum(by_bar.values())
    return LimbFigures(
        strokes=total,
        strokes_a_bar=round(total / max(1, len(by_bar)), 2),
        most_in_a_bar=max(by_bar.values()),
        busiest_second=_busiest(row),
        longest_move_cm=round(farthest.need.reach_cm, 1) if farthest else 0.0,
        longest_move=_move_words(farthest, moments) if farthest else "",
        quickest_repeat_ms=round(1000 * min(repeats), 1) if repeats else None,
        longest_unrested_s=round(_unrested(row), 3),
    )


def _gap_s(demand: Demand) -> float:
    return demand.second.begins_s - (demand.first.at_s - demand.first.late_s)


def _move_words(demand: Demand, moments: Moments) -> str:
    first, second = demand.first, demand.second
    bar = moments.played[first.span].span.number
    one, other = voice_words(first.voice.name), voice_words(second.voice.name)
    return f"bar {bar}, {one} on {count_words(first, moments)} to {other} on {count_words(second, moments)}"


def _busiest(row: Sequence[Moment]) -> int:
    """The most strokes within any second, its end not counted."""
    times = sorted(moment.begins_s for moment in row for _ in range(moment.grace or 1))
    most = start = 0
    for end, time_s in enumerate(times):
        while time_s - times[start] >= 1 - 1e-9:
            start += 1
        most = max(most, end - start + 1)
    return most


def _unrested(row: Sequence[Moment]) -> float:
    longest, began = 0.0, row[0].begins_s
    for first, second in pairwise(row):
        if second.begins_s - first.at_s >= REST_S:
            began = second.begins_s
        longest = max(longest, second.at_s - began)
    return longest
