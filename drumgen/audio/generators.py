"""The generators of a SoundFont: what a zone may set, what it is when nobody says, and how a value is meant.

Units: timecents are 1200 times the binary logarithm of seconds; absolute cents count from 8.176 Hz, which is
MIDI key 0; a centibel is a tenth of a decibel. Source: SoundFont Technical Specification 2.04, sections 8.1.2
(meanings) and 8.1.3 (numbers, defaults and which level may set them).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Cents = TypeVar("Cents", float, NDArray[np.floating[Any]])

START_OFFSET = 0
END_OFFSET = 1
LOOP_START_OFFSET = 2
LOOP_END_OFFSET = 3
START_COARSE = 4
MOD_LFO_TO_PITCH = 5
VIB_LFO_TO_PITCH = 6
MOD_ENV_TO_PITCH = 7
FILTER_CUTOFF = 8
FILTER_Q = 9
MOD_LFO_TO_FILTER = 10
MOD_ENV_TO_FILTER = 11
END_COARSE = 12
MOD_LFO_TO_VOLUME = 13
PAN = 17
MOD_LFO_DELAY = 21
MOD_LFO_RATE = 22
VIB_LFO_DELAY = 23
VIB_LFO_RATE = 24
MOD_ENV_DELAY = 25
VOL_ENV_DELAY = 33
INSTRUMENT = 41
KEY_RANGE = 43
VELOCITY_RANGE = 44
LOOP_START_COARSE = 45
FORCED_KEY = 46
FORCED_VELOCITY = 47
ATTENUATION = 48
LOOP_END_COARSE = 50
COARSE_TUNE = 51
FINE_TUNE = 52
SAMPLE = 53
SAMPLE_MODES = 54
SCALE_TUNING = 56
EXCLUSIVE_CLASS = 57
ROOT_KEY = 58
COUNT = 61

NO_FILTER_CENTS = 13500
"""The cut-off that leaves everything through (19.9 kHz), and the default."""

# The six steps of an envelope stand in a row from its delay: attack, hold, decay, sustain, release, then how
# hold and decay follow the key.
ATTACK, HOLD, DECAY, SUSTAIN, RELEASE, KEY_TO_HOLD, KEY_TO_DECAY = range(1, 8)

INSTRUMENT_ONLY = frozenset(
    {
        START_OFFSET,
        END_OFFSET,
        LOOP_START_OFFSET,
        LOOP_END_OFFSET,
        START_COARSE,
        END_COARSE,
        LOOP_START_COARSE,
        LOOP_END_COARSE,
        FORCED_KEY,
        FORCED_VELOCITY,
        SAMPLE_MODES,
        EXCLUSIVE_CLASS,
        ROOT_KEY,
    }
)
"""What a preset may not set (section 8.1.3, the mark after the name)."""


def _defaults() -> tuple[int, ...]:
    amounts = [0] * COUNT
    instant: tuple[int, ...] = (MOD_LFO_DELAY, VIB_LFO_DELAY)
    for envelope in (MOD_ENV_DELAY, VOL_ENV_DELAY):
        instant += (envelope, envelope + ATTACK, envelope + HOLD, envelope + DECAY, envelope + RELEASE)
    for generator in instant:
        amounts[generator] = -12000
    amounts[FILTER_CUTOFF] = NO_FILTER_CENTS
    amounts[SCALE_TUNING] = 100
    for generator in (FORCED_KEY, FORCED_VELOCITY, ROOT_KEY):
        amounts[generator] = -1
    return tuple(amounts)


DEFAULTS = _defaults()


def seconds(timecents: float) -> float:
    """Seconds of ``timecents``, bounded to 100 s, about the longest step that the standard allows (8000 timecents).

    >>> seconds(0), seconds(1200), seconds(-32768) < 1e-8
    (1.0, 2.0, True)
    """
    return float(2.0 ** (min(timecents, 7973.0) / 1200.0))


def hertz(cents: Cents) -> Cents:
    """Hertz of absolute ``cents``, or of an array of them, of its kind.

    >>> round(hertz(6900), 2)
    440.0
    """
    return 440 * 2 ** ((cents - 6900) / 1200)
