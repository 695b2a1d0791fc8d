"""What a TOML file is, by the key that each kind must have: a phrase, a kit or a book."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.errors import Fault

if TYPE_CHECKING:
    from drumgen.spec.document import Document

PHRASE, KIT, BOOK = "a phrase file", "a kit file", "a book file"
_KEYS = {"bars": PHRASE, "voices": KIT, "phrases": BOOK}
_USES = {KIT: " (for --kit, or a phrase's kit)", BOOK: " (for drumgen book)"}


def refuse_other(document: Document, wanted: str) -> None:
    """Raises DrumgenError where a document has not the key of its kind, but that of another."""
    found = {kind: key for key, kind in _KEYS.items() if key in document.table}
    if found and wanted not in found:
        kind, key = next(iter(found.items()))
        raise document.error([Fault(wanted, got=f"{kind}{_USES.get(kind, '')}", path=(key,))])
