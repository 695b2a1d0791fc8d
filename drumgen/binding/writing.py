"""Writing one file of a book: what each product is, and what of the whole book can be on one sheet or page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, NamedTuple, TypeVar

from drumgen.binding.jobs import WHOLE
from drumgen.binding.practising import practice_for
from drumgen.binding.sources import Source
from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from drumgen.binding.jobs import Job, Manner, Numbered
    from drumgen.book import Entry
    from drumgen.composing import Composition, Document, Settings
    from drumgen.phrase import Phrase
    from drumgen.practice import Practice

Made = TypeVar("Made")
Each = TypeVar("Each", bound="Source | _Read")


class Written(NamedTuple):
    """What writing a file had to say: each fault with its phrase's number; the seconds of its sound.

    ``is_there`` is false where nothing was written.
    """

    remarks: tuple[str, ...] = ()
    faults: tuple[Numbered, ...] = ()
    seconds: float = 0.0
    is_there: bool = True


class _Read(NamedTuple):
    """A phrase that could be read, and the practice options that it is played with, or begins with on a page."""

    source: Source
    phrase: Phrase
    practice: Practice


def write_output(job: Job, file: BinaryIO) -> Written:
    """Write a job's file, and say what is to be said of it. Raises DrumgenError where it cannot be made at all."""
    if job.kind in WHOLE:
        return _write_whole(job, file)
    read = _read(job.sources[0], job)
    remarks = tuple(map(str, read.phrase.remarks))
    if job.kind == "sheet":
        document = _document(job, [read])
        file.write(document.pages[0])
        return Written((*remarks, *document.remarks))
    composition = _composition(job, read)
    more = composition.writer(Path(job.name))(file)[1:]  # the first line is of its length and loudness
    seconds = 0.0 if job.kind == "midi" else composition.performance.seconds
    return Written((*remarks, *composition.performance.remarks, *more), seconds=seconds)


def _read(source: Source, job: Job) -> _Read:
    """A phrase with the practice options of a job. Raises DrumgenError with all faults of its file."""
    phrase = source.phrase()
    paper = job.kind in ("sheet", "whole sheet")
    return _Read(source, phrase, phrase.practice if paper else practice_for(job.kind, phrase, source.entry))


def _composition(job: Job, read: _Read) -> Composition:
    """What plays a phrase. Raises DrumgenError where its kit's machine does not take it."""
    from drumgen.composing import Composition  # noqa: PLC0415 - only where it is played
    from drumgen.file_names import check_name  # noqa: PLC0415 - as above
    from drumgen.plan import arrange  # noqa: PLC0415 - as above

    if job.kind == "midi":
        check_name(Path(job.name), read.phrase.kit)
    return Composition(arrange(read.phrase, read.practice), _settings(job.manner))


def _document(job: Job, read: Sequence[_Read]) -> Document:
    """The sheet or page of some of a job's phrases."""
    from drumgen.composing import compose_document  # noqa: PLC0415 - only for paper and pages

    suffix = ".html" if job.kind == "page" else ".pdf"
    phrases, practice = [each.phrase for each in read], [each.practice for each in read]
    over = {"title": job.title, "note": job.note}
    return compose_document(phrases, suffix, settings=_settings(job.manner), practice=practice, **over)


def _settings(manner: Manner) -> Settings:
    from drumgen.composing import USUAL  # noqa: PLC0415 - as above

    font = Path(font_path(manner)) if manner.font else None
    return USUAL._replace(soundfont=font, printing=USUAL.printing._replace(paper=manner.paper))


def font_path(manner: Manner) -> str:
    """The path of the SoundFont that is played."""
    from drumgen.audio.soundfont import built_in_soundfont  # noqa: PLC0415 - numpy only where audio is made

    return manner.soundfont or str(built_in_soundfont())


# -- of the whole book


def _write_whole(job: Job, file: BinaryIO) -> Written:
    """Write the sheet or page of the whole book; phrases that cannot be on it are left out, and told."""
    faults: list[Numbered] = []
    read = list(_each_made(job.sources, lambda source: _read(source, job), job, faults))
    try:
        if job.kind == "page":
            read = _of_a_page(read, job, faults)
        document, read = _fitting(read, job, faults)
    except DrumgenError as error:
        faults += [(0, fault if fault.file else replace(fault, file=job.name)) for fault in error.faults]
        document = None
    if document is None:
        return Written(faults=tuple(faults), is_there=False)
    file.write(document.pages[0])
    remarks = (str(line) for each in read for line in each.phrase.remarks)
    return Written((*remarks, *document.remarks), tuple(faults))


def _fitting(read: list[_Read], job: Job, faults: list[Numbered]) -> tuple[Document | None, list[_Read]]:
    """The document of the phrases that can be on one, and these; none where not one can.

    Raises DrumgenError where each could be, but not all together.
    """
    try:
        return (_document(job, read) if read else None), read
    except DrumgenError:
        fit = list(_each_made(read, lambda each: _tried(job, each), job, faults))
        if len(fit) == len(read):
            raise
        return _fitting(fit, job, faults)


def _of_a_page(several: Sequence[_Read], job: Job, faults: list[Numbered]) -> list[_Read]:
    """The phrases that are not too long for a page; so the costly work begins only where it can end.

    Raises DrumgenError where they are too many, or too long together.
    """
    from drumgen.audition import check_page  # noqa: PLC0415 - only for a page

    fit = list(_each_made(several, _short_enough, job, faults))
    check_page([each.phrase for each in fit])
    return fit


def _short_enough(read: _Read) -> _Read:
    """The same, if it is not too long for a page. Raises DrumgenError if it is."""
    from drumgen.audition import check_page  # noqa: PLC0415 - only for a page

    check_page([read.phrase])
    return read


def _tried(job: Job, read: _Read) -> _Read:
    """The same, if a document can be made of it alone. Raises DrumgenError if not."""
    _document(job, [read])
    return read


def _each_made(
    several: Iterable[Each], make: Callable[[Each], Made], job: Job, faults: list[Numbered]
) -> Iterator[Made]:
    """What is made of each that can be; the faults of the others are noted with their phrase's number."""
    for each in several:
        entry = (each if isinstance(each, Source) else each.source).entry
        try:
            yield make(each)
        except DrumgenError as error:
            faults += [(entry.number, at_phrase(fault, entry, job)) for fault in error.faults]


def at_phrase(fault: Fault, entry: Entry, job: Job) -> Fault:
    """A fault of a phrase that is not of its file alone, with the name of what is not made for it."""
    return fault if fault.file else replace(fault, file=entry.file, via=fault.via or f"for {job.name}")
