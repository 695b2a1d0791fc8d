"""Rendering: phrases to the files of paper — SVG, PDF and PNG.

Every function takes one phrase or several; several stand one under the other on one sheet. The same phrases and options
give the same bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.phrase import Phrase
from drumgen.sheet.musicxml import Edition
from drumgen.sheet.pdf import sheet_pdf
from drumgen.sheet.png import pdf_pngs
from drumgen.sheet.sheets import make_sheet
from drumgen.sheet.svg import page_svg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.sheet.sheets import Paper, Sheet


class PrintedPdf(NamedTuple):
    """A PDF, and remarks on what it could not show."""

    content: bytes
    remarks: tuple[str, ...]


class PrintedPngs(NamedTuple):
    """A PNG a page, and remarks on what they could not show."""

    pages: tuple[bytes, ...]
    remarks: tuple[str, ...]


def sheet_of(phrases: Phrase | Sequence[Phrase], *, paper: Paper, sticking: bool, counts: bool, title: str) -> Sheet:
    """The sheet of one or several phrases."""
    several = (phrases,) if isinstance(phrases, Phrase) else tuple(phrases)
    if not several:
        raise TypeError("a sheet needs at least one phrase")
    return make_sheet(several, Edition(sticking, counts), paper=paper, title=title)


def render_svg(
    phrases: Phrase | Sequence[Phrase],
    *,
    paper: Paper = "A4",
    sticking: bool = True,
    counts: bool = False,
    title: str = "",
) -> tuple[str, ...]:
    """The pages of a sheet as SVG files.

    ``paper`` is A4 or Letter; ``sticking`` prints the letters under the notes; ``counts`` what is said on each place;
    ``title`` is the title of a sheet of several phrases. Raises DrumgenError where a phrase has too many
    different bars.
    """
    sheet = sheet_of(phrases, paper=paper, sticking=sticking, counts=counts, title=title)
    return tuple(
        page_svg(page, title=sheet.title, prefix=f"p{number}-") for number, page in enumerate(sheet.pages, start=1)
    )


def render_pdf(
    phrases: Phrase | Sequence[Phrase],
    *,
    paper: Paper = "A4",
    sticking: bool = True,
    counts: bool = False,
    title: str = "",
) -> PrintedPdf:
    """A sheet as a PDF, its arguments as those of ``render_svg``."""
    sheet = sheet_of(phrases, paper=paper, sticking=sticking, counts=counts, title=title)
    return PrintedPdf(*sheet_pdf(sheet))


def render_png(
    phrases: Phrase | Sequence[Phrase],
    *,
    paper: Paper = "A4",
    sticking: bool = True,
    counts: bool = False,
    title: str = "",
    dpi: int = 200,
) -> PrintedPngs:
    """A sheet as one PNG a page at ``dpi`` dots to the inch (20 to 600), its arguments as those of ``render_svg``."""
    pdf = render_pdf(phrases, paper=paper, sticking=sticking, counts=counts, title=title)
    return PrintedPngs(pdf_pngs(pdf.content, dpi=dpi), pdf.remarks)
