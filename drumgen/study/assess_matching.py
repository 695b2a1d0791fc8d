"""Matching what was played to what was meant: as many pairs as there can be, and of those the nearest.

Two rows of moments on one line: a pair is at most a window apart, and each moment is in one pair at most. Since all
distances are on a line, the best pairing never crosses, so that dynamic programming finds it exactly: first the most
pairs, then the least sum of distances. The number of pairs is that of a maximum bipartite matching, and so the score of
onsets is the one of mir_eval (C. Raffel et al. 2014, ISMIR, `mir_eval.onset.f_measure`) at the same window.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

ONSET_WINDOW_S = 0.05
ROUNDING_S = 1e-6

Pair = tuple[int, int]
_Best = tuple[int, float]


class OnsetScore(NamedTuple):
    """How onsets agree within a window: the share of those played that were meant, of those meant that were played."""

    precision: float
    recall: float
    f_measure: float


def matched(meant_s: Sequence[float], played_s: Sequence[float], *, window_s: float) -> list[Pair]:
    """The pairs, by index, of two rows of seconds in order."""
    pairs: list[Pair] = []
    for meant, played in _blocks(meant_s, played_s, window_s):
        pairs += _paired(meant_s, played_s, meant, played, window_s)
    return pairs


def _blocks(meant_s: Sequence[float], played_s: Sequence[float], window_s: float) -> Iterator[tuple[range, range]]:
    """Ranges of both rows that have nothing to do with each other: clearly more than a window lies between them."""
    window_s += ROUNDING_S
    i = j = 0
    while i < len(meant_s) and j < len(played_s):
        first = (i, j)
        last_s = min(meant_s[i], played_s[j])
        while True:
            if i < len(meant_s) and meant_s[i] - last_s <= window_s:
                last_s, i = max(last_s, meant_s[i]), i + 1
            elif j < len(played_s) and played_s[j] - last_s <= window_s:
                last_s, j = max(last_s, played_s[j]), j + 1
            else:
                break
        yield range(first[0], i), range(first[1], j)


def _paired(
    meant_s: Sequence[float], played_s: Sequence[float], meant: range, played: range, window_s: float
) -> list[Pair]:
    """The best pairs of two ranges."""
    if not meant or not played:
        return []
    rows: list[list[_Best]] = [[(0, 0.0)] * (len(played) + 1)]
    for i in meant:
        above, row = rows[-1], [(0, 0.0)]
        for index, j in enumerate(played):
            best = max(above[index + 1], row[index])
            if played_s[j] - window_s <= meant_s[i] <= played_s[j] + window_s:  # the edges as mir_eval has them
                count, cost = above[index]
                best = max(best, (count + 1, cost - abs(meant_s[i] - played_s[j])))
            row.append(best)
        rows.append(row)
    return _walked(rows, meant, played)


def _walked(rows: list[list[_Best]], meant: range, played: range) -> list[Pair]:
    pairs: list[Pair] = []
    i, j = len(meant), len(played)
    while i and j:
        if rows[i][j] == rows[i - 1][j]:
            i -= 1
        elif rows[i][j] == rows[i][j - 1]:
            j -= 1
        else:
            i, j = i - 1, j - 1
            pairs.append((meant[i], played[j]))
    return pairs[::-1]


def onset_score(meant_s: Sequence[float], played_s: Sequence[float], *, window_s: float = ONSET_WINDOW_S) -> OnsetScore:
    """The onset score of two rows of seconds in order; of nothing it is 0."""
    if not meant_s or not played_s:
        return OnsetScore(0.0, 0.0, 0.0)
    pairs = len(matched(meant_s, played_s, window_s=window_s))
    precision, recall = pairs / len(played_s), pairs / len(meant_s)
    return OnsetScore(precision, recall, 2 * precision * recall / (precision + recall) if pairs else 0.0)
