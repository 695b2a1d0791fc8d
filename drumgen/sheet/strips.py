"""Strips: lines of music as pieces of a web page, each note and bar to be found by what it stands for.

Nothing has an id. ``data-bars`` are the numbers of the bars that a measure stands for; a note has its place in grains
from the bar's start, its limb and its voice. Letters of the sticking and counts have classes of their own, so that a
page can show and hide them. Everything is drawn in the page's own colour; the signs stand once a page, in ``signs``.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple
from xml.etree.ElementTree import tostring

from drumgen.sheet.engraving import CLOSE, STAFF, engrave, line_room, measure_widths
from drumgen.sheet.glyphs import outline
from drumgen.sheet.heads import legend
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Polyline, Words
from drumgen.sheet.letter_rows import LETTER, is_letter
from drumgen.sheet.musicxml import Edition
from drumgen.sheet.naming import event_name, grace_name, head_name, measure_name
from drumgen.sheet.numerals import number
from drumgen.sheet.signs import legend_marks
from drumgen.sheet.svg import path_data, placed
from drumgen.sheet.writing import write_score
from drumgen.sheet.xml import node, nodes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from xml.etree.ElementTree import Element

    from drumgen.phrase import Phrase
    from drumgen.sheet.ink import Mark
    from drumgen.sheet.score import Measure, Score

    Attributes = dict[str, str]

LONG_MEASURES, SHORT_MEASURES = 2, 1
"""Measures on a line that is read on a wide screen, and on a tall one."""

PRINTED = 18_000
"""The units across a printed page, on which all phrases are to one scale."""

_EDITION = Edition(sticking=True, counts=True)
_STICKING = re.compile("[RLBKH]+|[rl]{1,2}")
_LEGEND_ROOM = 12_000
_OVER, _UNDER = 150, 120


class Strips(NamedTuple):
    """The lines of one phrase as SVG texts, long and short, its legend where it needs one, and the signs they use.

    Lines are no longer than the bars on them ask for.
    """

    long: tuple[str, ...]
    short: tuple[str, ...]
    legend: tuple[str, ...]
    codes: frozenset[str]


def phrase_strips(phrase: Phrase) -> Strips:
    """The strips of a phrase, with sticking and counts. Raises DrumgenError where it has too many bars for paper."""
    score = write_score(phrase)
    writer = _Writer(score)
    widths = measure_widths(score, _EDITION, spacing=CLOSE)
    long, short = (writer.lines(line_room(widths, measures=each)) for each in (LONG_MEASURES, SHORT_MEASURES))
    rows = [writer.legend(marks, height) for marks, height in legend_marks(legend(score.heads), _LEGEND_ROOM)]
    return Strips(long, short, tuple(rows), frozenset(writer.codes))


def signs(codes: Iterable[str]) -> str:
    """The outlines of signs, as one hidden SVG text."""
    paths = (node("path", id=f"sign-{code}", d=outline(code)) for code in sorted(set(codes)))
    hidden = node("svg", nodes("defs", paths), class_="signs", width=0, height=0, aria_hidden="true")
    return tostring(hidden, encoding="unicode")


class _Writer:
    """Writes the strips of one score, and remembers the signs it used."""

    def __init__(self, score: Score) -> None:
        self.score = score
        self.codes: set[str] = set()
        self.known = dict(_known(score))
        self.first_row = 0.0

    def lines(self, room: float) -> tuple[str, ...]:
        """Every line of an edition, all to the same scale."""
        out = []
        drawn = engrave(self.score, _EDITION, room=room, spacing=CLOSE).lines
        full = max(room, *(line.width for line in drawn))
        for line in drawn:
            self.first_row = min(_letter_rows(line.group), default=0.0)
            uncounted = min(line.height, _bottom(line.group, self.first_row) + _UNDER)
            svg = self._svg(line.group, line.width, line.height, PRINTED)
            for name, value in (("width", full), ("height", line.height), ("uncounted", uncounted)):
                svg.set(f"data-{name}", number(value))
            svg.set("data-staff", f"{number(line.staff_top)} {number(line.staff_top + STAFF)}")
            out.append(tostring(svg, encoding="unicode"))
        return tuple(out)

    def legend(self, marks: Iterable[Mark], height: float) -> str:
        """One row of the legend."""
        svg = self._svg(Group(tuple(marks), "legend"), _LEGEND_ROOM, height, _LEGEND_ROOM)
        return tostring(svg, encoding="unicode")

    def _svg(self, group: Group, width: float, height: float, full: float) -> Element:
        box = f"0 {-_OVER} {number(width)} {number(height + _OVER)}"
        return node("svg", self._element(group), viewBox=box, width=f"{number(min(100, 100 * width / full))}%")

    def _element(self, mark: Mark) -> Element:
        match mark:
            case Group():
                return self._group(mark)
            case Glyph():
                self.codes.add(mark.code)
                return node("use", transform=placed(mark), href=f"#sign-{mark.code}")
            case Polyline(points, width, square):
                cap = "square" if square else None
                return node("path", d=path_data(points), class_="line", stroke_width=number(width), stroke_linecap=cap)
            case Fill(points):
                return node("path", d=f"{path_data(points)}z")
            case Dot(x, y, radius):
                return node("circle", cx=number(x), cy=number(y), r=number(radius))
            case Words():
                return self._words(mark)

    def _group(self, group: Group) -> Element:
        element = node("g", class_=group.kind or None, **self.known.get(group.name, {}))
        if group.kind == "measure":
            element.append(_ground(group))
        element.extend(self._element(mark) for mark in group.marks)
        return element

    def _words(self, words: Words) -> Element:
        kind = "said"
        if is_letter(words):
            sticking = words.y == self.first_row and _STICKING.fullmatch(words.text)
            kind = "letter" if sticking else "count"
        anchor = None if words.anchor == "start" else words.anchor
        spans = [
            node("tspan", run.text, class_=" ".join(["bold"] * run.bold + ["italic"] * run.italic) or None)
            for run in words.runs
        ]
        at = {"x": number(words.x), "y": number(words.y), "font_size": number(words.size), "text_anchor": anchor}
        return nodes("text", spans, class_=kind, **at)


def _marks(group: Group) -> Iterator[Mark]:
    for mark in group.marks:
        if isinstance(mark, Group):
            yield from _marks(mark)
        else:
            yield mark


def _letter_rows(group: Group) -> Iterator[float]:
    """The baselines on which letters of the sticking stand."""
    for mark in _marks(group):
        if isinstance(mark, Words) and mark.size == LETTER and _STICKING.fullmatch(mark.text):
            yield mark.y


def _bottom(group: Group, first_row: float) -> float:
    """Where a line ends without its counts: under the letters, and under all that is drawn."""
    lowest = first_row
    for mark in _marks(group):
        match mark:
            case Polyline(points) | Fill(points):
                lowest = max(lowest, *(y for _, y in points))
            case Glyph(_, _, y):
                lowest = max(lowest, y + LETTER / 2)
            case Words(_, y, size) if size != LETTER:
                lowest = max(lowest, y)
            case _:
                pass
    return lowest


def _ground(measure: Group) -> Element:
    """The room a measure takes, to be struck by a finger."""
    line = next(mark for mark in _marks(measure) if isinstance(mark, Polyline) and len(mark.points) == 2)
    (left, top), (right, _) = line.points
    return node(
        "rect", class_="ground", x=number(left), y=number(top - STAFF), width=number(right - left), height=3 * STAFF
    )


def _known(score: Score) -> Iterator[tuple[str, Attributes]]:
    """What every measure, note and grace note stands for, by its id."""
    for index, measure in enumerate(score.measures, start=1):
        name = measure_name(1, index)
        yield name, _about_measure(measure)
        for line in measure.lines:
            for event in line.events:
                at = event_name(name, event, line)
                place = {"data_at": str(event.place)}
                for number_, one in enumerate(event.struck):
                    yield head_name(at, number_), place | {"data_limb": one.limb, "data_voice": one.head.voice}
                for number_, one in enumerate(event.graces):
                    about = {"data_grace": str(event.place), "data_limb": one.limb, "data_voice": one.head.voice}
                    yield grace_name(at, number_), about


def _about_measure(measure: Measure) -> Attributes:
    sticking = " ".join(event.letters for line in measure.lines for event in line.events if event.letters)
    return {
        "data_bars": " ".join(map(str, measure.bars)),
        "data_name": measure.name,
        "data_role": measure.role,
        "data_grains": str(measure.meter.grains),
        "data_from": str(measure.start),
        "data_sticking": sticking,
    }
