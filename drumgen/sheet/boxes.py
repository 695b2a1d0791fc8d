"""Boxes: the room that marks take, as (left, top, right, bottom) in the units of whoever drew them, y down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sheet.glyphs import box
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Mark, Polyline, Words
from drumgen.sheet.text_width import width

if TYPE_CHECKING:
    from collections.abc import Iterable

Box = tuple[float, float, float, float]

_ASCENT, _DESCENT = 0.75, 0.22
"""How far letters reach over and under their baseline, in ems (Times, rounded up)."""


def mark_box(mark: Mark) -> Box:
    """The box of a mark; a group's is around all that is in it."""
    match mark:
        case Glyph(code, x, y, scale):
            sign = box(code)
            left, bottom = x + sign.x * scale, y - sign.y * scale
            return left, bottom - sign.height * scale, left + sign.width * scale, bottom
        case Dot(x, y, radius):
            return x - radius, y - radius, x + radius, y + radius
        case Polyline(points, thickness):
            return _around(points, thickness / 2)
        case Fill(points):
            return _around(points, 0)
        case Words():
            return _words_box(mark)
        case _:
            return bounds(mark)


def _words_box(words: Words) -> Box:
    wide = width(words)
    left = words.x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
    return left, words.y - _ASCENT * words.size, left + wide, words.y + _DESCENT * words.size


def _around(points: Iterable[tuple[float, float]], more: float) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs) - more, min(ys) - more, max(xs) + more, max(ys) + more


def bounds(group: Group) -> Box:
    """The box around all that is in a group."""
    lefts, tops, rights, bottoms = zip(*map(mark_box, group.marks), strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)
