"""Headings: what stands over the music of a phrase — title, tempo, swing, kit, lines to the player, legend.

Units are hundredths of a millimetre. Each piece is drawn from its own top left corner and says how high it is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import UNIT_NAMES
from drumgen.sheet.glyphs import METRONOME_DOT, METRONOME_NOTES, box
from drumgen.sheet.heads import legend
from drumgen.sheet.ink import Glyph, Group, Mark, Run, Words
from drumgen.sheet.musicxml_directions import changing_words, number, swing_words
from drumgen.sheet.signs import legend_marks, swing_marks
from drumgen.sheet.text_width import run_width, width, wrapped

if TYPE_CHECKING:
    from drumgen.sheet.score import Score, TempoMark

POINT = 2540 / 72
TITLE, SUBTITLE, LABEL, NOTE = 20 * POINT, 13 * POINT, 11 * POINT, 10.5 * POINT
_SIGN = 0.62
"""A metronome note's em to that of the text beside it, times a thousandth of its own em: it stands as high as a capital."""


class Piece(NamedTuple):
    """Some marks and how high they stand."""

    marks: tuple[Mark, ...]
    height: float


def heading(score: Score, *, room: float, alone: bool) -> list[Piece]:
    """The pieces over a score's music, from the top; ``alone`` where it is the only one on its sheet."""
    pieces = [_title(score, room, alone=alone), _line(score, room)]
    pieces += _notes(score, room)
    pieces += [Piece(tuple(marks), height) for marks, height in legend_marks(legend(score.heads), room)]
    return pieces


def _title(score: Score, room: float, *, alone: bool) -> Piece:
    """The title: in the middle of a sheet of its own, else at the left; set smaller where it is long."""
    size = TITLE if alone else SUBTITLE
    lines = wrapped(score.title, size, room)
    marks = tuple(
        Words(
            room / 2 if alone else 0,
            size * (0.8 + 1.15 * index),
            size,
            (Run(line, bold=not alone),),
            "middle" if alone else "start",
        )
        for index, line in enumerate(lines)
    )
    return Piece(marks, size * (1.15 * len(lines) + (0.35 if alone else 0.1)) if marks else 0)


def _line(score: Score, room: float) -> Piece:
    """Tempo and swing at the left, the kit at the right."""
    first = score.measures[0]
    baseline = LABEL * 1.1
    marks, x = tempo_marks(first.tempo, baseline)
    swing = first.span.feel.swing
    if swing.long != swing.short:
        words = Words(x + LABEL, baseline, LABEL, (Run(swing_words(swing)),))
        marks += [words, *swing_marks(swing, words.x + width(words) + LABEL * 0.4, baseline, LABEL)]
    kit = Words(room, baseline, LABEL, (Run(_kit_words(score)),), "end")
    return Piece((*marks, kit), LABEL * 1.9)


def _kit_words(score: Score) -> str:
    return f"Kit: {score.kit.title or score.kit.name}"


def tempo_marks(tempo: TempoMark, baseline: float) -> tuple[list[Mark], float]:
    """A metronome mark from x = 0, its note as an outline, and where it ends."""
    *dotted, name = UNIT_NAMES[tempo.unit_grains].split(" ")
    scale = LABEL * _SIGN / 400
    note = METRONOME_NOTES[name]
    marks: list[Mark] = [Glyph(note, 0, baseline, scale)]
    x = box(note).advance * scale
    for _ in dotted:
        marks.append(Glyph(METRONOME_DOT, x + 40 * scale, baseline, scale))
        x += 160 * scale
    per_minute = f" = {number(tempo.per_minute)}"
    words = Words(x, baseline, LABEL, (Run(per_minute),))
    return [*marks, words], x + width(words)


def _notes(score: Score, room: float) -> list[Piece]:
    """The lines to the player, of the phrase and of single bars."""
    pieces = []
    rows = [("", score.note), *((f"{name}: " if name else "", text) for name, text in score.notes)]
    for name, text in rows:
        label = Run(name, bold=True)
        indent = run_width(label, NOTE)
        for index, line in enumerate(wrapped(text, NOTE, room - indent, italic=True)):
            runs = (label, Run(line, italic=True)) if name and not index else (Run(line, italic=True),)
            x = indent if name and index else 0
            pieces.append(Piece((Words(x, NOTE * 0.8, NOTE, runs),), NOTE * 1.25))
    return pieces


def running_head(title: str, page: int, pages: int, *, room: float) -> Group:
    """The line at the foot of a page: the title from the second page on, and the page's number."""
    marks: list[Mark] = []
    if page > 1 and title:
        line = wrapped(title, NOTE, room * 0.8)[0]
        marks.append(Words(0, 0, NOTE, (Run(line, italic=True),)))
    marks.append(Words(room, 0, NOTE, (Run(f"{page} of {pages}"),), "end"))
    return Group(tuple(marks), "foot")


__all__ = ["Piece", "changing_words", "heading", "running_head", "tempo_marks"]
