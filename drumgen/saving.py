"""Saving: files made beside their places first, and all put in place together.

A file appears whole or not at all: it is written under another name in its own folder, flushed to the disk, and
renamed. What cannot be written leaves every old file as it was.
"""

from __future__ import annotations

import errno
import os
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from drumgen.errors import DrumgenError, Fault, fail, reason_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping


def save_together(files: Mapping[Path, Callable[[BinaryIO], None]]) -> None:
    """Write several files, each by its own writer, and put them in place together; on any failure none is touched."""
    pending: list[tuple[Path, Path]] = []
    try:
        for path, write in files.items():
            pending.append((_written_beside(path, write), path))
        for temporary, path in pending:
            _put_in_place(temporary, path)
    except OSError as error:
        raise unwritable(path, error) from None
    finally:
        for temporary, _ in pending:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)


def save(path: Path, content: bytes) -> None:
    """Write one file whose content is ready, whole or not at all."""
    save_together({path: writer_of(content)})


def unwritable(path: Path, error: OSError) -> DrumgenError:
    """What is said where a file or folder cannot be written."""
    return DrumgenError(Fault(f"cannot be written: {reason_of(error)}", file=str(path)))


def _written_beside(path: Path, write: Callable[[BinaryIO], None]) -> Path:
    target = _target(path)
    if _is_other(target):
        raise _not_plain(path)
    descriptor, name = tempfile.mkstemp(prefix=".drumgen-", suffix=".part", dir=target.parent)
    temporary = Path(name)
    try:
        with os.fdopen(descriptor, "w+b") as out:
            write(out)
            flush_to_disk(out)
        temporary.chmod(_mode(target))
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def flush_to_disk(file: BinaryIO) -> None:
    """Let what was written into an open file reach the disk."""
    file.flush()
    os.fsync(file.fileno())


def _mode(target: Path) -> int:
    """The permissions of the old file, or those that a new file gets."""
    if target.exists():
        return target.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _target(path: Path) -> Path:
    """The file that a path means, links followed. Raises OSError where links lead in a circle."""
    target = Path(os.path.realpath(path))
    if target.is_symlink():
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path))
    return target


def _is_other(path: Path) -> bool:
    """Whether something stands there that is no plain file: a folder, a device, a pipe, which nothing may replace."""
    return path.exists() and not path.is_file()


def _not_plain(path: Path) -> DrumgenError:
    return DrumgenError(Fault("a plain file to write to", got="something else", file=str(path)))


def _put_in_place(temporary: Path, path: Path) -> None:
    temporary.replace(_target(path))


def writer_of(content: bytes) -> Callable[[BinaryIO], None]:
    """A writer of bytes that are ready."""

    def write(out: BinaryIO) -> None:
        out.write(content)

    return write


def check_place(path: Path) -> None:
    """Raises DrumgenError where no file can be at a path: something else is there, or no folder around it."""
    try:
        is_other = _is_other(path)
    except OSError as error:  # a name that is too long
        raise unwritable(path, error) from None
    if is_other:
        raise _not_plain(path)
    if not path.parent.is_dir():
        raise DrumgenError(Fault("a folder that exists", got=f'"{path.parent}"', file=str(path)))


@contextmanager
def folder_for(folder: Path) -> Iterator[None]:
    """Make a folder, and those around it, for the files written inside; where that fails, those made are gone again.

    Raises OSError where it cannot be made.
    """
    added = [each for each in (folder, *folder.parents) if not each.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for each in added:
            with suppress(OSError):  # it holds something
                each.rmdir()
        raise


def check_free(*paths: Path, overwrite: bool) -> None:
    """Raises DrumgenError where something stands at one of several paths, a link to nothing too, unless told."""
    there = next((path for path in paths if path.exists() or path.is_symlink()), None)
    if there is not None and not overwrite:
        what = "a file that is" if len(paths) == 1 else "files that are"
        raise fail(f"{what} not there yet, or --overwrite", got=f'"{there}"')


def check_distinct(paths: Iterable[Path]) -> None:
    """Raises DrumgenError where two outputs are one file."""
    seen: set[Path] = set()
    for path in paths:
        target = _target(path)
        if target in seen:
            raise DrumgenError(Fault("outputs that are different files", got=f'"{path}" twice'))
        seen.add(target)
