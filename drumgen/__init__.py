"""drumgen: stickings become grooves, fills and phrases for the drum kit, and files people play.

What is exported here is the library; each name is imported when it is first used, so that ``import drumgen`` is light.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
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
    from drumgen.spec.loading import Loaded, load_kit, load_phrase, read_phrase
    from drumgen.sticking import Sticking, parse_sticking

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
    "Sticking": "sticking",
    "Stroke": "layout",
    "Voice": "kit",
    "arrange": "plan",
    "load_kit": "spec.loading",
    "load_phrase": "spec.loading",
    "parse_meter": "meter",
    "parse_sticking": "sticking",
    "perform": "performing",
    "read_phrase": "spec.loading",
    "render_midi": "midi.write",
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
    "Sticking",
    "Stroke",
    "Voice",
    "__version__",
    "arrange",
    "load_kit",
    "load_phrase",
    "parse_meter",
    "parse_sticking",
    "perform",
    "read_phrase",
    "render_midi",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - any exported value
    if name not in _ROOMS:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    return getattr(import_module(f"{__name__}.{_ROOMS[name]}"), name)
