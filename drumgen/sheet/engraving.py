"""Engraving: a score drawn line by line with verovio.

A first pass measures every bar; lines are then broken so that they are evenly full, and each line is drawn as a page of
its own, so that the sheet can put lines wherever it likes. The seed of verovio's ids is fixed: the same score, the same
bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple
from xml.etree import ElementTree as ET

from drumgen.sheet.glyphs import FONT, HEADS
from drumgen.sheet.inking import LETTER, Hints, ink
from drumgen.sheet.line_breaks import line_starts
from drumgen.sheet.musicxml import Edition, score_document
from drumgen.sheet.naming import grace_letters, head_names, rest_names

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.sheet.inking import Drawn
    from drumgen.sheet.score import Score

STAFF = 720
"""The height of a staff, in verovio's units."""

_FIRST_HEAD, _LINE_HEAD = 1_000, 560
"""What clef and meter take at the start of the first line, and the clef at that of a later one."""

_LAST_STRETCHED, _LAST_AIR = 0.7, 1.1
"""A last line fuller than this is stretched to the margin; a shorter one only by so much."""

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
    "lyricSize": LETTER / 90,
    "lyricTopMinMargin": 3.0,
    "lyricWordSpace": 2.2,
    "spacingLinear": 0.45,
    "spacingNonLinear": 0.56,
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
    text = score_document([score], edition._replace(lines=frozenset(starts)), number=number)
    heads = (_FIRST_HEAD, *(_LINE_HEAD for _ in starts[1:]))
    ends = (*starts[1:], len(widths))
    used = [head + sum(widths[start:end]) for head, start, end in zip(heads, starts, ends, strict=True)]
    full = max(room, *used, 0)
    hints = Hints(
        {name: head for name, head in head_names(score, number) if head in HEADS},
        dict(rest_names(score, number)) if edition.counts else {},
        dict(grace_letters(score, number)) if edition.sticking else {},
    )
    lines = _drawn(text, full, range(1, len(starts) + 1))
    if used[-1] < full * _LAST_STRETCHED:
        lines = [*lines[:-1], *_drawn(text, used[-1] * _LAST_AIR, [len(starts)])]
    return Engraved(tuple(ink(line, hints) for line in lines))


def _drawn(text: str, width: float, pages: Iterable[int]) -> list[str]:
    """Some lines of a document, each stretched to a width."""
    breaks = "encoded" if "new-page" in text else "none"
    toolkit = _toolkit(breaks=breaks, pageWidth=round(width / 10), minLastJustification=0)
    _load(toolkit, text)
    return [toolkit.renderToSVG(page) for page in pages]


def _toolkit(**options: Any) -> Any:  # noqa: ANN401 - verovio is untyped
    import verovio

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
    root = ET.fromstring(toolkit.renderToSVG(1))  # noqa: S314 - it was made here
    widths = []
    for measure in (group for group in root.iter() if group.get("class") == "measure"):
        staff_line = next(path for path in measure.iter() if path.tag.endswith("path"))
        start, end = (float(word.split(" ")[0]) for word in staff_line.attrib["d"].removeprefix("M").split(" L"))
        widths.append(end - start)
    widths[0] -= _FIRST_HEAD
    return widths
