"""The picture of an assessment: the engraved bars, and under each stroke how early or late it was.

Over the music stands in a few words what was found; under it are the rows of `assessment_rows`. A number is the mean of
all times that the stroke was played; a star says that it was missed at least once, a star alone that it was never
played. Bars that are alike are printed once, as on every sheet.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from drumgen.errors import fail

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.assessment_rows import Under
    from drumgen.phrase import Phrase
    from drumgen.sheet.heading import Piece
    from drumgen.sheet.ink import Group, Mark
    from drumgen.sheet.inking import Drawn
    from drumgen.sheet.score import Event, Measure, Score
    from drumgen.sheet.sheets import Page, Sheet
    from drumgen.study.assess import Assessment

SUFFIXES = (".svg", ".pdf", ".png")
_UNDER_HEADING, _BETWEEN_LINES = 250, 420
_UNDER_STICKING = -260
_DPI = 150
_WIDER_FONTS = 0.76
"""What a browser shows for a serif font may be so much wider than the one that is measured."""

_HIGHEST = 500_000

LEGEND = (
    "Under each stroke: milliseconds late, or early where there is a minus. A bar that stands up is early, one that "
    "hangs down is late; * missed at least once."
)

Offs = dict[tuple[int, int], list[float | None]]
"""How late the strokes on a place of a bar were, None where missed; by the bar's number and the place in grains."""

Place = tuple[tuple[float | None, ...], tuple[float | None, ...]]


def render_picture(phrase: Phrase, found: Assessment, *, suffix: str) -> bytes:
    """The picture as PDF, or as SVG or PNG on one page as high as it needs. Raises DrumgenError over 5 m."""
    from drumgen.sheet.pdf import sheet_pdf  # noqa: PLC0415 - the drawing only where it is asked for
    from drumgen.sheet.png import pdf_pngs  # noqa: PLC0415 - as above
    from drumgen.sheet.svg import page_svg  # noqa: PLC0415 - as above

    sheet = picture(phrase, found, paged=suffix == ".pdf")
    if suffix == ".pdf":
        return sheet_pdf(sheet)[0]
    if sheet.pages[0].height > _HIGHEST:
        raise fail(f"a picture at most 5 m high for {suffix}, or .pdf", got=f"{sheet.pages[0].height / 100_000:.1f} m")
    if suffix == ".png":
        return pdf_pngs(sheet_pdf(sheet)[0], dpi=_DPI)[0]
    return page_svg(sheet.pages[0], title=sheet.title, prefix="p1-").encode()


def picture(phrase: Phrase, found: Assessment, *, paged: bool) -> Sheet:
    """The picture in pages, or as one page that is as high as it needs."""
    from drumgen.assessment_rows import rows_under  # noqa: PLC0415 - as above
    from drumgen.sheet import engraving  # noqa: PLC0415 - as above
    from drumgen.sheet.heading import heading  # noqa: PLC0415 - as above
    from drumgen.sheet.ink import Group  # noqa: PLC0415 - as above
    from drumgen.sheet.musicxml import Edition  # noqa: PLC0415 - as above
    from drumgen.sheet.sheets import MARGIN, PAPERS, STAFF, Page, Sheet  # noqa: PLC0415 - as above
    from drumgen.sheet.writing import write_score  # noqa: PLC0415 - as above

    score, places = marked(write_score(phrase), *offs_of(found))
    width, height = PAPERS["A4"]
    room = width - 2 * MARGIN
    edition = Edition(sticking=True, counts=True)
    engraved = engraving.engrave(score, edition, room=room * engraving.STAFF / STAFF)
    scale = min(STAFF / engraved.staff, room / max(line.width for line in engraved.lines))
    pages: list[Page] = []
    marks: list[Mark] = []
    y = 0.0
    for piece in (*heading(score, room=room, alone=True, kit=True), *_summary(found, room)):
        marks.append(Group(piece.marks, x=MARGIN, y=MARGIN + y))
        y += piece.height
    y += _UNDER_HEADING
    for line in engraved.lines:
        music, under = _parted(line, places, scale)
        rows, rows_height = rows_under(under, line.width * scale)
        tall = line.height * scale + _UNDER_STICKING + rows_height
        if paged and marks and y + tall > height - 2 * MARGIN:
            pages.append(Page(width, height, tuple(marks)))
            marks, y = [], 0.0
        marks.append(Group((music._replace(scale=scale),), x=MARGIN, y=MARGIN + y))
        marks.append(Group((rows,), x=MARGIN, y=MARGIN + y + line.height * scale + _UNDER_STICKING))
        y += tall + _BETWEEN_LINES
    return Sheet((*pages, Page(width, height if paged else y + 2 * MARGIN, tuple(marks))), score.title)


def _summary(found: Assessment, room: float) -> Iterator[Piece]:
    """What was found, in a few lines: how early or late each limb was, and what was not as written."""
    from drumgen.sheet.heading import NOTE, Piece  # noqa: PLC0415 - as above
    from drumgen.sheet.ink import Run, Words  # noqa: PLC0415 - as above
    from drumgen.sheet.text_width import wrapped  # noqa: PLC0415 - as above
    from drumgen.study.assess_figures import by_limb, early_or_late  # noqa: PLC0415 - as above
    from drumgen.study.assess_words import fault_lines  # noqa: PLC0415 - as above

    timings = ", ".join(f"{name} {early_or_late(row.mean_ms)}" for name, row in by_limb(found).items())
    first, *others = fault_lines(found)
    texts = {
        f"{timings[:1].upper()}{timings[1:]}.": Run("", bold=True),
        f"{first[:1].upper()}{first[1:]}.": Run("", bold=True),
        "; ".join(map(str.strip, others)): Run(""),
        LEGEND: Run("", italic=True),
    }
    for text, style in texts.items():
        for line in wrapped(text, NOTE, room * _WIDER_FONTS, bold=style.bold):
            yield Piece((Words(0, NOTE * 0.8, NOTE, (style._replace(text=line),)),), NOTE * 1.25)


def offs_of(found: Assessment) -> tuple[Offs, Offs]:
    """How late the strokes on every place of every bar were, by hands and by feet."""
    hands: Offs = defaultdict(list)
    feet: Offs = defaultdict(list)
    for each in found.strokes:
        if each.meant.kind == "stroke":
            row = hands if each.meant.limb in ("R", "L") else feet
            row[each.meant.bar, each.meant.place].append(each.off_ms)
    return hands, feet


def marked(score: Score, hands: Offs, feet: Offs) -> tuple[Score, dict[str, Place]]:
    """The score with a sign in the place of each count that is to be found again, and what each stands for."""
    places: dict[str, Place] = {}
    measures = []
    for measure in score.measures:
        taken: set[int] = set()
        lines = [
            replace(line, events=tuple(_marked(line.events, measure, (hands, feet), taken, places)))
            for line in measure.lines
        ]
        measures.append(replace(measure, lines=tuple(lines)))
    return replace(score, measures=tuple(measures), note="", notes=()), places


def _marked(
    events: Sequence[Event], measure: Measure, offs: tuple[Offs, Offs], taken: set[int], places: dict[str, Place]
) -> Iterator[Event]:
    for event in events:
        sign = ""
        if event.struck and event.place not in taken:
            place = event.place + measure.start
            hands, feet = (tuple(off for bar in measure.bars for off in row.get((bar, place), ())) for row in offs)
            if hands or feet:
                taken.add(event.place)
                sign = f"#{len(places)}"
                places[sign] = hands, feet
        yield replace(event, count=sign)


def _parted(line: Drawn, places: dict[str, Place], scale: float) -> tuple[Group, list[Under]]:
    """A line of music without its signs, and what stands where one was."""
    from drumgen.assessment_rows import Under  # noqa: PLC0415 - as above
    from drumgen.sheet.ink import Group, Words  # noqa: PLC0415 - as above

    under: list[Under] = []

    def without(group: Group, x: float) -> Group:
        kept: list[Mark] = []
        for mark in group.marks:
            if isinstance(mark, Words) and mark.text in places:
                under.append(Under((x + mark.x) * scale, *places[mark.text]))
            else:
                kept.append(without(mark, x + mark.x) if isinstance(mark, Group) else mark)
        return group._replace(marks=tuple(kept))

    return without(line.group, line.group.x), sorted(under)
