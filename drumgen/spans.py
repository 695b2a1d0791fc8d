"""Spans: the bars of a plan, played or silent, in the order they sound. Whole grains only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.levels import Hairpin

if TYPE_CHECKING:
    from fractions import Fraction

    from drumgen.bar import Bar
    from drumgen.feel import Feel
    from drumgen.meter import Meter

Kind = Literal["bar", "landing", "count-in", "empty", "answer", "rest"]
"""A bar of the phrase; the bar added for a last landing; counted in; empty for a first grace note; the player's answer
to what was played; a rest for the hands."""


_UNMARKED = Hairpin()


class Click(NamedTuple):
    """One click: its place in grains from the bar's start, and whether it is the marked one."""

    place: int
    accented: bool


@dataclass(frozen=True, slots=True)
class Span:
    """One bar of a plan: where it starts, in what meter and tempo (quarters a minute, at its start and its end).

    ``landing`` names the voices struck on its downbeat after a fill; ``number`` is the bar's number in the phrase.
    """

    kind: Kind
    start: int
    meter: Meter
    quarters: tuple[Fraction, Fraction]
    feel: Feel
    bar: Bar | None = None
    number: int = 0
    pass_number: int = 0
    landing: tuple[str, ...] = ()
    clicks: tuple[Click, ...] = ()

    @property
    def lands(self) -> tuple[str, ...]:
        """The voices that are struck on the downbeat after it; none after a groove."""
        if self.bar is None or self.kind != "bar" or self.bar.role == "groove":
            return ()
        return self.bar.landing

    def per_mille(self, place: int) -> int:
        """The dynamics at a place of it, in per mille of mezzo-forte."""
        hairpin = (self.bar.dynamics if self.bar is not None and self.kind == "bar" else None) or _UNMARKED
        return hairpin.per_mille(place, self.meter.grains)

    @property
    def label(self) -> str:
        """Its role and name, as a marker says them."""
        return f"{self.bar.role} {self.bar.name}" if self.kind == "bar" and self.bar else self.kind
