"""The puzzle of one bar: its choices, what each voice costs alone, and what two choices cost together.

All terms of the cost look at one stroke or at two, so the whole is a sum of rows (a choice, a voice) and tables (two
choices, their two voices); what cannot be played or may not be is `NEVER`. Both searches, stroke by stroke and by rule,
add up these rows and tables and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from drumgen.study import cost
from drumgen.study.arrays import Wholes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Voice
    from drumgen.study.cost import Cost
    from drumgen.study.material import BarMaterial
    from drumgen.study.moments import Moment

Points = Wholes
"""Costs: *(voice)* on one choice, *(voice of the first, voice of the second)* on two."""

NEVER = 10_000_000
"""More than any cost: what cannot be."""


class Row(NamedTuple):
    """What each voice costs on one choice, in one term; a limit has no term."""

    term: str
    choice: int
    points: Points


class Link(NamedTuple):
    """What two choices cost together, by the voice of the first and of the second, in one term."""

    term: str
    first: int
    second: int
    points: Points


@dataclass(frozen=True, eq=False, slots=True)
class Puzzle:
    """A bar to be orchestrated: choices by number, each open to some numbers of ``voices``.

    ``alone`` is the sum of the rows of each choice, `NEVER` where it is not open to a voice, or where the seams with
    other bars leave it no way; ``together`` the sum of the tables of each two choices that have any.
    """

    material: BarMaterial
    voices: tuple[Voice, ...]
    open_to: tuple[tuple[int, ...], ...]
    rows: tuple[Row, ...]
    links: tuple[Link, ...]
    alone: tuple[Points, ...]
    together: dict[tuple[int, int], Points]
    crashes: tuple[bool, ...]
    most_crashes: int

    @property
    def size(self) -> int:
        """How many choices there are."""
        return len(self.open_to)

    def cost_of(self, numbers: Sequence[int]) -> Cost | None:
        """The cost of one orchestration by its terms; None where it cannot be."""
        found = dict.fromkeys(cost.TERMS, 0)
        if any(number not in known for number, known in zip(numbers, self.open_to, strict=True)):
            return None
        if (
            sum(self.crashes[number] and len(self.open_to[i]) > 1 for i, number in enumerate(numbers))
            > self.most_crashes
        ):
            return None
        parts = [(row.term, int(row.points[numbers[row.choice]])) for row in self.rows]
        parts += [(link.term, int(link.points[numbers[link.first], numbers[link.second]])) for link in self.links]
        for term, points in parts:
            if points >= NEVER:
                return None
            if points:
                found[term] += points
        return cost.Cost(**found)


class HandMoment(NamedTuple):
    """A moment of a hand as the puzzle sees it: the choice whose voice it takes, or None where it is fixed."""

    moment: Moment
    choice: int | None
