"""Engraving: a score drawn line by line with verovio.

A first pass measures every bar; lines are then broken so that they are evenly full, and each line is drawn as a page of
its own, so that the sheet can put lines wherever it likes. The seed of verovio's ids is fixed: the same score, the same
bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple
from xml.etree import ElementTree as ET

from drumgen.sheet.glyphs import FONT, HEADS
from drumgen.sheet.inking import Hints, ink
from drumgen.sheet.letter_rows import LETTER
from drumgen.sheet.line_breaks import line_starts
from drumgen.sheet.musicxml import Edition, score_document
from drumgen.sheet.naming import drag_names, grace_letters, head_names, rest_names
from drumgen.sheet.numerals import plain_numerals

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from drumgen.sheet.inking import Drawn
    from drumgen.sheet.score import Score

STAFF = 720
"""The height of a staff, in verovio's units."""

_FIRST_HEAD, _LINE_HEAD = 1_000, 560
"""What clef and meter take at the start of the first line, and the clef at that of a later one."""

_LAST_STRETCHED, _LAST_AIR = 0.7, 1.1
"""A last line fuller than this is stretched to the margin; a shorter one only by so much."""

_PIECE, _PIECE_LINES = 50, 16
"""So many measures, or lines of music, are loaded into verovio at once."""

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
    "lyricTopMinMargin": 2.0,
}
WIDE: Mapping[str, float] = {"spacingLinear": 0.45, "spacingNonLinear": 0.56, "lyricWordSpace": 2.2}
CLOSE: Mapping[str, float] = {"spacingLinear": 0.38, "spacingNonLinear": 0.56, "lyricWordSpace": 1.8}
"""How far apart notes stand: as on a printed sheet, or as close as letters under sixteenths let them."""


class Engraved(NamedTuple):
    """The lines of one score, all to the same scale: ``staff`` is the height of a staff in units."""

    lines: tuple[Drawn, ...]
    staff: float = STAFF


@plain_numerals()
def engrave(
    score: Score, edition: Edition, *, room: float, number: int = 1, spacing: Mapping[str, float] = WIDE
) -> Engraved:
    """The lines of a score, each at most ``room`` units long; ``number`` tells its ids from those of other scores.

    A bar that is longer than a line is drawn on a longer line, which the sheet then scales down.
    """
    widths = measure_widths(score, edition, number=number, spacing=spacing)
    starts = line_starts(widths, first=_FIRST_HEAD, later=_LINE_HEAD, room=room)
    heads = (_FIRST_HEAD, *(_LINE_HEAD for _ in starts[1:]))
    ends = (*starts[1:], len(widths))
    used = [head + sum(widths[start:end]) for head, start, end in zip(heads, starts, ends, strict=True)]
    full = max(room, *used, 0)
    short = used[-1] < full * _LAST_STRETCHED
    pieces = _Pieces(score, edition, number, spacing)
    lines = pieces.drawn([*starts, len(widths)], range(len(starts) - short), full)
    lines += pieces.drawn([*starts, len(widths)], range(len(starts) - short, len(starts)), used[-1] * _LAST_AIR)
    hints = Hints(
        {name: head for name, head in head_names(score, number) if head in HEADS},
        dict(rest_names(score, number)) if edition.counts else {},
        dict(grace_letters(score, number)) if edition.sticking else {},
        frozenset(drag_names(score, number)),
    )
    return Engraved(tuple(ink(line, hints) for line in lines))


def line_room(widths: Sequence[float], *, measures: int) -> float:
    """The shortest line that holds any so many measures in a row, what begins the line with them.

    >>> line_room([100, 6000, 6000], measures=2)  # 560 for the clef of a later line
    12560
    """
    runs = range(max(1, len(widths) - measures + 1))
    return max(sum(widths[at : at + measures]) + (_LINE_HEAD if at else _FIRST_HEAD) for at in runs)


def _toolkit(**options: Any) -> Any:  # noqa: ANN401 - verovio is untyped
    import verovio

    verovio.enableLog(verovio.LOG_ERROR)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS | options)
    return toolkit


def _load(toolkit: Any, text: str) -> None:  # noqa: ANN401 - as above
    if not toolkit.loadData(text):
        raise RuntimeError(f"verovio cannot read what was written for it: {toolkit.getLog()}")


@plain_numerals()
def measure_widths(
    score: Score, edition: Edition, *, number: int = 1, spacing: Mapping[str, float] = WIDE
) -> list[float]:
    """The width of every measure, without what begins the first line."""
    widths = _Pieces(score, edition, number, spacing).widths()
    widths[0] -= _FIRST_HEAD
    return widths


class _Pieces:
    """Pieces of one score, loaded into verovio one by one, for what a document costs grows faster than its length.

    Each is loaded with what stands before and after it, so that it is drawn as in the whole.
    """

    def __init__(self, score: Score, edition: Edition, number: int, spacing: Mapping[str, float]) -> None:
        self.score, self.edition, self.number, self.spacing = score, edition, number, spacing

    def widths(self) -> list[float]:
        """The width of every measure, the first with what begins a line."""
        found: list[float] = []
        for piece in _cut(range(len(self.score.measures)), _PIECE):
            around = range(max(0, piece.start - 1), min(piece.stop + 1, len(self.score.measures)))
            toolkit = self._loaded(around, (), breaks="none", adjustPageWidth=True)
            skipped = piece.start - around.start
            found += _widths(toolkit.renderToSVG(1))[skipped : skipped + len(piece)]
        return found

    def drawn(self, edges: Sequence[int], lines: range, width: float) -> list[str]:
        """Some lines, each stretched to a width; ``edges`` are the measures that begin a line, and their end."""
        found: list[str] = []
        for piece in _cut(lines, _PIECE_LINES):
            around = range(max(0, piece.start - 1), min(piece.stop + 1, len(edges) - 1))
            breaks = "encoded" if len(around) > 1 else "none"
            options = {"breaks": breaks, "pageWidth": round(width / 10), "minLastJustification": 0}
            toolkit = self._loaded(range(edges[around.start], edges[around.stop]), edges, **options)
            found += [toolkit.renderToSVG(line - around.start + 1) for line in piece]
        return found

    def _loaded(self, measures: range, lines: Iterable[int], **options: Any) -> Any:  # noqa: ANN401 - verovio is untyped
        edition = self.edition._replace(lines=frozenset(lines), measures=measures)
        toolkit = _toolkit(**options, **self.spacing)
        _load(toolkit, score_document([self.score], edition, number=self.number))
        return toolkit


def _cut(whole: range, size: int) -> list[range]:
    """A range in pieces of at most this size."""
    return [whole[at : at + size] for at in range(0, len(whole), size)]


def _widths(svg: str) -> list[float]:
    """The width of every measure of a line."""
    widths = []
    root = ET.fromstring(svg)  # noqa: S314 - it was made here
    for measure in (group for group in root.iter() if group.get("class") == "measure"):
        staff_line = next(path for path in measure.iter() if path.tag.endswith("path"))
        start, end = (float(word.split(" ")[0]) for word in staff_line.attrib["d"].removeprefix("M").split(" L"))
        widths.append(end - start)
    return widths
