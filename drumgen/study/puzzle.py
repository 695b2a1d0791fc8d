"""The puzzle of one bar: its choices, what each voice costs alone, and what two choices cost together.

All terms of the cost look at one stroke or at two, so the whole is a sum of rows (a choice, a voice) and tables (two
choices, their two voices); what cannot be played or may not be is `NEVER`. Both searches, stroke by stroke and by rule,
add up these rows and tables and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from drumgen.study import cost
from drumgen.study.concerns import crossed
from drumgen.study.demands import factor, need_between
from drumgen.study.figures import REST_S
from drumgen.study.reach import distance_cm

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.kit import Kit, Voice
    from drumgen.study.cost import Cost
    from drumgen.study.material import Material
    from drumgen.study.moments import Moment
    from drumgen.trade.limits import Level as Skill

Points = npt.NDArray[np.int64]
NEVER = 10_000_000
"""More than any cost: what cannot be."""

_SLACK = 1e-9


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
    """A bar to be orchestrated: choices by number, each open to some numbers of ``voices``."""

    material: Material
    voices: tuple[Voice, ...]
    open_to: tuple[tuple[int, ...], ...]
    rows: tuple[Row, ...]
    links: tuple[Link, ...]
    crashes: tuple[bool, ...]
    most_crashes: int

    @property
    def size(self) -> int:
        """How many choices there are."""
        return len(self.open_to)

    def points_alone(self) -> list[Points]:
        """The sum of the rows of each choice; `NEVER` where it is not open to a voice."""
        total = [np.full(len(self.voices), NEVER, dtype=np.int64) for _ in self.open_to]
        for points, numbers in zip(total, self.open_to, strict=True):
            points[list(numbers)] = 0
        for row in self.rows:
            total[row.choice] = total[row.choice] + row.points
        return [np.minimum(points, NEVER) for points in total]

    def points_together(self) -> dict[tuple[int, int], Points]:
        """The sum of the tables of each two choices that have any."""
        total: dict[tuple[int, int], Points] = {}
        for link in self.links:
            key = (link.first, link.second)
            total[key] = np.minimum(total[key] + link.points, NEVER) if key in total else link.points
        return total

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


class Place(NamedTuple):
    """A moment of a hand as the puzzle sees it: the choice whose voice it takes, or None where it is fixed."""

    moment: Moment
    choice: int | None


class Builder:
    """Builds the puzzle of one bar from its moments."""

    def __init__(self, material: Material, kit: Kit, skill: Skill) -> None:
        self.material, self.kit, self.skill = material, kit, skill
        self.voices = material.voices
        self.order = cost.rounds(kit, tuple(voice for voice in self.voices))
        self.rows: list[Row] = []
        self.links: list[Link] = []

    def build(self, playings: Iterable[dict[str, list[Place]]], seams: Iterable[tuple[Place, Place]]) -> Puzzle:
        """The puzzle of the moments of each of the bar's playings, and of its seams with what stays and with itself."""
        material = self.material
        for by_hand in playings:
            for row in by_hand.values():
                for one, other in pairwise(row):
                    self._reach(one, other)
                self._shape(row)
            self._across(by_hand)
        for one, other in seams:
            self._reach(one, other)
        self._single()
        names = [voice.name for voice in self.voices]
        return Puzzle(
            material=material,
            voices=self.voices,
            open_to=tuple(tuple(names.index(name) for name in choice.open_to) for choice in material.choices),
            rows=tuple(self.rows),
            links=tuple(link for link in self.links if link.points.any()),
            crashes=tuple(name in cost.CRASHES for name in names),
            most_crashes=material.crashes,
        )

    def _add(self, term: str, one: int | None, other: int | None, points: Points) -> None:
        """A table of two choices; of one of them where the other is fixed (its table has one line)."""
        if one is None and other is not None:
            self.rows.append(Row(term, other, points[0]))
        elif other is None and one is not None:
            self.rows.append(Row(term, one, points[:, 0]))
        elif one == other and one is not None:
            self.rows.append(Row(term, one, points.diagonal().copy()))
        elif one is not None and other is not None:
            if one > other:
                one, other, points = other, one, points.T
            self.links.append(Link(term, one, other, points))

    def _voices_of(self, place: Place) -> tuple[Voice, ...]:
        return self.voices if place.choice is not None else (place.moment.voice,)

    def _reach(self, one: Place, other: Place) -> None:
        self._add(
            "effort",
            one.choice,
            other.choice,
            reach_points(self._voices_of(one), self._voices_of(other), one, other, self.skill),
        )

    def _table(self, function: object, one: Iterable[Voice], other: Iterable[Voice]) -> Points:
        return np.array([[function(a, b) for b in other] for a in one], dtype=np.int64)  # type: ignore[operator]

    def _shape(self, row: list[Place]) -> None:
        """From one tap of a hand to its next, and from one accent to its next; grace notes are left aside."""
        last: dict[bool, int] = {}
        for place in row:
            if place.choice is None or place.moment.grace:
                continue
            choice = self.material.choices[place.choice]
            accented = choice.stroke.level == "accent"
            before = last.get(accented)
            last[accented] = place.choice
            if before is None:
                continue
            same = self.material.choices[before].figure == choice.figure
            points = self._table(
                lambda a, b, accented=accented, same=same: cost.shape(
                    a, b, accented=accented, same_figure=same, fill=self.material.fill, order=self.order
                ),
                self.voices,
                self.voices,
            )
            self._add("shape", before, place.choice, points)

    def _across(self, by_hand: dict[str, list[Place]]) -> None:
        """From a stroke of one hand to the next of the other: crossing, and company."""
        last: dict[str, Place] = {}
        everything = sorted(
            (place for row in by_hand.values() for place in row),
            key=lambda place: (*_in_time(place.moment), (place.moment.limb == "R") == (self.kit.hand == "left")),
        )
        for place in everything:
            hand = place.moment.limb
            last[hand] = place
            other = last.get("L" if hand == "R" else "R")
            if other is None or abs(place.moment.at_s - other.moment.at_s) >= REST_S:
                continue
            self._meet(other, place)

    def _meet(self, one: Place, other: Place) -> None:
        right_first = one.moment.limb == "R"
        ones, others = self._voices_of(one), self._voices_of(other)
        if one.choice != other.choice:
            crossing = self._table(lambda a, b: NEVER * (crossed(a, b) if right_first else crossed(b, a)), ones, others)
            self._add("company", one.choice, other.choice, crossing)
            if not (one.moment.grace or other.moment.grace):
                points = self._table(lambda a, b: cost.company(a, b, self.kit), ones, others)
                self._add("company", one.choice, other.choice, points)

    def _single(self) -> None:
        """What each choice costs alone, and the line of the carriers."""
        choices = self.material.choices
        lands = self.material.fill and bool(self.material.bar.landing)
        for number, choice in enumerate(choices):
            level = choice.stroke.level
            self._alone(
                "speaking",
                number,
                [cost.speaking(v, level, with_kick=choice.with_kick, kit=self.kit) for v in self.voices],
            )
            if lands:
                last = number + 1 == len(choices) or choices[number + 1].playing != choice.playing
                self._alone("leading", number, [cost.leading(v, self.kit, self.order, last=last) for v in self.voices])
        carriers = [number for number, choice in enumerate(choices) if choice.carrier and self.material.fill]
        for one, other in pairwise(carriers):
            if choices[one].playing == choices[other].playing:
                line = self._table(lambda a, b: cost.direction(a, b, self.order), self.voices, self.voices)
                self._add("direction", one, other, line)

    def _alone(self, term: str, choice: int, points: list[int]) -> None:
        self.rows.append(Row(term, choice, np.array(points, dtype=np.int64)))


def _in_time(moment: Moment) -> tuple[float, bool]:
    return moment.at_s, moment.grace == 0


def reach_points(ones: Sequence[Voice], others: Sequence[Voice], one: Place, other: Place, skill: Skill) -> Points:
    """The effort from each voice of one moment to each of the next of its hand; `NEVER` where there is no time."""
    points = np.zeros((len(ones), len(others)), dtype=np.int64)
    for i, first in enumerate(ones):
        for j, second in enumerate(others):
            begin, end = one.moment._replace(voice=first), other.moment._replace(voice=second)
            need = need_between(begin, end, skill=skill)
            room = factor(begin, end, need.least_ms)
            if room < 1 - _SLACK:
                points[i, j] = NEVER
            elif distance_cm(first, second) > 0:
                points[i, j] = cost.effort(1.0, room)
    return points
