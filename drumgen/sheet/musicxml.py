"""MusicXML 4.0: a score as one part on a five-line staff with a percussion clef.

Source: W3C Community Group, MusicXML 4.0 (2021). A grouped meter is printed with its groups over its lower number
(2+2+3 over 8), as its beams are. ``midi-unpitched`` is a voice's key counted from 1; the channel is the kit's, 10.
"""

from __future__ import annotations

from math import gcd
from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.phrase import Phrase
from drumgen.sheet.directions import Sped, Swung, Told, directions
from drumgen.sheet.heads import legend
from drumgen.sheet.musicxml_directions import direction_node
from drumgen.sheet.musicxml_notes import NoteStyle, NoteWriter
from drumgen.sheet.naming import measure_name
from drumgen.sheet.writing import write_score
from drumgen.sheet.xml import document, node, nodes

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from drumgen.sheet.directions import At
    from drumgen.sheet.heads import Head
    from drumgen.sheet.score import Line, Measure, Score

DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)


class Edition(NamedTuple):
    """What is printed: the sticking, the counts; and for the engraver where lines begin.

    ``lines`` are the indexes of the measures that begin a line, or None for a document for other programs; ``measures``
    the indexes of those that are written, all of them where it is None. The engraver prints headings himself, and the
    letters of grace notes: verovio 6.4 loses its place where one stands in a beam.
    """

    sticking: bool = True
    counts: bool = False
    lines: frozenset[int] | None = None
    measures: range | None = None


def render_musicxml(phrases: Phrase | Sequence[Phrase], *, sticking: bool = True, counts: bool = False) -> str:
    """One phrase, or several one after the other in one part, as a MusicXML 4.0 document.

    ``sticking`` prints the letters under the notes, ``counts`` what is said on each place under them. Raises
    DrumgenError where a phrase has too many different bars for paper.
    """
    several = (phrases,) if isinstance(phrases, Phrase) else tuple(phrases)
    if not several:
        raise TypeError("render_musicxml needs at least one phrase")
    return score_document([write_score(phrase) for phrase in several], Edition(sticking, counts))


def score_document(scores: Sequence[Score], edition: Edition, *, number: int = 1) -> str:
    """Scores one after the other as one document; ``number`` is that of the first, from which ids are made."""
    writer = _Writer(scores, edition, number)
    measures = [measure for index, score in enumerate(scores) for measure in writer.measures(score, index)]
    root = node(
        "score-partwise",
        node("work", node("work-title", scores[0].title)) if scores[0].title else None,
        _identification(scores),
        *_credits(scores),
        node("part-list", writer.part()),
        nodes("part", measures, id="P1"),
        version="4.0",
    )
    return document(root, doctype=DOCTYPE)


def _identification(scores: Sequence[Score]) -> Element:
    supported = [node("supports", element=element, type_="yes") for element in ("beam", "stem")]
    notes = [node("miscellaneous-field", score.note, name="note to the player") for score in scores if score.note]
    keys = [node("miscellaneous-field", text, name="legend") for text in map(legend_text, scores) if text]
    return node(
        "identification",
        node("encoding", node("software", "drumgen"), *supported),
        nodes("miscellaneous", [*notes, *keys]) if notes or keys else None,
    )


def _credits(scores: Sequence[Score]) -> list[Element]:
    """The first score's title, its line to the player and its legend, for programs that print credits."""
    score = scores[0]
    rows = [("title", score.title), ("subtitle", score.note), ("legend", legend_text(score))]
    return [
        node("credit", node("credit-type", kind), node("credit-words", text), page=1) for kind, text in rows if text
    ]


def legend_text(score: Score) -> str:
    """The voices of an unusual kit, from low to high, each with its place (as in the treble clef) and its head."""
    return "; ".join(f"{head.voice}: {head.step}{head.octave} {head.notehead}" for head in legend(score.heads))


class _Writer:
    """Writes the measures of scores that share one part."""

    def __init__(self, scores: Sequence[Score], edition: Edition, number: int) -> None:
        self.edition, self.number = edition, number
        self.scores = scores
        self.heads: dict[str, Head] = {}
        self.names: list[dict[str, str]] = []
        for score in scores:
            self.names.append({head.voice: self._instrument(head) for head in score.heads})
        lengths = (
            length
            for score in scores
            for measure in score.measures
            for length in (measure.grains, *(event.grains for line in measure.lines for event in line.events))
        )
        self.grains = gcd(GRAINS_PER_QUARTER, *lengths)

    def _instrument(self, head: Head) -> str:
        """The id of a voice's instrument; voices of two kits are one where name and key agree."""
        same = (name for name, known in self.heads.items() if (known.voice, known.key) == (head.voice, head.key))
        name = next(same, f"P1-I{len(self.heads) + 1}")
        self.heads.setdefault(name, head)
        return name

    def part(self) -> Element:
        """The part, its instruments and their MIDI keys."""
        kit = self.scores[0].kit
        program = None if kit.program is None else node("midi-program", str(kit.program + 1))
        return node(
            "score-part",
            node("part-name", "Drums", print_object="no"),
            *(
                node("score-instrument", node("instrument-name", head.voice), id=name)
                for name, head in self.heads.items()
            ),
            *(
                node(
                    "midi-instrument",
                    node("midi-channel", str(kit.channel)),
                    program,
                    node("midi-unpitched", str(head.key + 1)),
                    id=name,
                )
                for name, head in self.heads.items()
            ),
            id="P1",
        )

    def measures(self, score: Score, index: int) -> list[Element]:
        """The measures of one score."""
        edition = self.edition
        style = NoteStyle(self.names[index], self.grains, edition.sticking, edition.counts, edition.lines is None)
        before: Measure | None = None
        found = []
        told = directions(score.measures)
        for number in edition.measures or range(len(score.measures)):
            measure = score.measures[number]
            name = measure_name(self.number + index, number + 1)
            first, opening = before is None, before is None and index > 0
            content = [
                self._print(number, first=first, new=opening),
                self._attributes(measure, before, first=first and not opening),
                *([_title(score.title)] if opening and score.title else ()),
                *_barline(measure, "left"),
                *self._music(measure, self._printed(told[number], number), style, name),
                *_barline(measure, "right", last=number + 1 == len(score.measures)),
            ]
            implicit = "yes" if measure.implicit else None
            found.append(nodes("measure", content, number=measure.bars[0], implicit=implicit, id=name))
            before = measure
        return found

    def _print(self, number: int, *, first: bool, new: bool) -> Element | None:
        if self.edition.lines is not None:
            return node("print", new_page="yes") if number in self.edition.lines and not first else None
        return node("print", new_system="yes") if new else None

    def _printed(self, told: list[At], number: int) -> list[At]:
        """The directions that are written here: the engraver's heading has the first tempo, swing and all lines."""
        if self.edition.lines is None:
            return told
        heading = (Sped, Swung) if number == 0 else ()
        return [at for at in told if not isinstance(at.direction, (*heading, Told))]

    def _attributes(self, measure: Measure, before: Measure | None, *, first: bool) -> Element | None:
        same = before is not None and before.meter == measure.meter
        if same:
            return None
        divisions = node("divisions", str(GRAINS_PER_QUARTER // self.grains)) if first else None
        meter = measure.meter
        beats = "+".join(map(str, meter.groups)) or str(meter.upper)
        time = node("time", node("beats", beats), node("beat-type", str(meter.lower)))
        clef = node("clef", node("sign", "percussion")) if first else None
        return node("attributes", divisions, time, clef)

    def _music(self, measure: Measure, told: list[At], style: NoteStyle, prefix: str) -> list[Element]:
        """The notes of each line from the measure's start on, the directions among those of the first."""
        shared = shared_rests(measure.lines)
        content: list[Element] = []
        for index, line in enumerate(measure.lines):
            if index:
                content.append(node("backup", node("duration", str(measure.grains // self.grains))))
            writer = NoteWriter(style, line, prefix, shared)
            for event in line.events:
                if index == 0:
                    while told and told[0].place <= event.place:
                        content.append(direction_node(told.pop(0).direction))
                content += writer.notes(event)
            content += [direction_node(at.direction) for at in told]
            told = []
        return content


def shared_rests(lines: Sequence[Line]) -> frozenset[tuple[int, int]]:
    """The rests, as (place, grains), that both lines of a measure have alike."""
    if len(lines) < 2:
        return frozenset()
    one, other = ({(event.place, event.grains) for event in line.events if not event.struck} for line in lines)
    return frozenset(one & other)


def _title(text: str) -> Element:
    words = node("words", text, font_weight="bold", font_size="14")
    return node("direction", node("direction-type", words), placement="above")


def _barline(measure: Measure, location: str, *, last: bool = False) -> list[Element]:
    """A repeat sign, or the end of the whole."""
    if location == "left":
        sign = node("repeat", direction="forward") if measure.opens else None
        return [] if sign is None else [node("barline", node("bar-style", "heavy-light"), sign, location=location)]
    if measure.times > 1:
        back = node("repeat", direction="backward", times=measure.times)
        return [node("barline", node("bar-style", "light-heavy"), back, location=location)]
    return [node("barline", node("bar-style", "light-heavy"), location=location)] if last else []
