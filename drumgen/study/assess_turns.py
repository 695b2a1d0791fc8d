"""How often a take goes through a phrase: told from how long it is and how fast it was played."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from drumgen.performance import Clock
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.study.assess_aligning import align
from drumgen.study.assess_meant import meant_strokes, seconds_by_voice, without_click
from drumgen.study.assess_pulse import straightened
from drumgen.ticks import nearest_tick

if TYPE_CHECKING:
    from drumgen.performance import Performance
    from drumgen.plan import Plan
    from drumgen.take import Take

LITTLE_MORE = 0.06
"""So much of the phrase after its end is its last stroke, not another time through."""

ENOUGH = 64
"""More times through than these do not make the tempo any surer."""


def times_through(plan: Plan, performance: Performance, take: Take, *, stretch: float | None = None) -> int:
    """How often a take goes through a plan, which is a loop; the last time may be broken off."""
    strokes = meant_strokes(plan, performance)
    heard = without_click(take, plan.phrase.kit, strokes)
    seconds = [at_s for at_s, _ in heard]
    if not seconds or not strokes:
        return 1
    heard_s, length_s = seconds[-1] - seconds[0], performance.seconds
    most = ceil(heard_s / length_s / (stretch or 0.5)) + 1
    rows = [(each.at_s + turn * length_s, each.voice) for turn in range(min(most, ENOUGH)) for each in strokes]
    rows += _led_in_by(plan)
    played = seconds_by_voice((at_s, hit.voice) for at_s, hit in heard if hit.voice)
    if not played:
        return 1
    found = align(seconds_by_voice(rows), played, stretch=stretch)
    if stretch is None:
        found = straightened(seconds_by_voice(rows), played, found)
    through = (float(np.max(seconds)) - found.start_s) / (found.stretch * length_s)
    return max(1, ceil(through - LITTLE_MORE))


def _led_in_by(plan: Plan) -> list[tuple[float, str]]:
    """The strokes of the pickup before the whole of a phrase, by voice, in seconds before the loop's first downbeat."""
    phrase = plan.phrase
    if phrase.first_number or len({span.number for span in plan.spans}) < len(phrase.order) - 1:
        return []
    whole = arrange(phrase, Practice())
    performance = perform(whole)
    strokes = meant_strokes(whole, performance)
    bar_line = next((span.start for span in whole.spans if span.number == 1), None)
    if bar_line is None:
        return []
    tick = nearest_tick(bar_line, 1, performance.ppq)
    first_s = Clock(performance.tempos).parts(tick) / (performance.ppq * 1_000_000)
    return [(each.at_s - first_s, each.voice) for each in strokes if each.bar == 0]
