"""Moments: when each limb strikes where, in seconds at the tempo of a plan, swing and changing tempos included.

A grace note is a moment of the hand that plays it. It keeps the place of the stroke it hangs before; ``early_s`` says
how long before that its gesture begins, and ``late_s`` how long before it the last of its notes is struck.
"""

from __future__ import annotations

from collections import Counter
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from drumgen.feel import swung
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sticking import OTHER_HAND
from drumgen.strokes import strokes
from drumgen.tempo_map import TempoMap

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.kit import Voice
    from drumgen.layout import Stroke
    from drumgen.plan import Plan
    from drumgen.spans import Span
    from drumgen.sticking import Limb
    from drumgen.strokes import Played


HANDS: tuple[Limb, ...] = ("R", "L")
LIMBS: tuple[Limb, ...] = (*HANDS, "K", "H")


class Moment(NamedTuple):
    """One stroke of a limb, or the grace notes of one: ``number`` is the stroke's in its bar's layout."""

    at_s: float
    place: int
    limb: Limb
    voice: Voice
    accented: bool
    buzz: bool
    grace: int
    early_s: float
    late_s: float
    span: int
    number: int

    @property
    def begins_s(self) -> float:
        """When it begins to sound."""
        return self.at_s - self.early_s

    @property
    def order(self) -> tuple[float, bool]:
        """By which moments stand in order: grace notes before the stroke at their place."""
        return self.at_s, self.grace == 0


class Timed:
    """The moments of a span by limb, each in the order of their places, in seconds from its start; and how long it is.

    Spans that are played alike share one.
    """

    __slots__ = ("by_limb", "seconds")

    def __init__(self, by_limb: dict[Limb, tuple[Moment, ...]], seconds: float) -> None:
        self.by_limb, self.seconds = by_limb, seconds


Placed = tuple[int, Moment]
"""The number of a span, and one of its moments, counted from its start."""


class Moments:
    """All moments of a plan: its spans, what is struck in each, and when each begins and all ends."""

    def __init__(self, played: Sequence[Played], timed: Sequence[Timed]) -> None:
        self.played, self.timed = played, timed
        self.starts_s: list[float] = []
        self.end_s = 0.0
        for each in timed:
            self.starts_s.append(self.end_s)
            self.end_s += each.seconds

    @property
    def grains(self) -> int:
        """The length of the whole."""
        last = self.played[-1].span
        return last.start + last.meter.grains

    def begins_s(self, number: int) -> float:
        """When the span of that number begins; past the last one it is those of a loop's next round."""
        turn, span = divmod(number, len(self.timed))
        return self.starts_s[span] + turn * self.end_s

    @property
    def shown(self) -> dict[int, int]:
        """The first span of each way in which spans are played, and how many are played so."""
        first = {timed: span for span, timed in reversed(list(enumerate(self.timed)))}
        times = Counter(self.timed)
        return {span: times[timed] for timed, span in sorted(first.items(), key=lambda each: each[1])}

    def since(self, placed: Placed | None, span: int) -> tuple[object, ...]:
        """What tells a stroke before a span from others: which one it is, and how long before."""
        if placed is None:
            return ()
        number, moment = placed
        ago_s = self.starts_s[span] - self.starts_s[number] - moment.at_s
        return self.timed[number], moment.number, round(ago_s, 9)

    def placed(self, number: int, moment: Moment) -> Moment:
        """A moment of the span of that number, in seconds from the start of all."""
        return moment._replace(at_s=self.begins_s(number) + moment.at_s, span=number % len(self.timed))

    def of(self, number: int, *limbs: Limb) -> list[Moment]:
        """The moments of some limbs in the span of that number, limb by limb."""
        timed = self.timed[number % len(self.timed)]
        return [self.placed(number, each) for limb in limbs for each in timed.by_limb[limb]]

    @cached_property
    def by_limb(self) -> dict[Limb, tuple[Moment, ...]]:
        """Every moment by limb, in order."""
        spans = range(len(self.timed))
        return {limb: tuple(each for span in spans for each in self.of(span, limb)) for limb in LIMBS}

    def grains_between(self, first: Moment, second: Moment) -> int:
        """The written length between two moments, of which the second may be in a loop's next round."""
        start, end = (self.played[each.span].span.start + each.place for each in (first, second))
        return end - start if end > start else end - start + self.grains

    def silent(self, limb: Limb, first: Moment, second: Moment) -> bool:
        """Whether a limb does nothing from one moment until a later one, which may be in a loop's next round."""
        number = first.span
        while self.begins_s(number) < second.at_s:
            if any(first.at_s <= each.at_s < second.at_s for each in self.of(number, limb)):
                return False
            number += 1
        return True


def moments_of(plan: Plan) -> Moments:
    """The moments of a plan. Silenced limbs and voices are played all the same: only the sound leaves them out."""
    played = strokes(plan)
    known: dict[tuple[int, ...], Timed] = {}
    timed: list[Timed] = []
    for index, (each, steps) in enumerate(zip(played, TempoMap(plan).steps, strict=True)):
        span = each.span
        key = (id(each.laid), id(steps), id(span.feel), id(span.meter))  # all of which the plan keeps
        if key not in known:
            known[key] = _timed(each, index, _Clock(span, steps), plan)
        timed.append(known[key])
    return Moments(played, timed)


class _Clock:
    """The seconds of one span: exact where its tempo is steady, in the tempo map's steps where it changes."""

    def __init__(self, span: Span, steps: tuple[tuple[int, int], ...]) -> None:
        self.steps: list[tuple[int, float, float]] = []
        first, last = span.quarters
        if first == last:
            self.steps.append((0, 0.0, float(60 / (first * GRAINS_PER_QUARTER))))
            return
        for grains, us in steps:
            at_s = self.at(grains, 1) if self.steps else 0.0
            self.steps.append((grains, at_s, us / (1_000_000 * GRAINS_PER_QUARTER)))

    def at(self, above: int, below: int) -> float:
        """The second of a place of ``above / below`` grains from the span's start."""
        grains, at_s, seconds = next(step for step in reversed(self.steps) if step[0] * below <= above)
        return at_s + (above - grains * below) / below * seconds


def _timed(played: Played, index: int, clock: _Clock, plan: Plan) -> Timed:
    by_limb: dict[Limb, list[Moment]] = {limb: [] for limb in LIMBS}
    for moment in _of_span(played, index, clock, plan):
        by_limb[moment.limb].append(moment)
    rows = {limb: tuple(sorted(row, key=lambda each: each.order)) for limb, row in by_limb.items()}
    return Timed(rows, clock.at(played.span.meter.grains, 1))


def _of_span(played: Played, index: int, clock: _Clock, plan: Plan) -> Iterator[Moment]:
    span, laid = played
    swing = span.feel.swing
    moved = swing.long != swing.short
    for number, stroke in enumerate(laid.strokes):
        exact = swung(stroke.place, swing=swing, meter=span.meter) if moved and stroke.straight else (stroke.place, 1)
        at_s = clock.at(*exact)
        voice = plan.phrase.kit.voice(stroke.voice)
        accented = stroke.level == "accent"
        if stroke.grace:
            yield _grace(stroke, at_s, index, number, span, plan)
        yield Moment(at_s, stroke.place, stroke.limb, voice, accented, stroke.buzz, 0, 0.0, 0.0, index, number)


def _grace(stroke: Stroke, at_s: float, index: int, number: int, span: Span, plan: Plan) -> Moment:
    gap_s = (span.feel.flam_ms if stroke.grace == 1 else span.feel.drag_ms) / 1000
    voice = plan.phrase.kit.voice(stroke.grace_voice)
    hand = OTHER_HAND[stroke.limb]
    early_s = gap_s * stroke.grace
    return Moment(at_s, stroke.place, hand, voice, False, False, stroke.grace, early_s, gap_s, index, number)  # noqa: FBT003
