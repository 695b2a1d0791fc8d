"""One zone asked to sound, and what moves its pitch, its filter and its volume: an envelope and two oscillators.

Source: SoundFont Technical Specification 2.04, section 9 (the synthesis model).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio import generators as gen
from drumgen.audio.envelopes import modulation_curve, oscillator_curve, read_envelope

if TYPE_CHECKING:
    from drumgen.audio.frames import Curve


@dataclass(frozen=True, slots=True)
class ZoneNote:
    """One zone asked to sound: its generators with the modulators added, for one key at one rate."""

    amounts: tuple[float, ...]
    key: int
    rate: int
    cents: float


class Modulation:
    """The modulation envelope and the oscillators of one note, made only where something follows them."""

    def __init__(self, note: ZoneNote, count: int) -> None:
        self._note = note
        self._count = count

    def oscillator(self, first: int) -> Curve:
        """An oscillator, its generators beginning with ``first``, its delay: a value a frame, -1 to 1."""
        return oscillator_curve(self._note.amounts, first, count=self._count, rate=self._note.rate)

    def envelope(self) -> Curve:
        """The modulation envelope: a value a frame, 0 to 1."""
        note = self._note
        steps = read_envelope(note.amounts, gen.MOD_ENV_DELAY, key=note.key, rate=note.rate)
        return modulation_curve(steps, self._count)

    def sum(self, base: int, envelope: int, oscillator: int, *, count: int) -> float | Curve:
        """A generator with what envelope and modulation oscillator add to it, over the first frames."""
        amounts = self._note.amounts
        value: float | Curve = amounts[base]
        if amounts[envelope]:
            value = value + self.envelope()[:count] * np.float32(amounts[envelope])
        if amounts[oscillator]:
            value = value + self.oscillator(gen.MOD_LFO_DELAY)[:count] * np.float32(amounts[oscillator])
        return value
