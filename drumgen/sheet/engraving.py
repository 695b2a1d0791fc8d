"""Engraving: a score drawn line by line with verovio.

A first pass measures every bar; lines are then broken so that they are evenly full, and each line is drawn as a page of
its own, so that the sheet can put lines wherever it likes. The seed of verovio's ids is fixed: the same score, the same
bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple
from xml.etree import ElementTree

from drumgen.sheet.glyphs import FONT, HEADS
from drumgen.sheet.inking import Hints, ink
from drumgen.sheet.line_breaks import line_starts
from drumgen.sheet.musicxml import Edition, score_document
from drumgen.sheet.naming import head_names, rest_names

if TYPE_CHECKING:
    from drumgen.sheet.inking import Drawn
    from drumgen.sheet.score import Score

STAFF = 720
"""The height of a staff, in verovio's units."""

_FIRST_HEAD, _LINE_HEAD = 1_000, 560
"""What clef and meter take at the start of the first line, and the clef at that of a later one."""

_OPTIONS: dict[str, Any] = {
    "font": FONT,
    "header": "none",
    "footer": "none",
    "xmlIdSeed": 1,
    "adjustPageHeight": True,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "minLastJustification": 0.65,
    "lyricSize": 4.0,
}


class Engraved(NamedTuple):
    """The lines of one score, all to the same scale: ``staff`` is the height of a staff in units."""

    lines: tuple[Drawn, ...]
    staff: float = STAFF


def engrave(score: Score, edition: Edition, *, room: float, number: int = 1) -> Engraved:
    """The lines of a score, each at most ``room`` units long; ``number`` tells its ids from those of other scores.

    A bar that is longer than a line is drawn on a longer line, which the sheet then scales down.
    """
    widths = _measured(score_document([score], edition._replace(lines=frozenset()), number=number))
    starts = line_starts(widths, first=_FIRST_HEAD, later=_LINE_HEAD, room=room)
    longest = max((*(width + _LINE_HEAD for width in widths[1:]), widths[0] + _FIRST_HEAD))
    text = score_document([score], edition._replace(lines=frozenset(starts)), number=number)
    toolkit = _toolkit(breaks="encoded" if len(starts) > 1 else "none", pageWidth=round(max(room, longest) / 10))
    _load(toolkit, text)
    hints = Hints(
        {name: head for name, head in head_names(score, number) if head in HEADS},
        dict(rest_names(score, number)) if edition.counts else {},
    )
    lines = tuple(ink(toolkit.renderToSVG(page), hints) for page in range(1, toolkit.getPageCount() + 1))
    return Engraved(lines)


def _toolkit(**options: Any) -> Any:  # noqa: ANN401 - verovio is untyped
    import verovio  # noqa: PLC0415 - a large library, needed only for paper

    verovio.enableLog(verovio.LOG_ERROR)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS | options)
    return toolkit


def _load(toolkit: Any, text: str) -> None:  # noqa: ANN401 - as above
    if not toolkit.loadData(text):
        raise RuntimeError(f"verovio cannot read what was written for it: {toolkit.getLog()}")


def _measured(text: str) -> list[float]:
    """The width of every measure, without what begins the first line."""
    toolkit = _toolkit(breaks="none", adjustPageWidth=True)
    _load(toolkit, text)
    root = ElementTree.fromstring(toolkit.renderToSVG(1))  # noqa: S314 - it was made here
    widths = []
    for measure in (group for group in root.iter() if group.get("class") == "measure"):
        staff_line = next(path for path in measure.iter() if path.tag.endswith("path"))
        start, end = (float(word.split(" ")[0]) for word in staff_line.attrib["d"].removeprefix("M").split(" L"))
        widths.append(end - start)
    widths[0] -= _FIRST_HEAD
    return widths
