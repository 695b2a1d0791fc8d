"""Outlines: the data of an SVG path as moves, lines and curves with whole coordinates.

Grammar: Scalable Vector Graphics (SVG) 1.1, chapter 8.3, without arcs and quadratic curves, which the music font does
not use.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

_TOKEN = re.compile(r"[MmLlHhVvCcSsZz]|-?(?:\d+\.?\d*|\.\d+)(?:e-?\d+)?")
_SIZES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Z": 0}


class Step(NamedTuple):
    """One step: ``M`` move, ``L`` line, ``C`` curve, ``Z`` close; ``points`` are absolute, flat."""

    kind: str
    points: tuple[float, ...]


@lru_cache(maxsize=512)
def steps(data: str) -> tuple[Step, ...]:
    """The steps of a path. Raises ValueError where the data is not of the grammar.

    >>> [step.kind for step in steps("M0 0h10v10z")]
    ['M', 'L', 'L', 'Z']
    """
    return tuple(_Pen().steps(data))


class _Pen:
    """Where the pen is, where its figure began, and the last curve's second handle."""

    def __init__(self) -> None:
        self.x = self.y = self.first_x = self.first_y = 0.0
        self.handle: tuple[float, float] | None = None

    def steps(self, data: str) -> Iterator[Step]:
        tokens = _TOKEN.findall(data)
        at, command = 0, ""
        while at < len(tokens):
            if tokens[at].isalpha():
                command = tokens[at]
                at += 1
            elif command in "Mm" and command:
                command = "L" if command == "M" else "l"
            size = _SIZES.get(command.upper(), -1)
            numbers = [float(token) for token in tokens[at : at + size] if not token.isalpha()] if size > 0 else []
            if size < 0 or len(numbers) != size:
                raise ValueError(f"no path: {data[:40]}")
            at += size
            yield self._step(command, numbers)

    def _step(self, command: str, numbers: list[float]) -> Step:
        points = self._absolute(command, numbers)
        kind = command.upper()
        if kind == "Z":
            self.x, self.y, self.handle = self.first_x, self.first_y, None
            return Step("Z", ())
        if kind == "S":
            before = self.handle or (self.x, self.y)
            points = [2 * self.x - before[0], 2 * self.y - before[1], *points]
        self.handle = (points[2], points[3]) if kind in "CS" else None
        self.x, self.y = points[-2:]
        if kind == "M":
            self.first_x, self.first_y = self.x, self.y
        return Step({"H": "L", "V": "L", "S": "C"}.get(kind, kind), tuple(points))

    def _absolute(self, command: str, numbers: list[float]) -> list[float]:
        relative = command.islower()
        if command in "Hh":
            return [numbers[0] + (self.x if relative else 0), self.y]
        if command in "Vv":
            return [self.x, numbers[0] + (self.y if relative else 0)]
        if not relative:
            return numbers
        return [value + (self.y if index % 2 else self.x) for index, value in enumerate(numbers)]
