"""Bars for the page: what it needs to play a phrase at any tempo, in any order, by itself.

All places are grains from the bar's start; ``at`` is where swing moves a place, to the nearest grain. Microseconds
(spread, flams) are left to the page, which knows the tempo. A *shape* is a bar with its strokes; bars that are played
alike share one. ``landed`` are the strokes of a shape where a landing falls on its downbeat.

A stroke is a row: at, place, end of its slot, voice, velocity, limb, number, and where it has any: grace notes, their
voice, their velocity, buzz. Voices are numbers into ``voices``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from drumgen.clicks import CLICKS_ON, bar_clicks, count_clicks
from drumgen.levels import velocity
from drumgen.note_values import UNIT_NAMES
from drumgen.notes import as_numbered, place_ticks
from drumgen.ornaments import MOST_BOUNCES, bounce_velocity
from drumgen.plan import Plan, arrange
from drumgen.practice import Practice
from drumgen.spans import Span
from drumgen.strokes import strokes
from drumgen.ticks import FINEST_PPQ

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from drumgen.clicks import ClickSound
    from drumgen.layout import Stroke
    from drumgen.phrase import Phrase
    from drumgen.strokes import Played

Table = dict[str, Any]
AS_IT_IS = 1000
"""What a velocity is multiplied by, in thousandths, where no hairpin changes it."""


def phrase_table(phrase: Phrase, click: ClickSound | None = None) -> Table:
    """What the page needs of a phrase, in values that JSON can hold; ``click`` is how the click sounds (or its own)."""
    return _Tabler(phrase, click or phrase.practice.click_sound).table()


class _Tabler:
    """Makes the table of one phrase."""

    def __init__(self, phrase: Phrase, click: ClickSound) -> None:
        self.phrase, self.kit, self.click = phrase, phrase.kit, click
        self.voices: dict[str, int] = {}
        self.shapes: list[Table] = []
        self.known: dict[tuple[object, ...], tuple[Played, int]] = {}

    def table(self) -> Table:
        plan = arrange(self.phrase, Practice(click_sound=self.click))
        played = [each for each in strokes(plan) if each.span.kind == "bar"]
        landings = tuple(dict.fromkeys(each.span.lands for each in played if each.span.lands))
        bars = [[each.span.number, self._shape(each, landings)] for each in played]
        tempo, meter = self.phrase.tempo, self.phrase.meter
        unit = tempo.unit_grains(meter)
        return {
            "title": self.phrase.title,
            "meter": str(meter),
            "unit": UNIT_NAMES[unit],
            "unitGrains": unit,
            "tempo": float(tempo.start),
            "quarters": float(tempo.quarters(meter)[0]),
            "bars": bars,
            "shapes": self.shapes,
            "click": self._click_table(plan.click_sound),
            "voices": [self._voice_table(name) for name in self.voices],
        }

    def _click_table(self, click: ClickSound) -> Table:
        """The voices and velocities of the plain click and of the marked one."""
        names = click.plain, click.marked
        figures = [click.figure(self.phrase.dynamics, marked=marked) for marked in (False, True)]
        return {
            "voices": [self._voice(name) for name in names],
            "velocities": [self._force(*each) for each in zip(figures, names, strict=True)],
        }

    def _voice(self, name: str) -> int:
        return self.voices.setdefault(self.kit.voice(name).name, len(self.voices))

    def _voice_table(self, name: str) -> Table:
        voice = self.kit.voices[name]
        return {"name": name, "key": voice.key, "choke": voice.choke}

    def _force(self, figure: int, voice: str, per_mille: int = AS_IT_IS) -> int:
        return velocity(figure, offset=self.kit.voice(voice).velocity, per_mille=per_mille)

    def _shape(self, played: Played, landings: Iterable[tuple[str, ...]]) -> int:
        """The number of a bar's shape."""
        span, laid = played
        key = (id(laid), id(span.bar), span.quarters)
        if key not in self.known:
            self.known[key] = (played, len(self.shapes))
            shape = self._bar_table(span, self._rows(played))
            self.shapes.append(shape)
            bar = span.bar
            if bar is not None and bar.role != "fill":
                fresh = ((landing, self._landed(span, landing)) for landing in landings)
                shape["landed"] = {"+".join(landing): rows for landing, rows in fresh}
            if span.lands:
                shape["landing"] = "+".join(span.lands)
                shape["after"] = self._after(span, span.lands)
        return self.known[key][1]

    def _bar_table(self, span: Span, rows: list[list[Any]]) -> Table:
        bar, feel = span.bar, span.feel
        table: Table = {
            "grains": span.meter.grains,
            "beats": [beat.start for beat in span.meter.beats],
            "quarters": [float(each) for each in span.quarters],
            "count": [self._click_row(span, *click) for click in count_clicks(span.meter)],
            "clicks": {on: [self._click_row(span, *click) for click in bar_clicks(on, span.meter)] for on in CLICKS_ON},
            "strokes": rows,
            "feel": [feel.spread_ms, feel.seed, feel.flam_ms, feel.drag_ms, feel.buzz_ms],
        }
        if bar is not None and span.kind == "bar":
            table |= {"name": bar.name, "role": bar.role}
        return table

    @staticmethod
    def _click_row(span: Span, place: int, accented: bool) -> list[int]:  # noqa: FBT001 - a click as it is
        return [place_ticks(place, span, straight=True, ppq=FINEST_PPQ), place, int(accented)]

    def _landed(self, span: Span, landing: tuple[str, ...]) -> list[list[Any]]:
        """The strokes of a bar under a landing."""
        alone = Span("bar", 0, span.meter, span.quarters, span.feel, span.bar, span.number, 0, landing)
        return self._rows(strokes(Plan(self.phrase, (alone,)))[0])

    def _after(self, span: Span, landing: tuple[str, ...]) -> Table:
        """The bar added for a landing where nothing follows."""
        usual = self.phrase.tempo.quarters(self.phrase.meter)[0]
        alone = Span("landing", 0, span.meter, (usual, usual), span.feel, span.bar, span.number + 1, landing=landing)
        return self._bar_table(alone, self._rows(strokes(Plan(self.phrase, (alone,)))[0]))

    def _rows(self, played: Played) -> list[list[Any]]:
        """The strokes of a bar, numbered as they are when they are performed."""
        numbered = as_numbered(played.laid.strokes)
        rows = [self._row(stroke, index, played.span) for index, stroke in enumerate(numbered)]
        return sorted(rows, key=lambda row: (row[0], row[6]))

    def _row(self, stroke: Stroke, index: int, span: Span) -> list[Any]:
        dynamics, per_mille = self.phrase.dynamics, span.per_mille(stroke.place)
        at, end = (
            place_ticks(place, span, straight=stroke.straight, ppq=FINEST_PPQ)
            for place in (stroke.place, stroke.place + stroke.grains)
        )
        force = self._force(dynamics.of(stroke.level), stroke.voice, per_mille)
        row: list[Any] = [at, stroke.place, end, self._voice(stroke.voice), force, stroke.limb, index]
        if stroke.grace or stroke.buzz:
            voice = stroke.grace_voice or stroke.voice
            row += [stroke.grace, self._voice(voice), self._force(dynamics.grace, voice, per_mille), int(stroke.buzz)]
        return row


def velocities(table: Table) -> Iterator[tuple[str, int]]:
    """Every voice and velocity that a phrase's table may sound."""
    names = [voice["name"] for voice in table["voices"]]
    click = table["click"]
    yield from ((names[voice], force) for voice, force in zip(click["voices"], click["velocities"], strict=True))
    for row in _all_rows(table):
        yield names[row[3]], row[4]
        if len(row) > 7 and row[7]:
            yield names[row[8]], row[9]
        if len(row) > 7 and row[10]:
            yield from ((names[row[3]], bounce_velocity(row[4], number)) for number in range(1, MOST_BOUNCES + 1))


def _all_rows(table: Table) -> Iterator[list[Any]]:
    for shape in table["shapes"]:
        yield from shape["strokes"]
        for rows in shape.get("landed", {}).values():
            yield from rows
        yield from shape.get("after", {}).get("strokes", ())
