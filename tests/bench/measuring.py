"""Measuring one piece of work against another in one run on one machine: ratios and their spread, not seconds alone.

Both are done in turn, round after round, and the one that is measured against a second time, each round beginning with
another of the three, so that what else the machine does falls on all. The second time over the first is the machine's
own noise: what a ratio of two equal things comes out as here and now. Time is taken by two clocks: the processor's
(user and system, of this process and of those it started and waited for), which other programs hardly slow, and the
one on the wall. A ratio is of medians; a spread is the middle half of the ratios of the single rounds.
"""

from __future__ import annotations

import resource
from dataclasses import dataclass
from statistics import median, quantiles
from time import perf_counter
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


class Spent(NamedTuple):
    """Seconds of both clocks."""

    cpu: float
    wall: float

    def less(self, other: Spent) -> Spent:
        """What is left of it without another."""
        return Spent(self.cpu - other.cpu, self.wall - other.wall)


class Round(NamedTuple):
    """One round: ours, what it is measured against, and that again."""

    ours: Spent
    theirs: Spent
    again: Spent

    def less(self, other: Round) -> Round:
        """What is left of a longer round without a shorter one, which is what both have at their start."""
        return Round(*(mine.less(theirs) for mine, theirs in zip(self, other, strict=True)))


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table. ``bar`` is the most that the ratio may be.

    Where the work is measured against a number of ``seconds``, the noise is that of the work itself.
    """

    work: str
    against: str
    bar: float
    rounds: tuple[Round, ...]
    seconds: float = 0.0

    def of_medians(self, clock: str) -> float:
        """The ratio by a clock, ``cpu`` or ``wall``."""
        ours, theirs = (median(_seconds(self._side(side), clock)) for side in ("ours", "theirs"))
        return ours / theirs

    def spread(self, clock: str) -> tuple[float, float]:
        """The first and third quartile of the ratios of the rounds."""
        return _middle_half(_seconds(self._side("ours"), clock), _seconds(self._side("theirs"), clock))

    def noise(self, clock: str) -> tuple[float, float]:
        """The same of two equal things."""
        return _middle_half(*(_seconds([getattr(each, side) for each in self.rounds], clock) for side in _EQUAL))

    def medians_ms(self, clock: str) -> tuple[float, float]:
        """Milliseconds of both."""
        ours, theirs = (1000 * median(_seconds(self._side(side), clock)) for side in ("ours", "theirs"))
        return ours, theirs

    @property
    def verdict(self) -> str:
        """``within`` the bar by both clocks, over it by the wall's alone, or ``OVER`` it."""
        if self.of_medians("cpu") > self.bar:
            return "OVER"
        return "OVER on the wall" if self.of_medians("wall") > self.bar else "within"

    def _side(self, side: str) -> list[Spent]:
        if side == "theirs" and self.seconds:
            return [Spent(self.seconds, self.seconds)] * len(self.rounds)
        return [getattr(each, side) for each in self.rounds]


_EQUAL = ("again", "theirs")


def _seconds(times: Sequence[Spent], clock: str) -> list[float]:
    return [getattr(each, clock) for each in times]


def _middle_half(ours: Sequence[float], theirs: Sequence[float]) -> tuple[float, float]:
    low, _, high = quantiles([one / other for one, other in zip(ours, theirs, strict=True)], n=4)
    return low, high


def now() -> Spent:
    """What has been spent until now."""
    uses = [resource.getrusage(which) for which in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return Spent(sum(use.ru_utime + use.ru_stime for use in uses), perf_counter())


def spent_on(work: Callable[[], object]) -> Spent:
    """What a piece of work takes."""
    start = now()
    work()
    return now().less(start)


def in_turn(ours: Sequence[Callable[[], object]], theirs: Sequence[Callable[[], object]], *, turn: int) -> Round:
    """One round: the pieces of both in turn, and the others' again; ``turn`` says which of the three begins."""
    totals = [Spent(0.0, 0.0)] * 3
    for mine, other in zip(ours, theirs, strict=True):
        for step in range(3):
            side = (turn + step) % 3
            one = spent_on((mine, other, other)[side])
            totals[side] = Spent(totals[side].cpu + one.cpu, totals[side].wall + one.wall)
    return Round(*totals)


def rounds_of(ours: Callable[[], object], theirs: Callable[[], object], number: int) -> tuple[Round, ...]:
    """So many rounds of two single pieces."""
    return tuple(in_turn([ours], [theirs], turn=turn) for turn in range(number))


def beyond(start: Callable[[], object], work: Callable[[], object], number: int) -> tuple[Round, ...]:
    """So many rounds of the work less its start-up, for a row against a number of seconds."""
    found = []
    for each in rounds_of(start, work, number):
        once, again = each.theirs.less(each.ours), each.again.less(each.ours)
        found.append(Round(once, once, again))
    return tuple(found)


HEADINGS = ("work", "against", "bar", "CPU", "middle half", "noise", "wall", "middle half", "noise", "CPU ms", "")


def table(rows: Sequence[Row]) -> str:
    """The rows as text."""
    return aligned([HEADINGS, *map(_cells, rows)])


def aligned(lines: Sequence[Sequence[str]]) -> str:
    """Cells in columns."""
    widths = [max(len(line[column]) for line in lines) for column in range(len(lines[0]))]
    return "\n".join("  ".join(map(str.ljust, line, widths)).rstrip() for line in lines)


def _cells(row: Row) -> tuple[str, ...]:
    ratios = (cell for clock in ("cpu", "wall") for cell in _ratio_cells(row, clock))
    ours, theirs = row.medians_ms("cpu")
    return row.work, row.against, f"{row.bar:.2f}", *ratios, f"{ours:.0f} : {theirs:.0f}", row.verdict


def _ratio_cells(row: Row, clock: str) -> tuple[str, str, str]:
    spread, noise = (f"{low:.2f}-{high:.2f}" for low, high in (row.spread(clock), row.noise(clock)))
    return f"{row.of_medians(clock):.3f}", spread, noise
