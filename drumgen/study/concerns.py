"""Concerns: what a drummer would stumble over in a phrase, beside its top tempo.

Hands *cross* where the right one strikes well to the left of the left one, seen from the seat: by `CROSSED_DEGREES` and
`CROSSED_CM` (both ours). Right over left at the hi-hat, and its mirror image, is how a kit is played, and no concern.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import merge
from itertools import pairwise
from math import atan2, degrees
from typing import TYPE_CHECKING, Literal

from drumgen.kit import FOOT_OF
from drumgen.study.figures import REST_S
from drumgen.study.words import count_words, demand_words, in_a_row, limb_words, voice_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.kit import Voice
    from drumgen.plan import Plan
    from drumgen.study.demands import Demand
    from drumgen.study.moments import Moment, Moments

CROSSED_DEGREES = 15.0
CROSSED_CM = 15.0

Kind = Literal[
    "two voices at once",
    "wrong limb",
    "hi-hat foot under a hi-hat stroke",
    "crossed hands",
    "three in a row",
    "far grace note",
]


@dataclass(frozen=True, slots=True)
class Concern:
    """One thing a drummer stumbles over: where it is first met, in words, and how often it comes."""

    kind: Kind
    bar: int
    count: str
    limb: str
    words: str
    times: int = 1

    def __str__(self) -> str:
        return self.words if self.times == 1 else f"{self.words} ({self.times} times)"


def concerns_of(plan: Plan, moments: Moments, found: Sequence[Demand]) -> tuple[Concern, ...]:
    """The concerns of a plan, in the order of its bars; alike ones are told once. ``found`` are its demands."""
    rows = [*_at_once(moments), *_wrong_limbs(moments), *_under_hihat(moments), *_crossings(moments)]
    rows += _too_fast(plan, moments, found)
    told: dict[tuple[object, ...], tuple[int, Concern]] = {}
    for span, alike, concern in rows:
        bar = moments.played[span].span.bar
        key = (concern.kind, bar.name if bar else "", alike)
        first, known = told.get(key, (span, concern))
        times = known.times + (key in told)
        told[key] = (first, Concern(known.kind, known.bar, known.count, known.limb, known.words, times))
    return tuple(concern for _, concern in sorted(told.values(), key=lambda each: each[0]))


_Row = tuple[int, str, Concern]
"""Where a concern stands (its span), what it has in common with those that are alike, and the concern."""


def _concern(kind: Kind, moment: Moment, moments: Moments, words: str) -> _Row:
    number, count = moments.played[moment.span].span.number, count_words(moment, moments)
    where = f"bar {number}, on {count}: {words}"
    return moment.span, words, Concern(kind, number, count, moment.limb, where)


def _at_once(moments: Moments) -> Iterator[_Row]:
    for row in moments.by_limb.values():
        for first, second in pairwise(row):
            if first.at_s == second.at_s:
                one, other = voice_words(first.voice.name), voice_words(second.voice.name)
                words = f"the {limb_words(first.limb)} is asked for {one} and {other} at once"
                yield _concern("two voices at once", first, moments, words)


def _wrong_limbs(moments: Moments) -> Iterator[_Row]:
    for row in moments.by_limb.values():
        for moment in row:
            played_by = moment.voice.limb
            if FOOT_OF.get(played_by, "hand") != (moment.limb if moment.limb in ("K", "H") else "hand"):
                words = f"the {limb_words(moment.limb)} cannot play {voice_words(moment.voice.name)}"
                yield _concern("wrong limb", moment, moments, words)


def _under_hihat(moments: Moments) -> Iterator[_Row]:
    """The hi-hat foot on a place where a hand strikes what that foot moves: voices of one choke group."""
    struck = {
        (moment.span, moment.place, moment.voice.choke)
        for hand in ("R", "L")
        for moment in moments.by_limb[hand]
        if moment.voice.choke
    }
    for moment in moments.by_limb["H"]:
        if (moment.span, moment.place, moment.voice.choke) in struck:
            words = "the hi-hat foot closes the hi-hat as a hand strikes it"
            yield _concern("hi-hat foot under a hi-hat stroke", moment, moments, words)


def azimuth(voice: Voice) -> float:
    """The direction of a voice seen from the seat, in degrees: to the right is more."""
    return degrees(atan2(voice.x_cm, voice.y_cm))


def crossed(right: Voice, left: Voice) -> bool:
    """Whether the hands are crossed with the right one on ``right`` and the left one on ``left``."""
    if "hi-hat" in (right.choke, left.choke) or "hihat" in (right.name, left.name):
        return False
    return azimuth(left) - azimuth(right) > CROSSED_DEGREES and left.x_cm - right.x_cm > CROSSED_CM


def _in_time(moment: Moment) -> tuple[float, bool]:
    return moment.at_s, moment.grace == 0


def _crossings(moments: Moments) -> Iterator[_Row]:
    last: dict[str, Moment] = {}
    for moment in merge(moments.by_limb["R"], moments.by_limb["L"], key=_in_time):
        last[moment.limb] = moment
        right, left = last.get("R"), last.get("L")
        if right is None or left is None or abs(right.at_s - left.at_s) >= REST_S:
            continue
        if crossed(right.voice, left.voice):
            one, other = voice_words(right.voice.name), voice_words(left.voice.name)
            words = f"the hands cross, the right on {one} and the left on {other}"
            yield _concern("crossed hands", moment, moments, words)


def _too_fast(plan: Plan, moments: Moments, found: Sequence[Demand]) -> Iterator[_Row]:
    for demand in found:
        if demand.factor >= 1 - 1e-9:
            continue
        three = in_a_row(demand, moments)
        if not three and (demand.middle or not demand.second.grace):
            continue
        kind: Kind = "three in a row" if three else "far grace note"
        number, count = moments.played[demand.first.span].span.number, count_words(demand.first, moments)
        words = demand_words(demand, moments, plan.grains)
        too = "too fast at this tempo" if three else "the hand is still far away"
        alike = f"{demand.first.limb} {demand.first.voice.name} {demand.second.voice.name}"
        yield demand.first.span, alike, Concern(kind, number, count, demand.first.limb, f"{words}: {too}")
