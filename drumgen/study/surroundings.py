"""Surroundings: how the bars that are varied stand in their phrase: their own moments, and their seams.

A *seam* is a hand's way from its last stroke in one bar to its first in another. A bar that comes again is looked at
once, and each different seam once. A landing takes its stroke away from the bar it falls on: there it is fixed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from drumgen.sticking import OTHER_HAND
from drumgen.study.puzzle import Place

if TYPE_CHECKING:
    from collections.abc import Mapping

    from drumgen.kit import Kit
    from drumgen.study.material import Material
    from drumgen.study.moments import Moment, Moments


@dataclass(frozen=True, slots=True)
class Surroundings:
    """One varied bar: its moments by hand, and its seams with what is fixed and with itself."""

    by_hand: dict[str, list[Place]] = field(default_factory=lambda: {"R": [], "L": []})
    seams: list[tuple[Place, Place]] = field(default_factory=list)


class Seam(NamedTuple):
    """A hand's way from one varied bar into another."""

    first_bar: str
    first: Place
    second_bar: str
    second: Place


def surroundings(
    moments: Moments, materials: Mapping[str, Material], kit: Kit
) -> tuple[dict[str, Surroundings], tuple[Seam, ...]]:
    """The surroundings of each varied bar by its name, and the seams between two different ones."""
    walk = _Walk(moments, materials, kit)
    found = {name: Surroundings() for name in materials}
    own_span = {name: walk.own_span(name) for name in materials}
    for hand in ("R", "L"):
        for moment in moments.by_limb[hand]:
            name = walk.name(moment)
            if name in found and moment.span == own_span[name]:
                found[name].by_hand[hand].append(walk.place(moment))
    between: dict[tuple[object, ...], Seam] = {}
    known: set[tuple[object, ...]] = set()
    for hand in ("R", "L"):
        row = moments.by_limb[hand]
        for first, second in zip(row, row[1:], strict=False):
            one, other = walk.place(first), walk.place(second)
            if one.choice is other.choice is None:
                continue
            names = (walk.name(first), walk.name(second))
            key = (hand, *names, _key(one), _key(other), round(second.at_s - first.at_s, 9))
            if key in known or (first.span == second.span == own_span[names[0]]):
                continue
            known.add(key)
            if one.choice is not None and other.choice is not None and names[0] != names[1]:
                between[key] = Seam(names[0], one, names[1], other)
            else:
                found[names[0] if one.choice is not None else names[1]].seams.append((one, other))
    return found, tuple(between.values())


def _key(place: Place) -> tuple[object, ...]:
    moment = place.moment
    fixed = moment.voice.name if place.choice is None else ""
    return (place.choice, fixed, moment.grace, moment.accented, moment.buzz)


class _Walk:
    """Finds the bar and the choice of a moment."""

    def __init__(self, moments: Moments, materials: Mapping[str, Material], kit: Kit) -> None:
        self.played, self.kit = moments.played, kit
        self.numbers = {
            (name, choice.limb, choice.place): number
            for name, material in materials.items()
            for number, choice in enumerate(material.choices)
        }

    def name(self, moment: Moment) -> str:
        span = self.played[moment.span].span
        return span.bar.name if span.bar is not None and span.kind == "bar" else ""

    def own_span(self, name: str) -> int:
        """The span that shows the bar as it is: one that no landing falls on, if there is one."""
        spans = [
            index
            for index, each in enumerate(self.played)
            if each.span.kind == "bar" and each.span.bar is not None and each.span.bar.name == name
        ]
        return next((index for index in spans if not self.played[index].span.landing), spans[0])

    def place(self, moment: Moment) -> Place:
        limb = OTHER_HAND[moment.limb] if moment.grace else moment.limb
        choice = self.numbers.get((self.name(moment), limb, moment.place))
        landing = self.played[moment.span].span.landing
        if landing and moment.place == 0 and not moment.grace:
            landed = {self.kit.voice(name).name for name in landing if self.kit.voice(name).limb == "hands"}
            choice = None if moment.voice.name in landed and moment.accented else choice
        return Place(moment, choice)
