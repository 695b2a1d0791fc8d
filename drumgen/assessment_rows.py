"""Rows of an assessment's picture: under the music a line for the hands and one for the feet, which is their pulse.

Of each stroke a bar stands up from it where it was early and hangs down where it was late, as long as it was off, and
under it the milliseconds. Units are hundredths of a millimetre.
"""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING, NamedTuple

from drumgen.sheet.ink import Group, Polyline, Run, Words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.sheet.ink import Mark

Offs = tuple[float | None, ...]
"""How late a stroke was each time, None where it was missed."""

A_MILLISECOND, LONGEST = 20, 500
"""How long a bar is, and how long at most."""

ROW = 1_450
_UP, _NUMBERS = 540, 790
_BAR, _LINE = 110, 14
_NUMBER, _LABEL, _SMALL, _LEFT = 290, 300, 240, -160
CLEARLY_OFF_MS = 15.0


class Under(NamedTuple):
    """The strokes on one place: where they stand, and how late the hands and the feet were."""

    x: float
    hands: Offs
    feet: Offs


def rows_under(places: Sequence[Under], width: float) -> tuple[Group, float]:
    """The rows of one line of music, ``width`` long, and how high they are."""
    named = {"hands": [(each.x, each.hands) for each in places], "feet": [(each.x, each.feet) for each in places]}
    kept = [(name, [place for place in row if place[1]]) for name, row in named.items()]
    rows = [
        Group(tuple(_row(name, row, width)), y=_UP + index * ROW)
        for index, (name, row) in enumerate((name, row) for name, row in kept if row)
    ]
    return Group(tuple(rows)), ROW * len(rows)


def _row(name: str, places: Sequence[tuple[float, Offs]], width: float) -> Iterator[Mark]:
    yield Words(_LEFT, -_SMALL, _SMALL, (Run("early", italic=True),), "end")
    yield Words(_LEFT, _LABEL / 3, _LABEL, (Run(name, bold=True),), "end")
    yield Words(_LEFT, _LABEL + _SMALL * 0.75, _SMALL, (Run("late", italic=True),), "end")
    yield Polyline(((0, 0), (width, 0)), _LINE)
    for x, offs in places:
        heard = [off for off in offs if off is not None]
        if heard:
            length = max(-LONGEST, min(LONGEST, fmean(heard) * A_MILLISECOND))
            yield Polyline(((x, 0), (x, length)), _BAR)
        clear = bool(heard) and abs(fmean(heard)) >= CLEARLY_OFF_MS
        yield Words(x, _NUMBERS, _NUMBER, (Run(text_of(offs), bold=clear),), "middle")


def text_of(offs: Sequence[float | None]) -> str:
    """What stands under a place.

    >>> text_of([3.0, 5.2]), text_of([-8.4]), text_of([0.2, None]), text_of([None]), text_of([])
    ('4', '-8', '0*', '*', '')
    """
    heard = [off for off in offs if off is not None]
    return f"{f'{round(fmean(heard))}' if heard else ''}{'*' if len(heard) < len(offs) else ''}"
