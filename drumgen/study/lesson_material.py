"""What a lesson is made from: a sticking or a rudiment, and the meters and subdivisions that suit it.

Six-note stickings stand in triplets, four- and eight-note ones in sixteenths, five- and seven-note ones in a meter of
so many eighths; what fits no bar is carried over the bar lines. *Common practice.*
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import lcm
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sticking import OTHER_HAND, Sticking, parse_sticking
from drumgen.trade.rudiments import Rudiment, rudiment_or_sticking

if TYPE_CHECKING:
    from drumgen.sticking import Sign

MOST_STROKES = 32
LONGEST_ROUND = 8
"""Bars after which a carried sticking comes round, at most, for a page of it."""

_PLACES = {"eighths": 2, "triplets": 3, "sixteenths": 4}
_FEWEST_BEATS, _MOST_BEATS = 3, 7
_FEWEST_EIGHTHS, _MOST_EIGHTHS = 5, 13


@dataclass(frozen=True, slots=True)
class Setting:
    """Where a sticking stands: a meter, a subdivision (none: a rudiment's own rhythm), and what it does at a bar line.

    ``bars`` is after how many bars it comes round.
    """

    meter: str
    subdivision: str = ""
    bars: int = 1

    @property
    def keys(self) -> dict[str, Any]:
        """What a bar says of it; the meter is the file's."""
        across = {"across": "carry"} if self.bars > 1 else {}
        return {**({"subdivision": self.subdivision} if self.subdivision else {}), **across}

    @property
    def unit(self) -> str:
        """The note value that its tempo counts, nothing where it is the meter's own beat."""
        return "eighth" if "/8" in self.meter else ""


@dataclass(frozen=True, slots=True)
class LessonMaterial:
    """One sticking, without its accents and ghost notes, at home in a setting; ``others`` are further ones.

    ``side`` is the number of its first signs after which it comes again, by the same hands or by the others.
    ``rudiment`` is the name of a rudiment that keeps its own uneven rhythm, nothing for others;
    ``named`` is whether its name is a rudiment's and not its signs.
    """

    name: str
    sticking: Sticking
    side: int
    home: Setting
    others: tuple[Setting, ...] = ()
    rudiment: str = ""
    named: bool = False

    @property
    def hand_places(self) -> tuple[int, ...]:
        """Where, within its side, a hand strikes."""
        return tuple(place for place, sign in enumerate(self.sticking.signs[: self.side]) if sign.by_hand)

    def said(self, *, exchanged: bool) -> str:
        """Its name, or its signs as a left-hander plays them."""
        return str(self.sticking.mirrored()) if exchanged and not self.named else self.name

    @property
    def keys(self) -> dict[str, Any]:
        """What a bar says of the strokes."""
        return {"rudiment": self.rudiment} if self.rudiment else {"sticking": str(self.sticking)}

    @property
    def leads(self) -> tuple[str, ...]:
        """The hands that lead it, as written first; none where both hands play everything."""
        lead = self.sticking.lead
        return (lead, OTHER_HAND[lead]) if lead else ()

    def limbs(self) -> set[str]:
        """What its signs are played by."""
        return {sign.limb for sign in self.sticking.signs}


def lesson_material(text: str) -> LessonMaterial:
    """The material that a sticking or a rudiment's name is.

    Raises DrumgenError where it is neither, has no stroke of a hand, or is longer than 32 strokes.
    """
    found = rudiment_or_sticking(text, rule="one of the forty rudiments or a sticking")
    if isinstance(found, Rudiment):
        return _of_rudiment(found)
    sticking = Sticking(tuple(replace(sign, level="normal") for sign in found.signs))
    if not any(sign.by_hand for sign in sticking.signs):
        raise DrumgenError(Fault("a sticking with strokes of the hands", got=f'"{text}"'))
    if not 1 < len(sticking.signs) <= MOST_STROKES:
        rule = f"a sticking of 2 to {MOST_STROKES} strokes and rests"
        raise DrumgenError(Fault(rule, got=str(len(sticking.signs))))
    triple = len(sticking.signs) % 3 == 0
    home = _home(len(sticking.signs), "triplets" if triple else "sixteenths")
    return LessonMaterial(str(sticking), sticking, side_of(sticking.signs), home, _others(len(sticking.signs), home))


def _of_rudiment(rudiment: Rudiment) -> LessonMaterial:
    once = Sticking(tuple(replace(sign, level="normal") for sign in parse_sticking(rudiment.sticking).signs))
    both = Sticking((*once.signs, *once.mirrored().signs)) if rudiment.alternates else once
    even = len(set(rudiment.durations)) == 1 and not rudiment.rest
    if not even:
        return LessonMaterial(
            str(rudiment), both, side_of(both.signs), _own_home(rudiment.cycle), (), str(rudiment), named=True
        )
    size, length = len(both.signs), rudiment.durations[0]
    base = "eighths" if length * 2 >= GRAINS_PER_QUARTER else "triplets" if size % 3 == 0 else "sixteenths"
    home = _home(size, base)
    return LessonMaterial(str(rudiment), both, side_of(both.signs), home, _others(size, home), named=True)


def side_of(signs: tuple[Sign, ...]) -> int:
    """After how many signs a sticking comes again, by the same hands or turn by turn by the others.

    >>> side_of(parse_sticking("RLRR LRLL").signs), side_of(parse_sticking("RLL").signs)
    (4, 3)
    """
    size = len(signs)
    for side in (each for each in range(1, size) if size % each == 0):
        one = signs[:side]
        other = tuple(sign.mirrored() for sign in one)
        for turns in ((one, one), (one, other)):
            if all(signs[at * side : (at + 1) * side] == turns[at % 2] for at in range(size // side)):
                return side
    return size


def _home(size: int, subdivision: str) -> Setting:
    """The meter in which so many places stand, bar by bar where they can."""
    by_beat = _PLACES[subdivision]
    bar = 4 * by_beat
    if bar % size == 0:
        return Setting("4/4", subdivision)
    if size % by_beat == 0 and _FEWEST_BEATS <= size // by_beat <= _MOST_BEATS:
        return Setting(f"{size // by_beat}/4", subdivision)
    eighths = size if size % 2 else size // 2
    if subdivision == "sixteenths" and eighths % 2 and _FEWEST_EIGHTHS <= eighths <= _MOST_EIGHTHS:
        return Setting(f"{eighths}/8 {'2+' * ((eighths - 3) // 2)}3", subdivision)
    return Setting("4/4", subdivision, lcm(size, bar) // bar)


def _own_home(grains: int) -> Setting:
    """The meter of a rudiment in its own rhythm: as many quarters as it takes."""
    quarters = grains // GRAINS_PER_QUARTER
    return Setting(f"{quarters}/4" if _FEWEST_BEATS <= quarters <= _MOST_BEATS and 4 % quarters else "4/4")


def _others(size: int, home: Setting) -> tuple[Setting, ...]:
    """Other places for it: a five or a seven to the beat, and carried over sixteenths or triplets of 4/4."""
    by_beat = {5: "quintuplets", 7: "septuplets"}.get(size)
    found = [Setting("4/4", by_beat)] if by_beat else []
    over = "sixteenths" if (home.meter, home.subdivision) != ("4/4", "sixteenths") else "triplets"
    bar = 4 * _PLACES[over]
    bars = lcm(size, bar) // bar
    if 1 < bars <= LONGEST_ROUND:
        found.append(Setting("4/4", over, bars))
    return tuple(found)
