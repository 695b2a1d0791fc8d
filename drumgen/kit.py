"""Kits: the voices of a drum kit, the MIDI notes that play them, and the limits of the machine they are loaded into.

A voice keeps its trade name (kick, snare, hihat, floor-tom…). Places are centimetres on the plan of the kit: x to the
player's right, y away from the player, the middle of the seat at 0, 0. Channels count from 1 as people do (10).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from drumgen.errors import DrumgenError, Fault, nearest

if TYPE_CHECKING:
    from drumgen.sticking import Limb

PlayedBy = Literal["hands", "kick foot", "hi-hat foot"]
FOOT_OF: dict[str, Limb] = {"kick foot": "K", "hi-hat foot": "H"}


@dataclass(frozen=True, slots=True)
class Voice:
    """One voice of a kit: its MIDI ``key``, what plays it, where it stands, how it is written and what it chokes.

    An empty ``staff`` or ``notehead`` is the trade's own for a voice of this name.
    """

    name: str
    key: int
    limb: PlayedBy = "hands"
    drum: bool = True
    x_cm: float = 0.0
    y_cm: float = 0.0
    width_cm: float = 30.0
    staff: str = ""
    notehead: str = ""
    choke: str = ""
    velocity: int = 0
    pedal: int | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """What the machine that plays the files can take; None or nothing is no limit."""

    ppq: int | None = None
    name_length: int | None = None
    name_characters: str = ""
    text_characters: Literal["any", "ascii"] = "any"
    longest_s: int | None = None
    largest_kib: int | None = None
    notes_only: bool = False


@dataclass(frozen=True)
class Kit:
    """A drum kit. ``instead`` names, for a voice it lacks, the one of its own to play."""

    name: str
    voices: dict[str, Voice]
    instead: dict[str, str] = field(default_factory=dict)
    title: str = ""
    channel: int = 10
    program: int | None = None
    hand: Literal["right", "left"] = "right"
    click: str = "click"
    click_accent: str = "click-accent"
    limits: Limits = field(default_factory=Limits)

    def __hash__(self) -> int:
        return id(self)

    def voice(self, name: str) -> Voice:
        """The voice called ``name``, or the one played instead of it. Raises DrumgenError with the nearest name."""
        found = self.voices.get(name) or self.voices.get(self.instead.get(name, ""))
        if found is None:
            hint = nearest(name, self.voices)
            raise DrumgenError(Fault(f'a voice of the kit "{self.name}"', got=f'"{name}"', nearest=hint))
        return found

    @cached_property
    def home(self) -> str:
        """The voice a hand plays where nothing is said: the snare, or the pad, or the first that hands play."""
        hands = [voice.name for voice in self.voices.values() if voice.limb == "hands"]
        return next((name for name in ("snare", "pad") if name in hands), hands[0])

    def foot_voice(self, foot: Limb) -> str:
        """The voice that a foot's sign in a sticking plays: K the kick, H the hi-hat foot. Raises DrumgenError."""
        own = {"K": "kick", "H": "hihat-foot"}[foot]
        if own in self.voices or own in self.instead:
            return own
        word = next(word for word, limb in FOOT_OF.items() if limb == foot)
        found = next((voice.name for voice in self.voices.values() if voice.limb == word), None)
        if found is None:
            raise DrumgenError(Fault(f'hands alone, as the kit "{self.name}" has no voice for the {word}', got=foot))
        return found
