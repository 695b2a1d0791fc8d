"""Blocks of sound: shots laid over each other, each different block once.

What sounds in a block is a value, its ``Score``, so blocks that sound alike are mixed, measured and rounded once
and kept while there is room.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio.encode import to_whole
from drumgen.audio.ringing import Score, fade_curve

if TYPE_CHECKING:
    from drumgen.audio.frames import Curve, Energy, Stereo, Whole
    from drumgen.audio.shots import Shots


MOST_BYTES = 32 << 20


@dataclass(slots=True)
class Block:
    """One mixed score: its frames or, once rounded, its 16-bit numbers; and what was measured."""

    mix: Stereo | None
    peak: float
    squares: float
    whole: Whole | None = None
    energy: Energy | None = None

    @property
    def size(self) -> int:
        """The bytes it holds."""
        return sum(held.nbytes for held in (self.mix, self.whole, self.energy) if held is not None)


def mix_score(score: Score, shots: Shots, *, fade: Curve) -> Stereo:
    """The frames of a block, float32 of shape (frames, 2), at the font's own level."""
    mixed = np.zeros((score.length, 2), dtype=np.float32)
    for shot, amplitude, start, choke in score.rings:
        frames = shots.get(shot)
        first = max(start, 0)
        last = min(start + len(frames), score.length)
        free = last if choke is None else max(first, min(last, choke))
        mixed[first:free] += frames[first - start : free - start] * np.float32(amplitude)
        if choke is not None:
            end = min(last, choke + len(fade))
            faded = frames[free - start : end - start] * fade[free - choke : end - choke]
            mixed[free:end] += faded * np.float32(amplitude)
    return mixed


class Blocks:
    """Mixed blocks by their score, the longest unused given up first."""

    def __init__(self, shots: Shots) -> None:
        self._shots = shots
        self._fade = fade_curve(shots.sound.rate)
        self._kept: OrderedDict[Score, Block] = OrderedDict()

    def get(self, score: Score) -> Block:
        """The block of a score."""
        block = self._kept.get(score)
        if block is None:
            mix = mix_score(score, self._shots, fade=self._fade)
            flat = mix.ravel()
            peak = max(float(flat.max(initial=0)), -float(flat.min(initial=0)))
            block = Block(mix, peak, float(np.dot(flat, flat)))
            self._kept[score] = block
            total = sum(kept.size for kept in self._kept.values())
            while total > MOST_BYTES and len(self._kept) > 1:
                total -= self._kept.popitem(last=False)[1].size
        else:
            self._kept.move_to_end(score)
        return block

    def frames(self, score: Score) -> Stereo:
        """The mixed frames, made again where only the rounded ones were kept."""
        block = self.get(score)
        if block.mix is None:
            return mix_score(score, self._shots, fade=self._fade)
        return block.mix

    def whole(self, score: Score, *, gain: float) -> Whole:
        """The block rounded to 16 bits; its float frames are given up."""
        block = self.get(score)
        if block.whole is None:
            block.whole = to_whole(self.frames(score), gain=gain)
            block.mix = None
        return block.whole
