"""What the mixer is asked to sound: bars of strikes, in exact time.

Time is an integer count of a clock that the caller chooses (so many units a second), because a sample count
rounded bar by bar would make bars that are alike differ by a sample; the mixer rounds, once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

CENTRE = 0.0


@dataclass(frozen=True, slots=True)
class Strike:
    """One stroke to sound.

    ``at`` counts clock units after the bar's beginning, 0 or more. ``key`` and ``velocity`` are MIDI's (0 to 127,
    1 to 127). ``side`` is 0 where the font puts the stroke, -1 wholly in the left ear, 1 wholly in the right, and
    between them nearer to one and softer in the other. ``choke`` is the group whose strokes end each other: a
    number above 0 from the kit, 0 for none, and ``None`` to take the font's own word (its exclusive class).
    ``vary`` lets repeated strokes differ a little; a click says no.
    """

    at: int
    key: int
    velocity: int
    gain_db: float = 0.0
    side: float = CENTRE
    choke: int | None = None
    vary: bool = True


@dataclass(frozen=True, slots=True)
class Bar:
    """The strikes from ``at`` (clock units from the track's beginning) until the next bar, in order of time.

    Bars that hold the same strikes are mixed once, so cut the track where it repeats.
    """

    at: int
    strikes: tuple[Strike, ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A bar on the sample grid: the frames where it starts and ends.

    ``half`` is 1 where its exact start is nearer to half a frame after ``start``.
    """

    number: int
    start: int
    half: int
    end: int
    strikes: tuple[Strike, ...]


def half_frame_of(at: int, *, clock: int, rate: int) -> int:
    """The half frame nearest to ``at`` clock units.

    >>> half_frame_of(500_000, clock=1_000_000, rate=44100)
    44100
    """
    return (4 * at * rate + clock) // (2 * clock)


def frame_in_bar(at: int, *, half: int, clock: int, rate: int) -> int:
    """The frame nearest to ``at`` clock units after a bar that starts ``half`` a half frame late."""
    return (half * clock + 2 * at * rate + clock) // (2 * clock)


def place_bars(bars: Iterable[Bar], *, end: int, clock: int, rate: int) -> Iterator[Placed]:
    """Bars on the sample grid, up to ``end`` clock units, with a silent one before a first that begins late.

    A bar begins on the nearest half frame and its strikes on the frame nearest to their time after that, so
    none is further than three quarters of a frame from its exact time, and bars that are alike have at most two
    shapes. Raises TypeError for bars or strikes out of order or outside.
    """
    waiting = Bar(0)
    number = -1
    for bar in bars:
        if bar.at < waiting.at:
            msg = f"bar {number + 1} begins before the one before it"
            raise TypeError(msg)
        if number >= 0 or bar.at > 0:
            yield _place(waiting, max(number, 0), until=bar.at, clock=clock, rate=rate)
        waiting = bar
        number += 1
    if end < waiting.at:
        msg = "the track ends before its last bar begins"
        raise TypeError(msg)
    yield _place(waiting, max(number, 0), until=end, clock=clock, rate=rate)


def _place(bar: Bar, number: int, *, until: int, clock: int, rate: int) -> Placed:
    if bar.strikes and not 0 <= bar.strikes[0].at <= bar.strikes[-1].at < until - bar.at:
        msg = f"bar {number} has a strike outside it"
        raise TypeError(msg)
    halves = half_frame_of(bar.at, clock=clock, rate=rate)
    end = half_frame_of(until, clock=clock, rate=rate) // 2
    return Placed(number, halves // 2, halves % 2, end, bar.strikes)
