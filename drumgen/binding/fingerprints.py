"""Fingerprints (SHA-256) of a file's content, of a SoundFont's, and of the values that a file is made from."""

from __future__ import annotations

from functools import lru_cache
from hashlib import file_digest, sha256
from pathlib import Path
from stat import S_ISDIR, S_ISREG
from typing import BinaryIO

from drumgen.errors import DrumgenError, Fault


def fingerprint_of_file(file: BinaryIO) -> str:
    """The fingerprint of an open file's content, from where it stands."""
    return file_digest(file, "sha256").hexdigest()  # type: ignore[arg-type]


def fingerprint_of_bytes(content: bytes) -> str:
    """The fingerprint of a file that holds these bytes."""
    return sha256(content).hexdigest()


def fingerprint_of_soundfont(path: str) -> str:
    """The fingerprint of a SoundFont's content. Raises DrumgenError where it cannot be read."""
    try:
        state = Path(path).stat()
        if not (S_ISREG(state.st_mode) or S_ISDIR(state.st_mode)):  # a device may have no end
            raise DrumgenError(Fault("a SoundFont (SF2 or SF3)", got="no plain file", file=path))
        return _of_path(path, state.st_size, state.st_mtime_ns)
    except OSError as error:
        reason = error.strerror or "it cannot be read"
        raise DrumgenError(Fault(f"the SoundFont cannot be opened: {reason}", file=path)) from None


@lru_cache(maxsize=8)
def _of_path(path: str, _size: int, _changed_ns: int) -> str:
    with Path(path).open("rb") as file:
        return fingerprint_of_file(file)


def fingerprint_of_values(*values: object) -> str:
    """The fingerprint of values, bytes as they are and others as their text, each with its length."""
    found = sha256()
    for value in values:
        content = value if isinstance(value, bytes) else str(value).encode("utf-8", "surrogatepass")
        found.update(len(content).to_bytes(8, "big"))
        found.update(content)
    return found.hexdigest()
