"""Names of files: those that a phrase's name makes, the suffixes that are written, and what a kit's machine allows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault, nearest

if TYPE_CHECKING:
    from drumgen.kit import Kit

AUDIO_SUFFIXES = (".wav", ".flac", ".ogg", ".mp3")
DOCUMENT_SUFFIXES = (".pdf", ".png", ".svg", ".musicxml", ".html")
"""What can hold several phrases, and knows no plan."""

SUFFIXES = (".mid", *AUDIO_SUFFIXES, *DOCUMENT_SUFFIXES)
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

    Raises DrumgenError where the suffix is not one that can be written.
    """
    path = Path(wanted)
    if is_suffix_alone(wanted):
        path = path.with_name(file_name(name) + path.name)
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        hint = nearest(suffix, SUFFIXES)
        raise DrumgenError(Fault(f"an output ending in {', '.join(SUFFIXES)}", got=f'"{wanted}"', nearest=hint))
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
