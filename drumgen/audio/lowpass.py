"""The resonant low-pass of a voice: two poles, moved by envelope and oscillator.

The response is the bilinear two-pole low-pass of R. Bristow-Johnson's "Cookbook formulae for audio EQ biquad filter
coefficients", applied to spectra instead of sample by sample. Resonance is counted over a filter that is 3 dB down at
its cut-off, and the whole is lowered by half the resonance (SoundFont Technical Specification 2.04, section 8.1.2,
generators 8 and 9). It stands in the path of every voice, at 19.9 kHz or 0.45 of the rate where a font says nothing, as
in FluidSynth; without it FluidR3's tambourine agrees with FluidSynth's waveform at 0.89 instead of 1.00. A moving
cut-off is held still for 12 ms at a time, longer where it moves slowly, under overlapping windows that add up to one.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio import generators as gen
from drumgen.audio.decibels import amplitude_of_centibels, nepers_of_db

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drumgen.audio.frames import Curve, Mono


LOWEST_CENTS = 1500
_HIGHEST_OF_RATE = 0.45
_HOP = 512
_STILL = 0.02
_ALIKE = 0.001
_LONGEST_RING = 1 << 15
_SHORT_RING = 32
_RING_DB = 80.0
_DOWN_AT_CUTOFF_CB = 30.1


def lowpass(frames: Mono, cutoff_cents: float | Curve, *, resonance_cb: float, rate: int) -> Mono:
    """``frames`` through the low-pass; ``cutoff_cents`` is one number, or one a frame.

    Cut-offs are held within 1500 and 13500 absolute cents and under 0.45 of the rate, ``resonance_cb`` within
    0 and 960 centibels, as the standard bounds them.
    """
    resonance_cb = min(max(resonance_cb, 0.0), 960.0)
    cents = np.clip(np.atleast_1d(cutoff_cents), LOWEST_CENTS, gen.NO_FILTER_CENTS)
    still = float(cents.max() - cents.min()) < 1
    hertz = np.minimum(gen.hertz(cents), _HIGHEST_OF_RATE * rate)
    ring = _ring_frames(float(hertz.min()) / rate, resonance_cb)
    if still and ring <= _SHORT_RING:
        kernel = np.fft.irfft(_response(hertz[:1], resonance_cb, size=2 * _SHORT_RING, rate=rate)[0])
        return np.convolve(frames, kernel[:_SHORT_RING].astype(np.float32))[: len(frames)]
    if still:
        size = fast_length(len(frames) + ring)
        shape = _response(hertz[:1], resonance_cb, size=size, rate=rate)[0]
        return np.fft.irfft(np.fft.rfft(frames, size) * shape, size)[: len(frames)].astype(np.float32)
    return _moving(frames, hertz, resonance_cb, ring=ring, rate=rate)


def fast_length(count: int) -> int:
    """The smallest length of at least ``count`` that a Fourier transform takes quickly: 2^a, 3·2^a or 5·2^a.

    >>> fast_length(1000), fast_length(1100), fast_length(1300)
    (1024, 1280, 1536)
    """
    power = 1 << (max(count, 8) - 1).bit_length()
    return next(size for size in (power // 8 * 5, power // 4 * 3, power) if size >= count)


def _ring_frames(cutoff_of_rate: float, resonance_cb: float) -> int:
    """How many frames the filter's own ring takes to fall by 80 dB, bounded."""
    damping = 1 / (2 * _quality(resonance_cb))
    fall = 2 * math.pi * cutoff_of_rate * min(damping, 1 / max(damping, 1e-9))
    return min(_LONGEST_RING, math.ceil(nepers_of_db(_RING_DB) / fall))


def _quality(resonance_cb: float) -> float:
    """The Q of the cookbook's filter; without resonance 3.01 dB down at its cut-off."""
    return amplitude_of_centibels(resonance_cb - _DOWN_AT_CUTOFF_CB)


def _response(hertz: NDArray[np.float64], resonance_cb: float, *, size: int, rate: int) -> NDArray[np.complex128]:
    """The complex response of each cut-off (rows) at the bins of a real transform of ``size`` (columns)."""
    omega = (2 * math.pi / rate * hertz)[:, None]
    alpha = np.sin(omega) / (2 * _quality(resonance_cb))
    cosine = np.cos(omega)
    delay, twice, zeros = _delays(size)
    above = (1 - cosine) / 2 * zeros * amplitude_of_centibels(-resonance_cb / 2)
    below = 1 + alpha - 2 * cosine * delay + (1 - alpha) * twice
    response: NDArray[np.complex128] = above / below
    return response


@lru_cache(maxsize=4)
def _delays(size: int) -> tuple[NDArray[np.complex128], NDArray[np.complex128], NDArray[np.complex128]]:
    """At the bins of a transform, one row each: a delay of one frame, one of two, and two zeros at half the rate."""
    delay: NDArray[np.complex128] = np.exp(-2j * np.pi / size * np.arange(size // 2 + 1))[None, :]
    return delay, delay**2, (1 + delay) ** 2


def _moving(frames: Mono, hertz: NDArray[np.float64], resonance_cb: float, *, ring: int, rate: int) -> Mono:
    hop = max(_hop(hertz), fast_length(ring // 2))
    size = fast_length(2 * hop + ring)
    window = (0.5 - 0.5 * np.cos(np.pi / hop * np.arange(2 * hop))).astype(np.float32)
    pieces = len(frames) // hop + 2
    padded = np.zeros((pieces + 1) * hop, dtype=np.float32)
    padded[hop : hop + len(frames)] = frames
    result = np.zeros((pieces + 1) * hop + size, dtype=np.float32)
    at = 0.0
    for piece in range(pieces):
        middle = float(hertz[min(piece * hop, len(hertz) - 1)])
        if abs(middle - at) > _ALIKE * middle:
            at = middle
            shape = _response(np.array([middle]), resonance_cb, size=size, rate=rate)[0]
        part = padded[piece * hop : (piece + 2) * hop] * window
        result[piece * hop : piece * hop + size] += np.fft.irfft(np.fft.rfft(part, size) * shape, size)
    return result[hop : hop + len(frames)]


def _hop(hertz: NDArray[np.float64]) -> int:
    """How many frames a cut-off may be held still: it moves by 2 % at most, unless that is under 512 frames."""
    fastest = float(np.max(np.abs(np.diff(hertz)) / hertz[1:]))
    fitting = (size for size in (8192, 4096, 2048, 1024) if fastest * size <= _STILL)
    return next(fitting, _HOP)
