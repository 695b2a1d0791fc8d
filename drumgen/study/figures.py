"""Figures: what a phrase asks of one limb, in numbers, at the tempo it is played at."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.study.words import count_words, voice_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.sticking import Limb
    from drumgen.study.demands import Asked, Demand
    from drumgen.study.moments import Moment, Moments

REST_S = 1.0
"""So long without a stroke is a rest (ours)."""


@dataclass(frozen=True, slots=True)
class LimbFigures:
    """One limb's figures. Grace notes are strokes.

    ``busiest_second`` is the most strokes in any second, ``longest_unrested_s`` the longest time without a rest;
    ``quickest_repeat_ms`` is the shortest time between two strokes on one spot, None where there are none; where
    a drag would have to begin before the stroke before it, it is below 0.
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
            f"{amount(self.strokes_a_bar, 'stroke')} a bar",
            f"{self.busiest_second} in the busiest second",
            f"{self.longest_unrested_s:.1f} s without a rest",
        ]
        if self.longest_move:
            words.append(f"farthest {self.longest_move_cm:.0f} cm ({self.longest_move})")
        if self.quickest_repeat_ms is not None:
            ms = self.quickest_repeat_ms
            words.append(f"repeats in {ms:.0f} ms" if ms > 0 else "repeats with no time between")
        return ", ".join(words)


def figures_of(moments: Moments, limb: Limb, found: Sequence[Asked]) -> LimbFigures:
    """The figures of a limb that plays at least once; ``found`` is what it is asked for."""
    strokes = {timed: sum(each.grace or 1 for each in timed.by_limb[limb]) for timed in dict.fromkeys(moments.timed)}
    in_bars = [
        strokes[timed]
        for timed, (span, _) in zip(moments.timed, moments.played, strict=True)
        if strokes[timed] or span.kind == "bar"
    ]
    pairs = [demand for demand, _ in found if demand.middle is None]
    moves = [demand for demand in pairs if demand.need.reach_cm > 0]
    farthest = max(moves, key=lambda demand: demand.need.reach_cm, default=None)
    repeats = [_gap_s(demand) for demand in pairs if demand.need.asked != "move"]
    return LimbFigures(
        strokes=sum(in_bars),
        strokes_a_bar=round(sum(in_bars) / len(in_bars), 2),
        most_in_a_bar=max(in_bars),
        busiest_second=_busiest(moments, limb),
        longest_move_cm=round(farthest.need.reach_cm, 1) if farthest else 0.0,
        longest_move=_move_words(farthest, moments) if farthest else "",
        quickest_repeat_ms=round(1000 * min(repeats), 1) if repeats else None,
        longest_unrested_s=round(_unrested(moments, limb), 3),
    )


def _gap_s(demand: Demand) -> float:
    return demand.second.begins_s - (demand.first.at_s - demand.first.late_s)


def _move_words(demand: Demand, moments: Moments) -> str:
    first, second = demand.first, demand.second
    bar = moments.played[first.span].span.number
    one, other = voice_words(first.voice.name), voice_words(second.voice.name)
    return f"bar {bar}, {one} on {count_words(first, moments)} to {other} on {count_words(second, moments)}"


def _busiest(moments: Moments, limb: Limb) -> int:
    """The most strokes within any second, its end not counted; spans with the same around them are looked at once."""
    timed, starts_s = moments.timed, [*moments.starts_s, moments.end_s]
    early_s = max(each.early_s for one in dict.fromkeys(timed) for each in one.by_limb[limb])
    most, low, high = 0, 0, 0
    seen: set[tuple[object, ...]] = set()
    for span in range(len(timed)):
        while starts_s[low + 1] <= starts_s[span] - early_s:
            low += 1
        while high < len(timed) and starts_s[high] - early_s < starts_s[span + 1] + 1:
            high += 1
        key = (span - low, *timed[low:high])
        if timed[span].by_limb[limb] and key not in seen:
            seen.add(key)
            most = max(most, _most_from(moments, limb, span, range(low, high)))
    return most


def _most_from(moments: Moments, limb: Limb, span: int, around: range) -> int:
    """The most strokes within a second that begins with a stroke of one span."""
    begin_s = {at: [each.begins_s for each in moments.of(at, limb) for _ in range(each.grace or 1)] for at in around}
    all_s = sorted(each for row in begin_s.values() for each in row)
    return max(bisect_left(all_s, first_s + 1 - 1e-9) - bisect_left(all_s, first_s) for first_s in begin_s[span])


def _unrested(moments: Moments, limb: Limb) -> float:
    runs = {timed: _runs(timed.by_limb[limb]) for timed in dict.fromkeys(moments.timed)}
    longest = began = 0.0
    last = -inf
    for start_s, timed in zip(moments.starts_s, moments.timed, strict=True):
        for begins_s, ends_s in runs[timed]:
            if start_s + begins_s - last >= REST_S:
                began = start_s + begins_s
            last = start_s + ends_s
            longest = max(longest, last - began)
    return longest


def _runs(row: Sequence[Moment]) -> list[tuple[float, float]]:
    """Where each run of strokes without a rest begins and ends."""
    runs: list[tuple[float, float]] = []
    for moment in row:
        rested = not runs or moment.begins_s - runs[-1][1] >= REST_S
        runs = [*runs, (moment.begins_s, moment.at_s)] if rested else [*runs[:-1], (runs[-1][0], moment.at_s)]
    return runs
