"""Jobs: every file of a book, with its name, and the key that changes when anything that it is made from does.

Files of one phrase begin with its number in the book, then the name of its phrase file without a number of its own:
``03-turn.mid``, ``03-turn.mp3``, ``03-turn-ladder.mp3``, ``03-turn-click.mp3``, ``03-turn.pdf``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen import __version__
from drumgen.binding.fingerprints import fingerprint_of_values
from drumgen.binding.sources import Source, read_source
from drumgen.book import SOUNDING, Product
from drumgen.errors import DrumgenError, Fault
from drumgen.file_names import file_name, spelled_out

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.book import AudioFormat, Book, Entry, PaperSize

Kind = Product | Literal["whole sheet", "page"]
Numbered = tuple[int, Fault]
"""A fault with the number of its phrase in the book, 0 for the whole."""

WHOLE: tuple[Kind, ...] = ("page", "whole sheet")
SHEET_NAME, PAGE_NAME, INDEX_NAME = "book.pdf", "page.html", "index.html"
_ENDINGS: dict[Product, str] = {"ladder": "-ladder", "click": "-click"}
_OWN_NUMBER = re.compile(r"[0-9]+[ _.-]+(?=.)")


class Manner(NamedTuple):
    """How a book's files are made: the format of audio, the paper, the SoundFont (nothing is the usual one).

    ``font`` is the fingerprint of the SoundFont's content, nothing where none is needed.
    """

    audio: AudioFormat = "mp3"
    paper: PaperSize = "A4"
    soundfont: str = ""
    font: str = ""


@dataclass(frozen=True, slots=True)
class Job:
    """One file to make: its name, what it is, what it is made from, and its key."""

    name: str
    kind: Kind
    sources: tuple[Source, ...]
    manner: Manner
    title: str = ""
    note: str = ""
    key: str = ""
    version: str = ""

    @property
    def number(self) -> int:
        """The number of its phrase in the book, 0 for the whole."""
        return 0 if self.kind in WHOLE else self.sources[0].entry.number


class Works(NamedTuple):
    """All jobs of a book, those of the whole first; the phrases that cannot be read; names to be left as they are.

    ``unladdered`` are the numbers of phrases without a ladder, where the book asks for one of each.
    """

    jobs: tuple[Job, ...]
    sources: tuple[Source, ...]
    faults: tuple[Numbered, ...]
    kept: frozenset[str]
    unladdered: tuple[int, ...]


def jobs_of(book: Book, manner: Manner) -> Works:
    """Every file that a book asks for, and what stands in the way."""
    digits = max(2, len(str(len(book.entries))))
    sources: list[Source] = []
    faults: list[Numbered] = []
    kept: set[str] = set()
    for entry in book.entries:
        try:
            sources.append(read_source(entry))
        except DrumgenError as error:
            faults += [(entry.number, fault) for fault in error.faults]
            kept.update(output_name(entry, product, manner, digits=digits) for product in entry.make)
    singles = [job for source in sources for job in _single_jobs(source, manner, digits)]
    keyed = (replace(job, key=key_of(job)) for job in map(_settled, (*_whole_jobs(book, sources, manner), *singles)))
    unladdered = tuple(each.entry.number for each in sources if _is_unladdered(each))
    return Works(tuple(keyed), tuple(sources), tuple(faults), frozenset(kept), unladdered)


def _settled(job: Job) -> Job:
    """A job of this version of drumgen, without the SoundFont where nothing of it sounds."""
    manner = job.manner if job.kind in (*SOUNDING, "page") else job.manner._replace(soundfont="", font="")
    return replace(job, manner=manner, version=__version__)


def _is_unladdered(source: Source) -> bool:
    """Whether it has no ladder of which the book asks for one of each; asked for by itself, it is a fault."""
    entry = source.entry
    return "ladder" in entry.make and not (entry.own_make or entry.ladder or source.laddered)


def _single_jobs(source: Source, manner: Manner, digits: int) -> Iterator[Job]:
    for product in source.entry.make:
        if product == "ladder" and _is_unladdered(source):
            continue
        name = output_name(source.entry, product, manner, digits=digits)
        if product == "midi":
            name = f"{_fitting(Path(name).stem, source, digits)}.mid"
        yield Job(name, product, (source,), manner)


def _whole_jobs(book: Book, sources: Sequence[Source], manner: Manner) -> Iterator[Job]:
    kinds: tuple[tuple[Literal["page", "sheet"], str, Kind], ...]
    kinds = (("page", PAGE_NAME, "page"), ("sheet", SHEET_NAME, "whole sheet"))
    for wanted, name, kind in kinds:
        if wanted in book.together and sources:
            yield Job(name, kind, tuple(sources), manner, book.title, book.note)


def output_name(entry: Entry, product: Product, manner: Manner, *, digits: int = 2) -> str:
    """The name of a phrase's file; its number makes it another than any other's.

    >>> from drumgen.book import Entry
    >>> output_name(Entry(3, "course/01-say it.toml"), "ladder", Manner())
    '03-say-it-ladder.mp3'
    """
    stem = file_name(_OWN_NUMBER.sub("", Path(entry.file).stem, count=1))
    suffix = manner.audio if product in SOUNDING else "mid" if product == "midi" else "pdf"
    return f"{entry.number:0{digits}}-{stem}{_ENDINGS.get(product, '')}.{suffix}"


def _fitting(stem: str, source: Source, digits: int) -> str:
    """A name as the machine of the phrase's kit takes it: in its letters, as long as it allows, the number kept.

    Where it takes no figures the name stays as it is, and is refused where the file is made.
    """
    allowed, number = spelled_out(source.name_characters), f"{source.entry.number:0{digits}}"
    cases = ((char, char.upper(), char.lower(), "_") for char in stem)
    spelled = "".join(next((char for char in each if char in allowed), "") for each in cases) if allowed else stem
    if not spelled.startswith(number):
        return stem
    return spelled[: max(len(number), source.name_length or len(spelled))]


def key_of(job: Job) -> str:
    """The key of a job: a fingerprint of everything that its file's content depends on."""
    manner = job.manner
    parts: list[object] = [job.version, job.kind, job.title, job.note]
    parts += [manner.audio if job.kind in SOUNDING else "", manner.font]
    parts.append(manner.paper if job.kind in ("sheet", "whole sheet") else "")
    return fingerprint_of_values(*parts, *(part for source in job.sources for part in _parts(source, job.kind)))


def _parts(source: Source, kind: Kind) -> tuple[object, ...]:
    """What a phrase's part of a file depends on: audio knows no words, paper no practice."""
    entry = source.entry
    kit = repr(source.kit) if isinstance(source.kit, Fault) else source.kit
    read = (source.stem, source.wordless, Path(entry.kit).name, kit, entry.lead, entry.handed)
    titled, noted = kind not in SOUNDING, kind not in (*SOUNDING, "midi")
    words = (source.shown_title if titled else "", source.shown_note if noted else "")
    said = [(key, value) for key, value in entry.options if _matters(key, kind)]
    ladder = entry.ladder if kind in ("ladder", "page") else ""
    return (*read, *words, *(f"{key}={value}" for key, value in said), ladder, "end")


def _matters(option: str, kind: Kind) -> bool:
    if kind in ("sheet", "whole sheet"):
        return False
    if kind == "midi":
        return option == "tempo"
    return kind != "ladder" or option != "tempo"
