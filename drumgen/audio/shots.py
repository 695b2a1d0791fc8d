"""The distinct strokes of a track, each rendered once and kept while there is room.

Strokes of one voice at one velocity come in four variants: the font's own, and three that are up to 0.5 dB softer
or louder, a few cents higher or lower and a little brighter or duller, as a hand is.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.audio.decibels import amplitude_of_db, db_of_amplitude
from drumgen.audio.strikes import CENTRE, Strike
from drumgen.audio.synthesis import exclusive_class, loudest_alike, render_stroke

if TYPE_CHECKING:
    from drumgen.audio.frames import Stereo
    from drumgen.audio.soundfont import SoundFont


MOST_BYTES = 48 << 20
REFERENCE_KEYS = (36, 38, 49)
REFERENCE_VELOCITY = 112
REFERENCE_PEAK_DB = -3.0

VARIANTS = ((0.0, 0.0, 0.0), (-0.4, 4.0, -0.05), (0.3, -3.0, 0.06), (-0.2, -5.0, 0.03))
"""Decibels, cents and brightness (what is added of the difference between one frame and the last)."""


@dataclass(frozen=True, slots=True)
class Sound:
    """What plays: a font, the number of one of its kits, a rate in Hz, and the seed of the variation.

    Without a seed, every repeated stroke is the same. ``remark`` is a line for the player where the kit asked for
    is not in the font.
    """

    font: SoundFont
    program: int
    rate: int
    seed: int | None = 0
    remark: str = ""


class Shot(NamedTuple):
    """One distinct stroke."""

    key: int
    velocity: int
    variant: int = 0
    side: float = CENTRE


def choose_sound(font: SoundFont, *, program: int = 0, rate: int = 44100, seed: int | None = 0) -> Sound:
    """The kit ``program`` of the font, or its standard kit with a remark."""
    found, remark = font.kit(program)
    return Sound(font, found, rate, seed, remark)


def render_shot(sound: Sound, shot: Shot) -> Stereo:
    """One stroke as the font makes it, float32 of shape (frames, 2), with its variation and side."""
    gain_db, cents, brightness = VARIANTS[shot.variant]
    stereo = render_stroke(
        sound.font, program=sound.program, key=shot.key, velocity=shot.velocity, rate=sound.rate, cents=cents
    )
    if brightness and len(stereo):
        stereo[1:] += np.float32(brightness) * np.diff(stereo, axis=0)
    if gain_db:
        stereo *= np.float32(amplitude_of_db(gain_db))
    return _to_side(stereo, shot.side) if shot.side else stereo


def _to_side(stereo: Stereo, side: float) -> Stereo:
    """Both channels drawn towards one ear: there the sum of both at equal power, in the other ear less."""
    near, far = (0, 1) if side < 0 else (1, 0)
    much = np.float32(min(1.0, abs(side)))
    moved = np.empty_like(stereo)
    both = (stereo[:, 0] + stereo[:, 1]) * np.float32(math.sqrt(0.5))
    moved[:, near] = stereo[:, near] * (1 - much) + both * much
    moved[:, far] = stereo[:, far] * (1 - much)
    return moved


class Shots:
    """Shots by their key, the longest unused given up first where they take more than ``MOST_BYTES``."""

    def __init__(self, sound: Sound) -> None:
        self.sound = sound
        self._kept: OrderedDict[Shot, Stereo] = OrderedDict()
        self._bytes = 0
        self._groups: dict[tuple[int, int], int | None] = {}
        self._alike: dict[tuple[int, int], tuple[int, float]] = {}
        self._lengths: dict[Shot, int] = {}

    def get(self, shot: Shot) -> Stereo:
        """The frames of a shot."""
        if shot in self._kept:
            self._kept.move_to_end(shot)
            return self._kept[shot]
        stereo = render_shot(self.sound, shot)
        self._kept[shot] = stereo
        self._lengths[shot] = len(stereo)
        self._bytes += stereo.nbytes
        while self._bytes > MOST_BYTES and len(self._kept) > 1:
            self._bytes -= self._kept.popitem(last=False)[1].nbytes
        return stereo

    def length(self, shot: Shot) -> int:
        """How many frames a shot has."""
        if shot not in self._lengths:
            self.get(shot)
        return self._lengths[shot]

    def loudest(self, strike: Strike) -> tuple[int, float]:
        """The velocity whose shot serves a strike, and the gain (0 dB or less) from there."""
        at = (strike.key, strike.velocity)
        if at not in self._alike:
            self._alike[at] = loudest_alike(
                self.sound.font, program=self.sound.program, key=strike.key, velocity=strike.velocity
            )
        return self._alike[at]

    def font_group(self, strike: Strike) -> int | None:
        """The font's exclusive class of a strike, 0 for none, and ``None`` where the kit has no sound for it."""
        at = (strike.key, strike.velocity)
        if at not in self._groups:
            self._groups[at] = exclusive_class(
                self.sound.font, program=self.sound.program, key=strike.key, velocity=strike.velocity
            )
        return self._groups[at]


def reference_gain_db(shots: Shots) -> float:
    """The fixed gain of a font and kit: bass drum, snare and crash accented at once peak at -3 dBFS.

    A kit without these is taken as it is.
    """
    parts = []
    for key in REFERENCE_KEYS:
        velocity, gain_db = shots.loudest(Strike(0, key, REFERENCE_VELOCITY))  # the shot that a track's strokes share
        parts.append((shots.get(Shot(key, velocity)), np.float32(amplitude_of_db(gain_db))))
    together = np.zeros((max(len(part) for part, _ in parts), 2), dtype=np.float32)
    for part, amplitude in parts:
        together[: len(part)] += part * amplitude
    peak = float(np.abs(together).max(initial=0.0))
    return REFERENCE_PEAK_DB - db_of_amplitude(peak) if peak > 0 else 0.0
