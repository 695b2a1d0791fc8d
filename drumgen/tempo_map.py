"""The tempo map of a plan: from exact tempos to MIDI's whole microseconds a quarter, bar by bar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.tempo import us_per_quarter

if TYPE_CHECKING:
    from drumgen.plan import Plan
    from drumgen.spans import Span

RAMP_GRAINS = GRAINS_PER_QUARTER // 4
"""A tempo that changes through a bar changes on every sixteenth: the first has its first tempo, the last its last."""

Steps = tuple[tuple[int, int], ...]


class TempoMap:
    """The tempo of each span of a plan as steps of (grains from its start, microseconds a quarter)."""

    def __init__(self, plan: Plan) -> None:
        known: dict[tuple[object, int], Steps] = {}
        self.loop = plan.loop
        self.steps: list[Steps] = []
        for span in plan.spans:
            key = (span.quarters, span.meter.grains)
            if key not in known:
                known[key] = _steps(span)
            self.steps.append(known[key])

    def before(self, index: int, place: int) -> int:
        """Microseconds a quarter in force just before a place (grains) of the span ``index``."""
        if place > 0:
            return next(us for grains, us in reversed(self.steps[index]) if grains < place)
        if index == 0 and not self.loop:
            return self.steps[0][0][1]
        return self.steps[index - 1][-1][1]


def _steps(span: Span) -> Steps:
    first, last = span.quarters
    if first == last:
        return ((0, us_per_quarter(first)),)
    number = max(2, -(-span.meter.grains // RAMP_GRAINS))
    steps = ((i * RAMP_GRAINS, us_per_quarter(first + (last - first) * i / (number - 1))) for i in range(number))
    return tuple(step for step in steps if step[0] < span.meter.grains)
