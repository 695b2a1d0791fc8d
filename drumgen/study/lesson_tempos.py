"""The tempos and the time of a lesson's pages: from half a top tempo to three quarters, in steps, so many times each.

A lesson's minutes are shared out by the weight of its pages. Where there is too little time, the ladders get fewer
rungs, then the pages that can be spared most are left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

FASTEST_TOP = {"": 240, "eighth": 400}
"""A page whose limbs could go faster is taken as if this were its top tempo: nobody counts aloud any faster (ours)."""

FASTEST_SONG = {"": 120, "eighth": 240}
"""The last page is no quicker than this unless it is asked for (ours)."""

MOST_RUNGS, FEWEST_RUNGS = 5, 3


@dataclass(frozen=True, slots=True)
class Climb:
    """The rungs of a page: ``lowest`` to ``highest`` by ``step``, whole numbers; a step of 0 is one tempo alone."""

    lowest: int
    highest: int
    step: int

    def ladder(self, unit: str) -> str:
        """It as a phrase file says it; nothing where it is one tempo alone."""
        before = f"{unit} " if unit else ""
        return f"{before}{self.lowest} to {self.highest} by {self.step}" if self.step else ""


def climb(top: float | None, *, unit: str = "", rungs: int = MOST_RUNGS) -> Climb:
    """From half of a top tempo, rounded up to an even number, to three quarters of it, in at most so many rungs.

    >>> climb(126.4).ladder(""), climb(200, unit="eighth", rungs=2).ladder("eighth")
    ('64 to 88 by 6', 'eighth 100 to 150 by 50')
    """
    top = min(top or inf, FASTEST_TOP[unit])
    lowest, highest = 2 * ceil(top / 4), int(top * 3 / 4)
    room = highest - lowest
    if room <= 0:
        return Climb(lowest, lowest, 0)
    step = max(1, ceil(room / (rungs - 1))) if room < 2 * (rungs - 1) else room // (rungs - 1) // 2 * 2
    number = min(rungs - 1, room // step) or 1
    return Climb(lowest, lowest + number * min(step, room), min(step, room))


@dataclass(frozen=True, slots=True)
class PageLength:
    """How long a page lasts: ``once_s`` seconds, and ``again_s`` more each further time that it is played.

    ``weight`` and ``rank`` are its step's.
    """

    once_s: float
    again_s: float
    weight: int
    rank: int

    def seconds(self, times: int) -> float:
        """How long it lasts when every rung is played so many times."""
        return self.once_s + self.again_s * (times - 1)


def shared_out(minutes: int, lengths: Callable[[int], Sequence[PageLength]]) -> tuple[int, dict[int, int]]:
    """How many rungs the ladders have, and how many times each page (by its number) is played on every rung.

    ``lengths`` gives those of the pages for so many rungs. Pages that are left out are not in the answer.
    """
    limit_s = minutes * 60
    for rungs in range(MOST_RUNGS, FEWEST_RUNGS - 1, -1):
        pages = dict(enumerate(lengths(rungs)))
        if sum(page.once_s for page in pages.values()) <= limit_s:
            break
    while len(pages) > 1 and sum(page.once_s for page in pages.values()) > limit_s:
        spare = max(pages, key=lambda number: (pages[number].rank, pages[number].once_s))
        del pages[spare]
    times = dict.fromkeys(pages, 1)
    left_s = limit_s - sum(page.once_s for page in pages.values())
    while True:
        open_ = [number for number, page in pages.items() if page.again_s <= left_s]
        if not open_:
            return rungs, times
        poorest = min(open_, key=lambda number: (pages[number].seconds(times[number]) / pages[number].weight, number))
        times[poorest] += 1
        left_s -= pages[poorest].again_s
