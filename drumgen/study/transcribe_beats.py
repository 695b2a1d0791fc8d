"""The beats of a take, one after the other, from its meter map; a bar that is cut is as long as what is left of it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.errors import DrumgenError, Fault
from drumgen.meter import Meter
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.performance import MeterChange
from drumgen.phrase import MOST_BARS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.study.arrays import Numbers, Wholes
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.take import Take

EARLY = 1 / 16
"""What comes at most so much of a beat before it belongs to it."""


class Beats(NamedTuple):
    """All beats of a take, a value a beat: the tick each starts on and how many it has, in fractions of a tick.

    ``place`` is where each starts in its bar, and ``grains`` its length, in grains; ``bar`` its bar (from 0), and
    ``number`` which of that bar's beats it is (from 0). ``meters`` has a value a bar.
    """

    start_ticks: Numbers
    length_ticks: Numbers
    place: Wholes
    grains: Wholes
    bar: Wholes
    number: Wholes
    meters: tuple[Meter, ...]

    def inside(self, gestures: Sequence[Gesture]) -> tuple[Wholes, Numbers]:
        """The beat that each gesture belongs to, and how far inside it is, in beats; a little early is below 0."""
        ticks = np.array([gesture.tick for gesture in gestures], dtype=np.float64)
        index = np.maximum(0, np.searchsorted(self.start_ticks - EARLY * self.length_ticks, ticks, side="right") - 1)
        return index, (ticks - self.start_ticks[index]) / self.length_ticks[index]

    def seconds(self, take: Take) -> Numbers:
        """How long each beat is at the tempo that it begins in."""
        ticks = np.array([change.tick for change in take.tempos], dtype=np.float64)
        us = np.array([change.us_per_quarter for change in take.tempos], dtype=np.float64)
        own = us[np.maximum(0, np.searchsorted(ticks, self.start_ticks, side="right") - 1)]
        return self.length_ticks / take.ppq * own / 1e6


def beats_of(take: Take, gestures: Sequence[Gesture]) -> Beats:
    """The beats of a take. Raises DrumgenError where there are more bars than a phrase has."""
    scale = take.ppq / GRAINS_PER_QUARTER
    at, place, grains, bar, number = [], [], [], [], []
    meters: list[Meter] = []
    for starts, meter in _bars(take, gestures):
        beats, times = meter.beats, len(starts)
        at.append(np.repeat(starts, len(beats)))
        place += [beat.start for beat in beats] * times
        grains += [beat.grains for beat in beats] * times
        bar.append(np.repeat(np.arange(len(meters), len(meters) + times), len(beats)))
        number += list(range(len(beats))) * times
        meters += [meter] * times
    places, lengths, numbers = (np.array(row, dtype=np.int64) for row in (place, grains, number))
    start: Numbers = np.concatenate(at) + places * scale
    ticks = lengths.astype(np.float64) * scale
    return Beats(start, ticks, places, lengths, np.concatenate(bar), numbers, tuple(meters))


def _bars(take: Take, gestures: Sequence[Gesture]) -> Iterator[tuple[Numbers, Meter]]:
    """Where bars of one meter start in ticks; the last holds the end and, with a little early, all strokes.

    A meter that comes only after that has no bars.
    """
    scale = take.ppq / GRAINS_PER_QUARTER

    def end_in(meter: Meter) -> float:
        return max(float(take.end_tick), gestures[-1].tick + EARLY * scale * meter.beats[0].grains + 1)

    begun = [change for change in take.meters if change.tick < end_in(change.meter)]
    end, count = end_in(begun[-1].meter), 0
    for change, following in pairwise([*begun, MeterChange(1 << 62, Meter(4, 4))]):
        until = min(end, following.tick)
        length = change.meter.grains * scale
        number = int(np.ceil((until - change.tick) / length - 1e-9))
        count += number
        if count > MOST_BARS:
            raise DrumgenError(Fault(f"a take of at most {MOST_BARS} bars", got=f"{count} or more"))
        starts: Numbers = change.tick + np.arange(number, dtype=np.float64) * length
        left = round((following.tick - starts[-1]) / scale) if number else 0
        whole = number if left >= change.meter.grains else number - 1
        if whole > 0:
            yield starts[:whole], change.meter
        if whole < number:
            yield starts[whole:], _cut(change.meter, left)


def _cut(meter: Meter, grains: int) -> Meter:
    """The meter of a bar that is cut to so many grains; whole where they are none of its units."""
    units, rest = divmod(grains, meter.unit_grains)
    return Meter(units, meter.lower) if units and not rest else meter
