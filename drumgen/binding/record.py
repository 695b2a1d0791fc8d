"""The record of a book's folder: what was made, from what, and what it should hold; and the workshop beside it.

Both lie in ``.drumgen-book`` inside the folder. The record is a line of JSON for each file, written before the file is
put in place: a run that is killed leaves at worst a line whose file is not there yet, which is then made again; what
lies in its place is still known by the line before. Files are made in a workshop of the run's own and renamed into the
folder; what a killed run left in its workshop is cleared away by the next. Two runs into one folder at a time are
refused.
"""

from __future__ import annotations

import json
import os
import sys
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from secrets import token_hex
from shutil import rmtree
from typing import IO, TYPE_CHECKING

from drumgen.binding.fingerprints import fingerprint_of_file
from drumgen.errors import DrumgenError, Fault
from drumgen.saving import flush_to_disk, unwritable

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

ROOM_NAME = ".drumgen-book"
_WORKSHOP = "work-"
LONGEST_BYTES = 255
"""Of the name of a file, on the usual systems."""


@dataclass(frozen=True, slots=True)
class Line:
    """What is known of one file: the key it was made for (nothing: not to be relied on), its size and fingerprint."""

    name: str
    key: str
    size: int
    sha256: str


class Record:
    """The record of one folder while it is held: see ``held``."""

    def __init__(self, folder: Path, workshop: Path, lines: dict[str, Line], journal: IO[str]) -> None:
        self.folder, self.workshop, self.lines = folder, workshop, lines
        self._journal = journal
        self._whole: dict[str, bool] = {}

    def is_whole(self, name: str) -> bool:
        """Whether a file holds what the record says."""
        if name not in self._whole:
            self._whole[name] = _holds(self.folder / name, self.lines.get(name))
        return self._whole[name]

    def is_altered(self, name: str) -> bool:
        """Whether something else lies in the place of a file that was made here."""
        return name in self.lines and os.path.lexists(self.folder / name) and not self.is_whole(name)

    def is_for(self, name: str, *, key: str) -> bool:
        """Whether a file was made for this key, whatever became of it."""
        line = self.lines.get(name)
        return line is not None and line.key == key

    def is_made(self, name: str, *, key: str) -> bool:
        """Whether a file was made for this key, and is whole."""
        return self.is_for(name, key=key) and self.is_whole(name)

    def place(self, line: Line, part: Path) -> None:
        """Put what was made in place, after the record knows of it. Raises DrumgenError where it cannot be."""
        self._write(line)
        path = self.folder / line.name
        try:
            part.replace(path)
        except OSError as error:
            raise unwritable(path, error) from None

    def remove(self, name: str) -> None:
        """Remove a file that was made here."""
        with suppress(FileNotFoundError):
            (self.folder / name).unlink()
        self.lines.pop(name, None)

    def _write(self, line: Line) -> None:
        self.lines[line.name] = line
        self._whole.pop(line.name, None)
        try:
            self._journal.write(json.dumps(asdict(line)) + "\n")
            self._journal.flush()
        except OSError as error:
            raise unwritable(self.folder, error) from None


@contextmanager
def held(folder: Path) -> Iterator[Record]:
    """The record of a folder, for one run alone; the folder is made where there is none.

    Where nothing was made in the end, the record and the folders that were made for it are gone again.
    Raises DrumgenError where it cannot be written, or another run holds it.
    """
    room = folder / ROOM_NAME
    added = [each for each in (room, folder, *folder.parents) if not each.exists()]
    lines: dict[str, Line] = {}
    try:
        with _opened(room, folder) as journal:
            _lock(journal, folder)
            if not _is_at(journal, room / "record"):
                raise _busy(folder)
            lines.update((name, _of_what_is_there(folder / name, each)) for name, each in _lines(journal).items())
            try:
                with _workshop(room) as workshop:
                    yield Record(folder, workshop, lines, journal)
                    _rewrite(room / "record", lines.values(), workshop)
            finally:
                if not lines:
                    with suppress(OSError):  # where an open file cannot be removed
                        (room / "record").unlink()
    finally:
        for each in () if lines else dict.fromkeys((room, *added)):
            with suppress(OSError):  # it holds something else
                each.rmdir()


def _opened(room: Path, folder: Path) -> IO[str]:
    """The record, open to be read and added to, in a folder made for it. Raises DrumgenError where it cannot be."""
    try:
        room.mkdir(parents=True, exist_ok=True)
        if room.is_symlink():
            raise DrumgenError(Fault("a folder, and no link to another", got="a link", file=str(room)))
        return (room / "record").open("a+", encoding="utf-8", errors="replace", newline="\n")
    except OSError as error:
        raise unwritable(folder, error) from None


def _is_at(journal: IO[str], path: Path) -> bool:
    """Whether the file that is open is still the one at this path, and was not replaced by another run."""
    try:
        return os.path.samestat(os.fstat(journal.fileno()), path.stat())
    except OSError:
        return False


def _busy(folder: Path) -> DrumgenError:
    return DrumgenError(Fault("another drumgen book is at work in this folder", file=str(folder)))


def _lock(journal: IO[str], folder: Path) -> None:
    """Hold the record as long as it is open; a file system that knows no locks is trusted."""
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - not on other systems

        journal.seek(0)
        try:
            msvcrt.locking(journal.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            raise _busy(folder) from None
        return
    import fcntl  # noqa: PLC0415 - not on Windows

    try:
        fcntl.flock(journal.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise _busy(folder) from None
    except OSError:
        return


@contextmanager
def _workshop(room: Path) -> Iterator[Path]:
    """A workshop of this run's own, gone at its end; those of runs that were killed are cleared away."""
    try:
        for left in room.glob(f"{_WORKSHOP}*"):
            rmtree(left, ignore_errors=True)
        workshop = room / f"{_WORKSHOP}{token_hex(8)}"
        workshop.mkdir()
    except OSError as error:
        raise unwritable(room.parent, error) from None
    try:
        yield workshop
    finally:
        rmtree(workshop, ignore_errors=True)


def _lines(journal: IO[str]) -> dict[str, list[Line]]:
    """The lines of the record that can be read, by their files; a name that leads elsewhere is none of ours."""
    journal.seek(0)
    found: dict[str, list[Line]] = {}
    for text in journal.read().splitlines():
        with suppress(ValueError, TypeError, RecursionError):
            line = Line(**json.loads(text))
            texts: tuple[object, ...] = (line.name, line.key, line.sha256)
            if all(isinstance(each, str) for each in texts) and _is_ours(line.name):
                found.setdefault(line.name, []).append(line)
    return found


def _of_what_is_there(path: Path, lines: Sequence[Line]) -> Line:
    """The line of a file: the last, or an earlier one that says what a run left there that was killed."""
    if len(lines) == 1:
        return lines[0]
    return next((line for line in reversed(lines) if _holds(path, line)), lines[-1])


def _is_ours(name: str) -> bool:
    """Whether this is the name of a file in the folder itself, on any system."""
    return name[:1] not in ("", ".") and not set("/\\:\0") & set(name) and len(name.encode()) <= LONGEST_BYTES


def _rewrite(path: Path, lines: Iterable[Line], workshop: Path) -> None:
    """The record with one line a file, in the order of their names."""
    text = "".join(json.dumps(asdict(line)) + "\n" for line in sorted(lines, key=lambda line: line.name))
    part = workshop / "record"
    with part.open("wb") as file:
        file.write(text.encode())
        flush_to_disk(file)
    with suppress(OSError):  # where an open file cannot be replaced, the journal stays as it is
        part.replace(path)


def _holds(path: Path, line: Line | None) -> bool:
    if line is None or path.is_symlink():
        return False
    try:
        if path.stat().st_size != line.size:
            return False
        with path.open("rb") as file:
            return fingerprint_of_file(file) == line.sha256
    except OSError:
        return False
