"""The drawn sheet, seen from outside: other programs draw it the same, and its text can be found.

Two rasterisers that share no code draw one SVG file: resvg (in Rust), and svglib with reportlab and PDFium (in C++).
The measure: of the dark pixels of one picture at 150 dpi, the share that lies further than 1.5 pixels from any ink of
the other. Words are left out of it, as the fonts of the two differ.
"""

import re
import shutil
import subprocess
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pypdfium2
import pytest
import resvg_py
from drum_room import DEMO_PHRASES, bar, phrase
from needs import need
from PIL import Image
from reportlab.graphics import renderPDF
from scipy.ndimage import distance_transform_edt
from svglib.svglib import svg2rlg

from drumgen.sheet.png import pdf_pngs
from drumgen.sheet.printing import Printing
from drumgen.sheet.rendering import render_pdf, render_png, render_svg
from drumgen.spec.loading import load_phrase
from drumgen.trade.rudiments import RUDIMENTS

DPI = 150
each_demo = pytest.mark.parametrize("file", DEMO_PHRASES, ids=lambda file: file.stem)


def picture(content: bytes) -> Any:  # noqa: ANN401 - an array of grey levels
    return np.asarray(Image.open(BytesIO(content)).convert("L"))


def by_resvg(svg: str) -> Any:  # noqa: ANN401 - as above
    png = resvg_py.svg_to_bytes(svg_string=svg, width=round(210 / 25.4 * DPI), background="white", dpi=96)
    return picture(bytes(png))


def by_svglib(svg: str) -> Any:  # noqa: ANN401 - as above
    drawing = svg2rlg(BytesIO(svg.encode()))
    return picture(pdf_pngs(renderPDF.drawToString(drawing), dpi=DPI)[0])


def stray_share(one: Any, other: Any) -> float:  # noqa: ANN401 - as above
    """The share of the dark pixels of one picture that are further than 1.5 pixels from ink of the other."""
    height, width = (min(a, b) for a, b in zip(one.shape, other.shape, strict=True))
    one, other = one[:height, :width], other[:height, :width]
    dark = one < 96
    assert dark.sum() > 2_000
    return float((dark & (distance_transform_edt(other >= 224) > 1.5)).sum() / dark.sum())


@each_demo
def test_two_rasterisers_draw_the_svg_alike(file: Path) -> None:
    bare = re.sub(r"<text.*?</text>", "", render_svg(load_phrase(file).phrase)[0])
    one, other = by_resvg(bare), by_svglib(bare)
    assert stray_share(one, other) < 0.001
    assert stray_share(other, one) < 0.001


@each_demo
def test_our_own_pdf_draws_what_the_svg_draws(file: Path) -> None:
    one = load_phrase(file).phrase
    bare = re.sub(r"<text.*?</text>", "", render_svg(one)[0])
    assert stray_share(by_resvg(bare), picture(render_png(one, dpi=DPI).pages[0])) < 0.001


EVERY_SIGN = (
    'phrase = ["a x2", "b"]\n[bars.a]\nsticking = ">lR L (R) rrL RzLR-"\n'
    'hands.R = { main = "hihat", "2" = "hihat-open" }\n'
    'feet.kick = "1 3"\nfeet.hihat-foot = "2"\n'
    '[bars.b]\nsticking = "RLR LRL R-- RRL"\nsubdivision = "triplets"\n'
    'hands.R = { around = ["ride-bell", "cowbell", "china"], every = "beat" }\ndynamics = "mp to f"\n'
)


def test_two_rasterisers_draw_every_kind_of_sign_alike() -> None:
    bare = re.sub(r"<text.*?</text>", "", render_svg(phrase(EVERY_SIGN))[0])
    one, other = by_resvg(bare), by_svglib(bare)
    assert stray_share(one, other) < 0.001
    assert stray_share(other, one) < 0.001


def test_the_measure_finds_a_lost_head() -> None:
    svg = re.sub(r"<text.*?</text>", "", render_svg(bar('sticking = "RLRR"'))[0])
    lost = re.sub(r"<use [^>]*E0A4[^>]*/>", "", svg, count=1)
    assert lost != svg
    assert stray_share(by_resvg(svg), by_svglib(lost)) > 0.005


def frailties(text: str) -> list[str]:
    """The faults of a file that a browser forgives: overflow inherited, references to nothing, signs as letters."""
    root = ET.fromstring(text)  # noqa: S314 - it was made here
    ids = {each.attrib["id"] for each in root.iter() if "id" in each.attrib}
    uses = [each.attrib["{http://www.w3.org/1999/xlink}href"][1:] for each in root.iter() if each.tag.endswith("use")]
    families = {each.get("font-family") for each in root.iter() if each.tag.endswith("}text")}
    found = [f"no {name}" for name in uses if name not in ids]
    found += [word for word in ("overflow", "<style", "@font-face") if word in text]
    found += [f"font {family}" for family in families - {"serif", "sans-serif"}]
    found += re.findall("[\ue000-\uf8ff\U0001d100-\U0001d1ff\u2669-\u266f]", text)
    return found if uses else ["no signs"]


@each_demo
def test_the_svg_stands_alone(file: Path) -> None:
    for text in render_svg(load_phrase(file).phrase, printing=Printing(counts=True)):
        assert frailties(text) == []


@pytest.mark.parametrize("rudiment", RUDIMENTS, ids=str)
def test_the_svg_of_a_rudiment_stands_alone(rudiment: object) -> None:
    one = phrase(f'phrase = ["a"]\n[bars.a]\nrudiment = "{rudiment}"\nacross = "carry"\n')
    assert [frailties(text) for text in render_svg(one)] == [[]]


def test_a_frail_svg_is_found() -> None:
    (sound,) = render_svg(bar('sticking = "RLRR"'))
    assert frailties(sound) == []
    assert frailties(sound.replace('id="p1-E0A4"', 'id="gone"'))[0] == "no p1-E0A4"
    assert frailties(sound.replace("<svg ", '<svg overflow="inherit" ')) == ["overflow"]
    assert frailties(sound.replace('font-family="serif"', 'font-family="Music"')) == ["font Music"]
    assert frailties(sound.replace(">R<", ">\ue0a4<", 1)) == ["\ue0a4"]


def pdf_text(content: bytes) -> str:
    document = pypdfium2.PdfDocument(content)
    return "\n".join(page.get_textpage().get_text_bounded() for page in document)


@each_demo
def test_title_names_and_sticking_are_text_in_the_pdf(file: Path) -> None:
    one = load_phrase(file).phrase
    text = pdf_text(render_pdf(one).content)
    assert one.title in text
    assert all(name in text for name in one.bars)
    letters = re.findall(r"(?<![A-Za-z])[RLBK](?![A-Za-z])", text)
    assert len(letters) >= 16


def test_poppler_finds_the_text_too(tmp_path: Path) -> None:
    need(shutil.which("pdftotext"), "pdftotext")
    path = tmp_path / "sheet.pdf"
    path.write_bytes(render_pdf(bar('sticking = "RLRR LRLL"', top='title = "Weir and mill"\n')).content)
    found = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    assert "Weir and mill" in found
    assert re.search(r"R\s+L\s+R\s+R\s+L\s+R\s+L\s+L", found)


def test_paper_and_pages() -> None:
    one = bar('sticking = "RLRR LRLL"')
    for paper, size in (("A4", (595, 842)), ("Letter", (612, 792))):
        document = pypdfium2.PdfDocument(render_pdf([one] * 12, printing=Printing(paper), title="Twelve").content)  # type: ignore[arg-type]
        assert len(document) > 1
        assert [tuple(map(round, page.get_size())) for page in document] == [size] * len(document)
        last = len(document)
        assert f"{last} of {last}" in document[last - 1].get_textpage().get_text_bounded()


def test_the_same_bytes_every_time() -> None:
    text = 'title = "Sluice"\nphrase = ["a x2", "b"]\n[bars.a]\nsticking = "lRLRR"\n'
    text += '[bars.b]\nsticking = "RzLRL"\ntempo = 120\n'
    assert render_svg(phrase(text)) == render_svg(phrase(text))
    assert render_pdf(phrase(text)).content == render_pdf(phrase(text)).content
    assert render_png(phrase(text), dpi=60).pages == render_png(phrase(text), dpi=60).pages
