"""Bars to sound: from a performance to what the mixer is asked to strike, in exact time.

A voice sounds as the General MIDI key that it has; one whose note General MIDI does not know, or which a pedal opens,
sounds as its trade name does. With the click in one ear the drums are full in the other, and softer there.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from drumgen.audio.strikes import Bar, Strike
from drumgen.performance import Clock
from drumgen.trade.general_midi import FIRST_KEY, LAST_KEY, VOICE_KEYS

if TYPE_CHECKING:
    from drumgen.clicks import ClickSound
    from drumgen.kit import Kit, Voice
    from drumgen.performance import Hit, Performance

DRUMS_ASIDE = 0.6
"""How far the drums lean away from the ear that has the click."""

_SIDES = {"left": -1.0, "both": 0.0, "right": 1.0}


class Sounding(NamedTuple):
    """The bars of a performance, its end, and how many units of its clock make a second."""

    bars: tuple[Bar, ...]
    end: int
    clock: int


def sounding_bars(performance: Performance, *, click: ClickSound, vary: bool = True) -> Sounding:
    """The bars to sound; ``vary`` lets repeated strokes differ a little where the font has but one sound for them."""
    clock = Clock(performance.tempos)
    strikers = _Strikers(performance.kit, side=_SIDES[click.side], vary=vary)
    bars: list[Bar] = []
    hits = iter(performance.hits)
    hit = next(hits, None)
    for start, following in pairwise(words.tick for words in performance.markers):
        begin = clock.parts(start)
        strikes: list[Strike] = []
        while hit is not None and hit.tick < following:
            strikes.append(strikers.strike(hit, clock.parts(hit.tick) - begin))
            hit = next(hits, None)
        bars.append(Bar(begin, tuple(strikes)))
    return Sounding(tuple(bars), clock.parts(performance.end_tick), performance.ppq * 1_000_000)


class _Strikers:
    """Makes strikes of hits, for one kit."""

    def __init__(self, kit: Kit, *, side: float, vary: bool) -> None:
        groups = sorted({voice.choke for voice in kit.voices.values() if voice.choke})
        self.chokes = {"": 0, **{group: number for number, group in enumerate(groups, start=1)}}
        self.kit, self.side, self.vary = kit, side, vary

    def strike(self, hit: Hit, at: int) -> Strike:
        voice = self.kit.voices[hit.voice]
        if hit.kind == "click":
            return Strike(at, sounding_key(voice), hit.velocity, side=self.side, choke=0, vary=False)
        choke = self.chokes[voice.choke]
        side = -DRUMS_ASIDE * self.side
        return Strike(at, sounding_key(voice), hit.velocity, side=side, choke=choke, vary=self.vary)


def sounding_key(voice: Voice) -> int:
    """The General MIDI key that a voice sounds as."""
    if voice.pedal is not None or not FIRST_KEY <= voice.key <= LAST_KEY:
        return VOICE_KEYS.get(voice.name, voice.key)
    return voice.key
