"""Orchestration: from a hand's stroke to a voice of the kit, by the most particular rule that speaks of it.

A count wins over accent and ghost, these over ``around``, and that over ``main``. ``around`` counts only the strokes
that no more particular rule takes; it comes round with every stroke, and with every beat, group or bar it stays on its
last voice. A *group* is a group of the meter where it is grouped, else each coming round of the sticking.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

if TYPE_CHECKING:
    from collections.abc import Callable

    from drumgen.counts import Places
    from drumgen.errors import Path
    from drumgen.levels import Level

Every = Literal["stroke", "beat", "group", "bar"]
EVERY: tuple[Every, ...] = get_args(Every)


@dataclass(frozen=True, slots=True)
class HandMap:
    """The voices of one hand; an empty ``main`` is the kit's home voice."""

    main: str = ""
    accent: str = ""
    ghost: str = ""
    around: tuple[str, ...] = ()
    every: Every = "stroke"
    counts: tuple[tuple[Places, str], ...] = ()

    @property
    def named(self) -> tuple[tuple[Path, str], ...]:
        """Every voice it names, with the path it stands under."""
        single: tuple[tuple[Path, str], ...] = (
            (("main",), self.main),
            (("accent",), self.accent),
            (("ghost",), self.ghost),
        )
        around = tuple((("around", index), voice) for index, voice in enumerate(self.around))
        counts = tuple(((places.text,), voice) for places, voice in self.counts)
        return (*((path, voice) for path, voice in single if voice), *around, *counts)


class Around:
    """How far a hand has come around its voices."""

    __slots__ = ("index", "unit")

    def __init__(self) -> None:
        self.index = -1
        self.unit: object = None

    def step(self, unit: object) -> int:
        """The index of the stroke's voice; ``unit`` says which stroke, beat, group or bar it belongs to."""
        if unit != self.unit:
            self.unit = unit
            self.index += 1
        return self.index


@dataclass(frozen=True, slots=True)
class Unit:
    """Where a stroke stands, for ``every``: its number among strokes, beats and bars, and what tells its group."""

    stroke: int
    beat: int
    group: tuple[int, ...]
    bar: int

    def of(self, every: Every) -> object:
        """What ``every`` counts by."""
        return getattr(self, every)


def around_voice(hand: HandMap, index: int) -> str:
    """The voice of ``around`` at an index from 0: it comes round with every stroke, else it stays on its last."""
    size = len(hand.around)
    return hand.around[index % size if hand.every == "stroke" else min(index, size - 1)]


def choose_voice(
    hand: HandMap, *, level: Level, on_count: str | None, come_around: Callable[[], int], home: str
) -> str:
    """The voice of one stroke; ``on_count`` is the voice that an exception on its count names, if any.

    ``come_around`` gives the index in ``around``: it is called, and the hand goes on, only where no rule is more
    particular.
    """
    if on_count is not None:
        return on_count
    by_level = hand.accent if level == "accent" else hand.ghost if level == "ghost" else ""
    if by_level:
        return by_level
    if hand.around:
        return around_voice(hand, come_around())
    return hand.main or home
