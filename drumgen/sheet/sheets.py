"""Sheets: lines of music and their headings set on pages of paper.

Units are hundredths of a millimetre. A staff is 6.8 mm high, or lower where a bar would not fit the width of the page.
A heading is never parted from the first line of its music.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.sheet import engraving
from drumgen.sheet.heading import Piece, heading, kit_piece, running_head, title_piece
from drumgen.sheet.ink import Group, Mark
from drumgen.sheet.writing import write_score

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.phrase import Phrase
    from drumgen.sheet.inking import Drawn
    from drumgen.sheet.musicxml import Edition
    from drumgen.sheet.score import Score

Paper = Literal["A4", "Letter"]
PAPERS: dict[Paper, tuple[int, int]] = {"A4": (21_000, 29_700), "Letter": (21_590, 27_940)}
"""Width and height of a page. A4: ISO 216; Letter: ANSI/ASME Y14.1, 8.5 by 11 inches."""

MARGIN = 1_600
STAFF = 680
_FOOT = 900
_BETWEEN_LINES = 420
_BETWEEN_PHRASES = 750
_UNDER_HEADING = 250


class Page(NamedTuple):
    """One page: its size and everything on it."""

    width: float
    height: float
    marks: tuple[Mark, ...]


class Sheet(NamedTuple):
    """The pages of one or several phrases, and what they are called."""

    pages: tuple[Page, ...]
    title: str


class _Placed(NamedTuple):
    """Pieces that stay together, and the space before them where they do not begin a page."""

    pieces: tuple[Piece, ...]
    space: float

    @property
    def height(self) -> float:
        return sum(piece.height for piece in self.pieces)


def make_sheet(phrases: Sequence[Phrase], edition: Edition, *, paper: Paper = "A4", title: str = "") -> Sheet:
    """The sheet of phrases in order; ``title`` is the whole sheet's, where it has several.

    Raises DrumgenError where a phrase has too many different bars for paper.
    """
    width, height = PAPERS[paper]
    room = width - 2 * MARGIN
    scores = [write_score(phrase) for phrase in phrases]
    alone = len(scores) == 1
    one_kit = len({score.kit.name for score in scores}) == 1
    blocks: list[_Placed] = []
    if not alone and (title or one_kit):
        head = [title_piece(title, room)] if title else []
        blocks.append(_Placed((*head, *([kit_piece(scores[0], room)] if one_kit else ())), 0))
    for number, score in enumerate(scores, start=1):
        pieces = heading(score, room=room, alone=alone, kit=alone or not one_kit)
        blocks += _blocks(score, edition, pieces, room, number)
    pages = _paged(blocks, height - 2 * MARGIN - _FOOT)
    name = title or scores[0].title
    return Sheet(
        tuple(
            Page(width, height, (*marks, _foot(name, number, len(pages), room, height)))
            for number, marks in enumerate(pages, start=1)
        ),
        name,
    )


def _foot(title: str, number: int, pages: int, room: float, height: float) -> Group:
    foot = running_head(title, number, pages, room=room)
    return foot._replace(x=MARGIN, y=height - MARGIN)


def _blocks(score: Score, edition: Edition, pieces: list[Piece], room: float, number: int) -> list[_Placed]:
    """A score's heading with its first line, then its other lines one by one."""
    engraved = engraving.engrave(score, edition, room=room * engraving.STAFF / STAFF, number=number)
    widest = max(line.width for line in engraved.lines)
    scale = min(STAFF / engraved.staff, room / widest)
    lines = [_line(line, scale) for line in engraved.lines]
    first = _Placed((*pieces, Piece((), _UNDER_HEADING), lines[0]), _BETWEEN_PHRASES)
    return [first, *(_Placed((line,), _BETWEEN_LINES) for line in lines[1:])]


def _line(drawn: Drawn, scale: float) -> Piece:
    return Piece((drawn.group._replace(scale=scale),), drawn.height * scale)


def _paged(blocks: Sequence[_Placed], room: float) -> list[list[Mark]]:
    """The blocks one under the other, a new page where one does not fit."""
    pages: list[list[Mark]] = [[]]
    y = 0.0
    for block in blocks:
        y += block.space if pages[-1] else 0
        if pages[-1] and y + block.height > room:
            pages.append([])
            y = 0.0
        for piece in block.pieces:
            if piece.marks:
                pages[-1].append(Group(piece.marks, x=MARGIN, y=MARGIN + y))
            y += piece.height
    return pages
