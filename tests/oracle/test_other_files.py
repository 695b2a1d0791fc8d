"""Files of other kinds, written by what makes them, are told apart from MIDI files and called by their names.

Witnesses: libsndfile, Python's zipfile, gzip and ElementTree, reportlab. The first bytes of an MP3 file with a tag are
those of ID3v2, of a drawing those of SVG 1.1, both from memory.
"""

from __future__ import annotations

import gzip
import io
import zipfile
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from drum_room import said

from drumgen.midi.read import read_take
from drumgen.spec.loading import load_kit

if TYPE_CHECKING:
    from collections.abc import Callable


def sound(kind: str) -> bytes:
    import soundfile

    out = io.BytesIO()
    soundfile.write(out, np.zeros(441), 44_100, format=kind)
    return out.getvalue()


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("take.mid", b"nothing")
    return out.getvalue()


def printed() -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def tree(name: str, *, declared: bool) -> bytes:
    written: bytes = ET.tostring(ET.Element(name), encoding="utf-8", xml_declaration=declared)
    return written


FILES: list[tuple[Callable[[], bytes], str]] = [
    (lambda: sound("WAV"), "a WAV sound file"),
    (lambda: sound("FLAC"), "a FLAC sound file"),
    (lambda: sound("OGG"), "an Ogg sound file"),
    (lambda: b"ID3\x04\x00\x00\x00\x00\x00\x00", "an MP3 sound file"),
    (zipped, "a ZIP archive"),
    (lambda: gzip.compress(b"nothing"), "a gzip archive"),
    (printed, "a PDF file"),
    (lambda: tree("score-partwise", declared=True), "an XML file"),
    (lambda: tree("svg", declared=False), "an SVG drawing"),
    (lambda: b"", "an empty file"),
    (lambda: b"\x89PNG\r\n\x1a\n", "bytes 89 50 4E 47"),
]


@pytest.mark.parametrize(("written", "name"), FILES, ids=[name for _, name in FILES])
def test_a_file_of_another_kind_is_called_by_its_name(written: Callable[[], bytes], name: str) -> None:
    refused = said(lambda: read_take(written(), kit=load_kit("general-midi")))
    assert refused == f"expected a MIDI file, which begins with MThd, got {name}"
