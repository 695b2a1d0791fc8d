"""Clearing: words over the staff, dynamics and letters under it, kept clear of all else as an engraver would set them.

Boxes are (left, top, right, bottom) in the units of whoever drew the marks, y down. Labels are groups of the kind
``label``, dynamics and hairpins of the kind ``loudness``; these kinds are gone once they are placed. Of labels the
lowest is lifted first, and those over it then keep clear of it too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sheet.glyphs import box
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Mark, Stroke, Words
from drumgen.sheet.text_width import width

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    Box = tuple[float, float, float, float]

LABEL, LOUDNESS = "label", "loudness"
OVER, BESIDE = 50.0, 200.0
"""What stays free over and beside whatever a label stands above: a quarter of a staff space, and a whole one."""

TIP_BACK = 70.0
"""How far the tip of a hairpin is drawn back: then about half a staff space is free before it."""

_ACCENT_OVER, _GRACE_FLAG = "E4A0", "E240"

_ASCENT, _DESCENT = 0.75, 0.22
"""How far letters reach over and under their baseline, in ems (Times, rounded up)."""


def cleared(marks: Sequence[Mark]) -> tuple[tuple[Mark, ...], float]:
    """The marks with their labels lifted, all moved down by what then stood over y = 0; and how far that was."""
    labels = sorted(_labels(marks), key=lambda label: -_bounds(label)[3])
    taken = [mark_box(mark) for mark in _leaves(marks)]
    lifts: dict[Group, float] = {}
    for label in labels:
        left, top, right, bottom = _bounds(label)
        lifts[label] = lift = _lift((left, top, right, bottom), taken)
        taken.append((left, top - lift, right, bottom - lift))
    over = max((lift - _bounds(label)[1] for label, lift in lifts.items() if lift), default=0.0)
    over = max(0.0, over)
    return tuple(_placed(mark, lifts, over) for mark in marks), over


def sunk(marks: Sequence[Mark], is_low: Callable[[Mark], bool]) -> tuple[tuple[Mark, ...], float]:
    """The marks, all low ones moved down together until they are free of what begins over them; and how far."""
    low: list[Box] = []
    others: list[Box] = []
    for mark in _parted(marks, is_low):
        (low if is_low(mark) else others).append(mark_box(mark))
    needed = (
        other[3] + OVER - one[1]
        for one in low
        for other in others
        if other[1] < one[1] and other[0] < one[2] + OVER and one[0] - OVER < other[2]
    )
    down = max((0.0, *needed))
    return tuple(_moved(mark, is_low, down) for mark in marks), down


def _parted(marks: Iterable[Mark], is_low: Callable[[Mark], bool]) -> Iterator[Mark]:
    """All low marks, whole, and all other single marks."""
    for mark in marks:
        if isinstance(mark, Group) and not is_low(mark):
            yield from _parted(mark.marks, is_low)
        else:
            yield mark


def _moved(mark: Mark, is_low: Callable[[Mark], bool], down: float) -> Mark:
    if is_low(mark):
        placed = _placed(mark, {}, down)
        return placed._replace(kind="") if isinstance(placed, Group) else placed
    if isinstance(mark, Group):
        return mark._replace(marks=tuple(_moved(each, is_low, down) for each in mark.marks))
    return mark


def lifted(marks: Sequence[Mark]) -> list[Mark]:
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


def squatter(marks: Sequence[Mark]) -> list[Mark]:
    """The marks of a beam and its notes, grace notes in it made so low that they stay under it.

    verovio 6.4 gives the notes of a beam no longer stems for a flam that stands between them.
    """
    beams = [mark for mark in marks if isinstance(mark, Fill)]
    return [_squatter(mark, beams) if isinstance(mark, Group) else mark for mark in marks]


def _squatter(note: Group, beams: Sequence[Fill]) -> Group:
    stem = next((mark for mark in note.marks if isinstance(mark, Stroke)), None)
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
    if isinstance(mark, Stroke):
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


def shortened(marks: Sequence[Mark]) -> list[Mark]:
    """The marks of a hairpin, its tip drawn back from the dynamics that verovio lets it touch."""
    return [_drawn_back(mark) if isinstance(mark, Stroke) and len(mark.points) == 3 else mark for mark in marks]


def _drawn_back(pin: Stroke) -> Stroke:
    """A hairpin that begins ``TIP_BACK`` nearer to its open end; a quarter of a short one's length at most."""
    opening, (tip, middle), closing = pin.points
    length = opening[0] - tip
    back = min(TIP_BACK, abs(length) / 4)
    return pin._replace(points=(opening, (tip + (back if length > 0 else -back), middle), closing))


def mark_box(mark: Mark) -> Box:
    """The box of a mark; a group's is around all that is in it."""
    match mark:
        case Glyph(code, x, y, scale):
            sign = box(code)
            left, bottom = x + sign.x * scale, y - sign.y * scale
            return left, bottom - sign.height * scale, left + sign.width * scale, bottom
        case Dot(x, y, radius):
            return x - radius, y - radius, x + radius, y + radius
        case Stroke(points, thickness):
            return _around(points, thickness / 2)
        case Fill(points):
            return _around(points, 0)
        case Words():
            return _words_box(mark)
        case _:
            return _bounds(mark)


def _words_box(words: Words) -> Box:
    wide = width(words)
    left = words.x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
    return left, words.y - _ASCENT * words.size, left + wide, words.y + _DESCENT * words.size


def _around(points: Iterable[tuple[float, float]], more: float) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs) - more, min(ys) - more, max(xs) + more, max(ys) + more


def _bounds(group: Group) -> Box:
    lefts, tops, rights, bottoms = zip(*map(mark_box, group.marks), strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _labels(marks: Iterable[Mark]) -> Iterator[Group]:
    for mark in marks:
        if isinstance(mark, Group):
            if mark.kind == LABEL:
                yield mark
            else:
                yield from _labels(mark.marks)


def _leaves(marks: Iterable[Mark]) -> Iterator[Mark]:
    """All single marks outside labels."""
    for mark in marks:
        if not isinstance(mark, Group):
            yield mark
        elif mark.kind != LABEL:
            yield from _leaves(mark.marks)


def _lift(label: Box, taken: Sequence[Box]) -> float:
    """How far up a label must go to be free of everything; nothing where it is free already."""
    left, top, right, bottom = label
    beside = sorted(
        (each for each in taken if each[0] < right + BESIDE and left - BESIDE < each[2]), key=lambda each: -each[3]
    )
    lift = 0.0
    for _, high, _, low in beside:
        if high - OVER < bottom - lift and top - lift < low + OVER:
            lift = bottom - high + OVER
    return lift


def _placed(mark: Mark, lifts: dict[Group, float], down: float) -> Mark:
    match mark:
        case Group():
            moved = down - lifts.get(mark, 0.0) if mark.kind == LABEL else down
            kind = "" if mark.kind == LABEL else mark.kind
            return mark._replace(marks=tuple(_placed(each, lifts, moved) for each in mark.marks), kind=kind)
        case Stroke() | Fill():
            return mark._replace(points=tuple((x, y + down) for x, y in mark.points))
        case _:
            return mark._replace(y=mark.y + down)
