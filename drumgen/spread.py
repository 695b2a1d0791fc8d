"""Spread: small seeded deviations, the same on every machine.

A deviation is a whole number of microseconds from an integer hash of (seed, pass, bar, stroke): the sum of twelve
uniform 16-bit numbers, which is close to a normal distribution with the spread as its standard deviation (the
classical sum-of-twelve method; its tails end at six). It is cut at three standard deviations.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.sticking import OTHER_HAND

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.notes import PlacedNote
    from drumgen.plan import Plan
    from drumgen.tempo_map import TempoMap

_MASK = (1 << 64) - 1
_CUT = 3


def mixed(state: int) -> int:
    """A 64-bit integer scrambled by the finalizer of SplitMix64 (Steele, Lea and Flood 2014; constants from memory)."""
    state = (state ^ (state >> 30)) * 0xBF58476D1CE4E5B9 & _MASK
    state = (state ^ (state >> 27)) * 0x94D049BB133111EB & _MASK
    return state ^ (state >> 31)


def deviation_us(spread_ms: int, *, seed: int, pass_number: int, bar: int, stroke: int) -> int:
    """How far one stroke is moved, in microseconds, within three times ``spread_ms``."""
    state = 0
    for part in (seed, pass_number, bar, stroke):
        state = mixed((state + part + 0x9E3779B97F4A7C15) & _MASK)
    total = 0
    for number in range(1, 4):
        word = mixed((state + number * 0x9E3779B97F4A7C15) & _MASK)
        total += sum(word >> shift & 0xFFFF for shift in (0, 16, 32, 48))
    centred = 2 * total - 12 * 0xFFFF
    size = min(abs(centred) * spread_ms * 1000 // (2 * 0x10000), _CUT * spread_ms * 1000)
    return size if centred >= 0 else -size


def ticks_of_us(microseconds: int, *, ppq: int, us_per_quarter: int) -> int:
    """Microseconds in whole ticks, to the nearest, halves away from nothing."""
    ticks = (2 * abs(microseconds) * ppq + us_per_quarter) // (2 * us_per_quarter)
    return ticks if microseconds >= 0 else -ticks


def moves(
    notes: Sequence[PlacedNote], *, plan: Plan, tempos: TempoMap, ppq: int, end_tick: int
) -> list[tuple[int, int]]:
    """How far each note is moved, as (ticks, microseconds): never before the start, never over the end.

    A note keeps to its side of the middle between it and its neighbours of the same limb or key.
    """
    if not any(span.feel.spread_ms for span in plan.spans):
        return [(0, 0)] * len(notes)
    early = _room(notes)
    late = _room([note._replace(tick=-note.tick) for note in reversed(notes)])[::-1]
    moved = []
    for (tick, note, index), before, after in zip(notes, early, late, strict=True):
        span = plan.spans[index]
        feel = span.feel
        us = deviation_us(
            feel.spread_ms, seed=feel.seed, pass_number=span.pass_number, bar=span.number, stroke=note.number
        )
        tempo = tempos.before(index, note.stroke.place + 1)
        ticks = ticks_of_us(us, ppq=ppq, us_per_quarter=tempo)
        start = tick // 4 if note.stroke.grace else tick
        held = max(-min(before, start), min(ticks, after, end_tick - 1 - tick))
        moved.append((held, us if held == ticks else held * tempo // ppq))
    return moved


def _room(notes: Sequence[PlacedNote]) -> list[int]:
    """How far each note may move towards the one before it of the same limb or key: under half the gap between them.

    A note with grace notes keeps to a quarter and is both hands' neighbour, so that they have room.
    """
    last: dict[str | int, int] = {}
    rooms = []
    for tick, note, _ in notes:
        keys: tuple[str | int, ...] = (note.key, *note.limbs, *(OTHER_HAND.values() if note.stroke.grace else ()))
        known = [last[key] for key in keys if key in last]
        gap = tick - max(known) if known else 1 << 40
        rooms.append(gap // 4 if note.stroke.grace else max(0, gap - 1) // 2)
        last.update(dict.fromkeys(keys, tick))
    return rooms
