"""The ground a lesson's bars stand on: one setting of its material, its beats, and the bars that are made there.

A bar is a table as a phrase file says it, without its name. Every bar comes in both leads: the second is ``like`` the
first, led by the other hand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from typing import TYPE_CHECKING, Any

from drumgen.meter import parse_meter
from drumgen.sticking import Sign, Sticking
from drumgen.subdivision import places_in
from drumgen.trade.rudiments import find_rudiment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.meter import Meter
    from drumgen.study.lesson_material import LessonMaterial, Setting

Table = dict[str, Any]
Bars = dict[str, Table]
CHANGE = "change over"
"""A bar in which the hands rest before they begin with the other lead or on other drums."""


@dataclass(frozen=True)
class Ground:
    """A material in one of its settings."""

    material: LessonMaterial
    setting: Setting

    @cached_property
    def meter(self) -> Meter:
        """Its meter."""
        return parse_meter(self.setting.meter)

    @cached_property
    def beats(self) -> tuple[int, ...]:
        """The count that each beat begins on: 1, 3 and 5 in 7/8 2+2+3."""
        starts = [count.start for count in self.meter.counts]
        return tuple(starts.index(beat.start) + 1 for beat in self.meter.beats)

    @cached_property
    def signs(self) -> tuple[Sign, ...]:
        """What stands on each place of its first bar; not for a rudiment in its own rhythm."""
        signs = self.material.sticking.signs
        number = sum(places_in(self.setting.subdivision, beat.grains) for beat in self.meter.beats)
        return tuple(signs[place % len(signs)] for place in range(number))

    def struck(self, *, start: int = 1) -> tuple[int, ...]:
        """The beats, by their counts, on which a hand strikes, when the sticking begins with this stroke."""
        struck = self._struck_places(start)
        return tuple(count for count, beat in zip(self.beats, self.meter.beats, strict=True) if beat.start in struck)

    def _struck_places(self, start: int) -> set[int]:
        signs = self.material.sticking.started_at(start).signs
        if self.material.rudiment:
            rudiment = find_rudiment(self.material.rudiment)
            once = [*rudiment.durations[:-1], rudiment.durations[-1] + rudiment.rest]
            lengths = once * (len(signs) // len(once))
            lengths = lengths[start - 1 :] + lengths[: start - 1]
        else:
            number = len(self.signs)
            lengths = [self.meter.grains // number] * len(signs)
        places: set[int] = set()
        at = 0
        while at < self.meter.grains:
            for sign, length in zip(signs, lengths, strict=True):
                if sign.by_hand:
                    places.add(at)
                at += length
        return places

    @property
    def back(self) -> tuple[int, ...]:
        """The counts of the backbeat: 2 and 4; 3 where there are three beats."""
        return (self.beats[2],) if len(self.beats) == 3 else self.beats[1::2]

    @property
    def down(self) -> tuple[int, ...]:
        """The counts of the other beats."""
        return tuple(count for count in self.beats if count not in self.back)

    def bar(self, **said: Any) -> Table:  # noqa: ANN401 - what a phrase file's bar says
        """A bar of the material here."""
        return {**self.material.keys, **self.setting.keys, **said}

    def on_beats(self) -> Table:
        """A bar in which only what falls on the beats is played; the whole where that is nothing."""
        if self.material.rudiment:
            return self.bar()
        places = list(
            accumulate((places_in(self.setting.subdivision, beat.grains) for beat in self.meter.beats[:-1]), initial=0)
        )
        signs = [sign if place in places else Sign("-") for place, sign in enumerate(self.signs)]
        if all(sign.limb == "-" for sign in signs):
            return self.bar()
        return {**self.bar(), "sticking": str(Sticking(tuple(signs)))}

    def accented(self, stroke: int) -> Table:
        """A bar in which one stroke of the side, counted from 1, is accented each time it comes round."""
        sticking = self.material.sticking
        signs = list(sticking.signs)
        index = self.material.hand_places[stroke - 1]
        for place in range(index, len(signs), self.material.side):
            signs[place] = replace(signs[place], level="accent")
        return {**self.bar(), "sticking": str(Sticking(tuple(signs)))}

    def both(self, name: str, table: Table) -> Bars:
        """A bar by its name, and the same led by the other hand."""
        return {name: table, **self.other_lead(name)}

    def other_lead(self, name: str) -> Bars:
        """The bar that is like another and led by the other hand; none where both hands play everything."""
        if not self.material.leads:
            return {}
        hand = self.material.leads[1]
        return {f"{name}, other lead": {"like": name, "lead": hand}}

    def parted(self, *parts: Sequence[str]) -> tuple[str, ...]:
        """Parts of a phrase in order, each with a bar to change over after it, as the phrase goes round."""
        rows = [part for part in parts if part]
        return tuple(name for part in rows for name in ((*part, CHANGE) if len(rows) > 1 else part))

    @property
    def change(self) -> Bars:
        """The bar to change over: the hi-hat foot keeps the beats, the hands rest."""
        return {CHANGE: {"feet": {"hihat-foot": counted(self.beats)}}}

    @property
    def kick(self) -> str:
        """A bass drum under a groove: the beats without the backbeat, and one push before the middle."""
        places = [str(count) for count in self.down]
        push = {"triplets": "l"}.get(self.setting.subdivision, "&")
        if len(self.beats) >= 4 and not self.setting.unit:
            places.insert(1, f"{self.beats[1]}{push}")
        return " ".join(places)


def counted(counts: tuple[int, ...]) -> str:
    """Counts as a phrase file says them."""
    return " ".join(map(str, counts))
