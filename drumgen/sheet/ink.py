"""Ink: what is drawn, as a few kinds of marks that every writer of pages understands.

Coordinates are whole or half units of whoever draws them, x to the right and y down; a ``Group`` is moved and scaled as
a whole. Music signs are outlines, never characters of a font; words are plain text in a generic font.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Anchor = Literal["start", "middle", "end"]


class Glyph(NamedTuple):
    """A music sign by its code, its origin at ``x``, ``y``; ``scale`` is units to the thousandth of an em."""

    code: str
    x: float
    y: float
    scale: float


class Polyline(NamedTuple):
    """A line through points, of this width, its ends square where ``square``."""

    points: tuple[tuple[float, float], ...]
    width: float
    square: bool = False


class Fill(NamedTuple):
    """A filled polygon."""

    points: tuple[tuple[float, float], ...]


class Dot(NamedTuple):
    """A filled circle."""

    x: float
    y: float
    radius: float


class Run(NamedTuple):
    """Some text in one style."""

    text: str
    bold: bool = False
    italic: bool = False


class Words(NamedTuple):
    """A line of text at its baseline; ``size`` is the em in units."""

    x: float
    y: float
    size: float
    runs: tuple[Run, ...]
    anchor: Anchor = "start"
    sans: bool = False

    @property
    def text(self) -> str:
        """The text alone."""
        return "".join(run.text for run in self.runs)


class Group(NamedTuple):
    """Marks that belong together; ``kind`` and ``name`` are the class and id that a page can find it by."""

    marks: tuple[Mark, ...]
    kind: str = ""
    name: str = ""
    x: float = 0
    y: float = 0
    scale: float = 1


Mark = Glyph | Polyline | Fill | Dot | Words | Group
