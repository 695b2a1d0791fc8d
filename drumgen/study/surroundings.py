"""Surroundings: how the bars that are varied stand in their phrase: their own moments, and their seams.

A *seam* is a hand's way from its last stroke in one bar to its first in another. A bar that comes again is looked at
once, and each different seam once. A landing takes its stroke away from the bar it falls on: there it is fixed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from drumgen.sticking import OTHER_HAND
from drumgen.study.material import grace_by_own_map
from drumgen.study.moments import HANDS
from drumgen.study.puzzle import HandMoment

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from drumgen.kit import Kit
    from drumgen.study.material import BarMaterial
    from drumgen.study.moments import Moment, Moments
    from drumgen.study.playings import Playings


@dataclass(frozen=True, slots=True)
class Surroundings:
    """One varied bar: the moments of each of its playings by hand, and its seams with what is fixed and with itself."""

    playings: list[dict[str, list[HandMoment]]]
    seams: list[tuple[HandMoment, HandMoment]] = field(default_factory=list)


class Seam(NamedTuple):
    """A hand's way from one varied bar into another, each moment with its choice."""

    first_bar: str
    first: HandMoment
    one: int
    second_bar: str
    second: HandMoment
    other: int


def surroundings(
    moments: Moments, materials: Mapping[str, BarMaterial], playings: Mapping[str, Playings], finder: ChoiceFinder
) -> tuple[dict[str, Surroundings], tuple[Seam, ...]]:
    """The surroundings of each varied bar by its name, and the seams between two different ones."""
    found = {name: Surroundings([{"R": [], "L": []} for _ in playings[name].shown]) for name in materials}
    for hand in HANDS:
        for moment in moments.by_limb[hand]:
            name = finder.bar(moment)
            if name in found and moment.span in playings[name].shown:
                own = found[name].playings[playings[name].which[moment.span]]
                own[hand].append(finder.with_choice(moment))
    between = []
    for first_bar, one, second_bar, other in _different_ways(moments, playings, finder):
        if one.choice is not None and other.choice is not None and first_bar != second_bar:
            between.append(Seam(first_bar, one, one.choice, second_bar, other, other.choice))
        else:
            found[first_bar if one.choice is not None else second_bar].seams.append((one, other))
    return found, tuple(between)


def _different_ways(
    moments: Moments, playings: Mapping[str, Playings], finder: ChoiceFinder
) -> Iterator[tuple[str, HandMoment, str, HandMoment]]:
    """Each different way of a hand to its next moment, with their bars, but for those inside a playing that is shown.

    Where neither moment has a choice there is nothing to say of it.
    """
    known: set[tuple[object, ...]] = set()
    for hand in HANDS:
        for first, second in pairwise(moments.by_limb[hand]):
            one, other = finder.with_choice(first), finder.with_choice(second)
            bars = finder.bar(first), finder.bar(second)
            shown = first.span == second.span and bars[0] in playings and first.span in playings[bars[0]].shown
            if shown or one.choice is other.choice is None:
                continue
            owners = tuple(bar if each.choice is not None else "" for bar, each in zip(bars, (one, other), strict=True))
            key = (hand, *owners, _key(one), _key(other), round(second.at_s - first.at_s, 9))
            if key not in known:
                known.add(key)
                yield bars[0], one, bars[1], other


def _key(struck: HandMoment) -> tuple[object, ...]:
    moment = struck.moment
    fixed = moment.voice.name if struck.choice is None else ""
    return (struck.choice, fixed, moment.grace, moment.accented, moment.buzz)


class ChoiceFinder:
    """Finds the bar and the choice of a moment."""

    def __init__(
        self, moments: Moments, materials: Mapping[str, BarMaterial], playings: Mapping[str, Playings], kit: Kit
    ) -> None:
        self.played, self.playings, self.kit = moments.played, playings, kit
        self.numbers: dict[tuple[object, ...], int] = {}
        self.own_graces: set[tuple[object, ...]] = set()
        for name, material in materials.items():
            for number, choice in enumerate(material.choices):
                key = (name, choice.playing, choice.limb, choice.place)
                self.numbers[key] = number
                if choice.stroke.grace and grace_by_own_map(choice.stroke, material.bar, kit):
                    self.own_graces.add(key)

    def bar(self, moment: Moment) -> str:
        """The name of the bar that a moment stands in; nothing where it is in none."""
        span = self.played[moment.span].span
        return span.bar.name if span.bar is not None and span.kind == "bar" else ""

    def with_choice(self, moment: Moment) -> HandMoment:
        """The moment with its choice."""
        name = self.bar(moment)
        if name not in self.playings:
            return HandMoment(moment, None)
        limb = OTHER_HAND[moment.limb] if moment.grace else moment.limb
        key = (name, self.playings[name].which[moment.span], limb, moment.place)
        if moment.grace and key in self.own_graces:
            return HandMoment(moment, None)
        landing = self.played[moment.span].span.landing
        if landing and moment.place == 0 and not moment.grace and moment.accented:
            landed = {self.kit.voice(voice).name for voice in landing}
            if moment.voice.name in landed:
                return HandMoment(moment, None)
        return HandMoment(moment, self.numbers.get(key))

    def is_varied(self, moment: Moment) -> bool:
        """Whether its voice is a choice, be it of one voice."""
        return self.with_choice(moment).choice is not None
