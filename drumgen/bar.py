"""Bars: what a bar of a phrase is made of once its file has been read, everything inherited and checked.

A *layer* says what the limbs do; a bar has one, and each of its parts lies over some of its beats with one of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

if TYPE_CHECKING:
    from drumgen.counts import Places
    from drumgen.errors import Path
    from drumgen.feel import Feel
    from drumgen.levels import Hairpin
    from drumgen.meter import Meter
    from drumgen.orchestration import HandMap
    from drumgen.sticking import Limb, Sticking
    from drumgen.tempo import Tempo

Role = Literal["groove", "fill", "pickup"]
Across = Literal["restart", "carry", "once"]
GraceVoice = Literal["drum", "main", "split"]
Follow = Literal["with accents", "with R", "with L", "gaps"]
FOLLOWS: tuple[Follow, ...] = get_args(Follow)


@dataclass(frozen=True, slots=True)
class LevelLine:
    """One line of accents or ghosts: its places, for the limbs it speaks of, under the path it stands."""

    path: Path
    limbs: tuple[Limb, ...]
    places: Places


@dataclass(frozen=True, slots=True)
class FootLine:
    """One line of feet: a voice, and where it is played; or which strokes of the hands it follows."""

    path: Path
    voice: str
    limb: Limb
    rule: Places | Follow


@dataclass(frozen=True, slots=True)
class Layer:
    """What the limbs do: ``subdivision`` names one a beat, and is empty where the sticking has its own rhythm."""

    sticking: Sticking | None
    subdivision: tuple[str, ...]
    hands: dict[str, HandMap]
    across: Across = "restart"
    accents: tuple[LevelLine, ...] = ()
    ghosts: tuple[LevelLine, ...] = ()
    feet: tuple[FootLine, ...] = ()
    grace_voice: GraceVoice = "drum"


@dataclass(frozen=True, slots=True)
class Part:
    """A layer over the beats ``first`` to ``last`` (from 0, both in); ``own`` where it brings strokes of its own."""

    first: int
    last: int
    layer: Layer
    own: bool


@dataclass(frozen=True, eq=False)
class Bar:
    """One bar, whole: ``tempo`` is None where the phrase's own holds; ``mirrored`` where the hands are exchanged."""

    name: str
    role: Role
    meter: Meter
    tempo: Tempo | None
    layer: Layer
    parts: tuple[Part, ...]
    feel: Feel
    landing: tuple[str, ...]
    dynamics: Hairpin | None = None
    mirrored: bool = False
    note: str = ""
