"""Rudiments in a take: runs of strokes that are one of the forty, from either hand and from any stroke of it.

First by sticking and rhythm: the lengths of its strokes in their proportions, at any speed. Then, where none was found
so, by the sticking alone if it is played evenly, as one practises it slowly, and comes twice. In its rhythm a run is at
least one whole rudiment of five strokes or more, else two or three of them. Of runs that overlap the longer one is
told; of equal ones that whose accents fit, then the shorter rudiment. Only the hands count: on which voices they play
makes no difference.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.sticking import parse_sticking
from drumgen.trade.rudiments import RUDIMENTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.sticking import Sign
    from drumgen.study.arrays import Flags, Wholes
    from drumgen.study.transcribe_notes import Note

FEWEST_PLAIN, FEWEST_ORNAMENTED = 8, 4
LONG_SIDE = 5


class Found(NamedTuple):
    """A run of one rudiment: its bars (from 0), from which hand and which stroke of it, and whether in its own rhythm.

    ``first`` and ``strokes`` say which hand strokes it is: ``strokes`` of them from the ``first`` on.
    """

    name: str
    first_bar: int
    last_bar: int
    lead: str
    start: int
    in_rhythm: bool
    first: int
    strokes: int


class Cycle(NamedTuple):
    """One rudiment until it comes round, led by one hand: codes of its strokes, their lengths, its accents."""

    name: str
    lead: str
    codes: Wholes
    grains: Wholes
    accents: Flags
    side: int

    @property
    def fewest(self) -> int:
        """The strokes of the shortest run that is told."""
        if self.side >= LONG_SIDE:
            return self.side
        ornamented = bool((self.codes >= 2).any())
        return max(len(self.codes), FEWEST_ORNAMENTED if ornamented else FEWEST_PLAIN)


def _code(hand: str, grace: int, *, buzz: bool) -> int:
    return (hand == "L") + 2 * grace + 8 * buzz


@cache
def cycles_of_all() -> tuple[Cycle, ...]:
    """The forty rudiments until they come round; one that does not change hands is led by either."""
    cycles = []
    for rudiment in RUDIMENTS:
        side = parse_sticking(rudiment.sticking)
        lengths = [*rudiment.durations[:-1], rudiment.durations[-1] + rudiment.rest]
        for lead in (side,) if rudiment.alternates else (side, side.mirrored()):  # one that alternates has both in it
            signs = [*lead.signs, *(lead.mirrored().signs if rudiment.alternates else ())]
            grains = np.array(lengths * (2 if rudiment.alternates else 1), dtype=np.int64)
            cycles.append(_cycle(str(rudiment), signs, grains, len(side.signs)))
    return tuple(cycles)


def _cycle(name: str, signs: Sequence[Sign], grains: Wholes, side: int) -> Cycle:
    codes = np.array([_code(sign.limb, sign.grace, buzz=sign.buzz) for sign in signs], dtype=np.int64)
    accents = np.array([sign.level == "accent" for sign in signs], dtype=np.bool_)
    return Cycle(name, signs[0].limb, codes, grains, accents, side)


def find_rudiments(notes: Sequence[Note], bar_starts: Sequence[int]) -> tuple[Found, ...]:
    """The rudiments in the hand strokes of some notes; ``bar_starts`` are the grains that their bars start on."""
    hands = [note for note in notes if note.limb in ("R", "L")]
    if len(hands) < FEWEST_ORNAMENTED:
        return ()
    onset = np.array([bar_starts[note.bar] + note.place for note in hands], dtype=np.int64)
    code = np.array([_code(note.limb, note.grace, buzz=note.buzz) for note in hands], dtype=np.int64)
    twice = np.zeros(len(hands), dtype=np.bool_)
    twice[1:] = onset[1:] == onset[:-1]
    twice[:-1] |= twice[1:]
    code[twice] = -1  # both hands at once are no stroke of a rudiment
    accent = np.array([note.level == "accent" for note in hands], dtype=np.bool_)
    taken = bytearray(len(hands))
    found: list[Found] = []
    for in_rhythm in (True, False):
        runs = [
            (end - start, fit, -len(cycle.codes), -number, start, end, cycle, turn)
            for number, cycle in enumerate(cycles_of_all())
            for start, end, turn, fit in _runs(cycle, code, onset, accent, in_rhythm=in_rhythm)
        ]
        runs.sort(key=lambda run: run[:4], reverse=True)
        for length, _, _, _, start, end, cycle, turn in runs:
            if 1 not in taken[start:end]:
                taken[start:end] = b"\1" * length
                lead, stroke = _begun(cycle, turn)
                bars = hands[start].bar, hands[end - 1].bar
                found.append(Found(cycle.name, *bars, lead, stroke, in_rhythm, start, length))
    return tuple(sorted(found, key=lambda each: each.first))


def _begun(cycle: Cycle, turn: int) -> tuple[str, int]:
    """The hand that leads the side in which a run begins, and with which stroke of that side."""
    mirrored = {"R": "L", "L": "R"}[cycle.lead]
    return (cycle.lead if turn < cycle.side else mirrored), turn % cycle.side + 1


def _runs(
    cycle: Cycle, code: Wholes, onset: Wholes, accent: Flags, *, in_rhythm: bool
) -> Iterator[tuple[int, int, int, float]]:
    """The runs of a rudiment: from stroke to stroke, from which of its strokes, and how many of its accents fit."""
    size, period = len(code), len(cycle.codes)
    fewest = cycle.fewest if in_rhythm else max(2 * cycle.side, period, cycle.fewest)
    if size < fewest or not {*cycle.codes[: cycle.side].tolist()} <= {*code.tolist()}:
        return
    gaps = np.diff(onset, append=onset[-1])
    codes, grains, accents = (np.tile(row, size // period + 2) for row in (cycle.codes, cycle.grains, cycle.accents))
    steady = gaps[:-1] == gaps[1:]
    for turn in range(period):
        good = code == codes[turn : turn + size]
        if np.count_nonzero(good) < fewest:
            continue
        own = grains[turn : turn + size]
        even = gaps[:-1] * own[1:] == gaps[1:] * own[:-1] if in_rhythm else steady
        stretches = [*_stretches(good, even, fewest)]
        if stretches:
            wrong = np.cumsum(accents[turn : turn + size] != accent, dtype=np.int64).tolist()
            for start, end in stretches:
                misfits = wrong[end - 1] - (wrong[start - 1] if start else 0)
                yield start, end, (start + turn) % period, 1 - misfits / (end - start)


def _stretches(good: Flags, even: Flags, fewest: int) -> Iterator[tuple[int, int]]:
    """The stretches of good strokes that are long enough.

    ``even`` says of a stroke that it is as far from the next as from the one before, in proportion; where it is not,
    the stretch ends with it and another begins with the next.
    """
    goes_on = good[1:] & good[:-1]
    goes_on[1:] &= even[:-1] | ~goes_on[:-1]
    edges = np.flatnonzero(~np.concatenate([[False], goes_on, [False]]))
    long_enough = np.diff(edges) >= fewest
    yield from zip(edges[:-1][long_enough].tolist(), edges[1:][long_enough].tolist(), strict=True)
