"""Integrated loudness, measured block by block.

Source: Recommendation ITU-R BS.1770-4, annex 1: two filters, mean squares over 400 ms every 100 ms, an absolute
gate at -70 LKFS and a relative one 10 LU under what passes it. The filters are given there for 48 kHz; for other
rates their analogue prototypes are transformed anew, and give the table's figures at 48 kHz. They are applied to
spectra, piece by piece, each with the 4096 frames before it in front, after which the high-pass has forgotten.
"""

from __future__ import annotations

import math
from array import array
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio.decibels import amplitude_of_db, db_of_power, power_of_db

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drumgen.audio.frames import Energy, Stereo


CONTEXT_FRAMES = 4096
PIECE_FRAMES = 16384
STRIDE = 8
_HOPS_A_SECOND = 10
_HOPS_A_GATE = 4
_OFFSET_LU = -0.691
_ABSOLUTE_GATE_LU = -70.0
_RELATIVE_GATE_LU = -10.0


def shelf(rate: int) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """The first filter, a head's high shelf: numerator and denominator."""
    k = math.tan(math.pi * 1681.974450955533 / rate)
    quality, high = 0.7071752369554196, amplitude_of_db(3.999843853973347)
    band = high**0.4996667741545416
    scale = 1 + k / quality + k * k
    above = (high + band * k / quality + k * k, 2 * (k * k - high), high - band * k / quality + k * k)
    below = (scale, 2 * (k * k - 1), 1 - k / quality + k * k)
    return (
        (above[0] / scale, above[1] / scale, above[2] / scale),
        (1.0, below[1] / scale, below[2] / scale),
    )


def highpass(rate: int) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """The second filter, a high-pass at 38 Hz: numerator and denominator."""
    k = math.tan(math.pi * 38.13547087602444 / rate)
    quality = 0.5003270373238773
    scale = 1 + k / quality + k * k
    return (1.0, -2.0, 1.0), (1.0, 2 * (k * k - 1) / scale, (1 - k / quality + k * k) / scale)


@lru_cache(maxsize=2)
def _response(rate: int) -> NDArray[np.complex64]:
    """Both filters at the bins of a transform of one piece."""
    delay = np.exp(-2j * np.pi / PIECE_FRAMES * np.arange(PIECE_FRAMES // 2 + 1))
    result = np.ones_like(delay)
    for above, below in (shelf(rate), highpass(rate)):
        result *= above[0] + (above[1] + above[2] * delay) * delay
        result /= below[0] + (below[1] + below[2] * delay) * delay
    response: NDArray[np.complex64] = result.astype(np.complex64)
    return response


def weighted_energy(block: Stereo, before: Stereo, *, rate: int) -> Energy:
    """The summed squares of a block after both filters, both channels together, after every eighth frame.

    ``block`` has the shape (frames, 2), ``before`` (4096, 2), the frames that stand in front of it. The first
    value is 0, the last the whole block's.
    """
    step = PIECE_FRAMES - CONTEXT_FRAMES
    pieces = -(-len(block) // step)
    whole = np.zeros((2, CONTEXT_FRAMES + pieces * step), dtype=np.float32)
    whole[:, :CONTEXT_FRAMES] = before.T
    whole[:, CONTEXT_FRAMES : CONTEXT_FRAMES + len(block)] = block.T
    windows = np.lib.stride_tricks.sliding_window_view(whole, PIECE_FRAMES, axis=1)[:, ::step]
    filtered = np.fft.irfft(np.fft.rfft(windows) * _response(rate), PIECE_FRAMES)[:, :, CONTEXT_FRAMES:]
    squares = np.square(filtered).sum(axis=0).ravel()[: len(block)]
    groups = np.add.reduceat(squares, np.arange(0, len(block), STRIDE)).astype(np.float64)
    return np.concatenate((np.zeros(1), np.cumsum(groups)))


class LoudnessMeter:
    """Takes the energy of block after block and gives the loudness of all."""

    def __init__(self, rate: int) -> None:
        self._hop = rate // _HOPS_A_SECOND
        self._hops = array("d", [0.0])
        self._at = 0

    def add(self, energy: Energy, length: int) -> None:
        """Add a block of ``length`` frames whose ``weighted_energy`` is known."""
        first = self._hop - self._at % self._hop
        cuts = np.minimum(np.append(np.arange(first, length, self._hop), length), length)
        marks = np.minimum(np.arange(len(energy)) * STRIDE, length)
        parts = np.diff(np.interp(cuts, marks, energy), prepend=0.0)
        self._hops[-1] += float(parts[0])
        self._hops.extend(parts[1:].tolist())
        self._at += length
        if self._at % self._hop == 0:
            self._hops.append(0.0)

    def loudness_lufs(self, *, gain_db: float = 0.0) -> float:
        """Integrated loudness of everything added, as if ``gain_db`` louder; minus infinity for silence."""
        hops = np.array(self._hops[: self._at // self._hop])
        if len(hops) < _HOPS_A_GATE:
            return -math.inf
        sums = np.convolve(hops, np.ones(_HOPS_A_GATE), mode="valid")
        gates = sums * (power_of_db(gain_db) / (_HOPS_A_GATE * self._hop))
        heard = gates[gates >= power_of_db(_ABSOLUTE_GATE_LU - _OFFSET_LU)]
        if not len(heard):
            return -math.inf
        loud = heard[heard > heard.mean() * power_of_db(_RELATIVE_GATE_LU)]
        return _OFFSET_LU + db_of_power(float(loud.mean()))
