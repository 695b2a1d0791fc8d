"""The tempo of a take whose file does not say it: asked for, or guessed from the strokes themselves.

A guess tries every beat from `FASTEST_S` to `SLOWEST_S` and asks how well the strokes stand on its quarters or thirds,
its halves and itself; beats near `USUAL_S` are preferred a little, since half or double the beat fits nearly as well.
Then the beat is followed through the take: its length and its place are corrected by what is struck near them. How sure
it is: by how much the best guess is better than the best that is not about the same.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.errors import DrumgenError, Fault
from drumgen.meter import Meter
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.performance import MeterChange, TempoChange
from drumgen.phrase import MOST_BARS
from drumgen.tempo import us_per_quarter

if TYPE_CHECKING:
    from drumgen.study.arrays import Numbers
    from drumgen.take import Take
    from drumgen.tempo import Tempo

PPQ = 10_080
FASTEST_S, SLOWEST_S, STEP = 0.29, 1.2, 1.004
USUAL_S, OCTAVES = 0.6, 0.6
MOST_STROKES = 1500
FOLLOW, FOLLOW_LENGTH = 0.35, 0.06
FARTHEST_BEATS, THIRDS = 40, 0.9
MOST_SURE_OF_HANDS = 0.25
"""Hands alone do not say which of their beats is felt: half and double, or two thirds of it, are never far."""


class TempoGuess(NamedTuple):
    """A guessed tempo: beats a minute, the best other guess, and how much better it is (0: not at all, 1: alone)."""

    beats: float
    other: float
    sure: float


def retimed(take: Take, tempo: Tempo) -> Take:
    """The same strokes in a steady tempo; bar 1 begins with the first, or so near it that all fit better."""
    meter = take.meters[0].meter
    us = us_per_quarter(tempo.quarters(meter)[0])
    seconds = np.array(take.seconds())
    beat_s = us / 1e6 * _beat_grains(meter) / GRAINS_PER_QUARTER
    _check_length(seconds, beat_s, meter)
    count = int((seconds[-1] - seconds[0]) / beat_s) + 3
    beats: Numbers = np.float64(_phase(seconds, beat_s)) + np.float64(beat_s) * np.arange(count, dtype=np.float64)
    return _on_beats(take, seconds, beats, us=us)


def with_guessed_tempo(take: Take, *, asked: bool) -> tuple[Take, TempoGuess | None]:
    """The take in the tempo it seems to be played in, and how that was guessed.

    It stays as it is without enough strokes, and unless a guess is ``asked`` for where its own tempo fits them.
    """
    seconds = np.array(take.seconds())
    if len(np.unique(seconds)) < 8:
        return take, None
    if not asked and _fits(seconds, take.tempos[0].us_per_quarter / 1e6):
        return take, None
    guess = guess_tempo(seconds, _weights(take))
    if not any(hit.limb for hit in take.hits):
        guess = guess._replace(sure=min(guess.sure, MOST_SURE_OF_HANDS))
    beat_s = 60 / guess.beats
    _check_length(seconds, beat_s, take.meters[0].meter)
    beats = _followed(seconds, _phase(seconds, beat_s), beat_s)
    quarters = 60 / float(np.mean(np.diff(beats))) * _beat_grains(take.meters[0].meter) / GRAINS_PER_QUARTER
    return _on_beats(take, seconds, beats, us=us_per_quarter(Fraction(round(quarters * 10), 10))), guess


def _check_length(seconds: Numbers, beat_s: float, meter: Meter) -> None:
    """Raises DrumgenError where there are more beats than a phrase has, before they are followed one by one."""
    bars = int((seconds[-1] - seconds[0]) / beat_s) * _beat_grains(meter) // meter.grains
    if bars > MOST_BARS:
        raise DrumgenError(Fault(f"a take of at most {MOST_BARS} bars", got=f"{bars} or more"))


def _fits(seconds: Numbers, beat_s: float) -> bool:
    """Whether the strokes stand on the sixteenths or triplets of that beat, from the take's start."""
    at = np.unique(seconds) / beat_s
    off = np.minimum(*(np.abs(at * number - np.rint(at * number)) / number for number in (4, 3)))
    return bool(np.mean(off * beat_s < 0.004) > 0.9)


def guess_tempo(seconds: Numbers, weights: Numbers | None = None) -> TempoGuess:
    """The tempo of some strokes, their times in order; ``weights`` say how much each marks the beat."""
    onsets = seconds[:MOST_STROKES] - seconds[0]
    marks = np.ones(len(onsets)) if weights is None else weights[:MOST_STROKES]
    number = int(np.log(SLOWEST_S / FASTEST_S) / np.log(STEP)) + 1
    beats_s = FASTEST_S * STEP ** np.arange(number)
    early = [np.searchsorted(onsets, FARTHEST_BEATS * beat_s) for beat_s in beats_s]
    scores = np.array([_score(onsets[:n], marks[:n], beat_s) for n, beat_s in zip(early, beats_s, strict=True)])
    scores *= np.exp(-0.5 * (np.log2(beats_s / USUAL_S) / OCTAVES) ** 2)
    best = int(scores.argmax())
    apart = np.abs(np.log(beats_s / beats_s[best])) > 0.06
    other = int(np.where(apart, scores, 0).argmax())
    sure = float(1 - scores[other] / scores[best]) if scores[best] > 0 else 0.0
    return TempoGuess(float(60 / beats_s[best]), float(60 / beats_s[other]), sure)


def _score(onsets: Numbers, marks: Numbers, beat_s: float) -> float:
    """How well strokes stand on the parts of a beat: alike on its fine parts, by their weight on its coarse ones."""

    def agreement(parts: int, weights: Numbers) -> float:
        turns = np.exp(2j * np.pi * onsets * parts / beat_s)
        return float(np.abs(np.average(turns, weights=weights)))

    even = np.ones(len(onsets))
    fine = max(agreement(4, even), THIRDS * agreement(3, even))
    return 0.5 * fine + 0.2 * agreement(2, marks) + 0.3 * agreement(1, marks)


def _weights(take: Take) -> Numbers:
    """How much each stroke marks the beat: loud ones more, and feet most."""
    return np.array([hit.velocity / 127 * (3 if hit.limb else 1) for hit in take.hits])


def _phase(seconds: Numbers, beat_s: float) -> float:
    """When the first beat is: at the first stroke, corrected by where the first strokes stand in their quarters."""
    early = seconds[seconds < seconds[0] + 8 * beat_s] - seconds[0]
    quarter = beat_s / 4
    turns = np.exp(2j * np.pi * early / quarter).mean()
    return float(seconds[0] + np.angle(turns) / (2 * np.pi) * quarter)


def _followed(seconds: Numbers, first_s: float, beat_s: float) -> Numbers:
    """The beats through a take, each corrected by the strokes near it and its halves."""
    beats = [first_s]
    while beats[-1] <= seconds[-1] + beat_s:
        expected = beats[-1] + beat_s
        low, high = np.searchsorted(seconds, [expected - beat_s / 9, expected + beat_s / 9])
        if high > low:
            off = float(np.median(seconds[low:high]) - expected)
            expected += FOLLOW * off
            beat_s += FOLLOW_LENGTH * off
        beats.append(expected)
    return np.array(beats)


def _beat_grains(meter: Meter) -> int:
    """The beat that is followed: a quarter, or in compound meters the felt beat."""
    return meter.beats[0].grains if meter.compound else GRAINS_PER_QUARTER


def _on_beats(take: Take, seconds: Numbers, beats: Numbers, *, us: int) -> Take:
    """The take with its strokes in ticks of the ``beats`` (seconds), and ``us`` microseconds a quarter as its tempo."""
    meter = take.meters[0].meter
    grains = _beat_grains(meter)
    ticks_a_beat = PPQ * grains // GRAINS_PER_QUARTER
    place = np.interp(seconds, beats, np.arange(len(beats)))
    before = seconds < beats[0]
    place[before] = (seconds[before] - beats[0]) / (beats[1] - beats[0])
    ticks = np.maximum(0, np.rint(place * ticks_a_beat)).astype(np.int64).tolist()
    hits = tuple(replace(hit, tick=tick) for hit, tick in zip(take.hits, ticks, strict=True))
    bar = PPQ * meter.grains // GRAINS_PER_QUARTER
    end = -(-(ticks[-1] + 1) // bar) * bar
    tempos = (TempoChange(0, us),)
    meters = (MeterChange(0, Meter(meter.upper, meter.lower, meter.groups, felt=meter.felt)),)
    return replace(take, ppq=PPQ, hits=hits, tempos=tempos, meters=meters, markers=(), end_tick=end, tempo_said=True)
