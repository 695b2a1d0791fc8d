"""Books: phrases in order, with headings and notes, and what is made of each. A teacher's course, or a set list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

Product = Literal["midi", "play-along", "ladder", "click", "sheet"]
Whole = Literal["sheet", "page", "index"]
AudioFormat = Literal["wav", "flac", "ogg", "mp3"]
PaperSize = Literal["A4", "Letter"]

USUAL_PRODUCTS: tuple[Product, ...] = ("midi", "play-along", "sheet")
USUAL_WHOLE: tuple[Whole, ...] = ("sheet", "page", "index")
SOUNDING: tuple[Product, ...] = ("play-along", "ladder", "click")


@dataclass(frozen=True, slots=True)
class Entry:
    """One phrase of a book: where its file is, and what the book says of it.

    ``heading`` and ``note`` are None where the phrase's own stand. ``kit`` is a shipped kit, or the path of a kit file,
    and nothing where the phrase's own is played. ``options`` are practice options as they are written, by the names of
    a [practice] table, without the ladder. ``own_make`` tells whether the phrase names itself what is made of it.
    """

    number: int
    file: str
    heading: str | None = None
    note: str | None = None
    make: tuple[Product, ...] = USUAL_PRODUCTS
    own_make: bool = False
    kit: str = ""
    lead: Literal["R", "L"] | None = None
    handed: Literal["right", "left"] | None = None
    options: tuple[tuple[str, Any], ...] = ()
    ladder: str = ""


@dataclass(frozen=True, slots=True)
class Book:
    """A book; ``together`` is what is made of all its phrases in one."""

    title: str
    entries: tuple[Entry, ...]
    note: str = ""
    together: tuple[Whole, ...] = USUAL_WHOLE
    audio: AudioFormat = "mp3"
    paper: PaperSize = "A4"
