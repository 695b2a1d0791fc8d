"""The picture of an assessment: the engraved bars, and under each stroke how many milliseconds it was late or early.

``12`` is late, ``-8`` early, by the mean of all times it was played; a star says that it was missed at least once, a
star alone that it was never played. Where hands and a foot strike together the number is the hands'. Bars that are
alike are printed once, as on every sheet.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from statistics import fmean
from typing import TYPE_CHECKING

from drumgen.errors import fail

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.phrase import Phrase
    from drumgen.sheet.score import Event, Line, Measure, Score
    from drumgen.sheet.sheets import Page, Sheet
    from drumgen.study.assess import Assessment

SUFFIXES = (".svg", ".pdf")
_UNDER_HEADING, _BETWEEN_LINES = 250, 420

LEGEND = "Under each stroke: milliseconds late, or early where there is a minus; * missed at least once."

Offs = dict[tuple[int, int], list[float | None]]
"""How late the strokes on a place of a bar were, None where missed; by the bar's number and the place in grains."""


def render_picture(phrase: Phrase, found: Assessment, *, suffix: str) -> bytes:
    """The picture as SVG or PDF. Raises DrumgenError where it does not fit one SVG page."""
    from drumgen.sheet.pdf import sheet_pdf  # noqa: PLC0415 - commands import late
    from drumgen.sheet.svg import page_svg  # noqa: PLC0415 - as above

    sheet = picture(phrase, found)
    if suffix == ".pdf":
        return sheet_pdf(sheet)[0]
    if len(sheet.pages) > 1:
        raise fail("a picture of one page for .svg, or .pdf", got=f"{len(sheet.pages)} pages")
    return page_svg(sheet.pages[0], title=sheet.title, prefix="p1-").encode()


def picture(phrase: Phrase, found: Assessment) -> Sheet:
    """The pages of the picture."""
    from drumgen.sheet import engraving  # noqa: PLC0415 - as above
    from drumgen.sheet.heading import heading  # noqa: PLC0415 - as above
    from drumgen.sheet.ink import Group, Mark  # noqa: PLC0415 - as above
    from drumgen.sheet.musicxml import Edition  # noqa: PLC0415 - as above
    from drumgen.sheet.sheets import MARGIN, PAPERS, STAFF, Page, Sheet  # noqa: PLC0415 - as above
    from drumgen.sheet.writing import write_score  # noqa: PLC0415 - as above

    score = marked(write_score(phrase), offs_of(found))
    width, height = PAPERS["A4"]
    room = width - 2 * MARGIN
    edition = Edition(sticking=True, counts=True)
    engraved = engraving.engrave(score, edition, room=room * engraving.STAFF / STAFF)
    scale = min(STAFF / engraved.staff, room / max(line.width for line in engraved.lines))
    pages: list[Page] = []
    marks: list[Mark] = []
    y = 0.0
    for piece in heading(score, room=room, alone=True, kit=True):
        marks.append(Group(piece.marks, x=MARGIN, y=MARGIN + y))
        y += piece.height
    y += _UNDER_HEADING
    for line in engraved.lines:
        if marks and y + line.height * scale > height - 2 * MARGIN:
            pages.append(Page(width, height, tuple(marks)))
            marks, y = [], 0.0
        marks.append(Group((line.group._replace(scale=scale),), x=MARGIN, y=MARGIN + y))
        y += line.height * scale + _BETWEEN_LINES
    return Sheet((*pages, Page(width, height, tuple(marks))), score.title)


def offs_of(found: Assessment) -> Offs:
    """How late the strokes on every place of every bar were: the hands' where hands strike, else the feet's."""
    hands: Offs = defaultdict(list)
    feet: Offs = defaultdict(list)
    for each in found.strokes:
        if each.meant.kind == "stroke":
            row = hands if each.meant.limb in ("R", "L") else feet
            row[each.meant.bar, each.meant.place].append(each.off_ms)
    return {**feet, **hands}


def text_of(row: Sequence[float | None]) -> str:
    """What stands under a place.

    >>> text_of([3.0, 5.2]), text_of([-8.4]), text_of([0.2, None]), text_of([None]), text_of([])
    ('4', '-8', '0*', '*', '')
    """
    heard = [off for off in row if off is not None]
    return f"{f'{round(fmean(heard))}' if heard else ''}{'*' if len(heard) < len(row) else ''}"


def marked(score: Score, offs: Offs) -> Score:
    """The score with those numbers in the place of its counts, and what they mean over it."""
    measures = tuple(replace(measure, lines=tuple(_lines(measure, offs))) for measure in score.measures)
    return replace(score, measures=measures, note=LEGEND, notes=())


def _lines(measure: Measure, offs: Offs) -> Iterator[Line]:
    taken: set[int] = set()
    for line in measure.lines:
        yield replace(line, events=tuple(_marked(line.events, measure, offs, taken)))


def _marked(events: Sequence[Event], measure: Measure, offs: Offs, taken: set[int]) -> Iterator[Event]:
    for event in events:
        place = event.place + measure.start
        row = [off for bar in measure.bars for off in offs.get((bar, place), ())] if event.struck else []
        text = "" if event.place in taken else text_of(row)
        yield replace(event, count=text)
        if text:
            taken.add(event.place)
