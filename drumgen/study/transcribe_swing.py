"""Swing: whether the off-beats of a take agree on a place later than the straight one, and in which ratio.

Told only where it can be told: at least `FEWEST` off-beats that agree, nearly none straight, and few beats with a
stroke on the first third (those are triplets). A ratio of 3:1 is left as dotted notes, from which it cannot be told.
Where strokes stand is counted from where those on the beat do: a take that is late as a whole, as through a slow sound
card, swings no more for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.study.transcribe_beats import beats_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.study.arrays import Numbers, Wholes
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.take import Take

FEWEST = 4
SHARE = 0.8
NEAR = 0.07
RATIOS = ((3, 2), (5, 3), (2, 1), (7, 3))
LEAST, MOST = 0.565, 0.72
_PAIRS: tuple[tuple[Literal["eighths", "sixteenths"], int], ...] = (
    ("eighths", GRAINS_PER_QUARTER),
    ("sixteenths", GRAINS_PER_QUARTER // 2),
)


class SwingFound(NamedTuple):
    """Swing of a subdivision, in whole numbers; ``late`` is where off-beats stood in their pairs, 0.5 if even.

    ``lag`` is how late, in pairs, the strokes at the beginning of pairs stood.
    """

    of: Literal["eighths", "sixteenths"]
    long: int
    short: int
    late: float
    lag: float

    def straightened(self, inside: Numbers, grains: Wholes) -> Numbers:
        """Where strokes would stand without swing: ``inside`` their beats, which have so many ``grains``."""
        pair = dict(_PAIRS)[self.of] / grains
        pairs = inside / pair - self.lag
        number = np.floor(pairs + 0.06)
        within = pairs - number
        ratio = self.long / (self.long + self.short)
        moved = np.where(within <= ratio, within * 0.5 / ratio, 1 - (1 - within) * 0.5 / (1 - ratio))
        fits = (grains % dict(_PAIRS)[self.of]) == 0
        return np.where(fits & (within > 0), (number + moved + self.lag) * pair, inside)


def find_swing(gestures: Sequence[Gesture], take: Take) -> SwingFound | None:
    """The swing of a take, or None."""
    beats = beats_of(take, gestures)
    index, inside = beats.inside(gestures)
    for of, pair_grains in _PAIRS:
        fits = beats.grains[index] % pair_grains == 0
        compound = beats.grains[index] % (3 * GRAINS_PER_QUARTER // 2) == 0
        if not fits.any() or compound.all():
            continue
        within = (inside * beats.grains[index] / pair_grains) % 1.0
        found = _agreeing(of, within[fits & ~compound])
        if found is not None:
            return found
    return None


def _agreeing(of: Literal["eighths", "sixteenths"], within: Numbers) -> SwingFound | None:
    lag = _lag(within)
    inner = within[(within > 0.12) & (within < 0.9)] - lag
    late = inner[(inner > LEAST - NEAR / 2) & (inner < MOST + NEAR)]
    if len(late) < FEWEST:
        return None
    middle = float(np.median(late))
    agree = int(np.sum(np.abs(inner - middle) <= NEAR))
    if not LEAST <= middle <= MOST or agree < max(FEWEST, SHARE * len(inner)):
        return None
    long, short = min(RATIOS, key=lambda ratio: abs(ratio[0] / sum(ratio) - middle))
    return SwingFound(of, long, short, middle, lag)


def _lag(within: Numbers) -> float:
    """How late the strokes at the beginning of pairs are, in pairs; 0 where they are too few to tell."""
    heads = (within + 0.1) % 1.0
    heads = heads[heads <= 0.22] - 0.1
    return float(np.median(heads)) if len(heads) >= FEWEST else 0.0
