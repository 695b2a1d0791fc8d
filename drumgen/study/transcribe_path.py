"""The likeliest row of hands: the cheapest way through all steps, exactly, whatever their number.

Plain numbers in lists, a slice of the steps at a time: eighteen states are too few for arrays to be quicker. A state is
one number: the hand that struck last times `WIDTH`, and how many strokes ago the other did.
Source: the Viterbi algorithm as in L. R. Rabiner 1989, Proc. IEEE 77:257-286, *from memory*.
"""

from __future__ import annotations

from operator import add
from typing import TYPE_CHECKING

import numpy as np

from drumgen.study.transcribe_costs import LONGEST, Steps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.study.arrays import Wholes

SLICE = 4096
NEVER = float("inf")
WIDTH = LONGEST + 1
Row = list[float]
Back = tuple[int, ...]
"""Whence the states come that can come from two: of each hand that which the other struck one ago, then the last."""


def likeliest(steps: Steps) -> Wholes:
    """Of every event the hand that struck its first voice."""
    size = len(steps.begin)
    totals = _begun(steps)
    backs: list[Back] = []
    for start in range(0, size, SLICE):
        upto = min(size, start + SLICE)
        same, other = (row[start:upto].reshape(upto - start, 2 * WIDTH).tolist() for row in (steps.same, steps.other))
        is_both = steps.is_both[start:upto].tolist()
        first = int(steps.row[start])
        rows = steps.row[start:upto].tolist()
        both = steps.both[first : rows[-1] + 1].reshape(-1, 2 * WIDTH, 2).swapaxes(1, 2).tolist()
        for at in range(1 if start == 0 else 0, upto - start):
            if is_both[at]:
                totals, back = _strike_both(totals, both[rows[at] - first])
            else:
                totals, back = _strike(totals, same[at], other[at])
            backs.append(back)
    return _walked(totals, backs, steps.is_both.tolist())


def _begun(steps: Steps) -> Row:
    totals = [NEVER] * (2 * WIDTH)
    for hand in range(2):
        totals[hand * WIDTH + (0 if steps.is_both[0] else LONGEST)] = float(steps.begin[0, hand])
    return totals


def _strike(totals: Row, same: Row, other: Row) -> tuple[Row, Back]:
    """The cheapest way to every state after one hand struck, and whence it comes."""
    on, over = [*map(add, totals, same)], [*map(add, totals, other)]
    to_left, to_right = min(over[:WIDTH]), min(over[WIDTH:])
    right, left = on[0], on[WIDTH]
    back = (
        0 if right <= to_right else over.index(to_right, WIDTH),
        WIDTH if left <= to_left else over.index(to_left),
        LONGEST - 1 if on[LONGEST - 1] <= on[LONGEST] else LONGEST,
        WIDTH + LONGEST - 1 if on[-2] <= on[-1] else WIDTH + LONGEST,
    )
    fresh = [NEVER, min(right, to_right), *on[1 : LONGEST - 1], min(on[LONGEST - 1], on[LONGEST])]
    return [*fresh, NEVER, min(left, to_left), *on[WIDTH + 1 : -2], min(on[-2], on[-1])], back


def _strike_both(totals: Row, both: Sequence[Row]) -> tuple[Row, Back]:
    """As `_strike`, after both hands struck: the two states that say which of them struck the first voice."""
    fresh = [NEVER] * (2 * WIDTH)
    whence: list[int] = []
    for way in (0, 1):
        through = [*map(add, totals, both[way])]
        fresh[way * WIDTH] = min(through)
        whence.append(through.index(fresh[way * WIDTH]))
    return fresh, (whence[0], whence[1])


def _walked(totals: Row, backs: list[Back], is_both: list[bool]) -> Wholes:
    """The hands of the cheapest way, walked back from its end; equal ways end with the right hand."""
    state = totals.index(min(totals))
    out = np.zeros(len(is_both), dtype=np.int64)
    out[-1] = state // WIDTH
    for at in range(len(is_both) - 1, 0, -1):
        back, (hand, ago) = backs[at - 1], divmod(state, WIDTH)
        if is_both[at] or ago == 1:
            state = back[hand]
        elif ago == LONGEST:
            state = back[2 + hand]
        else:
            state -= 1
        out[at - 1] = state // WIDTH
    return out
