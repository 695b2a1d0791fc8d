"""Binding: a book's files into one folder, only those that are out of date, each whole or not at all."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from shutil import copyfile
from typing import TYPE_CHECKING, NamedTuple

from drumgen.binding.bound import Bound
from drumgen.binding.fingerprints import fingerprint_of_bytes, fingerprint_of_soundfont, fingerprint_of_values
from drumgen.binding.index import render_index
from drumgen.binding.jobs import INDEX_NAME, Manner, jobs_of
from drumgen.binding.record import Line, held
from drumgen.binding.work import work_through
from drumgen.book import SOUNDING
from drumgen.errors import DrumgenError, Fault
from drumgen.saving import check_free, flush_to_disk

if TYPE_CHECKING:
    from collections.abc import Callable

    from drumgen.binding.jobs import Job, Works
    from drumgen.binding.making import Outcome
    from drumgen.binding.record import Record
    from drumgen.book import Book

    Progress = Callable[[int, int], None]


class Binding(NamedTuple):
    """How a book is bound: its SoundFont (None is the usual one), the processes (-1 is one a core), or a cluster.

    ``again`` makes everything again; ``overwrite`` lets files be written over that were not made here, or were altered
    since. ``progress`` is told how many files are done of how many.
    """

    soundfont: str | None = None
    workers: int = -1
    on: str | None = None
    again: bool = False
    overwrite: bool = False
    progress: Progress | None = None


USUAL = Binding()


def bind_book(book: Book, out: Path, *, binding: Binding = USUAL) -> Bound:
    """Make the files of a book that are out of date in the folder ``out``, and say what was done.

    What the book no longer asks for is removed, if it was made here and is as it was. What somebody altered is left,
    and told; a binding that overwrites makes it again, if it is still asked for. Raises DrumgenError where the
    folder cannot be written, where a file is in the way that was not made here, or where not one phrase can be read;
    the faults of some phrases are told in what is given back.
    """
    works = jobs_of(book, _manner(book, binding))
    if not works.sources:
        raise DrumgenError(*(fault for _, fault in works.faults))
    with held(out) as record:
        _check_way(works, book, record, overwrite=binding.overwrite)
        bound = Bound(faults=dict.fromkeys(works.faults))
        _say_unladdered(works, bound)
        due = [job for job in works.jobs if binding.again or not record.is_made(job.name, key=job.key)]
        names = {job.name for job in due}
        bound.unchanged = [job.name for job in works.jobs if job.name not in names]
        due = _without_altered(due, record, bound, binding)
        due = _renamed(due, record, bound, binding)
        _make(due, record, bound, binding)
        if bound.there:
            _clear(works, book, record, bound)
        if "index" in book.together and bound.there:
            _write_index(book, works, record, bound, binding)
    return bound


def _manner(book: Book, binding: Binding) -> Manner:
    """How the files are made. Raises DrumgenError where the SoundFont cannot be read."""
    sounds = "page" in book.together or any(set(SOUNDING) & set(entry.make) for entry in book.entries)
    if not sounds:
        return Manner(book.audio, book.paper)
    from drumgen.audio.soundfont import built_in_soundfont, find_soundfont  # noqa: PLC0415 - numpy only for sound

    found = find_soundfont(Path(binding.soundfont) if binding.soundfont else None, environment=os.environ).absolute()
    named = "" if found == built_in_soundfont().absolute() else str(found)
    return Manner(book.audio, book.paper, named, fingerprint_of_soundfont(str(found)))


def _check_way(works: Works, book: Book, record: Record, *, overwrite: bool) -> None:
    """Raises DrumgenError where a file would be written over that was not made here."""
    paths = [record.folder / name for name in (*(job.name for job in works.jobs), *_index_name(book))]
    folder = next((path for path in paths if path.is_dir() and not path.is_symlink()), None)
    if folder is not None:
        raise DrumgenError(Fault("a file or nothing", got="a folder", file=str(folder)))
    check_free(*(path for path in paths if path.name not in record.lines), overwrite=overwrite)


def _index_name(book: Book) -> tuple[str, ...]:
    return (INDEX_NAME,) if "index" in book.together else ()


def _say_unladdered(works: Works, bound: Bound) -> None:
    if works.unladdered:
        numbers = ", ".join(map(str, works.unladdered[:10])) + ("…" if works.unladdered[10:] else "")
        bound.remarks[f"no ladder is named for phrase {numbers}: made without it"] = None


def _without_altered(due: list[Job], record: Record, bound: Bound, binding: Binding) -> list[Job]:
    """What is still to be made: not what somebody altered that was made for the same, of which nothing is new."""
    if binding.overwrite:
        return due
    altered = [job for job in due if record.is_for(job.name, key=job.key) and record.is_altered(job.name)]
    for job in altered:
        bound.leave(record.folder / job.name)
    return [job for job in due if job not in altered]


def _put(line: Line, part: Path, record: Record, bound: Bound, binding: Binding) -> bool:
    """Put what was made in place, and say whether it is; what somebody altered there is left."""
    if record.is_altered(line.name) and not binding.overwrite:
        bound.leave(record.folder / line.name)
        return False
    record.place(line, part)
    return True


def _renamed(due: list[Job], record: Record, bound: Bound, binding: Binding) -> list[Job]:
    """Take what was made for the same under another name; gives what is still to be made."""
    if binding.again:
        return due
    by_key = {line.key: line for line in record.lines.values() if line.key}
    found = {job.name: by_key[job.key] for job in due if job.key in by_key and record.is_whole(by_key[job.key].name)}
    parts = {name: record.workshop / f"{number}.copy" for number, name in enumerate(found)}
    for name, old in found.items():
        copyfile(record.folder / old.name, parts[name])
    for name, old in found.items():
        if _put(replace(old, name=name), parts[name], record, bound, binding):
            bound.renamed.append(name)
    return [job for job in due if job.name not in found]


def _make(due: list[Job], record: Record, bound: Bound, binding: Binding) -> None:
    """Make what is due, and put each file in place as it is ready."""
    if not due:
        return
    tell = binding.progress or (lambda _done, _total: None)
    tell(0, len(due))
    outcomes: dict[str, Outcome] = {}
    for job, outcome in work_through(due, workshop=record.workshop, workers=binding.workers, on=binding.on):
        is_there = bool(outcome.sha256) and _put(*_made(job, outcome, record), record, bound, binding)
        outcomes[job.name] = outcome._replace(content=b"", sha256=outcome.sha256 if is_there else "")
        tell(len(outcomes), len(due))
    for job in due:  # told in their order, whichever was ready first
        bound.add(job, outcomes[job.name])


def _made(job: Job, outcome: Outcome, record: Record) -> tuple[Line, Path]:
    """What was made as a line of the record, and where it lies."""
    part = record.workshop / (outcome.part or "sent.part")
    if not outcome.part:
        _save(part, outcome.content)
    return Line(job.name, job.key if outcome.complete else "", outcome.size, outcome.sha256), part


def _save(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        flush_to_disk(file)


def _clear(works: Works, book: Book, record: Record, bound: Bound) -> None:
    """Remove what was made here and is asked for no longer; what somebody altered is left, and no longer ours."""
    wanted = {*(job.name for job in works.jobs), *works.kept, *_index_name(book)}
    for name in [name for name in record.lines if name not in wanted]:
        if record.is_whole(name):
            record.remove(name)
            bound.removed.append(name)
        else:
            record.lines.pop(name)
            if (record.folder / name).exists():
                bound.remarks[f"{record.folder / name} is no longer of the book, and left as it was altered"] = None


def _write_index(book: Book, works: Works, record: Record, bound: Bound, binding: Binding) -> None:
    content = render_index(book, works, there=bound.there).encode()
    key = fingerprint_of_values(content)
    if record.is_made(INDEX_NAME, key=key) and not binding.again:
        bound.unchanged.append(INDEX_NAME)
        return
    part = record.workshop / INDEX_NAME
    _save(part, content)
    if _put(Line(INDEX_NAME, key, len(content), fingerprint_of_bytes(content)), part, record, bound, binding):
        bound.made.append(INDEX_NAME)
