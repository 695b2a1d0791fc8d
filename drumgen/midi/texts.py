"""Texts inside a MIDI file: UTF-8, or plain ASCII where the kit's machine asks for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drumgen.kit import Kit


def fit_text(text: str, kit: Kit) -> str:
    """A text in the characters that the kit's machine can show; what has no plain form becomes a question mark.

    Control characters never go into a file.
    """
    clean = "".join(char if char.isprintable() else " " for char in text)
    if kit.limits.text_characters == "any":
        return clean
    import unicodedata  # noqa: PLC0415 - only for machines that take no more

    plain = "".join(char for char in unicodedata.normalize("NFKD", clean) if not unicodedata.combining(char))
    return plain.encode("ascii", "replace").decode("ascii")
