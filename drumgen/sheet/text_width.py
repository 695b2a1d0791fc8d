"""Text widths: how wide a line of text is, by the metrics of Times and Helvetica that come with reportlab.

Another font that stands in for them is about as wide. Signs that they lack count as a full em (East Asian) or 0.6 em.
"""

from __future__ import annotations

from functools import lru_cache
from unicodedata import combining, east_asian_width

from drumgen.sheet.ink import Run, Words

FACES: dict[tuple[bool, bool, bool], str] = {
    (False, False, False): "Times-Roman",
    (False, True, False): "Times-Bold",
    (False, False, True): "Times-Italic",
    (False, True, True): "Times-BoldItalic",
    (True, False, False): "Helvetica",
    (True, True, False): "Helvetica-Bold",
    (True, False, True): "Helvetica-Oblique",
    (True, True, True): "Helvetica-BoldOblique",
}
"""The standard font of a style: (sans, bold, italic)."""


@lru_cache(maxsize=4096)
def _ems(char: str, face: str) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if combining(char):
        return 0.0
    if is_standard(char):
        return float(stringWidth(char, face, 1))
    return 1.0 if east_asian_width(char) in "WF" else 0.6


def is_standard(text: str) -> bool:
    """Whether the standard fonts of PDF have every sign of a text (its WinAnsi encoding, code page 1252)."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def run_width(run: Run, size: float, *, sans: bool = False) -> float:
    """The width of a run at a size."""
    face = FACES[sans, run.bold, run.italic]
    return size * sum(_ems(char, face) for char in run.text)


def width(words: Words) -> float:
    """The width of a line of words."""
    return sum(run_width(run, words.size, sans=words.sans) for run in words.runs)


def wrapped(text: str, size: float, room: float, *, bold: bool = False, italic: bool = False) -> list[str]:
    """A text in lines no wider than ``room``, broken between words; a longer word is cut."""
    lines: list[str] = []
    line = ""
    for word in _pieces(text, size, room, bold=bold, italic=italic):
        longer = f"{line} {word}" if line else word
        if line and run_width(Run(longer, bold, italic), size) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def _pieces(text: str, size: float, room: float, *, bold: bool, italic: bool) -> list[str]:
    pieces: list[str] = []
    for word in text.split():
        piece = ""
        for char in word:
            if piece and run_width(Run(piece + char, bold, italic), size) > room:
                pieces.append(piece)
                piece = ""
            piece += char
        pieces.append(piece)
    return pieces
