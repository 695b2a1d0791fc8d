"""The figures of an assessment: timing by limb, voice, bar and time through, evenness, loudness.

Milliseconds late or early of the player's own pulse; the spread is the standard deviation.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import pairwise
from statistics import fmean, pstdev
from typing import TYPE_CHECKING, NamedTuple

from drumgen.amounts import amount
from drumgen.sticking import LIMB_NAMES

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.study.assess import Assessment, PlayedStroke

NEIGHBOURS_S = 0.6


class Timing(NamedTuple):
    """How some strokes were in time: how many, their mean (early below 0) and spread in milliseconds."""

    strokes: int
    mean_ms: float
    spread_ms: float

    def __str__(self) -> str:
        return f"{amount(self.strokes, 'stroke')}, {early_or_late(self.mean_ms)}, spread {self.spread_ms:.1f} ms"


def early_or_late(off_ms: float) -> str:
    """A number of milliseconds in words."""
    if abs(off_ms) < 0.5:
        return "on the pulse"
    return f"{abs(off_ms):.1f} ms {'late' if off_ms > 0 else 'early'}"


def timing(strokes: Iterable[PlayedStroke]) -> Timing:
    """The timing of some strokes that were played."""
    offs = [each.off_ms for each in strokes if each.off_ms is not None]
    return Timing(len(offs), fmean(offs), pstdev(offs)) if offs else Timing(0, 0.0, 0.0)


def by_limb(found: Assessment) -> dict[str, Timing]:
    """The timing of each limb."""
    return _by([(LIMB_NAMES[each.meant.limb], each) for each in found.struck])


def by_voice(found: Assessment) -> dict[str, Timing]:
    """The timing of each voice."""
    return _by([(each.meant.voice, each) for each in found.struck])


def _by(rows: Sequence[tuple[str, PlayedStroke]]) -> dict[str, Timing]:
    groups: dict[str, list[PlayedStroke]] = defaultdict(list)
    for name, stroke in rows:
        groups[name].append(stroke)
    return {name: timing(groups[name]) for name in sorted(groups, key=lambda each: (_rank(each), each))}


def _rank(name: str) -> int:
    words = list(LIMB_NAMES.values())
    return words.index(name) if name in words else len(words)


def evenness_ms(strokes: Sequence[PlayedStroke]) -> float | None:
    """The spread of the gaps between neighbouring strokes, against the written gaps; None where there are none."""
    row = sorted(strokes, key=lambda each: (each.meant.turn, each.meant.at_s))
    changes = [
        (later.off_ms or 0.0) - (earlier.off_ms or 0.0)
        for earlier, later in pairwise(row)
        if 0 < later.meant.at_s - earlier.meant.at_s < NEIGHBOURS_S
    ]
    return pstdev(changes) if len(changes) > 1 else None


def loudness(found: Assessment) -> dict[str, dict[str, float]]:
    """By limb, the mean velocity of each level that it played."""
    groups: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for each in found.struck:
        groups[LIMB_NAMES[each.meant.limb]][each.meant.level].append(each.velocity)
    return {limb: {level: fmean(row) for level, row in levels.items()} for limb, levels in sorted(groups.items())}


def bar_timings(found: Assessment) -> dict[int, tuple[Timing, int]]:
    """By bar, its timing over all times through, and how many strokes were missed, added or elsewhere."""
    groups: dict[int, list[PlayedStroke]] = defaultdict(list)
    faults: Counter[int] = Counter(each.bar for each in found.added)
    for each in found.strokes:
        if each.meant.kind == "stroke" and each.off_ms is not None:
            groups[each.meant.bar].append(each)
        elif each.off_ms is None:
            faults[each.meant.bar] += 1
    return {bar: (timing(groups[bar]), faults[bar]) for bar in sorted({*groups, *faults})}


def turn_limbs(found: Assessment) -> list[dict[str, Timing]]:
    """For each time through, the timing of each limb."""
    rows: list[list[tuple[str, PlayedStroke]]] = [[] for _ in range(found.turns)]
    for each in found.struck:
        rows[each.meant.turn].append((LIMB_NAMES[each.meant.limb], each))
    return [_by(row) for row in rows]


def turn_timings(found: Assessment) -> list[tuple[Timing, int]]:
    """For each time through, its timing and how many strokes were missed, added or elsewhere."""
    own: list[list[PlayedStroke]] = [[] for _ in range(found.turns)]
    for each in found.struck:
        own[each.meant.turn].append(each)
    faults = Counter(each.meant.turn for each in found.strokes if each.off_ms is None)
    faults.update(each.turn for each in found.added)
    return [(timing(row), faults[turn]) for turn, row in enumerate(own)]
