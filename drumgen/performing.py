"""Performing: from a plan to ticks. Feel, grace notes and the tempo map are applied here, once, in whole numbers.

Order of the steps: strokes stand on their exact ticks; swing moves its pairs (rounded to the nearest tick); strokes of
one key and tick become one, the louder; spread moves each by whole microseconds; grace notes and bounces hang on the
moved strokes and never move them. Silenced strokes go through all of it and are left out last, so that silencing a
limb or a voice moves nothing else.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import chain, groupby
from operator import attrgetter
from typing import TYPE_CHECKING

from drumgen.counts import spoken
from drumgen.errors import DrumgenError, Fault
from drumgen.levels import velocity
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.notes import NoteMaker, PlacedNote, place_ticks
from drumgen.ornaments import bounce_ticks, bounce_velocity, grace_ticks
from drumgen.performance import HIT_ORDER, Hit, MeterChange, Performance, TempoChange, Words
from drumgen.spread import moves, ticks_of_us
from drumgen.sticking import OTHER_HAND
from drumgen.strokes import strokes
from drumgen.tempo_map import TempoMap
from drumgen.ticks import choose_ppq

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.layout import Stroke
    from drumgen.notes import Note
    from drumgen.plan import Plan
    from drumgen.spans import Span
    from drumgen.strokes import Played


MOST_STROKES = 1 << 23
"""What a MIDI file of 64 MiB holds at eight bytes a stroke; more is refused before a hit is made."""


def perform(plan: Plan, *, ppq: int | None = None) -> Performance:
    """The performance of a plan, in ``ppq`` ticks to the quarter (else the kit's, else as many as it takes).

    Raises DrumgenError naming the first stroke that does not fit the ticks, or where there are too many strokes.
    """
    performer = _performer(plan, ppq)
    return performer.performance(hits=performer.hits(), letters=performer.letters())


def outline(plan: Plan, *, ppq: int | None = None) -> Performance:
    """The performance of a plan without its hits and letters: its length, tempos, bars and remarks.

    Raises DrumgenError where ``perform`` does. Hits are only made where there are grace notes, which may lack room.
    """
    performer = _performer(plan, ppq)
    if any(stroke.grace for _, laid in performer.played for stroke in laid.strokes):
        performer.hits()
    return performer.performance(hits=(), letters=())


def _performer(plan: Plan, ppq: int | None) -> _Performer:
    phrase, limit = plan.phrase, plan.phrase.kit.limits.ppq
    played = strokes(plan)
    number = sum(len(laid.strokes) for _, laid in played)
    if number > MOST_STROKES:
        raise DrumgenError(Fault(f"at most {MOST_STROKES} strokes", got=str(number)))
    if ppq is not None and limit is not None and ppq != limit:
        rule = f'the {limit} ticks to the quarter of the kit "{phrase.kit.name}"'
        raise DrumgenError(Fault(rule, got=str(ppq), path=("ppq",)))
    by = ("ppq",) if ppq else ("kits", phrase.kit.name, "limits", "ppq")
    ppq, remark = choose_ppq(played, fixed=ppq or limit, fixed_by=by)
    return _Performer(plan, played, ppq, remarks=(remark,) if remark else ())


class _Performer:
    """One plan while it is being performed."""

    def __init__(self, plan: Plan, played: Sequence[Played], ppq: int, *, remarks: tuple[str, ...]) -> None:
        self.plan, self.played, self.ppq = plan, played, ppq
        self.remarks = (*plan.remarks, *remarks)
        self.kit, self.dynamics = plan.phrase.kit, plan.phrase.dynamics
        self.starts = [span.start * ppq // GRAINS_PER_QUARTER for span in plan.spans]
        self.end = plan.grains * ppq // GRAINS_PER_QUARTER
        self.tempos = TempoMap(plan)
        self.maker = NoteMaker(plan, ppq)
        self.last: dict[str | int, int] = {}

    def performance(self, *, hits: tuple[Hit, ...], letters: tuple[Words, ...]) -> Performance:
        return Performance(
            title=self.plan.phrase.title,
            kit=self.kit,
            ppq=self.ppq,
            hits=hits,
            tempos=self.tempo_changes(),
            meters=self.meter_changes(),
            markers=self.markers(),
            letters=letters,
            end_tick=self.end,
            loop=self.plan.loop,
            remarks=self.remarks,
        )

    def tempo_changes(self) -> tuple[TempoChange, ...]:
        changes: list[TempoChange] = []
        for start, steps in zip(self.starts, self.tempos.steps, strict=True):
            for grains, us in steps:
                if not changes or changes[-1].us_per_quarter != us:
                    changes.append(TempoChange(start + grains * self.ppq // GRAINS_PER_QUARTER, us))
        return tuple(changes)

    def meter_changes(self) -> tuple[MeterChange, ...]:
        changes: list[MeterChange] = []
        for start, span in zip(self.starts, self.plan.spans, strict=True):
            if not changes or changes[-1].meter != span.meter:
                changes.append(MeterChange(start, span.meter))
        return tuple(changes)

    def markers(self) -> tuple[Words, ...]:
        labels = (span.label for span in self.plan.spans)
        return (*map(Words, self.starts, labels), Words(self.end, "end"))

    def letters(self) -> tuple[Words, ...]:
        """The letters of the sticking, on the ticks of their strokes before spread."""
        words: list[Words] = []
        made: dict[tuple[int, int], list[tuple[int, str]]] = {}
        for start, (span, laid) in zip(self.starts, self.played, strict=True):
            key = (id(laid), id(span.bar))
            if key not in made:
                straight = {slot.start: slot.straight for slot in laid.slots}
                made[key] = [
                    (place_ticks(place, span, straight=straight[place], ppq=self.ppq), text)
                    for place, text in laid.letters
                ]
            words += [Words(start + ticks, text) for ticks, text in made[key]]
        return tuple(words)

    def hits(self) -> tuple[Hit, ...]:
        """Every hit that is heard, in order."""
        notes = [
            PlacedNote(start + note.ticks, note, index)
            for index, (start, played) in enumerate(zip(self.starts, self.played, strict=True))
            for note in self.maker.notes(played)
        ]
        moved = moves(notes, plan=self.plan, tempos=self.tempos, ppq=self.ppq, end_tick=self.end)
        if self.plan.loop:  # what was last struck before the start is the end of the round before
            for tick, note, _ in notes:
                self.last.update(dict.fromkeys((note.key, *note.limbs), tick - self.end))
        hits = list(chain.from_iterable(map(self._clicks, range(len(self.starts)))))
        for (tick, note, index), (ticks, us) in zip(notes, moved, strict=True):
            at, stroke = tick + ticks, note.stroke
            if note.audible:
                place = self.plan.spans[index].start + stroke.place
                hits.append(Hit(at, note.key, note.velocity, note.voice, note.limb, "stroke", index, place, us))
            if stroke.grace or stroke.buzz:
                hits += self._ornaments(note, at, index, (ticks, us))
            self.last[note.key] = at
            for limb in note.limbs:
                self.last[limb] = at
        return _in_order(hits, self.end, loop=self.plan.loop)

    def _ornaments(self, note: Note, at: int, index: int, moved_by: tuple[int, int]) -> Iterable[Hit]:
        """The grace notes before a stroke, or the bounces after it, in what is left of its place.

        ``moved_by`` is how far the stroke was moved, in ticks and microseconds.
        """
        span, stroke, (late, us) = self.plan.spans[index], note.stroke, moved_by
        tempo = self.tempos.before(index, stroke.place)
        model = Hit(at, note.key, note.velocity, note.voice, note.limb, "bounce", index, span.start + stroke.place, us)
        if stroke.grace:
            limb, voice = OTHER_HAND[stroke.limb], self.kit.voice(stroke.grace_voice)
            offsets = self._grace_ticks(note, at, span, tempo)
            figure = self.dynamics.grace_before(stroke.level)
            force = velocity(figure, offset=voice.velocity, per_mille=span.per_mille(stroke.place))
            if not self.maker.silent(limb, voice.name):
                grace = replace(model, key=voice.key, voice=voice.name, limb=limb, kind="grace", velocity=force)
                yield from (
                    replace(grace, tick=at - ticks, moved_us=us - ticks * tempo // self.ppq) for ticks in offsets
                )
            self.last[limb] = at - offsets[-1]
        if stroke.buzz and note.audible:
            gap = ticks_of_us(span.feel.buzz_ms * 1000, ppq=self.ppq, us_per_quarter=tempo)
            ends = place_ticks(stroke.place + stroke.grains, span, straight=stroke.straight, ppq=self.ppq)
            after = bounce_ticks(gap_ticks=gap, place_ticks=ends - note.ticks - max(0, late))
            for number, ticks in enumerate(after, start=1):
                force, moved = bounce_velocity(note.velocity, number), us + ticks * tempo // self.ppq
                yield replace(model, tick=at + ticks, velocity=force, moved_us=moved)

    def _grace_ticks(self, note: Note, at: int, span: Span, tempo: int) -> tuple[int, ...]:
        stroke = note.stroke
        limb, voice = OTHER_HAND[stroke.limb], self.kit.voice(stroke.grace_voice)
        gap_ms = span.feel.flam_ms if stroke.grace == 1 else span.feel.drag_ms
        gap = ticks_of_us(gap_ms * 1000, ppq=self.ppq, us_per_quarter=tempo)
        known = [self.last[key] for key in (limb, voice.key, note.key) if key in self.last]
        offsets = grace_ticks(stroke.grace, gap_ticks=gap, room_ticks=at - max(known, default=0))
        if not offsets:
            raise self._no_room(span, stroke)
        return offsets

    def _no_room(self, span: Span, stroke: Stroke) -> DrumgenError:
        where = f"bar {span.number}, {spoken(stroke.place, meter=span.meter)} ({stroke.limb})"
        rule = f"room for the grace notes in {self.ppq} ticks to the quarter"
        return DrumgenError(Fault(rule, got=f"none before {where}", path=("ppq",)))

    def _clicks(self, index: int) -> Iterable[Hit]:
        span, sound = self.plan.spans[index], self.plan.click_sound
        for place, marked in span.clicks:
            voice = self.kit.voice(sound.marked if marked else sound.plain)
            tick = self.starts[index] + place_ticks(place, span, straight=True, ppq=self.ppq)
            force = velocity(sound.figure(self.dynamics, marked=marked), offset=voice.velocity, per_mille=1000)
            yield Hit(tick, voice.key, force, voice.name, "click", "click", index, span.start + place)


def _in_order(hits: list[Hit], end: int, *, loop: bool) -> tuple[Hit, ...]:
    """Hits in order of tick, limb and key, one a key and tick (the louder).

    In a loop what stands before its start is put at its end, where it sounds right when it comes round.
    """
    if loop:
        hits = [replace(hit, tick=hit.tick + end) if hit.tick < 0 else hit for hit in hits]
    hits.sort(key=_order)
    kept: list[Hit] = []
    for _, group in groupby(hits, key=attrgetter("tick")):
        heard: dict[int, Hit] = {}
        for hit in group:
            twin = heard.get(hit.key)
            if twin is None or hit.velocity > twin.velocity:
                heard[hit.key] = hit
        kept += heard.values()
    return tuple(kept)


def _order(hit: Hit) -> int:
    """Tick, limb and key in one number: quicker to sort by than three, and far smaller."""
    return hit.tick << 16 | HIT_ORDER[hit.limb] << 8 | hit.key
