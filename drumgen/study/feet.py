"""Feet: the rules a bass-drum foot can follow in a bar, and whether the foot can do it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from drumgen.bar import FOLLOWS, FootLine
from drumgen.counts import Places
from drumgen.plan import arrange
from drumgen.study import cost
from drumgen.study.demands import asked_of
from drumgen.study.material import kick_places
from drumgen.study.moments import moments_of
from drumgen.study.playings import played_with

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from drumgen.bar import Bar, Follow, Layer
    from drumgen.kit import Kit
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.practice import Practice
    from drumgen.study.demands import Asked
    from drumgen.study.parts import SaidByParts
    from drumgen.study.playings import Playings
    from drumgen.trade.limits import Skill

AS_WRITTEN = None
NO_FOOT = "none"
FOOT_RULES: tuple[str | None, ...] = (AS_WRITTEN, *FOLLOWS, NO_FOOT)


def foot_rules(bar: Bar, kit: Kit, keep: tuple[str, ...], said: SaidByParts) -> tuple[str | None, ...]:
    """The rules that the kick may follow in a bar.

    Only as written in a groove, where its sticking has the foot, or where a part of it has a kick of its own.
    """
    has_kick = any(voice.limb == "kick foot" for voice in kit.voices.values())
    layers = [bar.layer, *(part.layer for part in bar.parts)]
    in_sticking = any(sign.limb == "K" for layer in layers if layer.sticking for sign in layer.sticking.signs)
    if bar.role == "groove" or in_sticking or said.kick or "feet" in keep or not has_kick:
        return (AS_WRITTEN,)
    return FOOT_RULES


def with_foot(bar: Bar, kit: Kit, rule: str | None) -> Bar:
    """The bar and its parts with their kick under a rule."""
    if rule is AS_WRITTEN:
        return bar
    parts = tuple(replace(part, layer=_ruled(part.layer, kit, rule)) for part in bar.parts)
    return replace(bar, layer=_ruled(bar.layer, kit, rule), parts=parts)


def _ruled(layer: Layer, kit: Kit, rule: str) -> Layer:
    others = tuple(line for line in layer.feet if line.limb != "K")
    voice = kit.foot_voice("K")
    line = FootLine(("feet", voice), voice, "K", rule_of_line(rule))
    return replace(layer, feet=others if rule == NO_FOOT else (*others, line))


def rule_of_line(rule: str) -> Places | Follow:
    """What the kick's line says under a rule: what it follows, or, with no kick, no places."""
    return next((each for each in FOLLOWS if each == rule), Places())


def kicked(plan: Plan, bar: Bar, playings: Playings) -> tuple[frozenset[int], ...]:
    """Where the kick plays in each playing of a bar."""
    played = played_with(plan, bar)
    return tuple(kick_places(played[span].laid) for span in playings.shown)


class Footwork:
    """Whether the feet of a phrase can play its bars under some rules, and how busy they are."""

    def __init__(self, phrase: Phrase, practice: Practice, skill: Skill) -> None:
        self.phrase, self.practice, self.skill = phrase, practice, skill
        self._known: dict[tuple[tuple[str, str], ...], list[tuple[str, Asked]]] = {}

    def asked(self, rules: Mapping[str, str | None]) -> list[tuple[str, Asked]]:
        """What is asked of the kick foot, with the name of the bar it stands in, if it is one."""
        key = tuple(sorted((name, rule) for name, rule in rules.items() if rule is not AS_WRITTEN))
        if key not in self._known:
            self._known[key] = list(self._asked(rules))
        return self._known[key]

    def _asked(self, rules: Mapping[str, str | None]) -> Iterator[tuple[str, Asked]]:
        kit = self.phrase.kit
        bars = {name: with_foot(bar, kit, rules.get(name)) for name, bar in self.phrase.bars.items()}
        moments = moments_of(arrange(replace(self.phrase, bars=bars), self.practice))
        for each in asked_of(moments, "K", skill=self.skill):
            first, second = (moments.played[moment.span].span.bar for moment in (each.demand.first, each.demand.second))
            yield first.name if first is not None and first is second else "", each

    def playable(self, rules: Mapping[str, str | None]) -> bool:
        """Whether the foot has the time it needs everywhere."""
        return all(each.demand.is_met for _, each in self.asked(rules))

    def points(self, name: str, rule: str | None) -> int:
        """What a rule for the foot costs in one bar."""
        busy = [
            times * cost.FOOT_EFFORT * min(1.0, 1 / demand.factor) ** 2
            for bar, (demand, times) in self.asked({name: rule})
            if bar == name and demand.middle is None
        ]
        playings = max(1, sum(each == name for each in self.phrase.order))
        other = 0 if rule is AS_WRITTEN else cost.SILENT_FOOT if rule == NO_FOOT else cost.OTHER_FOOT
        return round(sum(busy) / playings) + other
