"""Aligning a take with a phrase: how fast it was played against the written tempo, and when it began.

A search over tempos from half to double: for each, where the strokes of the take agree best with those of the phrase,
voice by voice (cross-correlation). Tempos near the written one, and beginnings with its first stroke, are preferred a
little. Then a straight line through the matched strokes, by least squares, a few times over. A *pulse* that moves away
from that line is followed, over about two seconds, and told as drift.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.assess_matching import matched

if TYPE_CHECKING:
    from drumgen.study.arrays import Numbers

BIN_S = 0.01
LONGEST_S = 40.0
SLOWEST, FASTEST, STEP = 0.5, 2.0, 1.008
NEAR_TEMPO = 0.3
FIRST_STROKE = 0.06
SMEAR = np.array([0.3, 0.7, 1.0, 0.7, 0.3])
ROUNDS = 4
WIDE_S, NARROW_S = 0.16, 0.1
NODE_S, NEAR_S, FEWEST_NEAR = 0.4, 1.0, 5
MATCHED, AGREE_S = 0.7, 0.03


class Alignment(NamedTuple):
    """A moment of the phrase is ``start_s + stretch * moment`` in the take; a ``stretch`` over 1 is slow."""

    start_s: float
    stretch: float

    def to_take(self, moments_s: Numbers) -> Numbers:
        """Moments of the phrase as they would be in the take."""
        return self.start_s + self.stretch * moments_s


ByVoice = dict[str, "Numbers"]
"""The seconds of the strokes of each voice, in order."""


def align(meant: ByVoice, played: ByVoice, *, stretch: float | None = None, start_s: float | None = None) -> Alignment:
    """The alignment of some strokes, by voice; what is given is kept."""
    if start_s is not None and stretch is not None:
        return Alignment(start_s, stretch)
    found = _searched(meant, played, stretch, start_s)
    for turn in range(ROUNDS):
        found = _refined(meant, played, found, WIDE_S if turn < 2 else NARROW_S, stretch, start_s)
    return found


def _searched(meant: ByVoice, played: ByVoice, stretch: float | None, start_s: float | None) -> Alignment:
    first_s = min(float(row[0]) for row in played.values())
    head_s = min(float(row[0]) for row in meant.values())
    size = int(2 ** np.ceil(np.log2((3 * LONGEST_S) / BIN_S)))
    voices = sorted(set(meant) & set(played)) or [""]
    take = {voice: _train(_row(played, voice) - first_s, size) for voice in voices}
    heard = {voice: np.fft.rfft(row) for voice, row in take.items()}
    strengths = {voice: float(np.sum(row**2)) for voice, row in take.items()}
    number = int(np.log(FASTEST / SLOWEST) / np.log(STEP)) + 1
    stretches = [stretch] if stretch is not None else [float(SLOWEST * STEP**n) for n in range(number)]
    shifts = np.arange(size) * BIN_S
    shifts[shifts > size * BIN_S / 2] -= size * BIN_S
    from_first = FIRST_STROKE * np.exp(-0.5 * (shifts / 0.2) ** 2)
    best: tuple[float, Alignment] = (-1.0, Alignment(first_s - head_s, stretches[0]))
    for each in stretches:
        agree = np.zeros(size // 2 + 1, dtype=np.complex128)
        power = 1e-9
        for voice in voices:
            phrase = _train((_row(meant, voice) - head_s) * each, size)
            agree += heard[voice] * np.conj(np.fft.rfft(phrase))
            power += np.sqrt(strengths[voice] * float(np.sum(phrase**2)))
        score = np.fft.irfft(agree, size) / power + from_first
        score *= np.exp(-0.5 * (np.log(each) / NEAR_TEMPO) ** 2)
        if start_s is not None:
            score = np.where(np.abs(first_s + shifts - each * head_s - start_s) < 0.1, score, -1)
        at = int(score.argmax())
        found = Alignment(first_s + float(shifts[at]) - each * head_s, each)
        best = max(best, (float(score[at]), found), key=lambda row: row[0])
    return best[1] if start_s is None else best[1]._replace(start_s=start_s)


def _row(rows: ByVoice, voice: str) -> Numbers:
    return rows[voice] if voice else np.sort(np.concatenate(list(rows.values())))


def _train(seconds: Numbers, size: int) -> Numbers:
    """Strokes as a row of bins, a little smeared, so that near is near."""
    own = seconds[(seconds >= 0) & (seconds < LONGEST_S)]
    row = np.bincount(np.rint(own / BIN_S).astype(np.int64), minlength=size)[:size].astype(np.float64)
    return np.convolve(row, SMEAR, mode="same")


def _refined(
    meant: ByVoice, played: ByVoice, now: Alignment, window_s: float, stretch: float | None, start_s: float | None
) -> Alignment:
    """A straight line through the matched strokes; one that is given stays."""
    xs, ys = paired_moments(meant, played, now, window_s)
    if len(xs) < 3:
        return now
    if stretch is not None:
        return Alignment(float(np.median(ys - stretch * xs)), stretch)
    if start_s is not None:
        return Alignment(start_s, float(np.sum((ys - start_s) * xs) / max(1e-9, np.sum(xs**2))))
    middle = xs - xs.mean()
    spread = float(np.sum(middle**2))
    if spread < 1e-9:
        return now
    slope = float(np.sum(middle * ys) / spread)
    return Alignment(float(ys.mean() - slope * xs.mean()), slope)


def paired_moments(meant: ByVoice, played: ByVoice, now: Alignment, window_s: float) -> tuple[Numbers, Numbers]:
    """The moments of matched strokes, in the phrase and in the take."""
    xs: list[float] = []
    ys: list[float] = []
    for voice in sorted(set(meant) & set(played)):
        expected = now.to_take(meant[voice])
        for i, j in matched(expected.tolist(), played[voice].tolist(), window_s=window_s):
            xs.append(float(meant[voice][i]))
            ys.append(float(played[voice][j]))
    return np.array(xs), np.array(ys)


def drift_of(moments_s: Numbers, off_s: Numbers, expected_s: Numbers) -> Numbers:
    """The pulse's way from its line at each expected moment: the medians of what was matched near nodes, joined.

    A node counts where most of what is expected near it was matched, and agrees; beyond the outermost the way goes on.
    """
    nodes = np.arange(float(expected_s.min()), float(expected_s.max()) + NODE_S, NODE_S)
    order = np.argsort(moments_s, kind="stable")
    times, offs, every = moments_s[order], off_s[order], np.sort(expected_s)
    ways: list[tuple[float, float]] = []
    for node in nodes.tolist():
        low, high = np.searchsorted(times, [node - NEAR_S, node + NEAR_S])
        first, last = np.searchsorted(every, [node - NEAR_S, node + NEAR_S])
        if high - low < max(FEWEST_NEAR, MATCHED * (last - first)):
            continue
        middle = float(np.median(offs[low:high]))
        if float(np.median(np.abs(offs[low:high] - middle))) < AGREE_S:
            ways.append((node, middle))
    if not ways:
        return np.zeros(len(expected_s))
    at = np.array(ways)
    joined: Numbers = np.interp(expected_s, at[:, 0], at[:, 1])
    return joined
