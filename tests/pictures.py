"""Makes the two pictures of README.md from its own phrase: the engraved sheet, cut to its ink, and the audition page.

A command, run by hand when either looks different: ``python tests/pictures.py``. It needs Chromium for the page.
"""

from __future__ import annotations

import io
import re
import shutil
import sys
import tempfile
from pathlib import Path

from page_room import CHROMIUM
from PIL import Image, ImageChops
from playwright.sync_api import sync_playwright

from drumgen.audition import render_page
from drumgen.sheet.rendering import render_png
from drumgen.spec.loading import read_phrase

ROOT = Path(__file__).resolve().parents[1]
PICTURES = ROOT / "demo" / "pictures"
DPI = 110
MARGIN = 24
PAGE_WIDTH, PAGE_HEIGHT = 1024, 700


def main() -> None:
    """Write both."""
    text = re.search(r"^```toml\n(.*?)^```$", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE | re.DOTALL)
    assert text is not None, "README.md holds a phrase file"
    phrase = read_phrase(text[1], file="slipway.toml", name="slipway").phrase
    PICTURES.mkdir(exist_ok=True)
    sheet = Image.open(io.BytesIO(render_png(phrase, dpi=DPI).pages[0])).convert("L")
    cut_to_ink(sheet).quantize(16).save(PICTURES / "sheet.png", optimize=True)
    page = Image.open(io.BytesIO(photographed(render_page(phrase).text)))
    page.convert("L").quantize(16).save(PICTURES / "page.png", optimize=True)


def cut_to_ink(sheet: Image.Image) -> Image.Image:
    """A sheet without the empty paper around what is printed, and without the line at its foot."""
    body = sheet.crop((0, 0, sheet.width, sheet.height * 9 // 10))
    left, top, right, bottom = ImageChops.invert(body).getbbox() or (0, 0, *body.size)
    return body.crop((left - MARGIN, top - MARGIN, right + MARGIN, bottom + MARGIN))


def photographed(html: str) -> bytes:
    """A page as Chromium shows it."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        sys.exit("the page is photographed with Chromium, which is not here")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        path = Path(folder) / "slipway.html"
        path.write_text(html, "utf-8")
        browser = playwright.chromium.launch(executable_path=program, args=[*CHROMIUM])
        page = browser.new_page(viewport={"width": PAGE_WIDTH, "height": PAGE_HEIGHT})
        page.goto(path.as_uri())
        page.wait_for_selector("svg")
        page.keyboard.press("Space")  # while it plays it has the room that the headings take
        page.wait_for_selector(".struck")
        picture = page.screenshot()
        browser.close()
    return picture


if __name__ == "__main__":
    main()
