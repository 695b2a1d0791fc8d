"""Signs: small engraved figures of our own — the legend of an unusual kit, and what swing does to a pair of notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sheet.glyphs import EM, HEADS, SPACES_PER_EM, box
from drumgen.sheet.ink import Fill, Glyph, Mark, Polyline, Run, Words
from drumgen.sheet.text_width import width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.feel import Swing
    from drumgen.sheet.heads import Head

HEAD_CODES: dict[str, str] = {
    "normal": "E0A4",
    "x": "E0A9",
    "circle-x": "E0B3",
    "diamond": "E0DB",
} | {name: codes[0] for name, codes in HEADS.items()}
"""The black head of each kind, by its SMuFL code."""

OPEN_SIGN = "E614"
SPACE = 130.0
"""A staff space of the legend, in hundredths of a millimetre."""

_LABEL = 8.5 * 2540 / 72
_GAP = 450.0


def legend_marks(heads: Sequence[Head], room: float) -> list[tuple[list[Mark], float]]:
    """Rows of a small staff with each head on its place and its name below, and how high each row is."""
    rows: list[list[Mark]] = []
    ends: list[float] = []
    x = room
    for head in heads:
        label = Words(0, 0, _LABEL, (Run(head.voice),), "middle")
        step = max(width(label), 4 * SPACE) + _GAP
        if x + step > room:
            rows.append([])
            ends.append(0)
            x = _GAP / 2
        rows[-1] += _legend_head(head, x + step / 2 - _GAP / 2, label)
        ends[-1] = x = x + step
    return [([*_staff(end), *row], 15.5 * SPACE) for row, end in zip(rows, ends, strict=True)]


_TOP = 5 * SPACE


def _legend_head(head: Head, x: float, label: Words) -> list[Mark]:
    y = _TOP + 4 * SPACE - head.height * SPACE / 2
    code = HEAD_CODES[head.notehead]
    scale = SPACES_PER_EM * SPACE / EM
    half = box(code).advance * scale / 2
    marks: list[Mark] = [Glyph(code, x - half, y, scale), label._replace(x=x, y=_TOP + 7.5 * SPACE + _LABEL / 2)]
    if head.is_open:
        marks.append(Glyph(OPEN_SIGN, x - box(OPEN_SIGN).advance * scale / 2, y - 1.3 * SPACE, scale))
    for height in _ledgers(head.height):
        line = _TOP + 4 * SPACE - height * SPACE / 2
        marks.append(Polyline(((x - half - 0.4 * SPACE, line), (x + half + 0.4 * SPACE, line)), 0.13 * SPACE))
    return marks


def _ledgers(height: int) -> range:
    """The heights of the ledger lines of a head: above 8 (the top line) or below 0."""
    return range(10, height + 1, 2) if height > 8 else range(height + height % 2, 0, 2)


def _staff(end: float) -> list[Mark]:
    """The five lines of a staff from 0 to its end."""
    lines = [_TOP + index * SPACE for index in range(5)]
    return [Polyline(((0, y), (end, y)), 0.1 * SPACE) for y in lines]


def swing_marks(swing: Swing, x: float, baseline: float, size: float) -> list[Mark]:
    """In brackets, a pair of plain notes equal to a triplet's long and short; nothing where the ratio is another."""
    if (swing.long, swing.short) != (2, 1):
        return []
    beams = 1 if swing.of == "eighths" else 2
    space = size * 0.24
    scale = SPACES_PER_EM * space / EM
    long, short = ("ECA5", "ECA7") if beams == 1 else ("ECA7", "ECA9")
    first = x + size * 0.4
    equals = first + 5.0 * space
    start = equals + size * 0.95
    after = start + 3.6 * space
    last = after + 2.2 * space
    top = baseline - 4.0 * space
    middle, three = (start + last) / 2, scale * 0.75
    return [
        Words(x, baseline, size, (Run("("),)),
        *_pair(first, baseline, space, beams),
        Words(equals, baseline, size, (Run("="),)),
        Glyph(long, start, baseline, scale * 0.95),
        Glyph(short, after, baseline, scale * 0.95),
        Polyline(((start, top + 0.5 * space), (start, top), (middle - 0.9 * space, top)), 0.12 * space),
        Polyline(((middle + 0.9 * space, top), (last, top), (last, top + 0.5 * space)), 0.12 * space),
        Glyph("E883", middle - box("E883").advance * three / 2, top + 0.55 * space, three),
        Words(last + size * 0.25, baseline, size, (Run(")"),)),
    ]


def _pair(x: float, baseline: float, space: float, beams: int) -> list[Mark]:
    """Two heads under as many beams."""
    scale = SPACES_PER_EM * space / EM * 0.95
    head = box("E0A4").advance * scale
    top = baseline - 3.3 * space
    stems = (x + head - 0.06 * space, x + 3 * space + head - 0.06 * space)
    marks = [Glyph("E0A4", stem - head + 0.06 * space, baseline, scale) for stem in stems]
    stem_lines = [Polyline(((stem, baseline - 0.15 * space), (stem, top)), 0.12 * space) for stem in stems]
    ends = stems[0] - 0.06 * space, stems[1] + 0.06 * space
    fills = []
    for beam in range(beams):
        y = top + beam * 0.6 * space
        fills.append(Fill(((ends[0], y), (ends[1], y), (ends[1], y + 0.4 * space), (ends[0], y + 0.4 * space))))
    return [*marks, *stem_lines, *fills]
