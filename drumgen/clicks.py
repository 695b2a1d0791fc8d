"""Clicks: where the count-in and the click sound in a bar, following the meter and its groups.

The first of the bar is marked; a count-in in eighths also marks each felt beat (6/8: 1 and 4; 7/8 2+2+3: 1, 3 and 5).
*Common practice.*
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.note_values import NOTE_VALUES
from drumgen.spans import Click

if TYPE_CHECKING:
    from drumgen.levels import Dynamics
    from drumgen.meter import Meter

ClickOn = Literal["quarters", "eighths", "off-beats", "2 and 4", "beats", "first"]
CLICKS_ON: tuple[ClickOn, ...] = get_args(ClickOn)


@dataclass(frozen=True, slots=True)
class ClickSound:
    """How the click sounds: its voices (nothing is the kit's own), its velocity, and its side in audio.

    ``level`` is the velocity of the plain click (None is the phrase's normal figure); the marked one is louder by as
    much as an accent is. ``side`` puts it in one ear, the drums full in the other and softer there.
    """

    plain: str = ""
    marked: str = ""
    level: int | None = None
    side: Literal["both", "left", "right"] = "both"

    def figure(self, dynamics: Dynamics, *, marked: bool) -> int:
        """The velocity of the plain click, or of the marked one."""
        plain = self.level or dynamics.normal
        return plain + dynamics.accent - dynamics.normal if marked else plain


def parse_click_voices(text: str) -> tuple[str, str]:
    """The voices of the click: ``voices := plain ["/" marked]``."""
    plain, slash, marked = (part.strip() for part in text.partition("/"))
    if not plain or (slash and not marked):
        raise DrumgenError(Fault("the plain and the marked click, such as cowbell/woodblock", got=f'"{text}"'))
    return plain, marked or plain


def parse_click(text: str) -> ClickOn:
    """Where the click sounds: quarters, eighths, off-beats, 2 and 4, beats (of the meter), first (of the bar only)."""
    words = " ".join(text.split())
    for known in CLICKS_ON:
        if words == known:
            return known
    hint = nearest(words, CLICKS_ON)
    raise DrumgenError(Fault(f"a click on one of {', '.join(CLICKS_ON)}", got=f'"{text}"', nearest=hint))


def count_clicks(meter: Meter) -> tuple[Click, ...]:
    """A bar counted in: one click a count, marked on 1, and on each beat where a beat holds several counts."""
    starts = {beat.start for beat in meter.beats} if len(meter.beats) < len(meter.counts) else {0}
    return tuple(Click(count.start, count.start in starts) for count in meter.counts)


def bar_clicks(on: ClickOn, meter: Meter) -> tuple[Click, ...]:
    """The clicks of one bar."""
    return tuple(Click(place, place == 0) for place in _places(on, meter))


def _places(on: ClickOn, meter: Meter) -> list[int]:
    beats = [beat.start for beat in meter.beats]
    eighths = [*range(0, meter.grains, NOTE_VALUES["eighth"])]
    if on == "off-beats":
        if meter.lower <= 4 and not meter.groups:
            return [count.start + count.parts["&"] for count in meter.counts]
        halves = [beat.start + beat.grains // 2 for beat in meter.beats]
        return [place for place in eighths if place not in beats] or halves
    return {
        "quarters": [*range(0, meter.grains, NOTE_VALUES["quarter"])],
        "eighths": eighths,
        "2 and 4": beats[1::2],
        "beats": beats,
        "first": [0],
    }[on]
