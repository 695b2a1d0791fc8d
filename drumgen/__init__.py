"""drumgen: stickings become grooves, fills and phrases for the drum kit, and files people play.

What is exported here is the library; each name is imported when it is first used, so that ``import drumgen`` is light.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from drumgen.audition import render_page
    from drumgen.composing import Settings, render_audio
    from drumgen.errors import DrumgenError, Fault
    from drumgen.kit import Kit, Voice
    from drumgen.layout import Stroke
    from drumgen.meter import Meter, parse_meter
    from drumgen.midi.write import render_midi
    from drumgen.performance import Hit, Performance
    from drumgen.performing import perform
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan, arrange
    from drumgen.practice import Practice
    from drumgen.sheet.musicxml import render_musicxml
    from drumgen.sheet.rendering import render_pdf, render_png, render_svg
    from drumgen.spec.loading import Loaded, load_kit, load_phrase, read_phrase
    from drumgen.sticking import Sticking, parse_sticking
    from drumgen.study.assess import assess
    from drumgen.study.top_tempo import top_tempo
    from drumgen.study.transcribe import transcribe
    from drumgen.study.vary import vary
    from drumgen.study.wish import Wish

__version__ = "0.1.0"

_ROOMS: dict[str, str] = {
    "DrumgenError": "errors",
    "Fault": "errors",
    "Hit": "performance",
    "Kit": "kit",
    "Loaded": "spec.loading",
    "Meter": "meter",
    "Performance": "performance",
    "Phrase": "phrase",
    "Plan": "plan",
    "Practice": "practice",
    "Settings": "composing",
    "Sticking": "sticking",
    "Stroke": "layout",
    "Voice": "kit",
    "Wish": "study.wish",
    "arrange": "plan",
    "assess": "study.assess",
    "load_kit": "spec.loading",
    "load_phrase": "spec.loading",
    "parse_meter": "meter",
    "parse_sticking": "sticking",
    "perform": "performing",
    "read_phrase": "spec.loading",
    "render_audio": "composing",
    "render_midi": "midi.write",
    "render_musicxml": "sheet.musicxml",
    "render_page": "audition",
    "render_pdf": "sheet.rendering",
    "render_png": "sheet.rendering",
    "render_svg": "sheet.rendering",
    "top_tempo": "study.top_tempo",
    "transcribe": "study.transcribe",
    "vary": "study.vary",
}
"""Every exported name, and the module it lives in."""

__all__ = [
    "DrumgenError",
    "Fault",
    "Hit",
    "Kit",
    "Loaded",
    "Meter",
    "Performance",
    "Phrase",
    "Plan",
    "Practice",
    "Settings",
    "Sticking",
    "Stroke",
    "Voice",
    "Wish",
    "__version__",
    "arrange",
    "assess",
    "load_kit",
    "load_phrase",
    "parse_meter",
    "parse_sticking",
    "perform",
    "read_phrase",
    "render_audio",
    "render_midi",
    "render_musicxml",
    "render_page",
    "render_pdf",
    "render_png",
    "render_svg",
    "top_tempo",
    "transcribe",
    "vary",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - any exported value
    if name not in _ROOMS:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    return getattr(import_module(f"{__name__}.{_ROOMS[name]}"), name)
