"""Concerns: what a drummer would stumble over in a phrase, beside its top tempo."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from drumgen.kit import FOOT_OF
from drumgen.study.crossing import crossed
from drumgen.study.demands import in_a_row
from drumgen.study.figures import REST_S
from drumgen.study.moments import HANDS, LIMBS
from drumgen.study.words import count_words, demand_words, limb_words, voice_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from drumgen.sticking import Limb
    from drumgen.study.demands import Asked
    from drumgen.study.moments import Moment, Moments, Placed

Kind = Literal[
    "two voices at once",
    "wrong limb",
    "hi-hat foot under a hi-hat stroke",
    "crossed hands",
    "three in a row",
    "far grace note",
    "hurried grace note",
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


def concerns_of(moments: Moments, found: Iterable[Asked]) -> tuple[Concern, ...]:
    """The concerns of a plan, in the order of its bars; alike ones are told once. ``found`` is what it asks for."""
    rows = [*_at_once(moments), *_wrong_limbs(moments), *_under_hihat(moments), *_crossings(moments)]
    rows += _too_fast(moments, found)
    told: dict[tuple[object, ...], tuple[int, Concern]] = {}
    for span, alike, concern in rows:
        bar = moments.played[span].span.bar
        key = (concern.kind, bar.name if bar else "", alike)
        if key not in told:
            told[key] = (span, concern)
        else:
            first, known = told[key]
            told[key] = (first, replace(known, times=known.times + concern.times))
    return tuple(concern for _, concern in sorted(told.values(), key=lambda each: each[0]))


_Row = tuple[int, str, Concern]
"""Where a concern stands (its span), what it has in common with those that are alike, and the concern."""


def _concern(kind: Kind, moment: Moment, moments: Moments, words: str, times: int) -> _Row:
    number, count = moments.played[moment.span].span.number, count_words(moment, moments)
    where = f"bar {number}, on {count}: {words}"
    return moment.span, words, Concern(kind, number, count, moment.limb, where, times)


def _at_once(moments: Moments) -> Iterator[_Row]:
    for span, times in moments.shown.items():
        for limb in LIMBS:
            for first, second in pairwise(moments.of(span, limb)):
                if first.at_s == second.at_s:
                    one, other = voice_words(first.voice.name), voice_words(second.voice.name)
                    words = f"the {limb_words(first.limb)} is asked for {one} and {other} at once"
                    yield _concern("two voices at once", first, moments, words, times)


def _wrong_limbs(moments: Moments) -> Iterator[_Row]:
    for span, times in moments.shown.items():
        for moment in moments.of(span, *LIMBS):
            played_by = FOOT_OF.get(moment.voice.limb, "hand")
            if played_by != (moment.limb if moment.limb in ("K", "H") else "hand"):
                words = f"the {limb_words(moment.limb)} cannot play {voice_words(moment.voice.name)}"
                yield _concern("wrong limb", moment, moments, words, times)


def _under_hihat(moments: Moments) -> Iterator[_Row]:
    """The hi-hat foot on a place where a hand strikes what that foot moves: voices of one choke group."""
    for span, times in moments.shown.items():
        struck = {(moment.place, moment.voice.choke) for moment in moments.of(span, "R", "L") if moment.voice.choke}
        for moment in moments.of(span, "H"):
            if (moment.place, moment.voice.choke) in struck:
                words = "the hi-hat foot closes the hi-hat as a hand strikes it"
                yield _concern("hi-hat foot under a hi-hat stroke", moment, moments, words, times)


def _crossings(moments: Moments) -> Iterator[_Row]:
    """What crosses in a span hangs on how it is played and on where the hands were: looked at once for each."""
    found: dict[tuple[object, ...], list[tuple[Moment, str]]] = {}
    times: Counter[tuple[object, ...]] = Counter()
    last: dict[Limb, Placed] = {}
    for span, timed in enumerate(moments.timed):
        key = (timed, *(moments.since(last.get(hand), span) for hand in HANDS))
        if key not in found:
            found[key] = list(_crossed_in(moments, span, [moments.placed(*each) for each in last.values()]))
        times[key] += 1
        last |= {hand: (span, timed.by_limb[hand][-1]) for hand in HANDS if timed.by_limb[hand]}
    for key, row in found.items():
        yield from (_concern("crossed hands", moment, moments, words, times[key]) for moment, words in row)


def _crossed_in(moments: Moments, span: int, before: Iterable[Moment]) -> Iterator[tuple[Moment, str]]:
    last = {moment.limb: moment for moment in before}
    for moment in sorted(moments.of(span, *HANDS), key=lambda each: each.order):
        last[moment.limb] = moment
        right, left = last.get("R"), last.get("L")
        if right is None or left is None or abs(right.at_s - left.at_s) >= REST_S:
            continue
        if crossed(right.voice, left.voice):
            one, other = voice_words(right.voice.name), voice_words(left.voice.name)
            yield moment, f"the hands cross, the right on {one} and the left on {other}"


_TOO: dict[Kind, str] = {
    "three in a row": "too fast at this tempo",
    "far grace note": "the hand is still far away",
    "hurried grace note": "no time for it at this tempo",
}


def _too_fast(moments: Moments, found: Iterable[Asked]) -> Iterator[_Row]:
    for demand, times in found:
        if demand.is_met:
            continue
        three = in_a_row(demand, moments)
        if not three and (demand.middle or not demand.second.grace):
            continue
        far = demand.need.asked == "move" and demand.need.sets
        kind: Kind = "three in a row" if three else "far grace note" if far else "hurried grace note"
        number, count = moments.played[demand.first.span].span.number, count_words(demand.first, moments)
        words = demand_words(demand, moments)
        alike = f"{demand.first.limb} {demand.first.voice.name} {demand.second.voice.name}"
        yield demand.first.span, alike, Concern(kind, number, count, demand.first.limb, f"{words}: {_TOO[kind]}", times)
