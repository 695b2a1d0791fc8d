"""Where tests play: phrases written as text, read on the General MIDI kit, laid out, arranged and performed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from drumgen.counts import spoken
from drumgen.errors import DrumgenError
from drumgen.filling import Progress
from drumgen.layout import lay_out
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.spec.loading import read_phrase

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from drumgen.layout import Laid, Stroke
    from drumgen.meter import Meter
    from drumgen.performance import Hit, Performance
    from drumgen.phrase import Phrase
    from drumgen.practice import Practice
    from drumgen.spec.layering import Overrides
    from drumgen.spec.loading import Loaded

DEMO = Path(__file__).parents[1] / "demo"
DEMO_PHRASES = tuple(path for path in sorted(DEMO.glob("*.toml")) if path.name != "book.toml")

KICK, SNARE, HIHAT, PEDAL, CRASH, RIDE = 36, 38, 42, 44, 49, 51
HIGH, MID, LOW, FLOOR = 50, 47, 45, 43
QUARTER = 10_080

GRUMPY_KIT = """
title = "A shed kit, invented"
[voices.kick]
note = 36
played_by = "kick foot"
[voices.snare]
note = 38
velocity = 5
[voices.click]
note = 77
[voices.click-accent]
note = 76
"""


def loaded(text: str, *, overrides: Overrides | None = None, beside: Path | None = None) -> Loaded:
    return read_phrase(text, file="shed.toml", name="shed", overrides=overrides, beside=beside)


def phrase(text: str, *, overrides: Overrides | None = None, beside: Path | None = None) -> Phrase:
    return loaded(text, overrides=overrides, beside=beside).phrase


def one_bar(body: str, *, top: str = "") -> str:
    """A phrase file of one bar, ``a``; its keys begin on line 3 where ``top`` is nothing."""
    return f'{top}phrase = ["a"]\n[bars.a]\n{body}\n'


def bar(body: str, *, top: str = "") -> Phrase:
    return phrase(one_bar(body, top=top))


def said(error: Callable[[], object]) -> str:
    """The whole text of the error that is raised."""
    with pytest.raises(DrumgenError) as caught:
        error()
    return str(caught.value)


def faults(text: str, *, beside: Path | None = None) -> list[str]:
    """The faults of a phrase file, each whole."""
    with pytest.raises(DrumgenError) as caught:
        loaded(text, beside=beside)
    return [str(fault) for fault in caught.value.faults]


def remarks(text: str) -> list[str]:
    return [str(fault) for fault in phrase(text).remarks]


def laid(body: str, *, top: str = "", name: str = "a") -> Laid:
    """The layout of a bar from the keys of its table, which may be followed by other tables."""
    found = bar(body, top=top)
    return lay_out(found.bars[name], found.kit)


def laid_in_turn(body: str, bars: int) -> list[Laid]:
    """The layouts of a carried bar, played so many times."""
    found, progress = bar(body), Progress()
    return [lay_out(found.bars["a"], found.kit, progress) for _ in range(bars)]


def row(stroke: Stroke, meter: Meter) -> str:
    """One stroke as a word: ``>2&R snare`` is an accent of the right hand on the and of two."""
    sign = {"accent": ">", "normal": "", "ghost": "~"}[stroke.level]
    return f"{sign}{spoken(stroke.place, meter=meter)}{stroke.limb} {stroke.voice}"


def rows(body: str, *, top: str = "", limbs: str = "RLKH") -> list[str]:
    """The strokes of a bar in words, of some limbs."""
    found = bar(body, top=top)
    one = found.bars["a"]
    return [row(stroke, one.meter) for stroke in lay_out(one, found.kit).strokes if stroke.limb in limbs]


def voices(strokes: Iterable[Stroke], limb: str) -> list[str]:
    return [stroke.voice for stroke in strokes if stroke.limb == limb]


def performed(text: str, practice: Practice | None = None, *, ppq: int | None = None) -> Performance:
    return perform(arrange(phrase(text), practice), ppq=ppq)


def ticks(hits: Iterable[Hit], *, kind: str = "", key: int = 0) -> list[int]:
    return [hit.tick for hit in hits if kind in ("", hit.kind) and key in (0, hit.key)]
