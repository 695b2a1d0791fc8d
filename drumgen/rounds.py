"""Rounds: the spans of a plan, one after the other: counting in, the phrase so often, answers, rests, landings.

A *round* is once through the chosen bars. With a ladder each rung has all its rounds at its own tempo. The pickup is
played once a rung, over the count-in's last bar.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from drumgen.clicks import bar_clicks, count_clicks
from drumgen.layout import lay_out_fresh
from drumgen.spans import Span

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.bar import Bar
    from drumgen.phrase import Phrase
    from drumgen.practice import Practice
    from drumgen.spans import Kind
    from drumgen.tempo import Tempo

Numbered = tuple[int, "Bar"]


class Rounds:
    """The spans of one phrase under practice options; ``remarks`` say what was added or left out."""

    def __init__(self, phrase: Phrase, practice: Practice, chosen: Sequence[Numbered]) -> None:
        self.phrase, self.practice = phrase, practice
        self.remarks: list[str] = []
        self.quarters = phrase.tempo.quarters(phrase.meter)
        self.pickup: Numbered | None = None
        self.body = list(chosen)
        if len(chosen) > 1 and chosen[0][1].role == "pickup":
            self.pickup, self.body = chosen[0], list(chosen[1:])
        if self.pickup and practice.loop:
            self.remarks.append(f'the pickup "{self.pickup[1].name}" is left out of the loop')
            self.pickup = None

    def spans(self) -> list[Span]:
        """All spans in order, each at its place."""
        rungs = self.practice.rungs or (self.practice.tempo,)
        spans = [span for rung, tempo in enumerate(rungs) for span in self._rung(rung, self._factor(tempo))]
        spans = self._landed(spans)
        if not self.practice.loop and not self.practice.count_in and _begins_with_grace(self.phrase, spans[0]):
            spans.insert(0, _silent(spans[0], "empty"))
            self.remarks.append("an empty bar stands in front, for the grace notes before the first downbeat")
        return _placed(self._clicked(spans))

    def _factor(self, tempo: Tempo | None) -> Fraction:
        """By how much all tempos are scaled."""
        if tempo is None:
            return Fraction(1)
        meter = self.phrase.meter
        if not tempo.unit and meter.tempo_grains is None:
            tempo = replace(tempo, unit=self.phrase.tempo.unit)
        return tempo.quarters(meter)[0] / self.quarters[0]

    def _rung(self, rung: int, factor: Fraction) -> list[Span]:
        practice = self.practice
        spans = self._lead_in(rung, factor)
        bars: list[Span] = []
        for turn in range(practice.times):
            if practice.rest and turn and turn % practice.rest[1] == 0:
                bars += [_silent(bars[-1], "rest")] * practice.rest[0]
            bars += [self._bar(bar, number, rung * practice.times + turn, factor) for number, bar in self.body]
        return [*spans, *(self._answered(bars) if practice.answer else bars)]

    def _bar(self, bar: Bar, number: int, turn: int, factor: Fraction) -> Span:
        quarters = bar.tempo.quarters(bar.meter) if bar.tempo else self.quarters
        if factor != 1:
            quarters = (quarters[0] * factor, quarters[1] * factor)
        return Span("bar", 0, bar.meter, quarters, bar.feel, bar, number, turn)

    def _lead_in(self, rung: int, factor: Fraction) -> list[Span]:
        """The count-in, in the first bar's meter and tempo, with the pickup lying over its last bar."""
        number, first = self.pickup or self.body[0]
        played = self._bar(first, number, rung * self.practice.times, factor)
        counted = replace(_silent(played, "count-in"), clicks=count_clicks(played.meter))
        spans = [counted] * self.practice.count_in
        if self.pickup:
            spans[-1:] = [replace(played, clicks=counted.clicks if spans else ())]
        return spans

    def _answered(self, bars: Sequence[Span]) -> Iterable[Span]:
        """The bars, and after every so many as many silent ones for the player to answer in."""
        number = self.practice.answer
        for start in range(0, len(bars), number):
            asked = bars[start : start + number]
            yield from asked
            yield from (_silent(span, "answer") for span in asked)

    def _landed(self, spans: Sequence[Span]) -> list[Span]:
        """The spans with the landing after each fill or pickup.

        It falls on the next downbeat unless that bar is itself a fill; where nothing follows, or a count-in does, a
        full bar is added for it. In a loop it falls on the loop's first downbeat.
        """
        landed: list[Span] = []
        for index, span in enumerate(spans):
            landed.append(self._with_landing(span, spans[index - 1] if index or self.practice.loop else None))
            following = spans[index + 1] if index + 1 < len(spans) else None
            ends = following is None and not self.practice.loop
            if span.lands and (ends or (following is not None and following.kind == "count-in")):
                landed.append(self._landing_bar(span))
        return landed

    def _with_landing(self, span: Span, before: Span | None) -> Span:
        if before is None or not before.lands or span.kind == "count-in":
            return span
        fills = span.kind == "bar" and span.bar is not None and span.bar.role == "fill"
        return span if fills else replace(span, landing=before.lands)

    def _landing_bar(self, fill: Span) -> Span:
        assert fill.bar is not None  # noqa: S101 - only a bar of the phrase wants a landing
        own = self._bar(fill.bar, fill.number, fill.pass_number, Fraction(1)).quarters[0]
        usual = self.quarters[0] * (fill.quarters[0] / own)
        return replace(
            fill,
            kind="landing",
            number=fill.number + 1,
            landing=fill.lands,
            quarters=(usual, usual),
            clicks=(),
        )

    def _clicked(self, spans: Iterable[Span]) -> Iterable[Span]:
        """The spans with their clicks; the gap counts every bar but those counted in."""
        practice = self.practice
        counted = 0
        for span in spans:
            if practice.click is None or span.clicks:
                yield span
                continue
            on, off = practice.gap or (1, 0)
            sounding = counted % (on + off) < on
            counted += 1
            yield replace(span, clicks=bar_clicks(practice.click, span.meter)) if sounding else span


def _silent(span: Span, kind: Kind) -> Span:
    """A silent bar in the meter of another, in the tempo that it begins with."""
    steady = (span.quarters[0], span.quarters[0])
    return replace(span, kind=kind, bar=None, number=0, landing=(), quarters=steady, clicks=())


def _begins_with_grace(phrase: Phrase, span: Span) -> bool:
    strokes = lay_out_fresh(span.bar, phrase.kit).strokes if span.bar else ()
    return any(stroke.place == 0 and stroke.grace for stroke in strokes)


def _placed(spans: Iterable[Span]) -> list[Span]:
    placed, start = [], 0
    for span in spans:
        placed.append(replace(span, start=start))
        start += span.meter.grains
    return placed
