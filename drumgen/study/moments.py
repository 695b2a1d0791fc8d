"""Moments: when each limb strikes where, in seconds at the tempo of a plan, swing and changing tempos included.

A grace note is a moment of the hand that plays it. It keeps the place of the stroke it hangs before; ``early_s`` says
how long before that its gesture begins, and ``late_s`` how long before it the last of its notes is struck.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.feel import swung
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sticking import OTHER_HAND
from drumgen.strokes import strokes
from drumgen.tempo_map import TempoMap

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.kit import Voice
    from drumgen.layout import Stroke
    from drumgen.plan import Plan
    from drumgen.spans import Span
    from drumgen.sticking import Limb
    from drumgen.strokes import Played


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


class Moments(NamedTuple):
    """All moments of a plan: by limb, each in the order of their places; its spans; and when it ends."""

    by_limb: dict[Limb, tuple[Moment, ...]]
    played: tuple[Played, ...]
    end_s: float


def moments_of(plan: Plan) -> Moments:
    """The moments of a plan. Silenced limbs and voices are played all the same: only the sound leaves them out."""
    played = strokes(plan)
    by_limb: dict[Limb, list[Moment]] = {"R": [], "L": [], "K": [], "H": []}
    at_s = 0.0
    steps = TempoMap(plan).steps
    for index, each in enumerate(played):
        clock = _Clock(each.span, at_s, steps[index])
        for moment in _of_span(each, index, clock, plan):
            by_limb[moment.limb].append(moment)
        at_s = clock.at(each.span.meter.grains, 1)
    in_order = {
        limb: tuple(sorted(row, key=lambda each: (each.at_s, each.grace == 0))) for limb, row in by_limb.items()
    }
    return Moments(in_order, played, at_s)


class _Clock:
    """The seconds of one span: exact where its tempo is steady, in the tempo map's steps where it changes."""

    def __init__(self, span: Span, start_s: float, steps: tuple[tuple[int, int], ...]) -> None:
        self.start_s = start_s
        self.steps: list[tuple[int, float, float]] = []
        first, last = span.quarters
        if first == last:
            self.steps.append((0, start_s, float(60 / (first * GRAINS_PER_QUARTER))))
            return
        for grains, us in steps:
            at_s = self.at(grains, 1) if self.steps else start_s
            self.steps.append((grains, at_s, us / (1_000_000 * GRAINS_PER_QUARTER)))

    def at(self, above: int, below: int) -> float:
        """The second of a place of ``above / below`` grains from the span's start."""
        grains, at_s, seconds = next(step for step in reversed(self.steps) if step[0] * below <= above)
        return at_s + (above - grains * below) / below * seconds


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
