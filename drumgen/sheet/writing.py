"""Writing: a phrase as a score — once through, without count-in, equal bars folded into repeats.

Paper knows no practice and no milliseconds: swing, spread and flam spacing move nothing here.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.sheet.cells import cells_of
from drumgen.sheet.heads import heads_of
from drumgen.sheet.lettering import lettered
from drumgen.sheet.lines import HANDS, LineWriter
from drumgen.sheet.repeats import fold
from drumgen.sheet.score import Measure, Score, TempoMark
from drumgen.strokes import strokes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.phrase import Phrase
    from drumgen.sheet.heads import Head
    from drumgen.sheet.score import Line, Struck
    from drumgen.spans import Span
    from drumgen.strokes import Played

MOST_MEASURES = 1_000
"""So many different measures are printed of one phrase; more is an error before anything is engraved."""


def write_score(phrase: Phrase) -> Score:
    """The score of a phrase. Raises DrumgenError where it has more than 1 000 measures that are not alike."""
    heads = heads_of(phrase.kit)
    writer = _Writer(phrase, heads)
    played = [each for each in strokes(arrange(phrase, Practice())) if each.span.kind not in ("empty", "count-in")]
    measures = fold([writer.measure(each) for each in played])
    if len(measures) > MOST_MEASURES:
        rule = f"at most {MOST_MEASURES} different bars on paper"
        raise DrumgenError(Fault(rule, got=str(len(measures)), path=("phrase",)))
    used = {struck.head.voice for each in measures for struck in _struck(each.lines)}
    notes = tuple(
        dict.fromkeys((each.name, each.span.bar.note) for each in measures if each.span.bar and each.span.kind == "bar")
    )
    return Score(
        title=phrase.title,
        note=phrase.note,
        kit=phrase.kit,
        measures=tuple(measures),
        heads=tuple(head for head in heads.values() if head.voice in used),
        notes=tuple((name, note) for name, note in notes if note),
    )


def _struck(lines: Iterable[Line]) -> Iterable[Struck]:
    return (one for line in lines for event in line.events for one in (*event.struck, *event.graces))


class _Writer:
    """Writes the measures of one phrase, each different bar once."""

    def __init__(self, phrase: Phrase, heads: dict[str, Head]) -> None:
        self.phrase = phrase
        self.writer = LineWriter(phrase, heads)
        self.written: dict[tuple[int, int, int], tuple[Played, tuple[Line, ...]]] = {}
        self.many = len(set(phrase.order)) > 1

    def measure(self, played: Played) -> Measure:
        """The measure of one span."""
        span = played.span
        start = _pickup_start(played) if span.kind == "bar" and span.bar and span.bar.role == "pickup" else 0
        name, role = self._names(span)
        return Measure(
            (span.number,), span.meter, span, self._lines(played, start), self._tempo(span), name, role, start
        )

    def _lines(self, played: Played, start: int) -> tuple[Line, ...]:
        key = (id(played.laid), id(played.span.bar), start)
        if key not in self.written:
            lines = lettered(self.writer.lines(played, start=start), played)
            self.written[key] = (played, lines)  # kept with what it is made of, so that no other gets the same id
        return self.written[key][1]

    def _names(self, span: Span) -> tuple[str, str]:
        """The bar's name and role, as far as they tell the reader something."""
        if span.kind == "landing" or span.bar is None:
            return "", "landing"
        role = span.bar.role if span.bar.role not in ("groove", span.bar.name) else ""
        return (span.bar.name if self.many else "", role)

    def _tempo(self, span: Span) -> TempoMark:
        tempo = span.bar.tempo if span.bar and span.kind == "bar" and span.bar.tempo else self.phrase.tempo
        meter = span.meter if tempo is not self.phrase.tempo else self.phrase.meter
        unit = tempo.unit_grains(meter)
        ratio = Fraction(GRAINS_PER_QUARTER, unit)
        first, last = span.quarters
        return TempoMark(unit, first * ratio, last * ratio, first, last)


def _pickup_start(played: Played) -> int:
    """Where a pickup is cut: at its first stroke, or at the start of the tuplet in which that stands."""
    places = [stroke.place for stroke in played.laid.strokes]
    if not places:
        return 0
    start = min(places)
    by_line = [{s.place for s in played.laid.strokes if (s.limb in HANDS) is hands} for hands in (True, False)]
    for onsets in (*by_line, set(places)):
        for cell in cells_of(played.span.meter, onsets):
            if not cell.plain and cell.start <= start < cell.start + cell.grains:
                start = cell.start
    return start
