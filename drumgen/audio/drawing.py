"""Which shot each strike of a bar is, and on which frame: worked out once for bars that are alike.

A machine gun is one recording played again and again. Where a bar repeats a voice at one velocity, the font's own
stroke comes first and then the variants take turns, drawn by an integer hash of the seed, the voice, the place in the
row and whether the bar is odd or even: never the same twice in a row within a bar, never anything in time. A cymbal
that rings for longer than two seconds, under its own next strokes, varies in level only, which saves most of the
memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.audio.decibels import amplitude_of_db
from drumgen.audio.shots import VARIANTS, Shot, Shots
from drumgen.audio.strikes import Strike, frame_in_bar

if TYPE_CHECKING:
    from drumgen.audio.strikes import Placed

MOST_BARS = 256
LONG_S = 2


class Drawn(NamedTuple):
    """A strike that sounds: its frame after the bar's start, its shot with its amplitude and its length in frames.

    Of the choke groups the kit's are above 0 and the font's own are kept apart from them below it; 0 is none.
    """

    offset: int
    shot: Shot
    amplitude: float
    length: int
    group: int


class Drawer:
    """Draws bars; keeps the last few hundred different ones."""

    def __init__(self, shots: Shots, *, clock: int) -> None:
        self._shots = shots
        self._clock = clock
        self._kept: dict[tuple[tuple[Strike, ...], int, int], tuple[Drawn, ...]] = {}

    def draw(self, bar: Placed) -> tuple[Drawn, ...]:
        """The bar's strikes that the kit has a sound for. Raises TypeError where they are out of order or range."""
        at = (bar.strikes, bar.half, bar.number % 2)
        drawn = self._kept.get(at)
        if drawn is None:
            if len(self._kept) >= MOST_BARS:
                self._kept.clear()
            drawn = self._kept[at] = self._draw(bar)
        return drawn

    def _draw(self, bar: Placed) -> tuple[Drawn, ...]:
        drawn = []
        latest = 0
        for strike, variant in zip(bar.strikes, self._vary(bar), strict=True):
            if strike.at < latest:
                msg = f"bar {bar.number}: a strike at {strike.at} comes after one at {latest}"
                raise TypeError(msg)
            latest = strike.at
            if not (0 <= strike.key <= 127 and 1 <= strike.velocity <= 127 and -1 <= strike.side <= 1):
                msg = f"bar {bar.number}: {strike} is out of range"
                raise TypeError(msg)
            offset = frame_in_bar(strike.at, half=bar.half, clock=self._clock, rate=self._shots.sound.rate)
            own = self._shots.font_group(strike) or 0
            group = -own if strike.choke is None else strike.choke
            velocity, gain_db = self._shots.loudest(strike)
            gain_db += strike.gain_db
            shot = Shot(strike.key, velocity, 0, strike.side)
            if variant and self._shots.length(shot) > LONG_S * self._shots.sound.rate:
                gain_db += VARIANTS[variant][0]
            else:
                shot = shot._replace(variant=variant)
            length = self._shots.length(shot)
            if length:
                drawn.append(Drawn(offset, shot, amplitude_of_db(gain_db), length, group))
        return tuple(drawn)

    def _vary(self, bar: Placed) -> list[int]:
        """The variant of each strike of a bar."""
        seed = self._shots.sound.seed
        last: dict[tuple[int, int], tuple[int, int]] = {}
        varied = []
        for strike in bar.strikes:
            variant = 0
            if seed is not None and strike.vary:
                voice = (strike.key, strike.velocity)
                count, variant = last.get(voice, (0, 0))
                mixed = mix_integers(seed, bar.number % 2, strike.key, strike.velocity, count)
                if count:
                    variant = (variant + 1 + mixed % (len(VARIANTS) - 1)) % len(VARIANTS)
                last[voice] = (count + 1, variant)
            varied.append(variant)
        return varied


def mix_integers(*numbers: int) -> int:
    """An integer hash, 0 to 2^32 - 1, the same on every machine (multiply and fold, after FNV-1a and Murmur3).

    >>> mix_integers(1, 2) == mix_integers(1, 2), mix_integers(1, 2) == mix_integers(2, 1)
    (True, False)
    """
    mixed = 0x811C9DC5
    for number in numbers:
        mixed = (mixed ^ (number & 0xFFFFFFFF)) * 0x01000193 & 0xFFFFFFFF
        mixed = (mixed ^ mixed >> 15) * 0x2C1B3C6D & 0xFFFFFFFF
    return mixed ^ mixed >> 13
