"""Takes: what somebody played, as it was read from a file. Its strokes are the same hits that a performance is made of.

Ticks count from the start; ``ppq`` of them make a quarter note of the take's own tempo map. What a file does not say is
assumed, and known to be assumed: 120 quarters a minute and 4/4 (Standard MIDI Files 1.0).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from drumgen.performance import Clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Kit
    from drumgen.meter import Meter
    from drumgen.performance import Hit, MeterChange, TempoChange, Words

ASSUMED_US_PER_QUARTER = 500_000


class Oddity(NamedTuple):
    """Something a reader stumbled over: in words, at a byte of the file or in a bar, and how often it was met."""

    words: str
    byte: int | None = None
    bar: int | None = None
    times: int = 1

    def __str__(self) -> str:
        place = f"byte {self.byte}: " if self.byte is not None else f"bar {self.bar}: " if self.bar is not None else ""
        return f"{place}{self.words}{f' ({self.times} times)' if self.times > 1 else ''}"


class Struck(NamedTuple):
    """A MIDI key that no voice of the kit has, and how often it was struck."""

    key: int
    times: int


@dataclass(frozen=True, slots=True)
class Take:
    """A take: its hits in order, hand strokes with an empty ``limb``; an empty ``voice`` is a key the kit has not.

    Of each hit, ``pedals`` has the hi-hat pedal's value on controller 4 as it sounded, ``chokes`` the tick on which its
    cymbal was grabbed (polyphonic aftertouch); None where neither was heard.
    ``other_channels`` are (channel as people count, notes); ``end_tick`` is where the drums' tracks end.
    """

    kit: Kit
    ppq: int
    hits: tuple[Hit, ...]
    pedals: tuple[int | None, ...]
    chokes: tuple[int | None, ...]
    tempos: tuple[TempoChange, ...]
    meters: tuple[MeterChange, ...]
    markers: tuple[Words, ...]
    end_tick: int
    title: str = ""
    names: tuple[str, ...] = ()
    channel: int = 10
    program: int | None = None
    tempo_said: bool = True
    meter_said: bool = True
    unmapped: tuple[Struck, ...] = ()
    other_channels: tuple[tuple[int, int], ...] = ()
    oddities: tuple[Oddity, ...] = ()

    def clock(self) -> Clock:
        """When each of its ticks is."""
        return Clock(self.tempos)

    def seconds(self) -> list[float]:
        """When each hit sounds."""
        clock, scale = self.clock(), self.ppq * 1_000_000
        return [clock.parts(hit.tick) / scale for hit in self.hits]

    @property
    def length_s(self) -> float:
        """The length of the whole."""
        return self.clock().parts(self.end_tick) / (self.ppq * 1_000_000)

    @property
    def bars(self) -> int:
        """How many bars it has, the last one counted whole."""
        return Bars(self.meters, self.ppq).at(max(0, self.end_tick - 1)).number


class BarLine(NamedTuple):
    """One bar: its number from 1, the tick it begins on (rounded), the tick of the next, and its meter."""

    number: int
    tick: int
    end: int
    meter: Meter


class Bars:
    """The bars of a meter map. A meter that changes inside a bar cuts it short: later downbeats stay where they sound.

    Bar lines that fall between ticks are rounded, each by itself, so that nothing adds up.
    """

    def __init__(self, meters: Sequence[MeterChange], ppq: int) -> None:
        self.ppq, self.meters = ppq, meters
        self.ticks = [change.tick for change in meters]
        self.first = [1]
        for before, after in pairwise(meters):
            self.first.append(self.first[-1] + self._count(before.meter, after.tick - before.tick))

    def _count(self, meter: Meter, ticks: int) -> int:
        """How many bars begin in so many ticks."""
        return -(-ticks * meter.lower // (meter.upper * 4 * self.ppq))

    def _start(self, index: int, number: int) -> int:
        meter = self.meters[index].meter
        return self.ticks[index] + (2 * number * meter.upper * 4 * self.ppq + meter.lower) // (2 * meter.lower)

    def at(self, tick: int) -> BarLine:
        """The bar that a tick stands in."""
        index = max(0, bisect_right(self.ticks, tick) - 1)
        meter = self.meters[index].meter
        number = (tick - self.ticks[index]) * meter.lower // (meter.upper * 4 * self.ppq)
        number += self._start(index, number + 1) <= tick
        following = self.ticks[index + 1] if index + 1 < len(self.ticks) else None
        end = self._start(index, number + 1)
        end = end if following is None else min(end, following)
        return BarLine(self.first[index] + number, self._start(index, number), end, meter)

    def cut_bars(self) -> list[BarLine]:
        """The bars that a change of meter cuts short."""
        last = (self.at(tick - 1) for tick in self.ticks[1:])
        return [bar for bar in last if bar.end - bar.tick < bar.meter.upper * 4 * self.ppq // bar.meter.lower]
