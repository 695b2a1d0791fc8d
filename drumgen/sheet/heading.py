"""Headings: what stands over the music of a phrase — title, tempo, swing, kit, lines to the player, legend; the foot.

Units are hundredths of a millimetre. Each piece is drawn from its own top left corner and says how high it is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import UNIT_NAMES
from drumgen.sheet.directions import has_swing, swing_words
from drumgen.sheet.glyphs import METRONOME_DOT, METRONOME_NOTES, box
from drumgen.sheet.heads import legend
from drumgen.sheet.ink import Glyph, Group, Mark, Run, Words
from drumgen.sheet.numerals import number
from drumgen.sheet.signs import legend_marks, swing_marks
from drumgen.sheet.text_width import run_width, width, wrapped

if TYPE_CHECKING:
    from drumgen.sheet.score import Score, TempoMark

POINT = 2540 / 72
TITLE, SUBTITLE, LABEL, NOTE = 20 * POINT, 13 * POINT, 11 * POINT, 10.5 * POINT
_BASELINE = LABEL * 1.1
_SIGN = 0.62
"""The em of a metronome note in that of the text beside it, times 0.4."""


class Piece(NamedTuple):
    """Some marks and how high they stand."""

    marks: tuple[Mark, ...]
    height: float


def heading(score: Score, *, room: float, alone: bool, kit: bool) -> list[Piece]:
    """The pieces over a score's music, from the top.

    ``alone`` where it is the only one on its sheet, its title in the middle; else title and tempo share a line. ``kit``
    names the kit, where the sheet has not done it.
    """
    pieces = [title_piece(score.title, room), _line(score, room, kit=kit)] if alone else _small(score, room, kit=kit)
    pieces += _notes(score, room)
    pieces += [Piece(tuple(marks), height) for marks, height in legend_marks(legend(score.heads), room)]
    return pieces


def title_piece(title: str, room: float) -> Piece:
    """A title in the middle, in as many lines as it takes."""
    lines = wrapped(title, TITLE, room)
    marks = tuple(
        Words(room / 2, TITLE * (0.8 + 1.15 * index), TITLE, (Run(line),), "middle") for index, line in enumerate(lines)
    )
    return Piece(marks, TITLE * (1.15 * len(lines) + 0.35) if marks else 0)


def kit_piece(score: Score, room: float) -> Piece:
    """The kit of a whole sheet, under its title."""
    return Piece((_kit_label(score, room),), LABEL * 1.6)


def _small(score: Score, room: float, *, kit: bool) -> list[Piece]:
    """A title at the left, in bold, and the tempo after it; in lines of its own where it is long."""
    lines = wrapped(score.title, SUBTITLE, room * 0.6, bold=True)
    pieces = [
        Piece((Words(0, SUBTITLE * 0.85, SUBTITLE, (Run(line, bold=True),)),), SUBTITLE * 1.2) for line in lines[:-1]
    ]
    if not lines:
        return [_line(score, room, kit=kit)]
    last = Words(0, SUBTITLE * 0.85, SUBTITLE, (Run(lines[-1], bold=True),))
    y = SUBTITLE * 0.85 - _BASELINE
    beside = Group(tuple(_tempo_and_swing(score)), x=width(last) + SUBTITLE, y=y)
    right = Group((_kit_label(score, room),) if kit else (), y=y)
    return [*pieces, Piece((last, beside, right), SUBTITLE * 1.4)]


def _line(score: Score, room: float, *, kit: bool) -> Piece:
    """Tempo and swing at the left, the kit at the right."""
    marks = [*_tempo_and_swing(score), *([_kit_label(score, room)] if kit else [])]
    return Piece(tuple(marks), LABEL * 1.9)


def _tempo_and_swing(score: Score) -> list[Mark]:
    first = score.measures[0]
    marks, x = tempo_marks(first.tempo, _BASELINE)
    swing = first.span.feel.swing
    if has_swing(swing):
        words = Words(x + LABEL, _BASELINE, LABEL, (Run(swing_words(swing)),))
        marks += [words, *swing_marks(swing, words.x + width(words) + LABEL * 0.4, _BASELINE, LABEL)]
    return marks


def _kit_label(score: Score, room: float) -> Words:
    return Words(room, _BASELINE, LABEL, (Run(f"Kit: {score.kit.title or score.kit.name}"),), "end")


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
    rows = [("", score.note), *((f"{name}: " if name else "", text) for name, text in score.notes)]
    return [piece for name, text in rows for piece in note_pieces(name, text, room)]


def note_pieces(name: str, text: str, room: float) -> list[Piece]:
    """The lines of a note, each from a line of its own and wrapped; after ``name``, in bold, they are indented."""
    label = Run(name, bold=True)
    indent = run_width(label, NOTE)
    lines = [line for told in text.splitlines() for line in wrapped(told, NOTE, room - indent, italic=True)]
    pieces = []
    for index, line in enumerate(lines):
        runs = (label, Run(line, italic=True)) if name and not index else (Run(line, italic=True),)
        x = indent if index else 0
        pieces.append(Piece((Words(x, NOTE * 0.8, NOTE, runs),), NOTE * 1.25))
    return pieces


def page_foot(title: str, page: int, pages: int, *, room: float) -> Group:
    """The line at the foot of a page: a title where there is one, and the page's number."""
    marks: list[Mark] = []
    if title.strip():
        line = wrapped(title, NOTE, room * 0.8)[0]
        marks.append(Words(0, 0, NOTE, (Run(line, italic=True),)))
    marks.append(Words(room, 0, NOTE, (Run(f"{page} of {pages}"),), "end"))
    return Group(tuple(marks), "foot")
