"""Playings: the different ways in which a bar of a phrase comes out each time it is played.

Most bars come out alike. One whose sticking is carried over the bar line comes out differently until it comes round. A
landing changes the downbeat of the bar it falls on: such a playing is like another if all else is alike.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from drumgen.strokes import strokes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.bar import Bar
    from drumgen.layout import Stroke
    from drumgen.plan import Plan
    from drumgen.strokes import Played


class Playings(NamedTuple):
    """The playings of one bar: the span that shows each, and, by the index of each of its spans, which one it is."""

    shown: tuple[int, ...]
    which: dict[int, int]


def playings_of(name: str, played: Sequence[Played]) -> Playings:
    """The playings of the bar of that name, in the order of the phrase; those without a landing first."""
    own = [
        i for i, each in enumerate(played) if each.span.kind == "bar" and each.span.bar and each.span.bar.name == name
    ]
    own.sort(key=lambda i: bool(played[i].span.landing))
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
