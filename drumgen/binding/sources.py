"""Sources: all that is needed to read a book's phrase, so that it can be read again where there is no such disk."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault, readable
from drumgen.spec.document import decode, read_document
from drumgen.spec.layering import Overrides
from drumgen.spec.loading import DEFAULT_KIT, is_kit_file, kits_folder, load_bytes, read_phrase

if TYPE_CHECKING:
    from drumgen.book import Entry
    from drumgen.phrase import Phrase


@dataclass(frozen=True, slots=True)
class Source:
    """A phrase of a book as its files say it: its text, and its kit file's content, or why that could not be read.

    ``wordless`` is its text without title and note, on which what is made of it depends whatever it is called.
    ``title``, ``note`` and ``laddered`` are what its table says, for what is decided before the phrase is read;
    ``name_length`` and ``name_characters`` are limits of its kit's machine.
    """

    entry: Entry
    text: str
    kit: bytes | Fault
    wordless: str = ""
    title: str = ""
    note: str = ""
    laddered: bool = False
    name_length: int | None = None
    name_characters: str = ""

    @property
    def shown_title(self) -> str:
        """The book's heading, else the file's title."""
        return self.title if self.entry.heading is None else self.entry.heading

    @property
    def shown_note(self) -> str:
        """The book's note, else the file's."""
        return self.note if self.entry.note is None else self.entry.note

    @property
    def stem(self) -> str:
        """The phrase's name: that of its file, whose bytes need not be text."""
        return readable(Path(self.entry.file).stem)

    def phrase(self) -> Phrase:
        """The phrase, with the book's heading and note. Raises DrumgenError with all faults of its file."""
        entry = self.entry
        loaded = read_phrase(
            self.text,
            file=entry.file,
            name=self.stem,
            kit=entry.kit or None,
            overrides=Overrides(entry.lead, entry.handed),
            beside=Path(entry.file).parent,
            load=self._kit_content,
        )
        said: dict[str, Any] = {"title": entry.heading, "note": entry.note}
        return replace(loaded.phrase, **{key: text for key, text in said.items() if text is not None})

    def _kit_content(self, _path: Path) -> bytes:
        if isinstance(self.kit, Fault):
            raise DrumgenError(self.kit)
        return self.kit


def read_source(entry: Entry) -> Source:
    """The source of a phrase. Raises DrumgenError where its file cannot be read, or is no TOML."""
    text = decode(load_bytes(Path(entry.file)), file=entry.file)
    document = read_document(text, file=entry.file)
    table = document.table
    kit = _kit_of(entry, table)
    title, note, practice = (table.get(key) for key in ("title", "note", "practice"))
    limits = _limits(kit) if isinstance(kit, bytes) else {}
    length, characters = limits.get("name_length"), limits.get("name_characters")
    return Source(
        entry=entry,
        text=text,
        kit=kit,
        wordless=document.places.without(("title",), ("note",)),
        title=title if isinstance(title, str) else "",
        note="\n".join(map(str, note)) if isinstance(note, list) else str(note or ""),
        laddered=isinstance(practice, dict) and "ladder" in practice,
        name_length=length if isinstance(length, int) else None,
        name_characters=characters if isinstance(characters, str) else "",
    )


def _kit_of(entry: Entry, table: dict[str, Any]) -> bytes | Fault:
    """The content of the kit file that a phrase is played on; of what is no name, nothing: its reading will tell."""
    own = table.get("kit", DEFAULT_KIT)
    name = entry.kit or own
    if not isinstance(name, str):
        return b""
    if not is_kit_file(name):
        return _shipped(name)
    try:
        return load_bytes(Path(name) if entry.kit else Path(entry.file).parent / name)
    except DrumgenError as error:
        return error.faults[0]


@lru_cache(maxsize=32)
def _shipped(name: str) -> bytes:
    try:
        return (kits_folder() / f"{name}.toml").read_bytes()
    except (OSError, ValueError):
        return b""


@lru_cache(maxsize=32)
def _limits(kit: bytes) -> dict[str, Any]:
    try:
        limits = read_document(decode(kit, file=""), file="").table.get("limits")
    except DrumgenError:
        return {}
    return limits if isinstance(limits, dict) else {}
