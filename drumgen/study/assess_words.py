"""An assessment in plain words: timing by limb and voice, dynamics, faults, bars, repeats. Nothing is marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.sticking import LIMB_NAMES
from drumgen.study.assess_figures import (
    bar_timings,
    by_limb,
    by_voice,
    early_or_late,
    evenness_ms,
    loudness,
    turn_limbs,
    turn_timings,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.study.assess import Assessment, PlayedStroke
    from drumgen.study.assess_figures import Timing

MOST_LISTED = 12
WORST_BARS = 3
TOGETHER_MS = 3.0
FEWEST_MET = 0.6


def assessment_lines(found: Assessment) -> Iterator[str]:
    """The whole in words."""
    yield from _tempo_lines(found)
    yield "timing, against the click" if found.by_click else "timing, against the player's own pulse"
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
    asked = f"{times}{amount(len(found.strokes), 'stroke')} asked for"
    yield f"{asked}; tempo {mean:.1f} (written {written:.1f}) quarters a minute"
    met = sum(each.off_ms is not None for each in found.strokes)
    if met < FEWEST_MET * len(found.strokes):
        yield f"only {met} of them {'was' if met == 1 else 'were'} met: is it a take of this phrase, and on this kit?"
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


def _where(stroke: PlayedStroke, *, many: bool) -> str:
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
