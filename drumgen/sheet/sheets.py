"""Sheets: lines of music and their headings set on pages of paper.

Units are hundredths of a millimetre. A staff is 6.8 mm high, or lower where a bar would not fit the width of the page.
A heading is not parted from the first line of its music, unless the two are higher than a page; and a phrase that would
be broken near the foot of a page begins on the next.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.sheet import engraving
from drumgen.sheet.heading import Piece, heading, kit_piece, note_pieces, page_foot, title_piece
from drumgen.sheet.ink import Group, Mark
from drumgen.sheet.musicxml import Edition
from drumgen.sheet.writing import write_score

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.phrase import Phrase
    from drumgen.sheet.inking import Drawn
    from drumgen.sheet.printing import Paper, Printing
    from drumgen.sheet.score import Score

PAPERS: dict[Paper, tuple[int, int]] = {"A4": (21_000, 29_700), "Letter": (21_590, 27_940)}
"""Width and height of a page. A4: ISO 216; Letter: ANSI/ASME Y14.1, 8.5 by 11 inches."""

MARGIN = 1_600
STAFF = 680
_FOOT = 900
_BETWEEN_LINES = 300
_BETWEEN_PHRASES = 500
_UNDER_HEADING = 150
_LARGEST_GAP = 1 / 3
"""So much of a page at most stays empty so that the next phrase stays whole."""
_KEPT = 3
"""The last piece of a heading, the space under it, the first line of music."""


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
    """Pieces that stay together, and the space before them where they do not begin a page.

    ``whole`` is the height of the phrase that begins with them, 0 where none does.
    """

    pieces: tuple[Piece, ...]
    space: float
    whole: float = 0.0

    @property
    def height(self) -> float:
        return sum(piece.height for piece in self.pieces)


def make_sheet(phrases: Sequence[Phrase], printing: Printing, *, title: str = "", note: str = "") -> Sheet:
    """The sheet of phrases in order; ``title`` and ``note`` are a whole book's, over its first page.

    Raises DrumgenError where a phrase has too many different bars for paper.
    """
    width, height = PAPERS[printing.paper]
    room = width - 2 * MARGIN
    scores = [write_score(phrase) for phrase in phrases]
    alone = len(scores) == 1 and not title and not note
    one_kit = not alone and len({score.kit.name for score in scores}) == 1
    blocks = _front(scores[0] if one_kit else None, title, note, room)
    edition = Edition(printing.sticking, printing.counts)
    for number, score in enumerate(scores, start=1):
        pieces = heading(score, room=room, alone=alone, kit=not one_kit)
        blocks += _blocks(score, edition, pieces, room, number)
    pages = _paged(blocks, height - 2 * MARGIN - _FOOT)
    feet = [title or (scores[0].title if alone and index else "") for index in range(len(pages))]
    return Sheet(
        tuple(
            Page(width, height, (*marks, _foot(foot, number, len(pages), room, height)))
            for number, (marks, foot) in enumerate(zip(pages, feet, strict=True), start=1)
        ),
        title or scores[0].title,
    )


def _front(of_one_kit: Score | None, title: str, note: str, room: float) -> list[_Placed]:
    """What heads the first page: the book's title, the kit where there is one for all, the book's note."""
    pieces = [
        *([title_piece(title, room)] if title else []),
        *([kit_piece(of_one_kit, room)] if of_one_kit else []),
        *note_pieces("", note, room),
    ]
    return [_Placed((piece,), 0) for piece in pieces]


def _foot(title: str, number: int, pages: int, room: float, height: float) -> Group:
    return page_foot(title, number, pages, room=room)._replace(x=MARGIN, y=height - MARGIN)


def _blocks(score: Score, edition: Edition, pieces: list[Piece], room: float, number: int) -> list[_Placed]:
    """A score's heading with its first line, then its other lines one by one."""
    engraved = engraving.engrave(score, edition, room=room * engraving.STAFF / STAFF, number=number)
    widest = max(line.width for line in engraved.lines)
    scale = min(STAFF / engraved.staff, room / widest)
    lines = [_line(line, scale) for line in engraved.lines]
    first = _Placed((*pieces, Piece((), _UNDER_HEADING), lines[0]), _BETWEEN_PHRASES)
    others = [_Placed((line,), _BETWEEN_LINES) for line in lines[1:]]
    return [first._replace(whole=first.height + sum(each.space + each.height for each in others)), *others]


def _line(drawn: Drawn, scale: float) -> Piece:
    return Piece((drawn.group._replace(scale=scale),), drawn.height * scale)


def _paged(blocks: Sequence[_Placed], room: float) -> list[list[Mark]]:
    """The blocks one under the other, a new page where one does not fit."""
    pages: list[list[Mark]] = [[]]
    y = 0.0
    for block in (part for whole in blocks for part in _parts(whole, room)):
        y += block.space if pages[-1] else 0
        if pages[-1] and not _stays(block, room - y, room):
            pages.append([])
            y = 0.0
        for piece in block.pieces:
            if piece.marks:
                pages[-1].append(Group(piece.marks, x=MARGIN, y=MARGIN + y))
            y += piece.height
    return pages


def _stays(block: _Placed, left: float, room: float) -> bool:
    """Whether a block goes on the page on which so much of the room is left."""
    is_kept_whole = left < block.whole <= room and left <= room * _LARGEST_GAP
    return block.height <= left and not is_kept_whole


def _parts(block: _Placed, room: float) -> Iterator[_Placed]:
    """The block; where it is higher than a page its pieces, the last of the heading kept with the music."""
    pieces, space = list(block.pieces), block.space
    while len(pieces) > _KEPT and sum(piece.height for piece in pieces) > room:
        yield _Placed((pieces.pop(0),), space)
        space = 0
    yield block._replace(pieces=tuple(pieces), space=space)
