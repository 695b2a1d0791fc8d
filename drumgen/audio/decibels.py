"""Decibels as the numbers that frames are multiplied by, and back.

An amplitude is a share of full scale or a factor; ten times the amplitude is 20 dB, ten times the power 10 dB. A
centibel, a SoundFont's unit of level, is a tenth of a decibel.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Levels = TypeVar("Levels", float, NDArray[np.floating[Any]])


def amplitude_of_db(level_db: Levels) -> Levels:
    """The amplitude of a level, or of an array of levels, of its kind.

    >>> amplitude_of_db(-20.0), amplitude_of_db(0.0)
    (0.1, 1.0)
    """
    return 10 ** (level_db / 20)


def amplitude_of_centibels(level_cb: Levels) -> Levels:
    """The amplitude of a level in centibels, or of an array of levels, of its kind.

    >>> amplitude_of_centibels(-200.0)
    0.1
    """
    return 10 ** (level_cb / 200)


def power_of_db(level_db: float) -> float:
    """The power of a level.

    >>> power_of_db(20.0)
    100.0
    """
    return float(10 ** (level_db / 10))


def db_of_amplitude(amplitude: float) -> float:
    """The level of an amplitude, minus infinity for none.

    >>> db_of_amplitude(0.1), db_of_amplitude(0.0)
    (-20.0, -inf)
    """
    return 20 * math.log10(amplitude) if amplitude > 0 else -math.inf


def db_of_power(power: float) -> float:
    """The level of a power above 0.

    >>> db_of_power(100.0)
    20.0
    """
    return 10 * math.log10(power)


def nepers_of_db(level_db: float) -> float:
    """A level as the power of e that its amplitude is: ``exp(nepers_of_db(x))`` is ``amplitude_of_db(x)``.

    >>> round(nepers_of_db(20.0), 3)
    2.303
    """
    return level_db / 20 * math.log(10)
