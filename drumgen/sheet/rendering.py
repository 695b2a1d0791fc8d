"""Rendering: phrases to the files of paper — SVG, PDF and PNG.

Every function takes one phrase or several; several stand one under the other on one sheet. ``title`` and ``note`` are
those of a whole book: they head its first page, the title stands at the foot of each, and each line of the note is a
line of its own. The same phrases and options give the same bytes. All raise DrumgenError where a phrase has too many
different bars, and TypeError where there is none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.phrase import Phrase
from drumgen.sheet.pdf import sheet_pdf
from drumgen.sheet.png import pdf_pngs
from drumgen.sheet.printing import USUAL_PRINTING, Printing
from drumgen.sheet.sheets import make_sheet
from drumgen.sheet.svg import page_svg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.sheet.sheets import Sheet

    Phrases = Phrase | Sequence[Phrase]


class PrintedPdf(NamedTuple):
    """A PDF, and remarks on what it could not show."""

    content: bytes
    remarks: tuple[str, ...]


class PrintedPngs(NamedTuple):
    """A PNG a page, and remarks on what they could not show."""

    pages: tuple[bytes, ...]
    remarks: tuple[str, ...]


def sheet_of(phrases: Phrases, *, title: str, note: str, printing: Printing) -> Sheet:
    """The sheet of one or several phrases."""
    several = (phrases,) if isinstance(phrases, Phrase) else tuple(phrases)
    if not several:
        raise TypeError("a sheet needs at least one phrase")
    return make_sheet(several, printing, title=title, note=note)


def render_svg(
    phrases: Phrases, *, title: str = "", note: str = "", printing: Printing = USUAL_PRINTING
) -> tuple[str, ...]:
    """The pages of a sheet as SVG files, one a page."""
    sheet = sheet_of(phrases, title=title, note=note, printing=printing)
    return tuple(
        page_svg(page, title=sheet.title, prefix=f"p{number}-") for number, page in enumerate(sheet.pages, start=1)
    )


def render_pdf(phrases: Phrases, *, title: str = "", note: str = "", printing: Printing = USUAL_PRINTING) -> PrintedPdf:
    """A sheet as a PDF."""
    return PrintedPdf(*sheet_pdf(sheet_of(phrases, title=title, note=note, printing=printing)))


def render_png(
    phrases: Phrases, *, title: str = "", note: str = "", printing: Printing = USUAL_PRINTING, dpi: int = 200
) -> PrintedPngs:
    """A sheet as one PNG a page at ``dpi`` dots to the inch (20 to 600)."""
    pdf = render_pdf(phrases, title=title, note=note, printing=printing)
    return PrintedPngs(pdf_pngs(pdf.content, dpi=dpi), pdf.remarks)
