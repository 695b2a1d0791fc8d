"""A picture of cost against size, both on scales of decades, as SVG: the points, and dashed the line of slope 1.

The dashed line goes through the last point. Points over it on the left: a cost is paid once; below it: it grows faster.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

WIDTH, HEIGHT, MARGIN = 480, 360, 60


def plot(title: str, points: Sequence[tuple[int, float]]) -> str:
    """The picture of some points of size and seconds, all over 0."""
    spans = tuple(_decades([point[axis] for point in points]) for axis in (0, 1))

    def at(size: float, seconds: float) -> tuple[float, float]:
        x, y = (
            (math.log10(value) - low) / (high - low) for value, (low, high) in zip((size, seconds), spans, strict=True)
        )
        return MARGIN + x * (WIDTH - 2 * MARGIN), HEIGHT - MARGIN - y * (HEIGHT - 2 * MARGIN)

    dots = [at(*point) for point in points]
    size, seconds = points[-1]
    first = max(points[0][0], size * 10 ** spans[1][0] / seconds)  # where the line of slope 1 leaves the picture
    linear = [at(first, seconds * first / size), dots[-1]]
    parts = [
        f'<text x="{WIDTH / 2}" y="24" text-anchor="middle">{title}</text>',
        *_grid(spans, at),
        f'<polyline points="{_row(linear)}" fill="none" stroke="#888" stroke-dasharray="6 4"/>',
        f'<polyline points="{_row(dots)}" fill="none" stroke="#000" stroke-width="1.5"/>',
        *(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>' for x, y in dots),
    ]
    look = f'width="{WIDTH}" height="{HEIGHT}" font-family="sans-serif" font-size="12"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {look}>'
    return "\n".join([head, '<rect width="100%" height="100%" fill="#fff"/>', *parts, "</svg>\n"])


def _decades(values: Sequence[float]) -> tuple[int, int]:
    low, high = math.floor(math.log10(min(values))), math.ceil(math.log10(max(values)))
    return low, max(high, low + 1)


def _row(places: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


def _grid(spans: tuple[tuple[int, int], ...], at: Callable[[float, float], tuple[float, float]]) -> Iterator[str]:
    """A line and a number for each decade of both scales."""
    (left, right), (low, high) = spans
    for decade in range(left, right + 1):
        places = [at(10**decade, 10**low), at(10**decade, 10**high)]
        yield f'<polyline points="{_row(places)}" stroke="#ddd"/>'
        yield f'<text x="{places[0][0]:.1f}" y="{places[0][1] + 18:.1f}" text-anchor="middle">{10**decade:g}</text>'
    for decade in range(low, high + 1):
        places = [at(10**left, 10**decade), at(10**right, 10**decade)]
        yield f'<polyline points="{_row(places)}" stroke="#ddd"/>'
        yield f'<text x="{places[0][0] - 6:.1f}" y="{places[0][1] + 4:.1f}" text-anchor="end">{10.0**decade:g}</text>'
