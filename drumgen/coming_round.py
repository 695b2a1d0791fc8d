"""Coming round: after how many bars, or beats, a sticking begins again on the first beat of a bar."""

from __future__ import annotations

from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

from drumgen.subdivision import places_in

if TYPE_CHECKING:
    from drumgen.bar import Layer
    from drumgen.meter import Meter


def round_bars(layer: Layer, meter: Meter) -> Fraction | None:
    """In bars, when a layer's sticking, played on and on, stands again as it began; None where it has none.

    A part of a bar is returned where it comes round exactly within the bar, on a beat.
    """
    sticking = layer.sticking
    if sticking is None:
        return None
    if sticking.rhythm:
        length = sum(sticking.rhythm)
        return Fraction(length if meter.grains % length == 0 else lcm(length, meter.grains), meter.grains)
    by_beat = [places_in(name, beat.grains) for name, beat in zip(layer.subdivision, meter.beats, strict=True)]
    total, size = sum(by_beat), len(sticking.signs)
    if len(set(by_beat)) == 1 and total % size == 0 and size % by_beat[0] == 0:
        return Fraction(size, total)
    return Fraction(lcm(size, total), total)
