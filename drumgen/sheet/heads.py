"""Heads: where the voices of a kit stand on the staff, with which head, and which of them need a legend.

A kit's own ``staff`` and ``notehead`` win; else the trade's table; a voice that neither knows is given a free place
with a marked head (a triangle for a drum, a diamond for metal), never left out, and stands in the legend.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from drumgen.trade.staff import STAFF_PLACES, Notehead, StaffPlace

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.kit import Kit, Voice

_FREE_FOR_HANDS = ("D5", "B4", "A4", "E5", "C5", "G4", "F5", "G5")
_FREE_FOR_FEET = ("E4", "D4", "F4", "C4")


@dataclass(frozen=True, slots=True)
class Head:
    """A voice on the staff: read as in the treble clef. ``usual`` where it is where every drummer expects it."""

    voice: str
    key: int
    step: str
    octave: int
    notehead: Notehead
    is_open: bool = False
    usual: bool = True

    @property
    def height(self) -> int:
        """Steps above the bottom line of the staff (E4)."""
        return "CDEFGAB".index(self.step) + 7 * (self.octave - 4) - 2

    @property
    def look(self) -> tuple[int, str, bool]:
        """What tells it from another."""
        return self.height, self.notehead, self.is_open


def heads_of(kit: Kit) -> dict[str, Head]:
    """The head of every voice of a kit, by the voice's name, in the kit's order, its clicks last."""
    clicks = (kit.click, kit.click_accent)
    voices = sorted(kit.voices.values(), key=lambda voice: voice.name in clicks)
    heads = {voice.name: _known(voice) for voice in voices if voice.staff or voice.name in STAFF_PLACES}
    taken = {head.look for head in heads.values()}
    for voice in voices:
        if voice.name not in heads:
            heads[voice.name] = _free(voice, taken)
            taken.add(heads[voice.name].look)
    return {voice.name: heads[voice.name] for voice in voices}


def _known(voice: Voice) -> Head:
    place = STAFF_PLACES.get(voice.name)
    plain = place or StaffPlace("C", 5, "normal" if voice.drum else "x", "own choice")
    step, octave = (voice.staff[0], int(voice.staff[1:])) if voice.staff else (plain.step, plain.octave)
    head = cast("Notehead", voice.notehead or plain.notehead)
    usual = place is not None and (step, octave, head) == (place.step, place.octave, place.notehead)
    return Head(voice.name, voice.key, step, octave, head, plain.is_open, usual)


def _free(voice: Voice, taken: set[tuple[int, str, bool]]) -> Head:
    """A place that no other voice of the kit has; where all are taken, the first."""
    marked: Notehead = cast("Notehead", voice.notehead or ("triangle" if voice.drum else "diamond"))
    places = _FREE_FOR_HANDS if voice.limb == "hands" else _FREE_FOR_FEET
    heads = [Head(voice.name, voice.key, place[0], int(place[1]), marked, usual=False) for place in places]
    return next((head for head in heads if head.look not in taken), heads[0])


def legend(heads: Iterable[Head]) -> tuple[Head, ...]:
    """The heads that a reader must be told of, from low to high; none where all stand where they are expected."""
    heads = tuple(heads)
    if all(head.usual for head in heads):
        return ()
    return tuple(sorted(heads, key=lambda head: (head.height, head.notehead, head.voice)))
