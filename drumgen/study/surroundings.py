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
from drumgen.study.puzzle import Place

if TYPE_CHECKING:
    from collections.abc import Mapping

    from drumgen.kit import Kit
    from drumgen.study.material import Material
    from drumgen.study.moments import Moment, Moments
    from drumgen.study.playings import Playings


@dataclass(frozen=True, slots=True)
class Surroundings:
    """One varied bar: the moments of each of its playings by hand, and its seams with what is fixed and with itself."""

    playings: list[dict[str, list[Place]]]
    seams: list[tuple[Place, Place]] = field(default_factory=list)


class Seam(NamedTuple):
    """A hand's way from one varied bar into another, each moment with its choice."""

    first_bar: str
    first: Place
    one: int
    second_bar: str
    second: Place
    other: int


def surroundings(
    moments: Moments, materials: Mapping[str, Material], playings: Mapping[str, Playings], walk: Walk
) -> tuple[dict[str, Surroundings], tuple[Seam, ...]]:
    """The surroundings of each varied bar by its name, and the seams between two different ones."""
    found = {name: Surroundings([{"R": [], "L": []} for _ in playings[name].shown]) for name in materials}
    between: dict[tuple[object, ...], Seam] = {}
    known: set[tuple[object, ...]] = set()
    for hand in ("R", "L"):
        row = moments.by_limb[hand]
        for moment in row:
            name = walk.name(moment)
            if name in found and moment.span in playings[name].shown:
                found[name].playings[playings[name].which[moment.span]][hand].append(walk.place(moment))
        for first, second in pairwise(row):
            one, other = walk.place(first), walk.place(second)
            names = (walk.name(first), walk.name(second))
            owners = tuple(
                name if place.choice is not None else "" for name, place in zip(names, (one, other), strict=True)
            )
            shown = first.span == second.span and names[0] in found and first.span in playings[names[0]].shown
            key = (hand, *owners, _key(one), _key(other), round(second.at_s - first.at_s, 9))
            if shown or key in known or one.choice is other.choice is None:
                continue
            known.add(key)
            if one.choice is not None and other.choice is not None and names[0] != names[1]:
                between[key] = Seam(names[0], one, one.choice, names[1], other, other.choice)
            else:
                found[names[0] if one.choice is not None else names[1]].seams.append((one, other))
    return found, tuple(between.values())


def _key(place: Place) -> tuple[object, ...]:
    moment = place.moment
    fixed = moment.voice.name if place.choice is None else ""
    return (place.choice, fixed, moment.grace, moment.accented, moment.buzz)


class Walk:
    """Finds the bar and the choice of a moment."""

    def __init__(
        self, moments: Moments, materials: Mapping[str, Material], playings: Mapping[str, Playings], kit: Kit
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

    def name(self, moment: Moment) -> str:
        """The bar that a moment stands in; nothing where it is in none."""
        span = self.played[moment.span].span
        return span.bar.name if span.bar is not None and span.kind == "bar" else ""

    def place(self, moment: Moment) -> Place:
        """The moment with its choice."""
        name = self.name(moment)
        if name not in self.playings:
            return Place(moment, None)
        limb = OTHER_HAND[moment.limb] if moment.grace else moment.limb
        key = (name, self.playings[name].which[moment.span], limb, moment.place)
        if moment.grace and key in self.own_graces:
            return Place(moment, None)
        landing = self.played[moment.span].span.landing
        if landing and moment.place == 0 and not moment.grace and moment.accented:
            landed = {self.kit.voice(voice).name for voice in landing}
            if moment.voice.name in landed:
                return Place(moment, None)
        return Place(moment, self.numbers.get(key))

    def is_varied(self, moment: Moment) -> bool:
        """Whether its voice is a choice, be it of one voice."""
        return self.place(moment).choice is not None
