"""The index of a book's folder: a page of its phrases with their notes, and a link to every file.

Text is escaped; links are percent-encoded, so that a name may be in any script.
"""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import quote

from drumgen.book import SOUNDING
from drumgen.errors import printable
from drumgen.trade.cautions import HEARING_SENTENCE, STRAIN_SENTENCE

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from drumgen.binding.jobs import Works
    from drumgen.binding.sources import Source
    from drumgen.book import Book, Entry

_STYLE = """
:root { color-scheme: light; }
body { margin: 3rem auto; max-width: 42rem; padding: 0 1rem; background: #fdfcf8; color: #16130f;
  font: 1.05rem/1.5 Georgia, "Times New Roman", serif; }
h1 { font-size: 1.7rem; font-weight: normal; margin: 0 0 .5rem; }
ol { list-style: none; margin: 2rem 0; padding: 0; border-top: 1px solid #16130f; }
li { padding: 1rem 0; border-bottom: 1px solid #16130f; break-inside: avoid; }
h2 { font-size: 1.15rem; font-weight: bold; margin: 0; }
p { margin: .3rem 0; }
a { color: inherit; margin-right: 1.2em; white-space: nowrap; }
.caution { font-size: .9rem; font-style: italic; }
"""
_WORDS: Mapping[str, str] = {
    "sheet": "sheet",
    "midi": "MIDI",
    "play-along": "play-along",
    "ladder": "ladder",
    "click": "click",
    "page": "audition page",
    "whole sheet": "sheet of all phrases",
}


class _Row(NamedTuple):
    """One phrase of the index: its number and heading, its note, and its files as (word, name); None: not asked for."""

    number: int
    heading: str
    note: str
    files: Sequence[tuple[str, str]] | None


def render_index(book: Book, works: Works, *, there: AbstractSet[str]) -> str:
    """The text of a book's index; ``there`` are the names of the files that are there."""
    files: dict[int, list[tuple[str, str]]] = {}
    for job in works.jobs:
        if job.name in there:
            files.setdefault(job.number, []).append((_WORDS[job.kind], job.name))
    sources = {source.entry.number: source for source in works.sources}
    rows = [
        _row(entry, sources.get(entry.number), files.get(entry.number, () if entry.make else None))
        for entry in book.entries
    ]
    sounds = any(job.name in there and (job.kind in SOUNDING or job.kind == "page") for job in works.jobs)
    return _page(title=book.title, note=book.note, whole=files.get(0, ()), rows=rows, sounds=sounds)


def _row(entry: Entry, source: Source | None, files: Sequence[tuple[str, str]] | None) -> _Row:
    """What the index says of a phrase; ``source`` is None where it cannot be read."""
    title, note = (source.shown_title, source.shown_note) if source else (entry.heading or "", entry.note or "")
    return _Row(entry.number, title or Path(entry.file).stem, note, files)


def _page(*, title: str, note: str, whole: Sequence[tuple[str, str]], rows: Iterable[_Row], sounds: bool) -> str:
    """The text of the index. ``whole`` are the files of the whole book; ``sounds``: some are to be listened to."""
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        f"<title>{_text(title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{_text(title)}</h1>",
        *_note(note),
        _links(whole),
        "<ol>",
        *(_item(row) for row in rows),
        "</ol>",
        f'<p class="caution">{_text(f"{HEARING_SENTENCE} {STRAIN_SENTENCE}" if sounds else STRAIN_SENTENCE)}</p>',
        "</body></html>",
    ]
    return "\n".join(part for part in parts if part) + "\n"


def _item(row: _Row) -> str:
    files = "" if row.files is None else _links(row.files) or "<p>No file of it could be made.</p>"
    return "\n".join([f"<li><h2>{row.number}. {_text(row.heading)}</h2>", *_note(row.note), files, "</li>"])


def _note(note: str) -> list[str]:
    return [f"<p>{_text(line)}</p>" for line in note.split("\n") if line.strip()]


def _links(files: Sequence[tuple[str, str]]) -> str:
    links = "\n".join(f'<a href="{quote(name)}">{_text(word)}</a>' for word, name in files)
    return f"<p>{links}</p>" if links else ""


def _text(text: str) -> str:
    return escape(printable(text))
