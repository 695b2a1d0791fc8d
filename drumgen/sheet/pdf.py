"""PDF: pages of a sheet, drawn with reportlab in its invariant mode: the same sheet, the same bytes.

Text is text, so that it can be searched. It is set in the standard fonts; what they lack in a font of the system that
has it, embedded; where none is found that reads left to right, the words are left out and it is said.
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from io import BytesIO
from typing import TYPE_CHECKING, Any

from drumgen.sheet.fonts import FontFinder
from drumgen.sheet.glyphs import box, outline
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Polyline, Words
from drumgen.sheet.outlines import steps

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.sheet.ink import Mark
    from drumgen.sheet.sheets import Sheet

_POINT = 72 / 2540
"""Points to a hundredth of a millimetre."""

_DATE = "SOURCE_DATE_EPOCH"

_AIR = 100
"""Around a sign's box, in units of its em: no outline is cut."""


def sheet_pdf(sheet: Sheet) -> tuple[bytes, tuple[str, ...]]:
    """The bytes of a PDF, and remarks on words that no font could draw."""
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    with _undated():
        canvas = Canvas(out, pageCompression=1, invariant=1)
    canvas.setTitle(sheet.title)
    canvas.setCreator("drumgen")
    canvas.setAuthor("")
    drawing = _Drawing(canvas)
    for page in sheet.pages:
        canvas.setPageSize((page.width * _POINT, page.height * _POINT))
        canvas.transform(_POINT, 0, 0, -_POINT, 0, page.height * _POINT)
        for mark in page.marks:
            drawing.draw(mark)
        canvas.showPage()
    canvas.save()
    return out.getvalue(), drawing.fonts.remarks()


@contextmanager
def _undated() -> Iterator[None]:
    """Keep from reportlab the date that SOURCE_DATE_EPOCH names: it would stand in the file, and another is refused."""
    kept = os.environ.pop(_DATE, None)
    try:
        yield
    finally:
        if kept is not None:
            os.environ[_DATE] = kept


class _Drawing:
    """Draws marks on a canvas whose y has been turned downward."""

    def __init__(self, canvas: Any) -> None:  # noqa: ANN401 - reportlab is untyped
        self.canvas = canvas
        self.fonts = FontFinder()
        self.forms: set[str] = set()

    def draw(self, mark: Mark) -> None:
        """Draw one mark."""
        match mark:
            case Group():
                self._moved(mark)
            case Glyph():
                self._glyph(mark)
            case Polyline():
                self._polyline(mark)
            case Fill(points):
                self._fill(points)
            case Dot(x, y, radius):
                self.canvas.circle(x, y, radius, stroke=0, fill=1)
            case Words():
                self._words(mark)

    def _moved(self, group: Group) -> None:
        plain = (group.x, group.y, group.scale) == (0, 0, 1)
        if not plain:
            self.canvas.saveState()
            self.canvas.transform(group.scale, 0, 0, group.scale, group.x, group.y)
        for mark in group.marks:
            self.draw(mark)
        if not plain:
            self.canvas.restoreState()

    def _glyph(self, glyph: Glyph) -> None:
        """A sign, its outline written once in the file."""
        if glyph.code not in self.forms:
            self.forms.add(glyph.code)
            left, low, width, high, _ = box(glyph.code)
            around = (left - _AIR, low - _AIR, left + width + _AIR, low + high + _AIR)
            self.canvas.beginForm(glyph.code, *around)
            self._outline(glyph.code)
            self.canvas.endForm()
        self.canvas.saveState()
        self.canvas.transform(glyph.scale, 0, 0, -glyph.scale, glyph.x, glyph.y)
        self.canvas.doForm(glyph.code)
        self.canvas.restoreState()

    def _outline(self, code: str) -> None:
        path = self.canvas.beginPath()
        for kind, points in steps(outline(code)):
            if kind == "M":
                path.moveTo(*points)
            elif kind == "L":
                path.lineTo(*points)
            elif kind == "C":
                path.curveTo(*points)
            else:
                path.close()
        self.canvas.drawPath(path, stroke=0, fill=1, fillMode=1)

    def _polyline(self, line: Polyline) -> None:
        self.canvas.setLineWidth(line.width)
        self.canvas.setLineCap(2 if line.square else 0)
        self.canvas.drawPath(self._through(line.points), stroke=1, fill=0)

    def _fill(self, points: tuple[tuple[float, float], ...]) -> None:
        path = self._through(points)
        path.close()
        self.canvas.drawPath(path, stroke=0, fill=1)

    def _through(self, points: tuple[tuple[float, float], ...]) -> Any:  # noqa: ANN401 - as above
        """A path through points."""
        path = self.canvas.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        return path

    def _words(self, words: Words) -> None:
        """A line of words, each stretch of it in a font that has it."""
        pieces = [piece for run in words.runs for piece in self.fonts.pieces(run, sans=words.sans)]
        total = sum(self.canvas.stringWidth(text, font, words.size) for text, font in pieces)
        x = words.x - {"start": 0, "middle": total / 2, "end": total}[words.anchor]
        for text, font in pieces:
            self.canvas.saveState()
            self.canvas.transform(1, 0, 0, -1, x, words.y)
            self.canvas.setFont(font, words.size)
            self.canvas.drawString(0, 0, text)
            self.canvas.restoreState()
            x += self.canvas.stringWidth(text, font, words.size)
