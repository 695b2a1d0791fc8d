"""Performances: what sounds, in ticks. A take read from a file is made of the same hits.

Ticks count from the start; ``ppq`` of them make a quarter note. Tempos are MIDI's whole microseconds a quarter.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Kit
    from drumgen.meter import Meter

HitKind = Literal["stroke", "grace", "bounce", "click"]
HIT_ORDER: dict[str, int] = {"R": 0, "L": 1, "K": 2, "H": 3, "click": 4}
"""The order of hits on one tick."""


@dataclass(frozen=True, slots=True)
class Hit:
    """One sound: its tick, MIDI key and velocity, and the limb and voice it comes from.

    ``span`` is the number of its bar in the plan (from 0); ``place`` is its written place in grains from the plan's
    start; ``moved_us`` is how far spread or grace spacing moved it from its beat, in microseconds, swing not counted.
    """

    tick: int
    key: int
    velocity: int
    voice: str
    limb: str
    kind: HitKind = "stroke"
    span: int = 0
    place: int = 0
    moved_us: int = 0


class TempoChange(NamedTuple):
    """From ``tick`` on, a quarter note lasts ``us_per_quarter`` microseconds."""

    tick: int
    us_per_quarter: int


class MeterChange(NamedTuple):
    """From ``tick`` on, a bar line, this meter."""

    tick: int
    meter: Meter


class Words(NamedTuple):
    """A text on a tick: a marker, or the letters of a stroke."""

    tick: int
    text: str


@dataclass(frozen=True, slots=True)
class Performance:
    """What sounds, and what a file says around it. ``end_tick`` is the bar line it ends on."""

    title: str
    kit: Kit
    ppq: int
    hits: tuple[Hit, ...]
    tempos: tuple[TempoChange, ...]
    meters: tuple[MeterChange, ...]
    markers: tuple[Words, ...]
    letters: tuple[Words, ...]
    end_tick: int
    loop: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def seconds(self) -> float:
        """The length of the whole, for people; clocks use ``Clock``."""
        return Clock(self.tempos).parts(self.end_tick) / (self.ppq * 1_000_000)


class Clock:
    """When a tick is, exactly: in parts of a microsecond, of which ``ppq`` make one.

    >>> Clock([TempoChange(0, 500_000), TempoChange(960, 250_000)]).parts(1920) // 960
    750000
    """

    def __init__(self, tempos: Sequence[TempoChange]) -> None:
        self._ticks = [change.tick for change in tempos]
        self._tempos = [change.us_per_quarter for change in tempos]
        self._parts = [0]
        for before, after in pairwise(tempos):
            self._parts.append(self._parts[-1] + (after.tick - before.tick) * before.us_per_quarter)

    def parts(self, tick: int) -> int:
        """Microseconds times ticks-a-quarter from the start to ``tick``."""
        index = max(0, bisect_right(self._ticks, tick) - 1)
        return self._parts[index] + (tick - self._ticks[index]) * self._tempos[index]
