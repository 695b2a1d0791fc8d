"""Hands: which hand struck each stroke, by a hidden Markov model, and how sure that is.

A state is the hand that struck last and how many strokes ago the other did (`LONGEST` at most), so that both hands'
places and both their rests are known; where both struck at once (two voices, or a flam) it is which struck what. What a
step costs stands in `transcribe_costs`. Forward and backward passes (L. R. Rabiner 1989, Proc. IEEE 77:257-286, *from
memory*) give each stroke the chance of each hand. The hands that are told are the likeliest row as a whole (A. J.
Viterbi's path): stroke by stroke the likelier hand could make a row that nobody would play.

The chances of long takes are worked out in pieces side by side, each begun `MARGIN` strokes before it and ended as many
after it: what is farther away than that has no say. A take of one piece is exact, and so is the row of hands always.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.transcribe_costs import LONGEST, RIGHT, Steps, step_costs
from drumgen.study.transcribe_path import likeliest

if TYPE_CHECKING:
    from drumgen.study.arrays import Flags, Numbers, Wholes
    from drumgen.study.transcribe_costs import Events, Model

PIECE, MARGIN = 768, 64


class Hands(NamedTuple):
    """Of every event the hand that struck its first voice (0 right, 1 left), and the chance that it did."""

    hand: Wholes
    sure: Numbers


def find_hands(events: Events, model: Model) -> Hands:
    """The chances of the hands of some events."""
    size = len(events.at_s)
    if not size:
        return Hands(np.zeros(0, dtype=np.int64), np.zeros(0))
    costs = step_costs(events, model)
    begin, same, other, both = (np.exp(-row) for row in costs[:4])
    steps = Steps(begin, same, other, both, costs.is_both, costs.row)
    count = max(1, -(-size // PIECE))
    starts = np.arange(count) * PIECE
    span = min(size, PIECE + 2 * MARGIN) if count > 1 else size
    rows = np.clip(starts[:, None] - (MARGIN if count > 1 else 0) + np.arange(span)[None, :], 0, size)
    rows[0] = np.minimum(np.arange(span), size)
    chances = _pass(steps, rows, size)
    out = np.zeros(size)
    for piece in range(count):
        own = np.arange(piece * PIECE, min((piece + 1) * PIECE, size))
        out[own] = chances[piece, own - rows[piece, 0]]
    hand = likeliest(costs)
    return Hands(hand, np.where(hand == RIGHT, out, 1 - out))


def _pass(steps: Steps, rows: Wholes, size: int) -> Numbers:
    """Forward and backward through all pieces at once: the chance of the right hand, *(piece, place)*.

    ``rows`` are the events of each piece, *(piece, place)*; ``size``, one beyond the last event, is none.
    """
    pieces, span = rows.shape
    width = LONGEST + 1
    alpha = np.zeros((span, pieces, 2, width))
    start = steps.begin
    for at in range(span):
        index = np.minimum(rows[:, at], size - 1)
        both = steps.is_both[index]
        if at == 0:
            fresh = np.zeros((pieces, 2, width))
            fresh[:, :, 0] = np.where(both[:, None], start[index], 0)
            fresh[:, :, LONGEST] = np.where(both[:, None], 0, start[index])
        else:
            fresh = _forward(alpha[at - 1], steps, index, both)
        fresh /= np.maximum(fresh.sum(axis=(1, 2), keepdims=True), 1e-300)
        over = (rows[:, at] >= size)[:, None, None]
        alpha[at] = np.where(over, alpha[at - 1] if at else fresh, fresh)
    chances = np.zeros((pieces, span))
    beta = np.ones((pieces, 2, width))
    for at in range(span - 1, -1, -1):
        now = alpha[at] * beta
        now /= np.maximum(now.sum(axis=(1, 2), keepdims=True), 1e-300)
        chances[:, at] = now[:, RIGHT].sum(axis=1)
        if at:
            index = np.minimum(rows[:, at], size - 1)
            fresh = _backward(beta, steps, index, steps.is_both[index])
            fresh /= np.maximum(fresh.max(axis=(1, 2), keepdims=True), 1e-300)
            beta = np.where((rows[:, at] >= size)[:, None, None], beta, fresh)
    return chances


def _forward(alpha: Numbers, steps: Steps, index: Wholes, both: Flags) -> Numbers:
    """The chances of the states *(piece, hand, ago)* one event on; ``index`` and ``both`` have a value a piece."""
    fresh = np.zeros_like(alpha)
    same, other = alpha * steps.same[index], (alpha * steps.other[index]).sum(axis=2)
    fresh[:, :, 2:] = same[:, :, 1:-1]
    fresh[:, :, LONGEST] += same[:, :, LONGEST]
    fresh[:, :, 1] = same[:, :, 0] + other[:, ::-1]
    if both.any():
        paired = np.einsum("phn,phna->pa", alpha, steps.both[steps.row[index]])
        struck = np.zeros_like(fresh)
        struck[:, :, 0] = paired
        fresh = np.where(both[:, None, None], struck, fresh)
    return fresh


def _backward(beta: Numbers, steps: Steps, index: Wholes, both: Flags) -> Numbers:
    """As `_forward`, one event back."""
    after = np.zeros_like(beta)
    after[:, :, 1:-1] = beta[:, :, 2:]
    after[:, :, LONGEST] = beta[:, :, LONGEST]
    after[:, :, 0] = beta[:, :, 1]
    fresh = steps.same[index] * after + steps.other[index] * beta[:, ::-1, 1][:, :, None]
    if both.any():
        paired = np.einsum("phna,pa->phn", steps.both[steps.row[index]], beta[:, :, 0])
        fresh = np.where(both[:, None, None], paired, fresh)
    return fresh
