"""Decoding the texts of a MIDI file, whose encoding no file names: UTF-8 first, then what it looks most like.

A tag of RP-026 (``{@JP}``, ``{@LATIN}``) is believed (*from memory*). What is not UTF-8 is Shift-JIS where all that is
not plain ASCII reads as kana or kanji, else Latin-1. Control characters are never passed on.
"""

from __future__ import annotations

_TAGS = {b"{@JP}": "cp932", b"{@LATIN}": "latin-1"}
_KANA_AND_KANJI = (("\u3000", "\u30ff"), ("\u4e00", "\u9fff"))


def decode_text(raw: bytes) -> tuple[str, str]:
    """The text, and the encoding it was read in where that is not UTF-8.

    >>> decode_text("Übung".encode("latin-1"))
    ('Übung', 'latin-1')
    """
    for tag, encoding in _TAGS.items():
        if raw.startswith(tag):
            return _clean(raw.removeprefix(tag).decode(encoding, "replace")), encoding
    try:
        return _clean(raw.decode("utf-8")), ""
    except UnicodeDecodeError:
        pass
    try:
        text = raw.decode("cp932")
    except UnicodeDecodeError:
        text = ""
    if text and all(char.isascii() or _is_kana_or_kanji(char) for char in text):
        return _clean(text), "cp932"
    return _clean(raw.decode("latin-1")), "latin-1"


def _is_kana_or_kanji(char: str) -> bool:
    return any(first <= char <= last for first, last in _KANA_AND_KANJI)


def _clean(text: str) -> str:
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in text)
