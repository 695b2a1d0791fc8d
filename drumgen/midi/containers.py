"""Containers: where in a file its MIDI header begins, and what a file is that is none.

Looks through a RIFF wrapper (chunks padded to even lengths; the MIDI file is the ``data`` chunk of an ``RMID`` form)
and past a few bytes that mail or old machines put in front. Source of RIFF: Microsoft and IBM, Multimedia Programming
Interface and Data Specifications 1.0, *from memory*.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Callable

HEADER = b"MThd"
_FARTHEST = 4096
_OTHERS = {
    b"OggS": "an Ogg sound file",
    b"fLaC": "a FLAC sound file",
    b"ID3": "an MP3 sound file",
    b"PK\x03\x04": "a ZIP archive",
    b"\x1f\x8b": "a gzip archive",
    b"%PDF": "a PDF file",
    b"<?xml": "an XML file",
    b"<svg": "an SVG drawing",
}


def find_header(content: bytes, remark: Callable[[str, int], None]) -> tuple[int, int]:
    """Where the header begins and where the MIDI file ends. Raises DrumgenError saying what the file is instead."""
    if content[:4] == b"RIFF":
        return _inside_riff(content, remark)
    start = content.find(HEADER, 0, _FARTHEST)
    if start < 0:
        raise _refused(_described(content))
    if start:
        remark(f"{amount(start, 'byte')} before the header skipped", 0)
    return start, len(content)


def _inside_riff(content: bytes, remark: Callable[[str, int], None]) -> tuple[int, int]:
    form = content[8:12]
    if form == b"WAVE":
        raise _refused("a WAV sound file")
    at = 12
    while at + 8 <= len(content):
        kind, length = content[at : at + 4], int.from_bytes(content[at + 4 : at + 8], "little")
        if kind == b"data" and content[at + 8 : at + 12] == HEADER:
            remark("a MIDI file inside a RIFF wrapper, unwrapped", 0)
            return at + 8, min(len(content), at + 8 + length)
        at += 8 + length + length % 2
    start = content.find(HEADER)
    if form != b"RMID" or start < 0:
        raise _refused("a RIFF file without one inside")
    remark("a MIDI file inside a broken RIFF wrapper, unwrapped", 0)
    return start, len(content)


def _described(content: bytes) -> str:
    if not content:
        return "an empty file"
    for start, words in _OTHERS.items():
        if content.startswith(start):
            return words
    head = content[:12]
    text = head.decode("ascii") if head.isascii() else ""
    return f'"{text}…"' if text.isprintable() and text else f"bytes {head[:4].hex(' ').upper()}"


def _refused(got: str) -> DrumgenError:
    return DrumgenError(Fault("a MIDI file, which begins with MThd", got=got))
