"""Subdivisions: into how many places a beat is cut.

Straight names are note values (a dotted-quarter beat holds six sixteenths); the tuplet names are so many to the beat,
whatever its length: triplets 3, quintuplets 5, sextuplets 6, septuplets 7. *Common practice.*
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import NOTE_VALUES

if TYPE_CHECKING:
    from drumgen.meter import Meter

STRAIGHT: dict[str, int] = {f"{name}s": grains for name, grains in NOTE_VALUES.items() if name not in ("whole", "half")}
"""Grains of a place of each straight subdivision."""

TUPLETS: dict[str, int] = {"triplets": 3, "quintuplets": 5, "sextuplets": 6, "septuplets": 7}
"""Places to the beat of each tuplet subdivision."""

SUBDIVISIONS: tuple[str, ...] = (*STRAIGHT, *TUPLETS)

BINARY_GRAINS = NOTE_VALUES["thirty-second"]
"""The finest straight place: what stands on a multiple of it within a beat is moved by swing."""


def places_in(subdivision: str, beat_grains: int) -> int:
    """How many places of a subdivision fill a beat; 0 where they do not fit."""
    if subdivision in TUPLETS:
        return TUPLETS[subdivision]
    number, rest = divmod(beat_grains, STRAIGHT[subdivision])
    return 0 if rest else number


def is_straight(subdivision: str, beat_grains: int) -> bool:
    """Whether the places of a beat are plain note values: in a compound beat, three and six to the beat are."""
    return subdivision in STRAIGHT or beat_grains // TUPLETS[subdivision] in STRAIGHT.values()


def subdivided(meter: Meter, names: tuple[str, ...], part: tuple[int, int] | None = None) -> tuple[str, ...]:
    """One subdivision a beat from one for the bar or one a beat; raises DrumgenError where they do not fit.

    Of a part of the bar, from one beat to another, they are one for it, one for each of its beats, or one for each of
    the bar's; they have to fit its own beats, and say nothing of the others.
    """
    beats = meter.beats
    first, last = part or (0, len(beats) - 1)
    own = beats[first : last + 1]
    where = "the part" if part else str(meter)
    if len(names) not in (1, len(own), len(beats)):
        each = (
            f", or one for each of the {len(own)} beats of {where}" if len(own) > 1 else f" for the one beat of {where}"
        )
        rule = f"one subdivision{each}"
        raise DrumgenError(Fault(rule, got=str(len(names)), path=("subdivision",)))
    by_beat = list(names if len(names) == len(beats) else names[:1] * len(beats))
    if len(names) == len(own):
        by_beat[first : last + 1] = names
    for name, beat in zip(by_beat[first : last + 1], own, strict=True):
        if not places_in(name, beat.grains):
            fitting = ", ".join(known for known in SUBDIVISIONS if all(places_in(known, b.grains) for b in own))
            rule = f"a subdivision that fits each beat of {where} ({fitting})"
            raise DrumgenError(Fault(rule, got=f'"{name}"', path=("subdivision",)))
    return tuple(by_beat)
