"""Inking: verovio's SVG of one line of music, turned into marks.

What verovio draws with a music font as text (a metronome mark's note) becomes an outline; heads that it has no sign for
get their own; letters and counts go to the rows under the notes; words over the staff are lifted clear of what they
would run into.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple
from xml.etree import ElementTree as ET

from drumgen.sheet.clearing import LABEL, LOUDNESS, cleared, sunk
from drumgen.sheet.glyphs import EM, HEADS, METRONOME_DOT, PLAIN_HEADS, box
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Mark, Polyline, Run, Words
from drumgen.sheet.letter_rows import LetterRows, is_letter
from drumgen.sheet.mending import with_accents_over, with_graces_under, with_tip_back

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from xml.etree.ElementTree import Element

_SVG = "{http://www.w3.org/2000/svg}"
_HREF = "{http://www.w3.org/1999/xlink}href"

_SLASH_BESIDE, _SLASH_AFTER, _SLASH_OVER, _SLASH_WIDTH = 75.0, 150.0, 60.0, 21.0
"""A slash through the beams of a drag: so far left of the first stem and under the beams, right of it, over them."""

_BEFORE_DOT = 60

_KEPT = frozenset({"system", "measure", "staff", "layer", "note", "rest", "chord", "beam", "tuplet"})
_NAMED = frozenset({"measure", "note", "rest"})
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
_APART = {"dir": LABEL, "tempo": LABEL, "reh": LABEL, "dynam": LOUDNESS, "hairpin": LOUDNESS}
"""What is kept clear of the rest, as the groups of its kind."""

_ITALIC, _BOLD = frozenset({"dir", "mNum"}), frozenset({"tempo", "reh"})


class Hints(NamedTuple):
    """What the score knows and verovio does not draw, each by the id of its note or rest.

    Heads it lacks, counts on rests, letters of grace notes, the first notes of drags.
    """

    heads: Mapping[str, str]
    counts: Mapping[str, str]
    letters: Mapping[str, str]
    drags: frozenset[str]


class Drawn(NamedTuple):
    """One line of music: its marks, its size, and the y of its staff's top line, all in verovio's units."""

    group: Group
    width: float
    height: float
    staff_top: float


def ink(svg: str, hints: Hints) -> Drawn:
    """The marks of a page of verovio's that holds one line of music."""
    root = ET.fromstring(svg)  # noqa: S314 - it was made here
    scaled = next(each for each in root.iter(f"{_SVG}svg") if each.get("class") == "definition-scale")
    margin = next(each for each in scaled if each.get("class") == "page-margin")
    _, _, full, height = map(float, scaled.attrib["viewBox"].split())
    rows = LetterRows(under_dynamics=any(each.get("class") in ("dynam", "hairpin") for each in margin.iter()))
    inker = _Inker(hints, rows)
    marks = inker.children(margin)
    marks += rows.completed()
    clear, over = cleared(marks)
    clear, louder = sunk(clear, _is_loudness)
    clear, under = sunk(clear, is_letter)
    under = max(under, louder)
    return Drawn(Group(clear, "system"), full, height + rows.drop + over + under, inker.staff_top + over)


def _is_loudness(mark: Mark) -> bool:
    return isinstance(mark, Group) and mark.kind == LOUDNESS


class _Inker:
    """One line of music while it is being inked."""

    def __init__(self, hints: Hints, rows: LetterRows) -> None:
        self.hints, self.rows = hints, rows
        self.note = ""
        self.kinds: tuple[str, ...] = ()
        self.middle: float | None = None
        self.staff_top = 0.0

    def children(self, parent: Element) -> list[Mark]:
        marks: list[Mark] = []
        for child in parent:
            marks += self._mark(child)
        return marks

    def _mark(self, element: Element) -> list[Mark]:
        match element.tag.removeprefix(_SVG):
            case "g":
                return self._group(element)
            case "text":
                return self._words(element)
            case "use":
                return [self._glyph(element)]
            case tag:
                mark = _line(element, tag)
                return [] if mark is None else [mark]

    def _group(self, element: Element) -> list[Mark]:
        kind = (element.get("class") or "").split(" ")[0]
        if "placeholder" in (element.get("class") or ""):
            return []
        outside = self.note, self.kinds, self.middle
        self.kinds = (*self.kinds, kind)
        name = element.get("id", "")
        if kind in ("note", "chord"):
            self.note, self.middle = name, self._head_middle(element)
        if kind == "staff":
            self.staff_top = min(
                y for child in element if child.tag == f"{_SVG}path" for _, y in _points(child.get("d", ""))
            )
        marks = self.children(element)
        if kind == "beam":
            marks = [*with_graces_under(with_accents_over(marks)), *self._slash(marks)]
        if kind == "hairpin":
            marks = with_tip_back(marks)
        self._leave_to_rows(name, marks)
        self.note, self.kinds, self.middle = outside
        if kind in _APART and marks:
            return [Group(tuple(marks), _APART[kind])]
        if kind not in _KEPT:
            return marks
        return [Group(tuple(marks), kind, name if kind in _NAMED else "")] if marks else []

    def _slash(self, marks: Iterable[Mark]) -> list[Mark]:
        """The slash through the beams of a drag at its first stem, up to the right; nothing through others."""
        first = next((mark for mark in marks if isinstance(mark, Group) and mark.kind == "note"), None)
        if first is None or first.name not in self.hints.drags:
            return []
        heights = [y for mark in marks if isinstance(mark, Fill) for _, y in mark.points]
        stem = next(mark.points[0][0] for mark in first.marks if isinstance(mark, Polyline))
        start = (stem - _SLASH_BESIDE, max(heights) + _SLASH_BESIDE)
        end = (stem + _SLASH_AFTER, min(heights) - _SLASH_OVER)
        return [Polyline((start, end), _SLASH_WIDTH)]

    def _head_middle(self, element: Element) -> float | None:
        """The middle of the (first) head of a note or chord; a chord's own is kept for its notes."""
        for group in element.iter(f"{_SVG}g"):
            if group.get("class") == "notehead":
                glyph = self._plain_glyph(next(group.iter(f"{_SVG}use")))
                return _middle(glyph)
        return self.middle

    def _glyph(self, element: Element) -> Glyph:
        glyph = self._plain_glyph(element)
        wanted = self.hints.heads.get(self.note, "")
        if wanted in HEADS and "notehead" in self.kinds and glyph.code in PLAIN_HEADS:
            return glyph._replace(code=HEADS[wanted][PLAIN_HEADS.index(glyph.code)])
        return glyph

    @staticmethod
    def _plain_glyph(element: Element) -> Glyph:
        code = element.attrib[_HREF].removeprefix("#").split("-")[0]
        x, y, scale, *_ = map(float, _NUMBERS.findall(element.attrib["transform"]))
        return Glyph(code, x, y, scale)

    def _words(self, element: Element) -> list[Mark]:
        x, y = float(element.get("x", 0)), float(element.get("y", 0))
        marks: list[Mark] = []
        runs: list[Run] = []
        size = 0.0
        for text, span_size, run in self._runs(element, Run("", *self._style())):
            signs = [char for char in text if "\ue000" <= char <= "\uf8ff"]
            for sign in signs:
                code, scale = f"{ord(sign):04X}", span_size / EM
                x += _BEFORE_DOT * scale if code == METRONOME_DOT else 0
                marks.append(Glyph(code, x, y, scale))
                x += box(code).advance * scale
            if not signs:
                size = size or span_size
                runs.append(run._replace(text=text))
        if not runs:
            return marks
        if "syl" in self.kinds and self.middle is not None:
            return [*marks, self.rows.add(self.middle, y, runs)]
        anchor = element.get("text-anchor", "start")
        return [*marks, Words(x, y, size, tuple(runs), anchor)]  # type: ignore[arg-type]

    def _style(self) -> tuple[bool, bool]:
        return bool(_BOLD & set(self.kinds)), bool(_ITALIC & set(self.kinds))

    def _runs(self, element: Element, style: Run) -> list[tuple[str, float, Run]]:
        """The pieces of a text with their sizes and styles, spaces at the ends of lines of the file dropped."""
        runs: list[tuple[str, float, Run]] = []
        for span in element:
            bold, italic = style.bold, style.italic
            if span.get("font-weight"):
                bold, italic = span.get("font-weight") == "bold", False
            if span.get("font-style"):
                italic = span.get("font-style") == "italic"
            inner = style._replace(bold=bold, italic=italic)
            if span.get("font-size"):
                runs.append((span.text or "", float(span.get("font-size", "0").removesuffix("px")), inner))
            runs += self._runs(span, inner)
        return runs

    def _leave_to_rows(self, name: str, marks: list[Mark]) -> None:
        """Remember a rest or grace note under which something is to be written, and its middle."""
        for texts, is_count in ((self.hints.letters, False), (self.hints.counts, True)):
            if name in texts:
                glyph = next((mark for mark in marks if isinstance(mark, Glyph)), None)
                if glyph is not None:
                    self.rows.leave(_middle(glyph), texts[name], is_count=is_count)


def _middle(glyph: Glyph) -> float:
    return glyph.x + box(glyph.code).advance * glyph.scale / 2


def _line(element: Element, tag: str) -> Mark | None:
    """What is drawn with lines: staff lines, stems, beams, brackets, hairpins, dots."""
    match tag:
        case "path":
            return Polyline(_points(element.attrib["d"]), float(element.attrib["stroke-width"]))
        case "polyline":
            square = element.get("stroke-linecap") == "square"
            return Polyline(_points(element.attrib["points"]), float(element.attrib["stroke-width"]), square)
        case "polygon":
            return Fill(_points(element.attrib["points"]))
        case "ellipse":
            return Dot(*(float(element.attrib[key]) for key in ("cx", "cy", "rx")))
        case _:
            return None


def _points(text: str) -> tuple[tuple[float, float], ...]:
    numbers = [float(number) for number in _NUMBERS.findall(text)]
    return tuple(zip(numbers[::2], numbers[1::2], strict=True))
