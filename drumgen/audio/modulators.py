"""Modulators: how velocity, key and the resting controllers move a generator.

A drum stroke has no moving controllers, so every source is a number known when the stroke begins: note-on
velocity, note-on key, and the controllers as they rest after a reset (volume 100, expression 127, pan 64, all
others 0; pitch wheel in the middle).

Source: SoundFont Technical Specification 2.04, sections 8.2 to 8.4 and 9.5. Where we differ: the default
modulator from velocity to the filter's cut-off (8.4.2, two octaves down at velocity 0) is left out, as it is
in FluidSynth, against which the fonts of the last twenty years were voiced; soft strokes are brighter for it
(at velocity 36 the low-pass would stand at 7 kHz). Linked modulators are left out too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drumgen.audio import generators as gen

NO_CONTROLLER, VELOCITY, KEY, WHEEL, WHEEL_RANGE = 0, 2, 3, 14, 16
RESTING = {7: 100, 10: 64, 11: 127}
LINK = 0x8000
_CONTROLLER, _NEGATIVE, _BIPOLAR = 0x80, 0x100, 0x200
_CONCAVE, _CONVEX, _SWITCH = 1, 2, 3
_MEANINGS = {NO_CONTROLLER: 127, WHEEL: 64, WHEEL_RANGE: 2}


@dataclass(frozen=True, slots=True)
class Modulator:
    """``amount`` times two sources, added to the generator ``target``; the words are the file's own."""

    source: int
    target: int
    amount: int
    scale: int = 0
    transform: int = 0

    @property
    def identity(self) -> tuple[int, int, int, int]:
        """What two modulators share where the later one replaces the earlier (section 9.5)."""
        return (self.source, self.target, self.scale, self.transform)


VELOCITY_TO_ATTENUATION = Modulator(0x0502, gen.ATTENUATION, 960)
VELOCITY_TO_CUTOFF = Modulator(0x0102, gen.FILTER_CUTOFF, -2400)
VELOCITY_TO_CUTOFF_2_01 = Modulator(0x0102, gen.FILTER_CUTOFF, -2400, scale=0x0D02)
VELOCITY_TO_CUTOFF_POSITIVE = Modulator(0x0102, gen.FILTER_CUTOFF, -2400, scale=0x0C02)
VOLUME_TO_ATTENUATION = Modulator(0x0587, gen.ATTENUATION, 960)
EXPRESSION_TO_ATTENUATION = Modulator(0x058B, gen.ATTENUATION, 960)

DEFAULTS = (VELOCITY_TO_ATTENUATION, VOLUME_TO_ATTENUATION, EXPRESSION_TO_ATTENUATION)
"""The default modulators that sound with resting controllers (sections 8.4.1, 8.4.5 and 8.4.7)."""

LEFT_OUT = frozenset(m.identity for m in (VELOCITY_TO_CUTOFF, VELOCITY_TO_CUTOFF_2_01, VELOCITY_TO_CUTOFF_POSITIVE))


def replace_alike(earlier: tuple[Modulator, ...], later: tuple[Modulator, ...]) -> tuple[Modulator, ...]:
    """``earlier`` with every modulator replaced that ``later`` says anew, and the rest of ``later`` added."""
    found = {modulator.identity: modulator for modulator in (*earlier, *later)}
    return tuple(found.values())


def amounts_added(modulators: tuple[Modulator, ...], *, key: int, velocity: int) -> dict[int, float]:
    """What the modulators add to each generator they reach, in that generator's unit."""
    added: dict[int, float] = {}
    for modulator in modulators:
        if modulator.identity in LEFT_OUT or modulator.target >= LINK:
            continue
        value = float(modulator.amount)
        for source in (modulator.source, modulator.scale):
            value *= _source_value(source, key=key, velocity=velocity)
        added[modulator.target] = added.get(modulator.target, 0.0) + (abs(value) if modulator.transform else value)
    return added


def _source_value(source: int, *, key: int, velocity: int) -> float:
    """A source from 0 to 1, or from -1 to 1, by its direction, polarity and curve (section 8.2)."""
    index = source & 0x7F
    if source & _CONTROLLER:
        number = RESTING.get(index, 0)
    elif index == NO_CONTROLLER:
        return 1.0
    else:
        number = {VELOCITY: velocity, KEY: key}.get(index, _MEANINGS.get(index, 0))
    if source & _NEGATIVE:
        number = 127 - number
    curve = source >> 10
    if not source & _BIPOLAR:
        return _curved(number / 127, curve)
    value = 2 * number / 128 - 1
    return math.copysign(_curved(abs(value), curve), value)


def _curved(value: float, curve: int) -> float:
    """A value from 0 to 1 through a curve; concave spans 96 dB of a squared amplitude (section 9.5).

    >>> round(960 * _curved(1 - 64 / 127, 1))
    119
    """
    if curve == _CONCAVE:
        return 1.0 if value >= 1 else min(1.0, -(400 / 960) * math.log10(1 - value))
    if curve == _CONVEX:
        return 0.0 if value <= 0 else max(0.0, 1 + (400 / 960) * math.log10(value))
    if curve == _SWITCH:
        return 1.0 if value >= 0.5 else 0.0
    return value
