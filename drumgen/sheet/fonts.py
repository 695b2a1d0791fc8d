"""Fonts: which font of a PDF draws which words.

The fourteen standard fonts of PDF have Western European letters. For others a TrueType font of the system that has
every letter of the word is looked for and embedded. Scripts whose letters change shape or order as they are joined
(Arabic, Hebrew, the scripts of India and their kin) need a shaping program that reportlab has not: they are left out
and named, rather than printed wrong; they stand whole in the title of the document's properties and in the SVG.
"""

from __future__ import annotations

import sys
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unicodedata import bidirectional, category, combining

from drumgen.sheet.text_width import FACES, is_standard

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.sheet.ink import Run

_SHAPED = ((0x0590, 0x08FF), (0x0900, 0x0DFF), (0x0E80, 0x0EFF), (0x0F00, 0x109F), (0x1780, 0x17FF), (0xFB1D, 0xFEFC))
_PREFERRED = (
    "dejavuserif",
    "dejavusans",
    "noto",
    "liberation",
    "arial",
    "times",
    "ipa",
    "takao",
    "wqy",
    "msgothic",
    "gothic",
)
_MOST_FONTS = 400


def font_folders() -> tuple[Path, ...]:
    """Where the system keeps its fonts."""
    home = Path.home()
    if sys.platform == "win32":
        return (Path("C:/Windows/Fonts"), home / "AppData/Local/Microsoft/Windows/Fonts")
    if sys.platform == "darwin":
        return (Path("/System/Library/Fonts"), Path("/Library/Fonts"), home / "Library/Fonts")
    return (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"), home / ".local/share/fonts", home / ".fonts")


def needs_shaping(text: str) -> bool:
    """Whether a text has letters that no font can draw one by one from left to right."""
    return any(bidirectional(char) in ("R", "AL") or _in_shaped(ord(char)) for char in text)


def _in_shaped(code: int) -> bool:
    return any(first <= code <= last for first, last in _SHAPED)


class FontFinder:
    """Finds fonts for words, and remembers the words that none could draw."""

    def __init__(self, folders: tuple[Path, ...] | None = None) -> None:
        self.folders = font_folders() if folders is None else folders
        self.undrawn: dict[str, str] = {}

    def remarks(self) -> tuple[str, ...]:
        """What could not be drawn, in words."""
        return tuple(f'"{text}" is not drawn in the PDF: {reason}' for text, reason in self.undrawn.items())

    def pieces(self, run: Run, *, sans: bool) -> list[tuple[str, str]]:
        """A run cut into stretches, each with the name of a font that is registered and draws it."""
        standard = FACES[sans, run.bold, run.italic]
        pieces: list[tuple[str, str]] = []
        for stretch, is_plain in _stretches(run.text):
            if is_plain:
                pieces.append((stretch, standard))
                continue
            font = "" if needs_shaping(stretch) else self._font(stretch)
            if font:
                pieces.append((stretch, font))
            else:
                needs = (
                    "its script needs shaping" if needs_shaping(stretch) else "no font of this system has its letters"
                )
                self.undrawn.setdefault(run.text.strip(), needs)
        return pieces

    def _font(self, text: str) -> str:
        wanted = frozenset(ord(char) for char in text if category(char) not in ("Cf", "Zs"))
        for path in _font_files(self.folders):
            loaded = _load(path)
            if loaded is not None and wanted <= loaded[1]:
                return _registered(path)
        return ""


def _stretches(text: str) -> Iterator[tuple[str, bool]]:
    """The text cut where it changes between letters of the standard fonts and others; a mark stays with its letter."""
    start = 0
    for index in range(1, len(text) + 1):
        if index < len(text) and combining(text[index]):
            continue
        if index == len(text) or is_standard(text[start:index]) != is_standard(_cluster(text, index)):
            yield text[start:index], is_standard(text[start:index])
            start = index


def _cluster(text: str, index: int) -> str:
    end = index + 1
    while end < len(text) and combining(text[end]):
        end += 1
    return text[index:end]


@lru_cache(maxsize=4)
def _font_files(folders: tuple[Path, ...]) -> tuple[Path, ...]:
    """The TrueType files of the system, likely ones first, upright before bold and italic; at most 400 are tried."""
    found = (
        path
        for folder in folders
        if folder.is_dir()
        for path in folder.rglob("*")
        if path.suffix.lower() in (".ttf", ".ttc")
    )
    return tuple(sorted(found, key=_rank)[:_MOST_FONTS])


def _rank(path: Path) -> tuple[int, int, str]:
    name = path.stem.lower()
    liked = next((index for index, word in enumerate(_PREFERRED) if name.startswith(word)), len(_PREFERRED))
    styled = sum(word in name for word in ("bold", "italic", "oblique", "light", "mono", "condensed", "thin"))
    return liked, styled, str(path)


@lru_cache(maxsize=_MOST_FONTS)
def _load(path: Path) -> tuple[Any, frozenset[int]] | None:
    """A font and the letters it has; None where reportlab cannot embed it."""
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    try:
        font = TTFont(_name(path), str(path))
    except (TTFError, OSError, ValueError, KeyError, IndexError, AssertionError):
        return None
    return font, frozenset(font.face.charToGlyph)


def _name(path: Path) -> str:
    return f"system {path.stem}"


def _registered(path: Path) -> str:
    from reportlab.pdfbase.pdfmetrics import registerFont

    loaded = _load(path)
    if loaded is not None:
        registerFont(loaded[0])
    return _name(path)
