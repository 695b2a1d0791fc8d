"""Builder: from the moments of one bar, with its seams, to the rows and tables of its puzzles."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from drumgen.study import cost
from drumgen.study.crossing import crossed
from drumgen.study.demands import factor, is_enough, need_between
from drumgen.study.figures import REST_S
from drumgen.study.puzzle import NEVER, Link, Puzzle, Row
from drumgen.study.reach import distance_cm

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from drumgen.kit import Kit, Voice
    from drumgen.study.material import BarMaterial
    from drumgen.study.puzzle import HandMoment, Points
    from drumgen.trade.limits import Skill

Pair = Callable[["Voice", "Voice"], int]


class Builder:
    """Builds the puzzles of one bar from its moments: one for each rule of the foot, which changes single rows alone.

    ``playings`` are the moments of each of the bar's playings, ``seams`` those with what stays and with itself.
    """

    def __init__(
        self,
        material: BarMaterial,
        kit: Kit,
        skill: Skill,
        playings: Iterable[dict[str, list[HandMoment]]],
        seams: Iterable[tuple[HandMoment, HandMoment]],
    ) -> None:
        self.material, self.kit, self.skill = material, kit, skill
        self.voices = material.voices
        self.order = cost.drum_order(kit, self.voices)
        self.rows: list[Row] = []
        self.links: list[Link] = []
        self._tables: dict[tuple[object, ...], Points] = {}
        for by_hand in playings:
            for row in by_hand.values():
                for one, other in pairwise(row):
                    self._reach(one, other)
                self._shape(row)
            self._across(by_hand)
        for one, other in seams:
            self._reach(one, other)
        self._leading()
        self._direction()
        self.links = [link for link in self.links if link.points.any()]
        self.together = _together(self.links)

    def puzzle(self, material: BarMaterial) -> Puzzle:
        """The puzzle of the bar; ``material`` is the builder's own with the kick where a rule puts it."""
        names = [voice.name for voice in self.voices]
        open_to = tuple(tuple(names.index(name) for name in choice.open_to) for choice in material.choices)
        rows = (*self.rows, *self._speaking(material))
        return Puzzle(
            material=material,
            voices=self.voices,
            open_to=open_to,
            rows=rows,
            links=tuple(self.links),
            alone=_alone(rows, open_to, len(names)),
            together=self.together,
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

    def _voices_of(self, struck: HandMoment) -> tuple[Voice, ...]:
        return self.voices if struck.choice is not None else (struck.moment.voice,)

    def _reach(self, one: HandMoment, other: HandMoment) -> None:
        before, after = one.moment, other.moment
        key = (
            before.voice.name if one.choice is None else "",
            after.voice.name if other.choice is None else "",
            (before.buzz, after.buzz, after.accented),
            (before.grace, before.late_s, after.grace, after.early_s),
            round(after.at_s - before.at_s, 9),
        )
        if key not in self._tables:
            self._tables[key] = reach_points(self._voices_of(one), self._voices_of(other), one, other, self.skill)
        self._add("effort", one.choice, other.choice, self._tables[key])

    def _table(self, key: tuple[object, ...], function: Pair, one: Iterable[Voice], other: Iterable[Voice]) -> Points:
        """What a function says of each two voices; ``key`` tells it from the others."""
        if key not in self._tables:
            self._tables[key] = np.array([[function(a, b) for b in other] for a in one], dtype=np.int64)
        return self._tables[key]

    def _shape(self, row: list[HandMoment]) -> None:
        """From a hand's tap to its next, its accent to its next, and between both; grace notes are left aside."""
        last: dict[bool, int] = {}
        latest: int | None = None
        for struck in row:
            if struck.choice is None or struck.moment.grace:
                continue
            choice = self.material.choices[struck.choice]
            accented = choice.stroke.level == "accent"
            before = last.get(accented)
            if latest is not None and latest != before and self.material.choices[latest].figure == choice.figure:
                self._add("shape", latest, struck.choice, self._accent_and_taps())
            last[accented] = latest = struck.choice
            if before is None:
                continue
            same = self.material.choices[before].figure == choice.figure
            points = self._table(
                ("shape", accented, same),
                lambda a, b, accented=accented, same=same: cost.shape(  # type: ignore[misc]
                    a, b, accented=accented, same_figure=same, fill=self.material.fill, order=self.order
                ),
                self.voices,
                self.voices,
            )
            self._add("shape", before, struck.choice, points)

    def _accent_and_taps(self) -> Points:
        return self._table(
            ("accent and taps",), lambda a, b: cost.accent_and_taps(a, b, self.kit), self.voices, self.voices
        )

    def _across(self, by_hand: dict[str, list[HandMoment]]) -> None:
        """From a stroke of one hand to the next of the other: crossing, and company."""
        last: dict[str, HandMoment] = {}
        everything = sorted(
            (struck for row in by_hand.values() for struck in row),
            key=lambda each: (*each.moment.order, (each.moment.limb == "R") == (self.kit.hand == "left")),
        )
        for struck in everything:
            hand = struck.moment.limb
            last[hand] = struck
            other = last.get("L" if hand == "R" else "R")
            if other is None or abs(struck.moment.at_s - other.moment.at_s) >= REST_S:
                continue
            self._meet(other, struck)

    def _meet(self, one: HandMoment, other: HandMoment) -> None:
        right_first = one.moment.limb == "R"
        ones, others = self._voices_of(one), self._voices_of(other)
        fixed = tuple(each.moment.voice.name if each.choice is None else "" for each in (one, other))
        if one.choice != other.choice:
            crossing = self._table(
                ("crossing", right_first, *fixed),
                lambda a, b: NEVER * (crossed(a, b) if right_first else crossed(b, a)),
                ones,
                others,
            )
            self._add("company", one.choice, other.choice, crossing)
            if not (one.moment.grace or other.moment.grace):
                points = self._table(("company", *fixed), lambda a, b: cost.company(a, b, self.kit), ones, others)
                self._add("company", one.choice, other.choice, points)

    def _speaking(self, material: BarMaterial) -> Iterator[Row]:
        """What each choice costs alone, with the kick where it is or not."""
        known: dict[tuple[object, ...], Points] = {}
        for number, choice in enumerate(material.choices):
            level, with_kick = choice.stroke.level, choice.with_kick
            if (level, with_kick) not in known:
                points = [cost.speaking(voice, level, with_kick=with_kick, kit=self.kit) for voice in self.voices]
                known[level, with_kick] = np.array(points, dtype=np.int64)
            yield Row("speaking", number, known[level, with_kick])

    def _leading(self) -> None:
        """What each choice costs before a landing."""
        choices = self.material.choices
        if not (self.material.fill and self.material.bar.landing):
            return
        for number, choice in enumerate(choices):
            last = number + 1 == len(choices) or choices[number + 1].playing != choice.playing
            points = [cost.leading(voice, self.kit, self.order, last=last) for voice in self.voices]
            self.rows.append(Row("leading", number, np.array(points, dtype=np.int64)))

    def _direction(self) -> None:
        """The line of the carriers."""
        choices = self.material.choices
        carriers = [number for number, choice in enumerate(choices) if choice.carrier and self.material.fill]
        for one, other in pairwise(carriers):
            if choices[one].playing == choices[other].playing:
                line = self._table(
                    ("direction",), lambda a, b: cost.direction(a, b, self.order), self.voices, self.voices
                )
                self._add("direction", one, other, line)


def reach_points(
    ones: Sequence[Voice], others: Sequence[Voice], one: HandMoment, other: HandMoment, skill: Skill
) -> Points:
    """The effort from each voice of one moment to each of the next of its hand; `NEVER` where there is no time."""
    points = np.zeros((len(ones), len(others)), dtype=np.int64)
    ends = [other.moment._replace(voice=voice) for voice in others]
    for i, first in enumerate(ones):
        begin = one.moment._replace(voice=first)
        for j, (end, second) in enumerate(zip(ends, others, strict=True)):
            need = need_between(begin, end, skill=skill)
            room = factor(begin, end, need.least_ms)
            if not is_enough(room):
                points[i, j] = NEVER
            elif distance_cm(first, second) > 0:
                points[i, j] = cost.effort(1.0, room)
    return points


def _alone(rows: Iterable[Row], open_to: Sequence[tuple[int, ...]], voices: int) -> tuple[Points, ...]:
    total = [np.full(voices, NEVER, dtype=np.int64) for _ in open_to]
    for points, numbers in zip(total, open_to, strict=True):
        points[list(numbers)] = 0
    for row in rows:
        total[row.choice] += row.points
    return tuple(np.minimum(points, NEVER) for points in total)


def _together(links: Iterable[Link]) -> dict[tuple[int, int], Points]:
    total: dict[tuple[int, int], Points] = {}
    for link in links:
        key = (link.first, link.second)
        total[key] = np.minimum(total[key] + link.points, NEVER) if key in total else link.points
    return total
