"""Binding: a book's files into one folder, only those that are out of date, each whole or not at all."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from shutil import copyfile
from typing import TYPE_CHECKING, NamedTuple

from drumgen.binding.index import Row, render_index
from drumgen.binding.jobs import INDEX_NAME, WHOLE, Manner, jobs_of
from drumgen.binding.making import font_print
from drumgen.binding.record import Line, flushed, held
from drumgen.binding.sources import digest
from drumgen.binding.work import work_through
from drumgen.book import SOUNDING
from drumgen.errors import DrumgenError, Fault
from drumgen.render import check_free

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from drumgen.binding.jobs import Job, Works
    from drumgen.binding.making import Outcome
    from drumgen.binding.record import Record
    from drumgen.binding.sources import Source
    from drumgen.book import Book, Entry

    Progress = Callable[[int, int], None]


def _in_book(numbered: tuple[int, Fault]) -> tuple[bool, int, str, int, str]:
    """Where a fault is told, whichever file was ready first."""
    number, fault = numbered
    return number == 0, number, fault.file, fault.line, fault.via


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


@dataclass
class Bound:
    """What became of a book: names of files, and what is to be said. A fault has its phrase's number, 0 for the whole.

    ``altered`` are files that somebody altered after they were made; they are left as they are.
    ``seconds`` are those of the longest sound that was made, None where none was.
    """

    made: list[str] = field(default_factory=list)
    unchanged: list[str] = field(default_factory=list)
    renamed: list[str] = field(default_factory=list)
    altered: list[str] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    remarks: dict[str, None] = field(default_factory=dict)
    faults: dict[tuple[int, Fault], None] = field(default_factory=dict)
    seconds: float | None = None

    @property
    def all_faults(self) -> tuple[Fault, ...]:
        """The faults in the order of the book, those of the whole last, each once."""
        ordered = sorted(self.faults, key=_in_book)
        return tuple(dict.fromkeys(fault for _, fault in ordered))

    @property
    def there(self) -> frozenset[str]:
        """The names of the files that are there now."""
        return frozenset((*self.made, *self.unchanged, *self.renamed, *self.altered))

    @property
    def broken(self) -> int:
        """How many phrases have faults."""
        return len({number for number, _ in self.faults if number})

    def leave(self, path: Path) -> None:
        """Note a file that somebody altered."""
        self.altered.append(path.name)
        self.remarks[f"{path} was altered, and is left; --overwrite makes it again"] = None

    def add(self, job: Job, outcome: Outcome) -> None:
        """Note what a file's making had to say."""
        self.remarks.update(dict.fromkeys(outcome.remarks))
        self.faults.update(dict.fromkeys(outcome.faults))
        if outcome.sha256:
            self.made.append(job.name)
        if outcome.sha256 and job.kind in SOUNDING:
            self.seconds = max(self.seconds or 0.0, outcome.seconds)


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
    import os  # noqa: PLC0415 - the environment is looked at once

    from drumgen.audio.soundfont import built_in_soundfont, find_soundfont  # noqa: PLC0415 - numpy only for sound

    found = find_soundfont(Path(binding.soundfont) if binding.soundfont else None, environment=os.environ).absolute()
    named = "" if found == built_in_soundfont().absolute() else str(found)
    return Manner(book.audio, book.paper, named, font_print(str(found)))


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
        flushed(file)


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


_WORDS: Mapping[str, str] = {
    "sheet": "sheet",
    "midi": "MIDI",
    "play-along": "play-along",
    "ladder": "ladder",
    "click": "click",
    "page": "audition page",
    "whole sheet": "sheet of all phrases",
}


def _write_index(book: Book, works: Works, record: Record, bound: Bound, binding: Binding) -> None:
    there = bound.there
    files: dict[int, list[tuple[str, str]]] = {}
    for job in works.jobs:
        if job.name in there:
            number = 0 if job.kind in WHOLE else job.sources[0].entry.number
            files.setdefault(number, []).append((_WORDS[job.kind], job.name))
    sources = {source.entry.number: source for source in works.sources}
    rows = [
        _row(entry, sources.get(entry.number), files.get(entry.number, () if entry.make else None))
        for entry in book.entries
    ]
    sounds = any(job.name in there and (job.kind in SOUNDING or job.kind == "page") for job in works.jobs)
    text = render_index(title=book.title, note=book.note, whole=files.get(0, ()), rows=rows, sounds=sounds)
    _place_index(text.encode(), record, bound, binding)


def _row(entry: Entry, source: Source | None, files: Sequence[tuple[str, str]] | None) -> Row:
    """What the index says of a phrase; ``source`` is None where it cannot be read."""
    title, note = (source.shown_title, source.shown_note) if source else (entry.heading or "", entry.note or "")
    return Row(entry.number, title or Path(entry.file).stem, note, files)


def _place_index(content: bytes, record: Record, bound: Bound, binding: Binding) -> None:
    key = digest(content)
    if record.is_made(INDEX_NAME, key=key) and not binding.again:
        bound.unchanged.append(INDEX_NAME)
        return
    part = record.workshop / INDEX_NAME
    _save(part, content)
    if _put(Line(INDEX_NAME, key, len(content), sha256(content).hexdigest()), part, record, bound, binding):
        bound.made.append(INDEX_NAME)
