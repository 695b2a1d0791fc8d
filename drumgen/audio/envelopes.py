"""The two envelopes and the two low-frequency oscillators of a voice, as arrays over output frames.

Source: SoundFont Technical Specification 2.04, section 8.1.2 (generators 21 to 40). The volume envelope rises linearly
in amplitude and falls linearly in decibels, 100 dB in its decay time; the modulation envelope falls linearly. Where we
differ: a delay or hold of -12000 timecents, the default and the shortest, is none at all, where the standard says 1 ms
(so a stroke begins on its frame, 1 ms earlier, and decays up to 2 ms earlier); nor is there such an attack of the
modulation envelope (so a filter it opens is open at once; a stroke is crisper for it, as in FluidSynth); the volume
envelope's attack is the standard's 1 ms. Note-offs are ignored, so there is no release. FluidSynth decays 96 dB in the
decay time, so its looped strokes ring 4 % longer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio import generators as gen
from drumgen.audio.decibels import nepers_of_db

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.audio.frames import Curve


SILENT_DB = 72.0
"""How far below its top a stroke is over."""

_SHORTEST = -12000
_DECAY_DB = 100.0
_MIDDLE_KEY = 60


@dataclass(frozen=True, slots=True)
class Envelope:
    """The steps of an envelope in frames; ``sustain`` is what is left of the top, 0 to 1, after the decay."""

    delay: int
    attack: int
    hold: int
    decay: int
    sustain: float

    @property
    def decay_start(self) -> int:
        """The first frame of the decay."""
        return self.delay + self.attack + self.hold


def read_envelope(amounts: Sequence[float], first: int, *, key: int, rate: int) -> Envelope:
    """The envelope whose generators begin with ``first``, its delay, for a stroke of ``key``."""

    def frames(step: int, follow: int = 0) -> int:
        timecents = amounts[first + step]
        if follow:
            timecents += (_MIDDLE_KEY - key) * amounts[first + follow]
        ramp = step == gen.DECAY or (step == gen.ATTACK and first == gen.VOL_ENV_DELAY)
        instant = timecents <= _SHORTEST and not ramp
        return 0 if instant else round(gen.seconds(timecents) * rate)

    return Envelope(
        delay=frames(0),
        attack=frames(gen.ATTACK),
        hold=frames(gen.HOLD, gen.KEY_TO_HOLD),
        decay=max(1, frames(gen.DECAY, gen.KEY_TO_DECAY)),
        sustain=1 - min(max(amounts[first + gen.SUSTAIN], 0.0), 1000.0) / 1000,
    )


def audible_frames(envelope: Envelope, *, most: int) -> int:
    """After how many frames a volume envelope is ``SILENT_DB`` down, ``most`` where it never is."""
    if (1 - envelope.sustain) * _DECAY_DB < SILENT_DB:
        return most
    return min(most, envelope.decay_start + math.ceil(envelope.decay * SILENT_DB / _DECAY_DB))


def volume_curve(envelope: Envelope, count: int) -> Curve:
    """Amplitude from 0 to 1 over ``count`` frames."""
    curve = _phases(envelope, count)
    falling = curve[min(count, envelope.decay_start) :]
    slope = np.float32(nepers_of_db(_DECAY_DB))
    np.exp((falling - 1) * slope, out=falling)
    return curve


def modulation_curve(envelope: Envelope, count: int) -> Curve:
    """The modulation envelope from 0 to 1 over ``count`` frames; its attack is convex (generator 26)."""
    curve = _phases(envelope, count)
    rising = curve[: min(count, envelope.delay + envelope.attack)]
    floor = np.float32(10.0 ** (-_DECAY_DB / 40))
    np.maximum(1 + np.log10(np.maximum(rising, floor)) * np.float32(40 / _DECAY_DB), 0, out=rising)
    return curve


def _phases(envelope: Envelope, count: int) -> Curve:
    """Zero, a straight rise, one, and a straight fall to the sustained part."""
    curve = np.ones(count, dtype=np.float32)
    curve[: envelope.delay] = 0
    rise = curve[envelope.delay : envelope.delay + envelope.attack]
    rise[:] = np.arange(1, len(rise) + 1, dtype=np.float32) / max(1, envelope.attack)
    fall = curve[envelope.decay_start :]
    np.maximum(1 - np.arange(len(fall), dtype=np.float32) / envelope.decay, envelope.sustain, out=fall)
    return curve


def oscillator_curve(amounts: Sequence[float], first: int, *, count: int, rate: int) -> Curve:
    """A triangle from -1 to 1 that begins at 0 and rises; ``first`` is its delay, the next its frequency."""
    delay = amounts[first]
    wait = 0.0 if delay <= _SHORTEST else gen.seconds(delay) * rate
    cycles = (np.arange(count) - wait) * (gen.hertz(amounts[first + 1]) / rate)
    triangle = 1 - 4 * np.abs((cycles + 0.25) % 1 - 0.5)
    return np.where(cycles < 0, 0, triangle).astype(np.float32)
