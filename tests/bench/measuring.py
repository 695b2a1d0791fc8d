"""Measuring one piece of work against another in one run on one machine: ratios and their spread, not seconds alone.

The two are done in turn, round after round, each round in the other order, so that what else the machine does falls on
both. A ratio is of the shortest times (the least disturbed) and of the medians; its spread is the middle half of the
ratios of the single rounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median, quantiles
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: seconds of each round, of the product and of what it is measured against.

    ``bar`` is the most that the ratio may be.
    """

    work: str
    against: str
    bar: float
    ours_s: tuple[float, ...]
    theirs_s: tuple[float, ...]

    @property
    def of_shortest(self) -> float:
        return min(self.ours_s) / min(self.theirs_s)

    @property
    def of_medians(self) -> float:
        return median(self.ours_s) / median(self.theirs_s)

    @property
    def spread(self) -> tuple[float, float]:
        """The first and third quartile of the ratios of the rounds."""
        ratios = [ours / theirs for ours, theirs in zip(self.ours_s, self.theirs_s, strict=True)]
        low, _, high = quantiles(ratios, n=4)
        return low, high

    @property
    def within(self) -> bool:
        return self.of_medians <= self.bar


def seconds_of(work: Callable[[], object], clock: Callable[[], float]) -> float:
    """How long a piece of work takes."""
    start = clock()
    work()
    return clock() - start


def in_turn(
    ours: Sequence[Callable[[], object]],
    theirs: Sequence[Callable[[], object]],
    *,
    swapped: bool,
    clock: Callable[[], float],
) -> tuple[float, float]:
    """The seconds, by ``clock``, of one round: the pieces of both in turn, ours first unless ``swapped``."""
    totals = [0.0, 0.0]
    for pair in zip(ours, theirs, strict=True):
        for side in (1, 0) if swapped else (0, 1):
            totals[side] += seconds_of(pair[side], clock)
    return totals[0], totals[1]


HEADINGS = ("work", "against", "bar", "ratio of medians", "middle half", "ratio of shortest", "median ms", "")


def table(rows: Sequence[Row]) -> str:
    """The rows as text."""
    lines = [HEADINGS, *map(_cells, rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADINGS))]
    return "\n".join("  ".join(map(str.ljust, line, widths)).rstrip() for line in lines)


def _cells(row: Row) -> tuple[str, ...]:
    low, high = row.spread
    return (
        row.work,
        row.against,
        f"{row.bar:.2f}",
        f"{row.of_medians:.3f}",
        f"{low:.3f}-{high:.3f}",
        f"{row.of_shortest:.3f}",
        f"{median(row.ours_s) * 1000:.1f} : {median(row.theirs_s) * 1000:.1f}",
        "within" if row.within else "OVER",
    )
