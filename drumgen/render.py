"""Rendering: what each file needs, made beside its place first, and all put in place together.

A file appears whole or not at all: it is written under another name in its own folder, flushed to the disk, and
renamed. What cannot be written leaves every old file as it was.
"""

from __future__ import annotations

import errno
import os
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from drumgen.errors import DrumgenError, Fault, fail, nearest, reason_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from drumgen.kit import Kit

SUFFIXES = (".mid", ".wav", ".flac", ".ogg", ".mp3", ".pdf", ".png", ".svg", ".musicxml", ".html")
LONGEST_NAME_BYTES = 200
_RESERVED = {"con", "prn", "aux", "nul", *(f"{word}{digit}" for word in ("com", "lpt") for digit in "123456789¹²³")}
"""Names that Windows has for devices, whatever their suffix (Microsoft, Naming Files, Paths, and Namespaces)."""


def file_name(name: str) -> str:
    """A name that every file system takes, from the name of a phrase: letters and digits of any script, - and _.

    >>> file_name("RLRR LRLL"), file_name("con"), file_name("../x")
    ('RLRR-LRLL', 'con_', 'x')
    """
    plain = "".join(char if char.isalnum() or char in "-_" else "-" for char in name)
    plain = "-".join(part for part in plain.split("-") if part) or "phrase"
    while len(plain.encode()) > LONGEST_NAME_BYTES:
        plain = plain[:-1]
    return f"{plain}_" if plain.lower() in _RESERVED else plain


def is_suffix_alone(wanted: str) -> bool:
    """Whether an output is a suffix without a name, which takes the phrase's own."""
    return Path(wanted).name.lower() in SUFFIXES


def suffix_of(wanted: str) -> str:
    """The suffix of an output, in small letters."""
    return Path(wanted).name.lower() if is_suffix_alone(wanted) else Path(wanted).suffix.lower()


def out_path(wanted: str, *, name: str) -> Path:
    """The path that ``-o`` asks for; a suffix alone (``.mid``, ``out/.mid``) takes the phrase's own name.

    Raises DrumgenError where the suffix is not one that can be written, or what stands there is no plain file.
    """
    path = Path(wanted)
    if is_suffix_alone(wanted):
        path = path.with_name(file_name(name) + path.name)
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        hint = nearest(suffix, SUFFIXES)
        raise DrumgenError(Fault(f"an output ending in {', '.join(SUFFIXES)}", got=f'"{wanted}"', nearest=hint))
    try:
        is_other = path.exists() and not path.is_file()
    except OSError as error:  # a name that is too long
        raise _unwritable(path, error) from None
    if is_other:
        raise DrumgenError(Fault("a plain file to write to", got="something else", file=str(path)))
    if not path.parent.is_dir():
        raise DrumgenError(Fault("a folder that exists", got=f'"{path.parent}"', file=str(path)))
    return path


def check_name(path: Path, kit: Kit) -> None:
    """Raises DrumgenError where a file's name breaks a limit of the kit's machine."""
    limits = kit.limits
    at = ("kits", kit.name, "limits")
    if limits.name_length is not None and len(path.stem) > limits.name_length:
        rule = f"a file name of at most {limits.name_length} characters"
        raise DrumgenError(Fault(rule, got=f'"{path.stem}"', path=(*at, "name_length")))
    allowed = spelled_out(limits.name_characters)
    wrong = next((char for char in path.stem if allowed and char not in allowed), "")
    if wrong:
        rule = f"a file name of the characters {limits.name_characters}"
        raise DrumgenError(Fault(rule, got=f'"{wrong}" in "{path.stem}"', path=(*at, "name_characters")))


def spelled_out(characters: str) -> frozenset[str]:
    """The characters of a list with ranges.

    >>> "".join(sorted(spelled_out("A-C0-2_-")))
    '-012ABC_'
    """
    found: set[str] = set()
    at = 0
    while at < len(characters):
        if characters[at + 1 : at + 2] == "-" and at + 2 < len(characters):
            found.update(map(chr, range(ord(characters[at]), ord(characters[at + 2]) + 1)))
            at += 3
        else:
            found.add(characters[at])
            at += 1
    return frozenset(found)


def save_together(files: Mapping[Path, Callable[[BinaryIO], None]]) -> None:
    """Write several files, each by its own writer, and put them in place together; on any failure none is touched."""
    pending: list[tuple[Path, Path]] = []
    try:
        for path, write in files.items():
            pending.append((_written_beside(path, write), path))
        for temporary, path in pending:
            _put_in_place(temporary, path)
    except OSError as error:
        raise _unwritable(path, error) from None
    finally:
        for temporary, _ in pending:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)


def _unwritable(path: Path, error: OSError) -> DrumgenError:
    return DrumgenError(Fault(f"cannot be written: {reason_of(error)}", file=str(path)))


def _written_beside(path: Path, write: Callable[[BinaryIO], None]) -> Path:
    target = _target(path)
    descriptor, name = tempfile.mkstemp(prefix=".drumgen-", suffix=".part", dir=target.parent)
    temporary = Path(name)
    try:
        with os.fdopen(descriptor, "w+b") as out:
            write(out)
            out.flush()
            os.fsync(out.fileno())
        temporary.chmod(_mode(target))
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


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


def _put_in_place(temporary: Path, path: Path) -> None:
    temporary.replace(_target(path))


def writer_of(content: bytes) -> Callable[[BinaryIO], None]:
    """A writer of bytes that are ready."""

    def write(out: BinaryIO) -> None:
        out.write(content)

    return write


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
