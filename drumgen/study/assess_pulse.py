"""Following a pulse that wanders far from its straight line: by dynamic programming over where it could be.

A line is divided into nodes `NODE_S` apart. At each, every way off the line (up to `FARTHEST_S`, in steps of `STEP_S`)
is as good as the strokes that it brings onto one of their own voice. The way that is told is the best row of all, where
each change from node to node costs a little, none is larger than a pulse moves, and far from the line costs a little.
So a pulse is followed on through a stretch in which much was missed, and it never jumps by a whole stroke.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from drumgen.study.assess_aligning import NARROW_S, Alignment, paired_moments
from drumgen.study.assess_matching import matched

if TYPE_CHECKING:
    from drumgen.study.arrays import Numbers, Wholes
    from drumgen.study.assess_aligning import ByVoice

NODE_S, STEP_S, FARTHEST_S = 0.4, 0.01, 1.0
ROUNDS = 4
MOST_STEPS = 5
"""From node to node the pulse moves by 50 ms in 0.4 s at most: an eighth faster or slower."""

STEP_COSTS, FAR_COSTS = 0.12, 0.002
NEAR = np.array([0.1, 0.3, 0.6, 0.85, 1.0, 0.85, 0.6, 0.3, 0.1])
"""What a stroke counts that is so many steps beside its place."""


def straightened(meant: ByVoice, played: ByVoice, line: Alignment) -> Alignment:
    """The straight line of a take whose pulse wanders: `line`, or a better one through what is met by following it."""
    best, most = line, len(paired_moments(meant, played, line, NARROW_S)[0])
    for _ in range(ROUNDS):
        expected = {voice: line.to_take(row) for voice, row in meant.items()}
        nodes, ways = pulse_of(expected, played)
        met = {voice: row + np.interp(row, nodes, ways) for voice, row in expected.items()}
        pairs = [
            (float(meant[voice][i]), float(played[voice][j]))
            for voice in sorted(set(met) & set(played))
            for i, j in matched(met[voice].tolist(), played[voice].tolist(), window_s=NARROW_S)
        ]
        if len(pairs) <= most:
            break
        moments, heard = np.array(pairs).T
        slope, start_s = np.polyfit(moments, heard, 1)
        best = line = Alignment(float(start_s), float(slope))
        most = len(pairs)
    return best


def pulse_of(expected: ByVoice, played: ByVoice) -> tuple[Numbers, Numbers]:
    """Moments along the line, and how late the pulse is at each; ``expected`` are the strokes as the line has them."""
    voices = sorted(set(expected) & set(played))
    if not voices:
        return np.zeros(1), np.zeros(1)
    first_s = min(float(expected[voice][0]) for voice in voices)
    last_s = max(float(expected[voice][-1]) for voice in voices)
    nodes = first_s + np.float64(NODE_S) * np.arange(int((last_s - first_s) / NODE_S) + 2, dtype=np.float64)
    most = round(FARTHEST_S / STEP_S)
    good = np.zeros((len(nodes), 2 * most + 1))
    for voice in voices:
        for at_s, off_s in zip(*_pairs(expected[voice], played[voice]), strict=True):
            good[int((at_s - first_s) / NODE_S + 0.5), round(off_s / STEP_S) + most] += 1
    good = np.apply_along_axis(np.convolve, 1, good, NEAR, mode="same")
    good[1:-1] += (good[:-2] + good[2:]) / 2
    good -= FAR_COSTS * np.abs(np.arange(-most, most + 1))
    ways: Numbers = (_best(good) - most) * np.float64(STEP_S)
    return nodes, ways


def _pairs(expected: Numbers, played: Numbers) -> tuple[list[float], list[float]]:
    """Of every pair of strokes that are near enough: where it is expected, and how late the played one is."""
    first = np.searchsorted(played, expected - FARTHEST_S)
    after = np.searchsorted(played, expected + FARTHEST_S)
    where = np.repeat(expected, after - first)
    offs = [played[low:high] - at for at, low, high in zip(expected, first, after, strict=True)]
    return where.tolist(), np.concatenate(offs).tolist()


def _best(good: Numbers) -> Wholes:
    """The best row of columns, one a node; ``good`` is *(node, step off the line)*."""
    total, back = good[0], np.zeros(good.shape, dtype=np.int64)
    moves = np.arange(-MOST_STEPS, MOST_STEPS + 1)
    cost = STEP_COSTS * np.abs(moves)
    for node in range(1, len(good)):
        padded = np.pad(total, MOST_STEPS, constant_values=-np.inf)
        through = np.lib.stride_tricks.sliding_window_view(padded, len(moves)) - cost
        back[node] = through.argmax(axis=1) - MOST_STEPS
        total = through.max(axis=1) + good[node]
    row = np.zeros(len(good), dtype=np.int64)
    row[-1] = int(total.argmax())
    for node in range(len(good) - 1, 0, -1):
        row[node - 1] = row[node] + back[node, row[node]]
    return row
