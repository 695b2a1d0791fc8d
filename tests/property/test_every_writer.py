"""Any valid phrase through the writers of sound, page and pictures: their promises as laws.

MIDI and sheets have laws of their own beside these.
"""

from __future__ import annotations

import io
import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import numpy as np
import soundfile
from hypothesis import HealthCheck, given, settings
from phrase_strategies import phrases

from drumgen.audition import render_page
from drumgen.composing import Settings, render_audio
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.sheet.rendering import render_pdf, render_png, render_svg

if TYPE_CHECKING:
    from drumgen.phrase import Phrase

FEW = settings(deadline=None, max_examples=6, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
LONGEST_S = 60
PEAK_DB = -1.0


class _Reader(HTMLParser):
    """What a page asks for from elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.asked += [
            f"{tag} {value}"
            for name, value in attrs
            if name in ("src", "href", "xlink:href") and value and not value.startswith(("#", "data:"))
        ]


def short(phrase: Phrase) -> bool:
    return perform(arrange(phrase, Practice())).seconds < LONGEST_S


@given(phrases(most_bars=2).filter(short))
@FEW
def test_sound_is_as_long_as_its_loop_peaks_under_its_limit_and_comes_out_the_same(phrase: Phrase) -> None:
    plan = arrange(phrase, Practice(loop=True))
    performance = perform(plan)
    if not performance.hits:
        return
    first, second = io.BytesIO(), io.BytesIO()
    for out in (first, second):
        render_audio(plan, out, suffix=".wav", settings=Settings(rate=44_100))
    assert first.getvalue() == second.getvalue()
    frames, rate = soundfile.read(io.BytesIO(first.getvalue()))
    assert abs(len(frames) - performance.seconds * rate) <= 1
    assert 0 < np.abs(frames).max() <= 10 ** (PEAK_DB / 20) + 2**-15


@given(phrases(most_bars=2).filter(short))
@FEW
def test_a_page_asks_for_nothing_and_comes_out_the_same(phrase: Phrase) -> None:
    text = render_page(phrase).text
    assert text == render_page(phrase).text
    reader = _Reader()
    reader.feed(text)
    assert reader.asked == []
    assert "default-src 'none'" in text


@given(phrases(most_bars=2))
@FEW
def test_every_kind_of_sheet_is_made_and_comes_out_the_same(phrase: Phrase) -> None:
    pdf = render_pdf(phrase).content
    assert pdf == render_pdf(phrase).content
    assert re.match(rb"%PDF-1\.\d", pdf)
    pages = render_png(phrase, dpi=40).pages
    assert all(page.startswith(b"\x89PNG\r\n") for page in pages)
    assert len(pages) == len(render_svg(phrase))
