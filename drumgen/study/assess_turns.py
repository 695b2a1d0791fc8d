"""How often a take goes through a phrase: told from how long it is and how fast it was played."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from drumgen.study.assess_aligning import align
from drumgen.study.assess_meant import by_voice, meant_strokes
from drumgen.study.assess_pulse import straightened

if TYPE_CHECKING:
    from drumgen.performance import Performance
    from drumgen.plan import Plan
    from drumgen.take import Take

LITTLE_MORE = 0.06
"""So much of the phrase after its end is its last stroke, not another time through."""


def times_through(plan: Plan, performance: Performance, take: Take, *, stretch: float | None = None) -> int:
    """How often a take goes through a plan, which is a loop; the last time may be broken off."""
    seconds = take.seconds()
    strokes = meant_strokes(plan, performance)
    if not seconds or not strokes:
        return 1
    heard_s, length_s = seconds[-1] - seconds[0], performance.seconds
    most = ceil(heard_s / length_s / (stretch or 0.5)) + 1
    rows = [(each.at_s + turn * length_s, each.voice) for turn in range(min(most, ENOUGH)) for each in strokes]
    played = by_voice((at_s, hit.voice) for at_s, hit in zip(seconds, take.hits, strict=True) if hit.voice)
    if not played:
        return 1
    found = align(by_voice(rows), played, stretch=stretch)
    if stretch is None:
        found = straightened(by_voice(rows), played, found)
    through = (float(np.max(seconds)) - found.start_s) / (found.stretch * length_s)
    return max(1, ceil(through - LITTLE_MORE))


ENOUGH = 64
"""More times through than these do not make the tempo any surer."""
