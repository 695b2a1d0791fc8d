"""An assessment in plain words: timing by limb and voice, dynamics, faults, bars, repeats.

Milliseconds late or early of the player's own pulse; the spread is the standard deviation. Nothing is marked.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import pairwise
from statistics import fmean, pstdev
from typing import TYPE_CHECKING, NamedTuple

from drumgen.sticking import LIMB_NAMES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from drumgen.study.assess import Assessment, Stroke

MOST_LISTED = 12
WORST_BARS = 3
TOGETHER_MS = 3.0
NEIGHBOURS_S = 0.6
FEWEST_MET = 0.6


class Timing(NamedTuple):
    """How some strokes were in time: how many, their mean (early below 0) and spread in milliseconds."""

    strokes: int
    mean_ms: float
    spread_ms: float

    def __str__(self) -> str:
        number = f"{self.strokes} stroke{'s' * (self.strokes != 1)}"
        return f"{number}, {early_or_late(self.mean_ms)}, spread {self.spread_ms:.1f} ms"


def early_or_late(off_ms: float) -> str:
    """A number of milliseconds in words."""
    if abs(off_ms) < 0.5:
        return "on the pulse"
    return f"{abs(off_ms):.1f} ms {'late' if off_ms > 0 else 'early'}"


def timing(strokes: Iterable[Stroke]) -> Timing:
    """The timing of some strokes that were played."""
    offs = [each.off_ms for each in strokes if each.off_ms is not None]
    return Timing(len(offs), fmean(offs), pstdev(offs)) if offs else Timing(0, 0.0, 0.0)


def by_limb(found: Assessment) -> dict[str, Timing]:
    """The timing of each limb."""
    return _by([(LIMB_NAMES[each.meant.limb], each) for each in found.struck])


def by_voice(found: Assessment) -> dict[str, Timing]:
    """The timing of each voice."""
    return _by([(each.meant.voice, each) for each in found.struck])


def _by(rows: Sequence[tuple[str, Stroke]]) -> dict[str, Timing]:
    groups: dict[str, list[Stroke]] = defaultdict(list)
    for name, stroke in rows:
        groups[name].append(stroke)
    return {name: timing(groups[name]) for name in sorted(groups, key=lambda each: (_rank(each), each))}


def _rank(name: str) -> int:
    words = list(LIMB_NAMES.values())
    return words.index(name) if name in words else len(words)


def evenness_ms(strokes: Sequence[Stroke]) -> float | None:
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
    groups: dict[int, list[Stroke]] = defaultdict(list)
    faults: Counter[int] = Counter(each.bar for each in found.added)
    for each in found.strokes:
        if each.meant.kind == "stroke" and each.off_ms is not None:
            groups[each.meant.bar].append(each)
        elif each.off_ms is None:
            faults[each.meant.bar] += 1
    return {bar: (timing(groups[bar]), faults[bar]) for bar in sorted({*groups, *faults})}


def turn_limbs(found: Assessment) -> list[dict[str, Timing]]:
    """For each time through, the timing of each limb."""
    rows: list[list[tuple[str, Stroke]]] = [[] for _ in range(found.turns)]
    for each in found.struck:
        rows[each.meant.turn].append((LIMB_NAMES[each.meant.limb], each))
    return [_by(row) for row in rows]


def turn_timings(found: Assessment) -> list[tuple[Timing, int]]:
    """For each time through, its timing and how many strokes were missed, added or elsewhere."""
    own: list[list[Stroke]] = [[] for _ in range(found.turns)]
    for each in found.struck:
        own[each.meant.turn].append(each)
    faults = Counter(each.meant.turn for each in found.strokes if each.off_ms is None)
    faults.update(each.turn for each in found.added)
    return [(timing(row), faults[turn]) for turn, row in enumerate(own)]


def assessment_lines(found: Assessment) -> Iterator[str]:
    """The whole in words."""
    yield from _tempo_lines(found)
    yield "timing, against the player's own pulse"
    for name, row in (*by_limb(found).items(), *by_voice(found).items()):
        yield f"  {name.ljust(12)} {row}"
    even = evenness_ms([each for each in found.struck if each.meant.limb in ("R", "L")])
    if even is not None:
        yield f"  evenness     the gaps from hand stroke to hand stroke vary by {even:.1f} ms"
    yield from _loudness_lines(found)
    yield from fault_lines(found)
    yield from _bar_lines(found)
    yield from _turn_lines(found)


def _tempo_lines(found: Assessment) -> Iterator[str]:
    written, mean, first, last = found.tempos
    times = f"{found.turns} times through, " if found.turns > 1 else ""
    yield f"{times}{len(found.strokes)} strokes asked for; tempo {mean:.1f} (written {written:.1f}) quarters a minute"
    met = sum(each.off_ms is not None for each in found.strokes)
    if met < FEWEST_MET * len(found.strokes):
        yield f"only {met} of them were met: is it a take of this phrase, and on this kit?"
    if abs(first - last) >= 0.5:
        way = "faster" if last > first else "slower"
        yield f"the tempo goes from {first:.1f} in the first quarter to {last:.1f} in the last: {way}"
    if found.drift_ms:
        yield f"the pulse moves to and fro by {found.drift_ms:.0f} ms; strokes are measured against it"


def _loudness_lines(found: Assessment) -> Iterator[str]:
    rows = loudness(found)
    if not any(len(levels) > 1 for levels in rows.values()):
        return
    yield "loudness, mean velocities"
    for limb, levels in rows.items():
        words = {"accent": "accents", "normal": "taps", "ghost": "ghost notes"}
        text = ", ".join(f"{words[level]} {levels[level]:.0f}" for level in words if level in levels)
        accent, tap = levels.get("accent"), levels.get("normal", levels.get("ghost"))
        apart = f": {accent - tap:.0f} apart" if accent is not None and tap is not None else ""
        yield f"  {limb.ljust(12)} {text}{apart}"


def fault_lines(found: Assessment) -> Iterator[str]:
    """How many strokes were missed, added or elsewhere, and then which."""
    if found.clean:
        yield "nothing missed, nothing added, nothing on another voice"
        return
    counts = f"missed {len(found.missed)}, added {len(found.added)}, on another voice {len(found.elsewhere)}"
    yield counts
    many = found.turns > 1
    lines = [f"missed: {_where(each, many=many)}" for each in found.missed]
    lines += [f"on {each.played} instead: {_where(each, many=many)}" for each in found.elsewhere]
    for each in found.added:
        turn = f", time {each.turn + 1}" if many else ""
        lines.append(f"added: bar {each.bar}{turn}, {each.voice} at {each.at_s:.2f} s")
    yield from (f"  {line}" for line in lines[:MOST_LISTED])
    if len(lines) > MOST_LISTED:
        yield f"  and {len(lines) - MOST_LISTED} more"


def _where(stroke: Stroke, *, many: bool) -> str:
    meant = stroke.meant
    turn = f", time {meant.turn + 1}" if many else ""
    grace = "the grace note " if meant.kind == "grace" else ""
    return f"bar {meant.bar}{turn}, {grace}on {meant.on}, {LIMB_NAMES[meant.limb]} on {meant.voice}"


def _bar_lines(found: Assessment) -> Iterator[str]:
    rows = bar_timings(found)
    if len(rows) < 2:
        return

    def off(bar: int) -> tuple[int, float]:
        return rows[bar][1], rows[bar][0].spread_ms + abs(rows[bar][0].mean_ms)

    worst = sorted((bar for bar in rows if off(bar) >= (0, TOGETHER_MS)), key=off, reverse=True)
    if worst:
        yield "bars to look at first"
    for bar in worst[:WORST_BARS]:
        row, faults = rows[bar]
        more = f"; {faults} missed, added or elsewhere" if faults else ""
        yield f"  bar {bar}: {early_or_late(row.mean_ms)}, spread {row.spread_ms:.1f} ms{more}"


def _turn_lines(found: Assessment) -> Iterator[str]:
    if found.turns < 2:
        return
    yield "from one time through to the next"
    rows = turn_timings(found)
    for number, (row, faults) in enumerate(rows, start=1):
        yield f"  time {number}: spread {row.spread_ms:.1f} ms; {faults} missed, added or elsewhere"
    yield from (f"  {line}" for line in (*_changes(rows), *_limb_changes(turn_limbs(found))))


def _changes(rows: Sequence[tuple[Timing, int]]) -> Iterator[str]:
    """What got better or worse from the first time through to the last."""
    (first, faults), (last, later) = rows[0], rows[-1]
    if abs(first.spread_ms - last.spread_ms) >= TOGETHER_MS:
        yield "steadier at the end" if last.spread_ms < first.spread_ms else "less steady at the end"
    if faults != later:
        yield "more of it played at the end" if later < faults else "less of it played at the end"


def _limb_changes(rows: Sequence[dict[str, Timing]]) -> Iterator[str]:
    """What changed in each limb from the first time through to the last."""
    for name in (name for name in rows[0] if name in rows[-1]):
        first, last = rows[0][name], rows[-1][name]
        changes = []
        if abs(first.mean_ms - last.mean_ms) >= TOGETHER_MS:
            changes.append(f"from {early_or_late(first.mean_ms)} to {early_or_late(last.mean_ms)}")
        if abs(first.spread_ms - last.spread_ms) >= TOGETHER_MS:
            way = "steadier" if last.spread_ms < first.spread_ms else "less steady"
            changes.append(f"{way}, spread from {first.spread_ms:.1f} to {last.spread_ms:.1f} ms")
        if changes:
            yield f"{name}: {'; '.join(changes)}"
