"""The likeliest row of hands: the cheapest way through all steps, exactly, whatever their number.

Plain numbers in lists, a slice of the steps at a time: two rows of nine states are too small for arrays to be quicker.
Source: the Viterbi algorithm as in L. R. Rabiner 1989, Proc. IEEE 77:257-286, *from memory*.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from drumgen.study.transcribe_costs import LONGEST, Steps

if TYPE_CHECKING:
    from drumgen.study.transcribe_beats import Wholes

SLICE = 4096
NEVER = float("inf")
State = tuple[int, int]
Row = list[list[float]]
Back = tuple[State, State, State, State]
"""Whence the states come that can come from two: of each hand that which the other struck one ago, and the last."""


def likeliest(steps: Steps) -> Wholes:
    """Of every event the hand that struck its first voice."""
    size = len(steps.begin)
    totals = _begun(steps)
    backs: list[Back | tuple[State, State]] = []
    for start in range(0, size, SLICE):
        upto = min(size, start + SLICE)
        same, other = steps.same[start:upto].tolist(), steps.other[start:upto].tolist()
        is_both = steps.is_both[start:upto].tolist()
        first = int(steps.row[start])
        rows = steps.row[start:upto].tolist()
        both = steps.both[first : rows[-1] + 1].tolist()
        for at in range(1 if start == 0 else 0, upto - start):
            if is_both[at]:
                totals, back = _strike_both(totals, both[rows[at] - first])
                backs.append(back)
            else:
                totals, own = _strike(totals, same[at], other[at])
                backs.append(own)
    return _walked(totals, backs, steps.is_both.tolist())


def _begun(steps: Steps) -> Row:
    totals = [[NEVER] * (LONGEST + 1) for _ in range(2)]
    for hand in range(2):
        totals[hand][0 if steps.is_both[0] else LONGEST] = float(steps.begin[0, hand])
    return totals


def _strike(totals: Row, same: Row, other: Row) -> tuple[Row, Back]:
    """The cheapest way to every state after one hand struck, and whence it comes."""
    on = [[one + step for one, step in zip(totals[hand], same[hand], strict=True)] for hand in (0, 1)]
    over = [[one + step for one, step in zip(totals[hand], other[hand], strict=True)] for hand in (0, 1)]
    best = [min(row) for row in over]
    fresh, ones, lasts = [], [], []
    for hand in (0, 1):
        row, change = on[hand], best[1 - hand]
        ones.append((hand, 0) if row[0] <= change else (1 - hand, over[1 - hand].index(change)))
        lasts.append((hand, LONGEST - 1) if row[-2] <= row[-1] else (hand, LONGEST))
        fresh.append([NEVER, min(row[0], change), *row[1:-2], min(row[-2], row[-1])])
    return fresh, (ones[0], ones[1], lasts[0], lasts[1])


def _strike_both(totals: Row, both: list[list[list[float]]]) -> tuple[Row, tuple[State, State]]:
    """As `_strike`, after both hands struck: the two states that say which of them struck the first voice."""
    fresh = [[NEVER] * (LONGEST + 1) for _ in range(2)]
    whence: list[State] = []
    for way in (0, 1):
        cost, state = min(
            (totals[hand][ago] + both[hand][ago][way], (hand, ago)) for hand in (0, 1) for ago in range(LONGEST + 1)
        )
        fresh[way][0] = cost
        whence.append(state)
    return fresh, (whence[0], whence[1])


def _walked(totals: Row, backs: list[Back | tuple[State, State]], is_both: list[bool]) -> Wholes:
    """The hands of the cheapest way, walked back from its end; equal ways end with the right hand."""
    _, hand, ago = min((total, hand, ago) for hand in (0, 1) for ago, total in enumerate(totals[hand]))
    out = np.zeros(len(is_both), dtype=np.int64)
    out[-1] = hand
    for at in range(len(is_both) - 1, 0, -1):
        back = backs[at - 1]
        if is_both[at] or ago == 1:
            hand, ago = back[hand]
        elif ago == LONGEST:
            hand, ago = back[2 + hand]
        else:
            ago -= 1
        out[at - 1] = hand
    return out
