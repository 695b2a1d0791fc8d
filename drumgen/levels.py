"""How loud a stroke is: its level, the MIDI velocities of the levels, and the dynamics of a bar.

Velocities are whole numbers from 1 to 127. The dynamic marks are the usual Italian ones; their proportions are ours
(no standard fixes them): mezzo-forte is the phrase's own figures, the others are per mille of it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from drumgen.errors import DrumgenError, Fault, nearest

Level = Literal["accent", "normal", "ghost"]
LOUDNESS: dict[Level, int] = {"ghost": 0, "normal": 1, "accent": 2}
"""The order of the levels, softest first."""

MARKS: dict[str, int] = {
    "ppp": 350,
    "pp": 480,
    "p": 640,
    "mp": 820,
    "mf": 1000,
    "f": 1150,
    "ff": 1300,
    "fff": 1450,
}
"""Each dynamic mark in per mille of mezzo-forte."""

LOUDEST = 127


def louder(one: Level, other: Level) -> Level:
    """The louder of two levels."""
    return one if LOUDNESS[one] >= LOUDNESS[other] else other


@dataclass(frozen=True, slots=True)
class Dynamics:
    """The MIDI velocity of each level, and of grace notes, at mezzo-forte; each 1-127. The defaults are ours."""

    accent: int = 112
    normal: int = 82
    ghost: int = 36
    grace: int = 45

    def of(self, level: Level) -> int:
        """The velocity of a level."""
        return self.accent if level == "accent" else self.normal if level == "normal" else self.ghost

    def grace_before(self, level: Level) -> int:
        """The velocity of grace notes before a stroke; before a ghost note they are softer by as much as that is."""
        return max(1, self.grace * min(self.of(level), self.normal) // self.normal)


@dataclass(frozen=True, slots=True)
class Hairpin:
    """The dynamics of one bar: one mark, or a swell from one mark to another.

    >>> str(parse_hairpin("mp  to f"))
    'mp to f'
    """

    start: str = "mf"
    end: str = "mf"

    def __str__(self) -> str:
        return self.start if self.start == self.end else f"{self.start} to {self.end}"

    def per_mille(self, place: int, bar_grains: int) -> int:
        """The loudness at a place of the bar, in per mille of mezzo-forte; it grows evenly through the bar."""
        first, last = MARKS[self.start], MARKS[self.end]
        return first + (last - first) * place // bar_grains


def parse_hairpin(text: str) -> Hairpin:
    """The dynamics written in ``text``.

    ``dynamics := mark [ "to" mark ]`` · ``mark := ppp | pp | p | mp | mf | f | ff | fff``
    """
    words = list(re.finditer(r"\S+", text))
    if len(words) not in (1, 3) or (len(words) == 3 and words[1].group() != "to"):
        raise DrumgenError(Fault('a dynamic mark, or two such as "mp to f"', got=f'"{text}"'))
    for word in (words[0], words[-1]):
        if word.group() not in MARKS:
            known = ", ".join(MARKS)
            hint = nearest(word.group(), MARKS)
            raise DrumgenError(
                Fault(f"one of {known}", got=f'"{word.group()}"', nearest=hint, text=text, span=word.span())
            )
    return Hairpin(words[0].group(), words[-1].group())


def velocity(figure: int, *, offset: int, per_mille: int) -> int:
    """The velocity of a stroke: its level's figure, the voice's offset, the bar's dynamics; held within 1-127.

    The bound is MIDI's own (velocity 0 is a note-off): a stroke that would be louder is as loud as there is.
    """
    return max(1, min(LOUDEST, (figure + offset) * per_mille // 1000))
