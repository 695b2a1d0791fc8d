"""Loading phrase and kit files from disk, or from a text.

A kit is one of the shipped ones by its name, or a path from the phrase file. Kits are found in the installed package
(``drumgen/kits``) or, in an editable install, beside it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, NamedTuple

from drumgen.errors import DrumgenError, Fault, nearest, readable, reason_of
from drumgen.spec.document import LARGEST_BYTES, decode, read_document
from drumgen.spec.kinds import KIT, PHRASE, refuse_other
from drumgen.spec.kit_file import KitFile, make_kit
from drumgen.spec.layering import Overrides
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.resolving import Resolver
from drumgen.spec.validation import without_faulty

if TYPE_CHECKING:
    from collections.abc import Callable

    from drumgen.kit import Kit
    from drumgen.phrase import Phrase
    from drumgen.spec.document import Document

    Load = Callable[[FilePath], bytes]

DEFAULT_KIT = "general-midi"


class Loaded(NamedTuple):
    """A phrase as it was read: what it means, what its file says, and the remarks of its reading."""

    phrase: Phrase
    file: PhraseFile
    document: Document


def kits_folder() -> FilePath:
    """The folder of the shipped kits."""
    package = FilePath(__file__).parent.parent
    inside = package / "kits"
    return inside if inside.is_dir() else package.parent / "kits"


def shipped_kits() -> tuple[str, ...]:
    """The names of the shipped kits, sorted."""
    return tuple(sorted(entry.name[:-5] for entry in kits_folder().iterdir() if entry.name.endswith(".toml")))


@lru_cache(maxsize=32)
def shipped_kit(name: str) -> Kit:
    """One of the shipped kits. Raises DrumgenError naming the nearest."""
    known = shipped_kits()
    if name not in known:
        rule = f"a shipped kit ({', '.join(known)}) or the path of a kit file"
        raise DrumgenError(Fault(rule, got=f'"{name}"', nearest=nearest(name, known)))
    entry = kits_folder() / f"{name}.toml"
    return read_kit(decode(entry.read_bytes(), file=entry.name), name=name, file=entry.name)


def read_kit(text: str, *, name: str, file: str) -> Kit:
    """The kit of a kit file's text. Raises DrumgenError with all faults of the file."""
    document = read_document(text, file=file)
    refuse_other(document, KIT)
    table, faults = without_faulty(KitFile, document.table)
    if table is None:
        raise document.error(faults)
    kit, more = make_kit(table, name=name, faulty=[fault.path for fault in faults])
    if faults or more or kit is None:
        raise document.error([*faults, *more])
    return kit


def load_bytes(path: FilePath) -> bytes:
    """The content of a file. Raises DrumgenError where it cannot be read."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)  # one more is too many, whatever else there is
    except OSError as error:
        raise DrumgenError(Fault(_reason(error), file=str(path))) from None
    except ValueError:  # a name that no file can have
        raise DrumgenError(Fault("there is no such file", file=str(path))) from None


def _reason(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return "there is no such file"
    if isinstance(error, IsADirectoryError):
        return "expected a file, got a folder"
    return f"cannot be read: {reason_of(error)}"


def is_kit_file(name: str) -> bool:
    """Whether what a kit is called is the path of a kit file, rather than a shipped kit's name."""
    return name.lower().endswith(".toml")


def load_kit(name: str, *, beside: FilePath | None = None, load: Load = load_bytes) -> Kit:
    """A kit by its shipped name, or by a path (from the folder ``beside``, if given), its content given by ``load``."""
    if not is_kit_file(name):
        return shipped_kit(name)
    path = (beside / name) if beside else FilePath(name)
    return read_kit(decode(load(path), file=str(path)), name=readable(path.stem), file=str(path))


def load_phrase(path: FilePath | str, *, kit: str | None = None, overrides: Overrides | None = None) -> Loaded:
    """The phrase of a file. ``kit`` names another kit than the file's; ``overrides`` the lead or the player's hand.

    Raises DrumgenError with all faults of the file.
    """
    path = FilePath(path)
    text = decode(load_bytes(path), file=str(path))
    return read_phrase(text, file=str(path), name=readable(path.stem), kit=kit, overrides=overrides, beside=path.parent)


def read_phrase(  # noqa: PLR0913 - each names one thing about the reading
    text: str,
    *,
    file: str,
    name: str,
    kit: str | None = None,
    overrides: Overrides | None = None,
    beside: FilePath | None = None,
    load: Load = load_bytes,
) -> Loaded:
    """The phrase of a phrase file's text, as ``load_phrase``; ``name`` is its name where it has no title.

    ``load`` gives the content of a kit file, where it is not to be read from the disk.
    """
    document = read_document(text, file=file)
    refuse_other(document, PHRASE)
    table, faults = without_faulty(PhraseFile, document.table, instead={"phrase": ["-"]})
    if table is None:
        raise document.error(faults)
    paths = [fault.path for fault in faults]
    try:
        found = load_kit(kit or table.kit or DEFAULT_KIT, beside=None if kit else beside, load=load)
    except DrumgenError as error:
        at_kit = [replace(fault, path=fault.path or ("kit",)) for fault in error.faults if not fault.file]
        inside = [replace(fault, via=f"the kit of {file}" if not kit else "") for fault in error.faults if fault.file]
        own = document.told(faults if kit else [*faults, *at_kit])
        raise DrumgenError(*(at_kit if kit else ()), *inside, *own) from None
    if any(path[:1] in (("meter",), ("kit",)) for path in paths):
        raise document.error(faults)
    resolver = Resolver(table, found, overrides or Overrides(), faulty=paths)
    phrase = resolver.phrase(name)
    if phrase is None or faults:
        raise document.error([*faults, *resolver.gathering.faults], given_up=resolver.given_up)
    remarks = [*resolver.gathering.remarks, *resolver.unused_places(phrase)]
    return Loaded(replace(phrase, remarks=document.told(remarks, kind="remarks")), table, document)
