"""Notes: the strokes of a bar as MIDI keys and velocities on their ticks, before spread and grace notes.

Strokes of one key and tick are one note, the loudest that is heard; it remembers every limb that strikes it, silenced
ones too. A bar that comes again is made once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.feel import swung
from drumgen.levels import velocity
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.ticks import nearest_tick

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.layout import Stroke
    from drumgen.plan import Plan
    from drumgen.spans import Span
    from drumgen.strokes import Played


class Note(NamedTuple):
    """One note: ``ticks`` from its bar's start, and the stroke that it comes from (the ``number``-th of its bar)."""

    ticks: int
    key: int
    velocity: int
    voice: str
    limb: str
    stroke: Stroke
    audible: bool
    limbs: tuple[str, ...]
    number: int


class PlacedNote(NamedTuple):
    """A note on its tick, in the span with this index."""

    tick: int
    note: Note
    span: int


def place_ticks(place: int, span: Span, *, straight: bool, ppq: int) -> int:
    """The tick, from the bar's start, of a place (grains) under the bar's swing."""
    if not straight or span.feel.swing.long == span.feel.swing.short:
        return place * ppq // GRAINS_PER_QUARTER
    return nearest_tick(*swung(place, swing=span.feel.swing, meter=span.meter), ppq)


def as_numbered(strokes: Iterable[Stroke]) -> list[Stroke]:
    """The strokes of a bar in the order of their numbers, by which they are spread.

    Within a place they are numbered by voice, so that a left-hander's are spread as a right-hander's.
    """
    return sorted(strokes, key=lambda stroke: (stroke.place, stroke.voice))


class NoteMaker:
    """Makes the notes of a plan's bars, each different bar once."""

    def __init__(self, plan: Plan, ppq: int) -> None:
        self.plan, self.ppq = plan, ppq
        self._made: dict[tuple[int, int], tuple[Note, ...]] = {}

    def silent(self, limb: str, voice: str) -> bool:
        """Whether a limb or a voice is silenced."""
        return limb in self.plan.silent_limbs or voice in self.plan.silent_voices

    def notes(self, played: Played) -> tuple[Note, ...]:
        """The notes of one span, in order of tick."""
        key = (id(played.laid), id(played.span.bar))
        if key not in self._made:
            self._made[key] = tuple(self._make(played))
        return self._made[key]

    def _make(self, played: Played) -> Iterable[Note]:
        span, kit, dynamics = played.span, self.plan.phrase.kit, self.plan.phrase.dynamics
        notes: dict[tuple[int, int], Note] = {}
        for number, stroke in enumerate(as_numbered(played.laid.strokes)):
            voice, limb = kit.voice(stroke.voice), stroke.limb
            ticks = place_ticks(stroke.place, span, straight=stroke.straight, ppq=self.ppq)
            per_mille = span.per_mille(stroke.place)
            force = velocity(dynamics.of(stroke.level), offset=voice.velocity, per_mille=per_mille)
            audible = not self.silent(limb, voice.name)
            note = Note(ticks, voice.key, force, voice.name, limb, stroke, audible, (limb,), number)
            notes[ticks, voice.key] = _joined(notes.get((ticks, voice.key)), note)
        return sorted(notes.values(), key=lambda note: (note.ticks, note.number))


def _joined(one: Note | None, other: Note) -> Note:
    """Two strokes of one key and tick as one note: the louder of those that are heard."""
    if one is None:
        return other
    better = other if (other.audible, other.velocity) > (one.audible, one.velocity) else one
    ornamented = one if one.stroke.grace or one.stroke.buzz else other
    return better._replace(limbs=one.limbs + other.limbs, number=one.number, stroke=ornamented.stroke)
