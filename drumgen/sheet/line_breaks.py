"""Line breaks: how many bars stand on each line of music, so that lines are evenly full.

The best division of all is found, as in Knuth and Plass, Breaking Paragraphs into Lines (1981): a line costs the square
of the share of it that is stretched, and more where it is squeezed (by a tenth at most); the last line may stay short,
but not as short as a bar of landing alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_ON_A_LINE = 4
_SQUEEZED = 1.1
_LAST_FULL = 0.7
"""A last line fuller than this is as good as any."""


def line_starts(widths: Sequence[float], *, first: float, later: float, room: float) -> tuple[int, ...]:
    """The indexes of the measures that begin a line.

    ``widths`` are the measures' own, without what begins a line; ``first`` and ``later`` are the widths of the clef and
    what else begins the first line and the others; ``room`` is the line. A measure wider than a line has its own.
    """
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(widths) + 1):
        choices = []
        for start in range(max(0, end - MOST_ON_A_LINE), end):
            used = sum(widths[start:end]) + (later if start else first)
            if used <= room * _SQUEEZED or end - start == 1:
                cost = _cost(used / room, last=end == len(widths) and start > 0)
                choices.append((best[start][0] + cost, start))
        best.append(min(choices))
    starts: list[int] = []
    at = len(widths)
    while at > 0:
        at = best[at][1]
        starts.append(at)
    return tuple(reversed(starts))


def _cost(share: float, *, last: bool) -> float:
    if share > 1:
        return 10 * (share - 1) ** 2 + 0.01
    if last:
        return max(0.0, _LAST_FULL - share) ** 2 + 0.01
    return (1 - share) ** 2 + 0.01
