"""Glyphs: the outlines of music signs, from the music font that verovio carries.

The font is Bravura (SIL Open Font License), 1000 units to the em, which is four staff spaces; y grows upward. Codes are
those of SMuFL 1.4, as hexadecimal text.
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files
from typing import NamedTuple
from xml.etree import ElementTree as ET

FONT = "Bravura"
EM = 1000
SPACES_PER_EM = 4


class Box(NamedTuple):
    """The box of a glyph and its advance, in units of the em; ``y`` is its lower edge."""

    x: float
    y: float
    width: float
    height: float
    advance: float


@lru_cache(maxsize=512)
def outline(code: str) -> str:
    """The outline of a glyph as the data of an SVG path, y upward. Raises LookupError where the font lacks it."""
    if code in _OWN:
        return _OWN[code]
    entry = files("verovio").joinpath("data", FONT, f"{code}.xml")
    found = re.search(r'\bd="([^"]*)"', entry.read_text(encoding="utf-8")) if entry.is_file() else None
    if found is None:
        raise LookupError(f"no glyph {code} in {FONT}")
    return found[1]


@lru_cache(maxsize=1)
def _boxes() -> dict[str, Box]:
    text = files("verovio").joinpath("data", f"{FONT}.xml").read_text(encoding="utf-8")
    return {
        glyph.attrib["c"]: Box(*(float(glyph.attrib[key]) for key in ("x", "y", "w", "h", "h-a-x")))
        for glyph in ET.fromstring(text).iter("g")  # noqa: S314 - a file of an installed package
    }


def box(code: str) -> Box:
    """The box of a glyph."""
    return _OWN_BOX if code in _OWN else _boxes()[code]


METRONOME_NOTES: dict[str, str] = {
    "whole": "ECA2",
    "half": "ECA3",
    "quarter": "ECA5",
    "eighth": "ECA7",
    "sixteenth": "ECA9",
    "thirty-second": "ECAB",
}
"""The small note of a metronome mark, by the name of its value; the dot is ``ECB7``."""

METRONOME_DOT = "ECB7"

HEADS: dict[str, tuple[str, str, str]] = {
    "triangle": ("triangle-black", "triangle-half", "triangle-half"),
    "slashed": ("E0CF", "E0D1", "E0D3"),
}
"""Heads that verovio does not draw: black, half, whole."""

PLAIN_HEADS = ("E0A4", "E0A3", "E0A2")
"""What it draws instead."""

_STEM = "M277 -125h18v175h-18z"
_OWN = {
    "triangle-black": f"M0 -125h295l-147 255z{_STEM}",
    "triangle-half": f"M0 -125h295l-147 255zM46 -97l102 176l102 -176z{_STEM}",
}
"""Heads that the font's file lacks, drawn here, the side of the stem included."""

_OWN_BOX = Box(0, -125, 295, 255, 295)
