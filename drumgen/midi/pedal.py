"""The hi-hat pedal of a take: which end of controller 4 is closed, and from where on the hat is half open or open.

No standard fixes the sense; both exist (*common practice*). A kit whose voices have pedal values says it itself.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Voice

OPENNESS = ("hihat", "hihat-half", "hihat-open")
"""The voices of the hi-hat under sticks, from closed to open."""


def under_pedal(voices: Sequence[Voice], pedal: int | None) -> Voice:
    """Of the voices of one key, at least one, that which sounds with the pedal at a value (None: it was not heard).

    It is the one whose own pedal value is nearest; where none has one, the open hi-hat among them, else the first.
    """
    own = [voice for voice in voices if voice.pedal is not None]
    if not own:
        return next((voice for voice in reversed(voices) if voice.name == "hihat-open"), voices[0])
    return voices[0] if pedal is None else min(own, key=lambda voice: abs((voice.pedal or 0) - pedal))


_PEDAL = re.compile(r"\s*closed\s+(\d{1,3})\s*,(?:\s*half\s+(\d{1,3})\s*,)?\s*open\s+(\d{1,3})\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Pedal:
    """``closed`` is the value of the closed end; the hat is half open from ``half`` on, open from ``open`` on.

    >>> [parse_pedal("closed 127, half 90, open 30").voice(value) for value in (127, 91, 64, 30, 0)]
    ['hihat', 'hihat', 'hihat-half', 'hihat-open', 'hihat-open']
    """

    closed: int
    half: int
    open: int

    def voice(self, value: int) -> str:
        """The voice of a stroke under a pedal at ``value``."""
        down = 1 if self.closed > self.open else -1
        steps = (down * value <= down * self.half) + (down * value <= down * self.open)
        return OPENNESS[steps]


def parse_pedal(text: str) -> Pedal:
    """The pedal's sense and thresholds.

    ``pedal := "closed" value ["," "half" value] "," "open" value``, each from 0 to 127. With ``half``, "half" and
    "open" are the values from which the hat is so; without it the two are the ends, parted in quarters: the first is
    closed, the last open.
    """
    match = _PEDAL.fullmatch(text)
    numbers = [int(number) for number in match.groups() if number] if match else []
    if not numbers or max(numbers) > 127 or numbers[0] == numbers[-1]:
        rule = 'the pedal\'s values from 0 to 127 such as "closed 127, open 0" or "closed 127, half 90, open 30"'
        raise DrumgenError(Fault(rule, got=f'"{text}"'))
    if len(numbers) == 2:
        closed, opened = numbers
        return Pedal(closed, closed + (opened - closed) // 4, opened + (closed - opened) // 4)
    closed, half, opened = numbers
    if not min(closed, opened) <= half <= max(closed, opened):
        raise DrumgenError(Fault("a half-open value between closed and open", got=str(half)))
    return Pedal(closed, half, opened)
