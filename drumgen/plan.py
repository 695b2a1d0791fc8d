"""Plans: a phrase arranged for playing — its passes, count-in, landings and loop — in whole grains.

``arrange`` decides what sounds how often; it knows no milliseconds and no ticks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.layout import lay_out_fresh
from drumgen.phrase import MOST_BARS
from drumgen.practice import LIMB_WORDS, Practice

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.bar import Bar
    from drumgen.feel import Feel
    from drumgen.meter import Meter
    from drumgen.phrase import Phrase
    from drumgen.sticking import Limb
    from drumgen.tempo import Tempo

Kind = Literal["bar", "landing", "count-in", "empty"]


class Click(NamedTuple):
    """One click: its place in grains from the bar's start, and whether it is the marked one."""

    place: int
    accented: bool


@dataclass(frozen=True, slots=True)
class Span:
    """One bar of a plan: where it starts, in what meter and tempo (quarters a minute, at its start and its end).

    ``landing`` names the voices struck on its downbeat after a fill; ``number`` is the bar's number in the phrase.
    """

    kind: Kind
    start: int
    meter: Meter
    quarters: tuple[Fraction, Fraction]
    feel: Feel
    bar: Bar | None = None
    number: int = 0
    pass_number: int = 0
    landing: tuple[str, ...] = ()
    clicks: tuple[Click, ...] = ()

    @property
    def label(self) -> str:
        """Its role and name, as a marker says them."""
        return f"{self.bar.role} {self.bar.name}" if self.kind == "bar" and self.bar else self.kind


@dataclass(frozen=True, slots=True)
class Plan:
    """What is played: spans one after the other, with some limbs and voices silent; ``remarks`` say what was added."""

    phrase: Phrase
    spans: tuple[Span, ...]
    loop: bool = False
    silent_limbs: frozenset[Limb] = frozenset()
    silent_voices: frozenset[str] = frozenset()
    remarks: tuple[str, ...] = ()

    @property
    def grains(self) -> int:
        """The length of the whole."""
        last = self.spans[-1]
        return last.start + last.meter.grains


def arrange(phrase: Phrase, practice: Practice | None = None) -> Plan:
    """The plan of a phrase under practice options (its own, unless others are given).

    Raises DrumgenError where the options ask for bars, limbs or voices that the phrase does not have.
    """
    practice = practice or phrase.practice
    chosen = _chosen(phrase, practice)
    limbs = frozenset(practice.limbs)
    silent = frozenset(limb for limb in LIMB_WORDS["hands"] + LIMB_WORDS["feet"] if limbs and limb not in limbs)
    spans, remarks = _passes(phrase, practice, chosen)
    voices = frozenset(phrase.kit.voice(name).name for name in practice.mute)
    return Plan(phrase, _placed(spans), practice.loop, silent, voices, tuple(remarks))


def _chosen(phrase: Phrase, practice: Practice) -> list[tuple[int, Bar]]:
    """The bars that are played, with their numbers."""
    numbered = [(number, phrase.bars[name]) for number, name in enumerate(phrase.order, start=phrase.first_number)]
    if practice.bars:
        highest = numbered[-1][0]
        for first, last in practice.bars:
            if not phrase.first_number <= first <= last <= highest:
                rule = f"bars from {phrase.first_number} to {highest}"
                raise DrumgenError(Fault(rule, got=f"{first}-{last}" if first != last else str(first), path=("bars",)))
        numbered = [(n, bar) for n, bar in numbered if any(first <= n <= last for first, last in practice.bars)]
    if practice.only:
        known = {bar.name for _, bar in numbered} | {bar.role for _, bar in numbered}
        if practice.only not in known:
            hint = nearest(practice.only, known)
            rule = f"the name or role of a bar that is played ({', '.join(sorted(known))})"
            raise DrumgenError(Fault(rule, got=f'"{practice.only}"', nearest=hint, path=("only",)))
        numbered = [(n, bar) for n, bar in numbered if practice.only in (bar.name, bar.role)]
    if practice.times * len(numbered) > MOST_BARS:
        rule = f"at most {MOST_BARS} bars"
        raise DrumgenError(Fault(rule, got=str(practice.times * len(numbered)), path=("times",)))
    return numbered


def _passes(phrase: Phrase, practice: Practice, chosen: list[tuple[int, Bar]]) -> tuple[list[Span], list[str]]:
    """All spans in order, not yet placed, and what was added or left out."""
    remarks: list[str] = []
    pickup = chosen[0] if chosen[0][1].role == "pickup" else None
    body = chosen[1:] if pickup and len(chosen) > 1 else chosen
    if pickup and body is chosen:
        pickup = None
    if pickup and practice.loop:
        remarks.append(f'the pickup "{pickup[1].name}" is left out of the loop')
        pickup = None
    factor = _factor(phrase, practice.tempo)
    spans = _lead_in(phrase, practice, factor, pickup, body[0][1])
    for pass_number in range(practice.times):
        spans += [_span(phrase, bar, number, pass_number, factor) for number, bar in body]
    spans = _landed(phrase, spans, factor, loop=practice.loop)
    if not practice.loop and not practice.count_in and _begins_with_grace(phrase, spans[0]):
        first = spans[0]
        spans.insert(0, replace(first, kind="empty", bar=None, number=0, landing=(), quarters=(first.quarters[0],) * 2))
        remarks.append("an empty bar stands in front, for the grace notes before the first downbeat")
    return spans, remarks


def _factor(phrase: Phrase, tempo: Tempo | None) -> Fraction:
    """By how much all tempos are scaled."""
    if tempo is None:
        return Fraction(1)
    if not tempo.unit and phrase.meter.tempo_grains is None:
        tempo = replace(tempo, unit=phrase.tempo.unit)
    return tempo.quarters(phrase.meter)[0] / phrase.tempo.quarters(phrase.meter)[0]


def _span(phrase: Phrase, bar: Bar, number: int, pass_number: int, factor: Fraction) -> Span:
    quarters = bar.tempo.quarters(bar.meter) if bar.tempo else phrase.tempo.quarters(phrase.meter)
    if factor != 1:
        quarters = (quarters[0] * factor, quarters[1] * factor)
    return Span("bar", 0, bar.meter, quarters, bar.feel, bar, number, pass_number)


def _lead_in(
    phrase: Phrase, practice: Practice, factor: Fraction, pickup: tuple[int, Bar] | None, first: Bar
) -> list[Span]:
    """The count-in, in the first bar's meter and tempo, with a pickup lying over its last bar."""
    model = _span(phrase, pickup[1] if pickup else first, 0, 0, factor)
    quarters = (model.quarters[0], model.quarters[0])
    counted = replace(model, kind="count-in", bar=None, number=0, quarters=quarters, clicks=count_clicks(model.meter))
    spans = [counted] * practice.count_in
    if pickup:
        played = _span(phrase, pickup[1], pickup[0], 0, factor)
        clicks = counted.clicks if spans else ()
        spans[-1:] = [replace(played, clicks=clicks)]
    return spans


def count_clicks(meter: Meter) -> tuple[Click, ...]:
    """One click a count, the first of the bar marked, and of each beat where a beat holds several counts."""
    starts = {beat.start for beat in meter.beats} if len(meter.beats) < len(meter.counts) else {0}
    return tuple(Click(count.start, count.start in starts) for count in meter.counts)


def _landed(phrase: Phrase, spans: Sequence[Span], factor: Fraction, *, loop: bool) -> list[Span]:
    """The spans with the landing after each fill or pickup; after the last a full bar is added for it."""
    landed = list(spans)
    for index, span in enumerate(spans):
        if span.bar is None or span.bar.role == "groove" or not span.bar.landing:
            continue
        if index + 1 < len(spans) or loop:
            target = (index + 1) % len(spans)
            after = spans[target].bar
            if after is not None and after.role != "fill":
                landed[target] = replace(landed[target], landing=span.bar.landing)
        else:
            quarters = phrase.tempo.quarters(phrase.meter)[0] * factor
            landed.append(
                replace(
                    span,
                    kind="landing",
                    number=span.number + 1,
                    landing=span.bar.landing,
                    quarters=(quarters, quarters),
                    clicks=(),
                )
            )
    return landed


def _begins_with_grace(phrase: Phrase, span: Span) -> bool:
    if span.bar is None:
        return False
    strokes = lay_out_fresh(span.bar, phrase.kit).strokes
    return any(stroke.place == 0 and stroke.grace for stroke in strokes)


def _placed(spans: list[Span]) -> tuple[Span, ...]:
    placed, start = [], 0
    for span in spans:
        placed.append(replace(span, start=start))
        start += span.meter.grains
    return tuple(placed)
