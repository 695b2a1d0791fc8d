"""Mending: what verovio 6.4 lets run into its beams and hairpins, moved away from them or made smaller."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sheet.boxes import mark_box
from drumgen.sheet.clearing import BESIDE, OVER
from drumgen.sheet.ink import Fill, Glyph, Group, Mark, Polyline

if TYPE_CHECKING:
    from collections.abc import Sequence

TIP_BACK = 70.0
"""How far the tip of a hairpin is drawn back: then about half a staff space is free before it."""

_ACCENT_OVER, _GRACE_FLAG = "E4A0", "E240"


def with_accents_over(marks: Sequence[Mark]) -> list[Mark]:
    """The marks of a beam and its notes, accents that run into the beam put over it.

    verovio 6.4 lengthens the stems of a beam that a drag stands in when the accents have their places already.
    """
    beams = [mark for mark in marks if isinstance(mark, Fill)]
    return [_accents_lifted(mark, beams) for mark in marks]


def _accents_lifted(mark: Mark, beams: Sequence[Fill]) -> Mark:
    if isinstance(mark, Group):
        return mark._replace(marks=tuple(_accents_lifted(each, beams) for each in mark.marks))
    if not isinstance(mark, Glyph) or mark.code != _ACCENT_OVER:
        return mark
    left, top, right, bottom = mark_box(mark)
    spans = [span for beam in beams if (span := _heights(beam, left, right)) is not None]
    touched = any(high < bottom + OVER and top < low for high, low in spans)
    return mark._replace(y=mark.y + min(high for high, _ in spans) - OVER - bottom) if touched else mark


def with_graces_under(marks: Sequence[Mark]) -> list[Mark]:
    """The marks of a beam and its notes, grace notes in it made so low that they stay under it.

    verovio 6.4 gives the notes of a beam no longer stems for a flam that stands between them.
    """
    beams = [mark for mark in marks if isinstance(mark, Fill)]
    return [_grace_lowered(mark, beams) if isinstance(mark, Group) else mark for mark in marks]


def _grace_lowered(note: Group, beams: Sequence[Fill]) -> Group:
    """A grace note with its stem so short that it stays under the beams; any other note as it is."""
    stem = next((mark for mark in note.marks if isinstance(mark, Polyline)), None)
    if stem is None or not any(isinstance(mark, Glyph) and mark.code == _GRACE_FLAG for mark in note.marks):
        return note
    (_, foot), (x, top) = stem.points
    spans = [span for beam in beams if (span := _heights(beam, x, x + BESIDE)) is not None]
    under = max((low for _, low in spans), default=top) + OVER
    if under <= top:
        return note
    share = (foot - under) / (foot - top)
    return note._replace(marks=tuple(_shrunk(mark, foot, share) for mark in note.marks))


def _shrunk(mark: Mark, foot: float, share: float) -> Mark:
    """A stem, its slash or its flag, so much lower over the foot of the stem."""
    if isinstance(mark, Polyline):
        return mark._replace(points=tuple((x, foot + (y - foot) * share) for x, y in mark.points))
    if isinstance(mark, Glyph) and mark.code == _GRACE_FLAG:
        return mark._replace(y=foot + (mark.y - foot) * share, scale=mark.scale * share)
    return mark


def _heights(beam: Fill, left: float, right: float) -> tuple[float, float] | None:
    """Between which heights a beam runs over a width, if it does: its upper edge is the first side."""
    (x, y), (end, last), (_, low), _ = beam.points
    if end <= left or right <= x:
        return None
    at = [y + (last - y) * (min(max(each, x), end) - x) / (end - x) for each in (left, right)]
    return min(at), max(at) + low - last


def with_tip_back(marks: Sequence[Mark]) -> list[Mark]:
    """The marks of a hairpin, its tip drawn back from the dynamics that verovio lets it touch."""
    return [_drawn_back(mark) if isinstance(mark, Polyline) and len(mark.points) == 3 else mark for mark in marks]


def _drawn_back(pin: Polyline) -> Polyline:
    """A hairpin that begins ``TIP_BACK`` nearer to its open end; a quarter of a short one's length at most."""
    opening, (tip, middle), closing = pin.points
    length = opening[0] - tip
    back = min(TIP_BACK, abs(length) / 4)
    return pin._replace(points=(opening, (tip + (back if length > 0 else -back), middle), closing))
