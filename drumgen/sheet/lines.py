"""Lines: the strokes of a bar as the one or two lines of a measure.

Hands are the first line, stems up; feet the second, stems down. Where hands and feet never strike together the figure
is linear and stands in one line, stems up, with no rests through it — unless that would put hands and feet into a
tuplet that neither has of its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from drumgen.levels import LOUDNESS, velocity
from drumgen.sheet.beams import beams_of
from drumgen.sheet.cells import cells_of
from drumgen.sheet.score import Event, Line, Struck
from drumgen.sheet.values import VALUE_NAMES, spell
from drumgen.sticking import OTHER_HAND

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from drumgen.layout import Stroke
    from drumgen.meter import Meter
    from drumgen.phrase import Phrase
    from drumgen.sheet.heads import Head
    from drumgen.sheet.score import Edge
    from drumgen.sheet.values import Spelled
    from drumgen.spans import Span
    from drumgen.strokes import Played

HANDS = ("R", "L")


class LineWriter:
    """Writes the bars of one phrase; ``heads`` are those of its kit."""

    def __init__(self, phrase: Phrase, heads: Mapping[str, Head]) -> None:
        self.phrase, self.heads = phrase, heads

    def lines(self, played: Played, *, start: int = 0) -> tuple[Line, ...]:
        """The lines of one bar from ``start`` on; a bar without strokes is one line with a rest.

        In a grouped meter that is a rest a group: verovio 6.4 takes the length of a whole bar's rest there for nothing.
        """
        meter, strokes = played.span.meter, played.laid.strokes
        hands = [stroke for stroke in strokes if stroke.limb in HANDS]
        feet = [stroke for stroke in strokes if stroke.limb not in HANDS]
        if not strokes and not meter.groups:
            return (Line(1, "up", (Event(start, meter.grains - start, "whole", whole_bar=True),)),)
        if not strokes or is_linear(meter, hands, feet):
            return (Line(1, "up", self._events(strokes, played.span, start)),)
        both = ((1, "up", hands), (2, "down", feet))
        return tuple(Line(n, stem, self._events(some, played.span, start)) for n, stem, some in both if some)  # type: ignore[arg-type]

    def _events(self, strokes: Sequence[Stroke], span: Span, start: int) -> tuple[Event, ...]:
        by_place: dict[int, list[Stroke]] = {}
        for stroke in strokes:
            by_place.setdefault(stroke.place, []).append(stroke)
        spelled = spell(span.meter, by_place, start=start)
        drags = frozenset(stroke.place for stroke in strokes if stroke.grace > 1)
        beams = beams_of(spelled, span.meter, drags=drags)
        edges = _tuplet_edges(spelled)
        events = []
        for each, words, edge in zip(spelled, beams, edges, strict=True):
            event = Event(
                each.place,
                each.grains,
                VALUE_NAMES[each.value],
                each.dots,
                each.cell.actual,
                each.cell.normal,
                edge,
                beams=words,
            )
            events.append(event if each.rest else self._struck(event, by_place[each.place], span))
        return tuple(events)

    def _struck(self, event: Event, strokes: Sequence[Stroke], span: Span) -> Event:
        """A written note with its heads from low to high, and its grace notes."""
        heads: dict[str, Struck] = {}
        for stroke in strokes:
            one = self._head(stroke.voice, stroke, span)
            twin = heads.get(one.head.voice)
            heads[one.head.voice] = one if twin is None else _louder(one, twin)
        graces = [self._grace(stroke, span) for stroke in strokes for _ in range(stroke.grace)]
        low_to_high = sorted(heads.values(), key=lambda one: (one.head.height, one.head.voice))
        return replace(event, struck=tuple(low_to_high), graces=tuple(graces), buzz=any(each.buzz for each in strokes))

    def _head(self, voice_name: str, stroke: Stroke, span: Span) -> Struck:
        voice = self.phrase.kit.voice(voice_name)
        figure = self.phrase.dynamics.of(stroke.level)
        force = velocity(figure, offset=voice.velocity, per_mille=span.per_mille(stroke.place))
        return Struck(self.heads[voice.name], stroke.limb, stroke.level, force)

    def _grace(self, stroke: Stroke, span: Span) -> Struck:
        voice = self.phrase.kit.voice(stroke.grace_voice)
        figure = self.phrase.dynamics.grace
        force = velocity(figure, offset=voice.velocity, per_mille=span.per_mille(stroke.place))
        return Struck(self.heads[voice.name], OTHER_HAND[stroke.limb], "normal", force)


def _louder(one: Struck, other: Struck) -> Struck:
    """Two limbs on one voice: one head, of the louder level, as loud as the louder."""
    louder = one if LOUDNESS[one.level] > LOUDNESS[other.level] else other
    return replace(louder, velocity=max(one.velocity, other.velocity))


def is_linear(meter: Meter, hands: Iterable[Stroke], feet: Iterable[Stroke]) -> bool:
    """Whether hands and feet both play, never together, and are no harder to read in one line than apart."""
    by_hands, by_feet = {stroke.place for stroke in hands}, {stroke.place for stroke in feet}
    if not by_hands or not by_feet or by_hands & by_feet:
        return False
    apart = {cell for places in (by_hands, by_feet) for cell in cells_of(meter, places)}
    return all(cell.plain or cell in apart for cell in cells_of(meter, by_hands | by_feet))


def _tuplet_edges(spelled: Sequence[Spelled]) -> list[Edge]:
    """Where each tuplet begins and ends; a tuplet of one note has no bracket of its own and cannot arise."""
    edges: list[Edge] = []
    for index, each in enumerate(spelled):
        first = index == 0 or spelled[index - 1].cell != each.cell
        last = index + 1 == len(spelled) or spelled[index + 1].cell != each.cell
        edges.append("" if each.cell.plain else "start" if first else "stop" if last else "")
    return edges
