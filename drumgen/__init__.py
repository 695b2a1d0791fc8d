"""drumgen: stickings become grooves, fills and phrases for the drum kit, and files people play.

What is exported here is the library; each name is imported when it is first used, so that ``import drumgen`` is light.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from drumgen.audition import render_page
    from drumgen.binding.bind import Binding, bind_book
    from drumgen.binding.bound import Bound
    from drumgen.book import Book, Entry
    from drumgen.composing import Settings, render_audio
    from drumgen.errors import DrumgenError, Fault
    from drumgen.kit import Kit, Voice
    from drumgen.layout import Stroke
    from drumgen.meter import Meter, parse_meter
    from drumgen.midi.read import Reading, read_take
    from drumgen.midi.write import render_midi
    from drumgen.performance import Hit, Performance
    from drumgen.performing import perform
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan, arrange
    from drumgen.practice import Practice
    from drumgen.sheet.musicxml import render_musicxml
    from drumgen.sheet.printing import Printing
    from drumgen.sheet.rendering import render_pdf, render_png, render_svg
    from drumgen.spec.book_loading import load_book
    from drumgen.spec.loading import Loaded, load_kit, load_phrase, read_phrase
    from drumgen.sticking import Sticking, parse_sticking
    from drumgen.study.assess import Assessment, assess
    from drumgen.study.assess_turns import times_through
    from drumgen.study.assess_words import assessment_lines
    from drumgen.study.top_tempo import top_tempo
    from drumgen.study.transcribe import Transcribing, Transcription, transcribe
    from drumgen.study.transcribe_text import transcription_lines
    from drumgen.study.vary import vary
    from drumgen.study.wish import Wish
    from drumgen.take import Take

__version__ = "0.1.0"

_ROOMS: dict[str, str] = {
    "Assessment": "study.assess",
    "Binding": "binding.bind",
    "Book": "book",
    "Bound": "binding.bound",
    "DrumgenError": "errors",
    "Entry": "book",
    "Fault": "errors",
    "Hit": "performance",
    "Kit": "kit",
    "Loaded": "spec.loading",
    "Meter": "meter",
    "Performance": "performance",
    "Phrase": "phrase",
    "Plan": "plan",
    "Practice": "practice",
    "Printing": "sheet.printing",
    "Reading": "midi.read",
    "Settings": "composing",
    "Sticking": "sticking",
    "Stroke": "layout",
    "Take": "take",
    "Transcribing": "study.transcribe",
    "Transcription": "study.transcribe",
    "Voice": "kit",
    "Wish": "study.wish",
    "arrange": "plan",
    "assess": "study.assess",
    "assessment_lines": "study.assess_words",
    "bind_book": "binding.bind",
    "load_book": "spec.book_loading",
    "load_kit": "spec.loading",
    "load_phrase": "spec.loading",
    "parse_meter": "meter",
    "parse_sticking": "sticking",
    "perform": "performing",
    "read_phrase": "spec.loading",
    "read_take": "midi.read",
    "render_audio": "composing",
    "render_midi": "midi.write",
    "render_musicxml": "sheet.musicxml",
    "render_page": "audition",
    "render_pdf": "sheet.rendering",
    "render_png": "sheet.rendering",
    "render_svg": "sheet.rendering",
    "times_through": "study.assess_turns",
    "top_tempo": "study.top_tempo",
    "transcribe": "study.transcribe",
    "transcription_lines": "study.transcribe_text",
    "vary": "study.vary",
}
"""Every exported name, and the module it lives in."""

__all__ = [
    "Assessment",
    "Binding",
    "Book",
    "Bound",
    "DrumgenError",
    "Entry",
    "Fault",
    "Hit",
    "Kit",
    "Loaded",
    "Meter",
    "Performance",
    "Phrase",
    "Plan",
    "Practice",
    "Printing",
    "Reading",
    "Settings",
    "Sticking",
    "Stroke",
    "Take",
    "Transcribing",
    "Transcription",
    "Voice",
    "Wish",
    "__version__",
    "arrange",
    "assess",
    "assessment_lines",
    "bind_book",
    "load_book",
    "load_kit",
    "load_phrase",
    "parse_meter",
    "parse_sticking",
    "perform",
    "read_phrase",
    "read_take",
    "render_audio",
    "render_midi",
    "render_musicxml",
    "render_page",
    "render_pdf",
    "render_png",
    "render_svg",
    "times_through",
    "top_tempo",
    "transcribe",
    "transcription_lines",
    "vary",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - any exported value
    if name not in _ROOMS:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    return getattr(import_module(f"{__name__}.{_ROOMS[name]}"), name)
