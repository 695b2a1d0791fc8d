"""Playings: the different ways in which a bar of a phrase comes out each time it is played.

Most bars come out alike. One whose sticking is carried over the bar line comes out differently until it comes round; by
rule, each of its playings is one of its own, as a way around the drums is carried on too. A landing changes the
downbeat of the bar it falls on: such a playing is like another if all else is alike.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from drumgen.errors import DrumgenError, Fault
from drumgen.strokes import strokes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.bar import Bar
    from drumgen.layout import Stroke
    from drumgen.plan import Plan
    from drumgen.strokes import Played

MOST_CARRIED = 32


class Playings(NamedTuple):
    """The playings of one bar: the span that shows each, and, by the index of each of its spans, which one it is."""

    shown: tuple[int, ...]
    which: dict[int, int]


def playings_of(name: str, played: Sequence[Played], *, by_rule: bool = False) -> Playings:
    """The playings of the bar of that name, in the order of the phrase; those without a landing first.

    Raises DrumgenError where, by rule, a carried one is played more than 32 times.
    """
    own = [
        i for i, each in enumerate(played) if each.span.kind == "bar" and each.span.bar and each.span.bar.name == name
    ]
    own.sort(key=lambda i: bool(played[i].span.landing))
    bar = played[own[0]].span.bar
    if by_rule and bar is not None and bar.layer.across == "carry":
        if len(own) > MOST_CARRIED:
            rule = f'"{name}", whose sticking is carried over the bar line, at most {MOST_CARRIED} times'
            raise DrumgenError(Fault(rule, got=str(len(own)), path=("bars",)))
        return Playings(tuple(own), {span: number for number, span in enumerate(own)})
    shown: list[int] = []
    which: dict[int, int] = {}
    for i in own:
        alike = (n for n, other in enumerate(shown) if _alike(played[i], played[other]))
        number = next(alike, len(shown))
        if number == len(shown):
            shown.append(i)
        which[i] = number
    return Playings(tuple(shown), which)


def _alike(one: Played, other: Played) -> bool:
    if one.laid is other.laid:
        return True
    after = 1 if one.span.landing or other.span.landing else 0
    return _from(one, after) == _from(other, after)


def _from(played: Played, place: int) -> list[Stroke]:
    return [stroke for stroke in played.laid.strokes if stroke.place >= place]


def played_with(plan: Plan, bar: Bar) -> tuple[Played, ...]:
    """The spans of a plan with this bar in place of the one of its name."""
    spans = tuple(
        replace(span, bar=bar) if span.bar is not None and span.bar.name == bar.name else span for span in plan.spans
    )
    return strokes(replace(plan, spans=spans))
