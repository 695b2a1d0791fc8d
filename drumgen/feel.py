"""Feel: swing, seeded spread, and the spacing of grace notes. Applied once, when a plan is performed.

Swing moves the second note of each pair of its own subdivision and, in proportion, what stands between; the odd third
of a group of three stays, and so do triplets, quintuplets and septuplets. Ratios are whole numbers.
Spacing of flams, drags and buzzes: no published mean is known; 25, 40 and 30 ms are *common practice, from memory*.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from drumgen.errors import DrumgenError, Fault
from drumgen.subdivision import STRAIGHT

if TYPE_CHECKING:
    from drumgen.meter import Meter

LARGEST_RATIO = 9


@dataclass(frozen=True, slots=True)
class Swing:
    """Swing of eighths or sixteenths: of each pair, the first lasts ``long`` parts and the second ``short``.

    >>> Swing("eighths", 2, 1).ratio
    '2:1'
    """

    of: Literal["eighths", "sixteenths"] = "eighths"
    long: int = 1
    short: int = 1

    @property
    def ratio(self) -> str:
        """The ratio as it is written."""
        return f"{self.long}:{self.short}"


@dataclass(frozen=True, slots=True)
class Feel:
    """How a plan is played: ``spread_ms`` is the standard deviation of the strokes, in milliseconds.

    ``flam_ms`` lies between a flam's grace note and its stroke; ``drag_ms`` between a drag's two grace notes, and again
    between the second and the stroke; ``buzz_ms`` between the bounces of a buzz.
    """

    swing: Swing = field(default_factory=Swing)
    spread_ms: int = 0
    seed: int = 0
    flam_ms: int = 25
    drag_ms: int = 40
    buzz_ms: int = 30


def parse_ratio(text: str) -> tuple[int, int]:
    """The swing ratio written in ``text``: ``long ":" short``, whole numbers 1-9, the first not the smaller."""
    match = re.fullmatch(r"\s*(\d)\s*:\s*(\d)\s*", text, re.ASCII)
    if match is None or not 1 <= int(match[2]) <= int(match[1]) <= LARGEST_RATIO:
        rule = 'a ratio of whole numbers from 1 to 9, the first not the smaller, such as "2:1" or "3:2"'
        raise DrumgenError(Fault(rule, got=f'"{text}"'))
    return int(match[1]), int(match[2])


@lru_cache(maxsize=512)
def swung_pairs(swing: Swing, meter: Meter) -> tuple[tuple[int, int], ...]:
    """The pairs of a bar that swing moves, as (start, grains of the pair).

    Raises DrumgenError where no beat of the meter holds a pair, and for eighths in a compound meter.
    """
    if swing.long == swing.short:
        return ()
    pair = 2 * STRAIGHT[swing.of]
    if swing.of == "eighths" and meter.compound:
        rule = f"swing of sixteenths in {meter}, whose beats are groups of three eighths"
        raise DrumgenError(Fault(rule, got='"eighths"', path=("feel", "swing", "of")))
    pairs = tuple((beat.start + index * pair, pair) for beat in meter.beats for index in range(beat.grains // pair))
    if not pairs:
        rule = f"a meter whose beats hold a pair of {swing.of}"
        raise DrumgenError(Fault(rule, got=str(meter), path=("feel", "swing", "of")))
    return pairs


def swung(place: int, *, swing: Swing, meter: Meter) -> tuple[int, int]:
    """Where swing moves a straight place of a bar: an exact number of grains as (above, below)."""
    for start, pair in swung_pairs(swing, meter):
        if start < place < start + pair:
            inside, half, whole = place - start, pair // 2, swing.long + swing.short
            if inside <= half:
                return start * whole + inside * 2 * swing.long, whole
            return (start + pair) * whole - (pair - inside) * 2 * swing.short, whole
    return place, 1
