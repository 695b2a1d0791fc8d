"""What each stroke does to what already rings.

| what rings | a stroke on | what it does to it |
|---|---|---|
| a drum | the same drum, or any other voice | nothing: it rings on under the new stroke |
| a cymbal | the same cymbal, or any other voice | nothing: cymbals never cut each other |
| a voice of a choke group (hi-hats) | another voice of the group, later | it fades, 30 dB in 60 ms, gone after 144 ms |
| a voice of a choke group | the same voice | nothing |
| anything | anything on the same frame | nothing |

So a closed hi-hat or the pedal ends an open one, and an open one takes over from a closed one. A group is the
kit's (``Strike.choke``), or where the kit says nothing the font's exclusive class (SoundFont Technical
Specification 2.04, generator 57, which would also end the same voice; a hi-hat struck twice rings twice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.audio.decibels import amplitude_of_db

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.audio.drawing import Drawn
    from drumgen.audio.frames import Curve
    from drumgen.audio.shots import Shot

FADE_DB_PER_S = 500.0
FADE_S = 0.144


class Ring(NamedTuple):
    """A shot that rings: how loud, the frame it began on, the one it is choked from, and the one it is over on."""

    shot: Shot
    amplitude: float
    start: int
    group: int
    choke: int | None
    end: int


class Score(NamedTuple):
    """Everything that sounds in a block; equal scores sound the same.

    Each shot stands with its amplitude, and its start and its choke in frames from the block's beginning; a choke
    after the block's end is ``None``, as is none.
    """

    length: int
    rings: tuple[tuple[Shot, float, int, int | None], ...]


def fade_curve(rate: int) -> Curve:
    """The amplitude of a choked ring, a frame a value, of shape (frames, 1)."""
    seconds = np.arange(round(FADE_S * rate)) / rate
    return amplitude_of_db(-FADE_DB_PER_S * seconds).astype(np.float32)[:, None]


class Ringing:
    """The strokes that ring at one moment of a track; bars are added in order, blocks are read off."""

    def __init__(self, rate: int, *, rings: Sequence[Ring] = ()) -> None:
        self.rings = list(rings)
        self._fade = round(FADE_S * rate)

    def add_bar(self, start: int, drawn: Sequence[Drawn]) -> None:
        """Let the strikes of a bar that starts on a frame begin, and choke what they choke."""
        for offset, shot, amplitude, length, group in drawn:
            at = start + offset
            if group:
                self._choke(shot.key, group, at)
            self.rings.append(Ring(shot, amplitude, at, group, None, at + length))

    def _choke(self, key: int, group: int, at: int) -> None:
        for place, ring in enumerate(self.rings):
            other = ring.group == group and ring.shot.key != key
            if other and ring.choke is None and ring.start < at < ring.end:
                self.rings[place] = ring._replace(choke=at, end=min(ring.end, at + self._fade))

    def score(self, start: int, end: int) -> Score:
        """What sounds from the frame ``start`` to the frame ``end``; what is over before it is forgotten."""
        self.rings = [ring for ring in self.rings if ring.end > start]
        return Score(
            end - start,
            tuple(
                (
                    ring.shot,
                    ring.amplitude,
                    ring.start - start,
                    None if ring.choke is None or ring.choke >= end else ring.choke - start,
                )
                for ring in self.rings
                if ring.start < end
            ),
        )

    @property
    def end(self) -> int:
        """The frame on which the last ring is over."""
        return max((ring.end for ring in self.rings), default=0)

    def moved(self, frames: int) -> list[Ring]:
        """What rings, with every frame number moved by ``frames``."""
        return [
            ring._replace(
                start=ring.start + frames,
                choke=None if ring.choke is None else ring.choke + frames,
                end=ring.end + frames,
            )
            for ring in self.rings
        ]
