"""Crossing: where the hands are crossed, as seen from the seat.

Hands *cross* where the right one strikes well to the left of the left one: by `CROSSED_DEGREES` and `CROSSED_CM` (both
ours). Right over left at the hi-hat, and its mirror image, is how a kit is played, and no concern as far as the left
hand is at the snare or a mounted tom: with one hand at the hi-hat they cross from `OVER_HIHAT_DEGREES` on (ours), which
on a common kit is a left hand across it: at the ride, the floor tom, a second crash.
"""

from __future__ import annotations

from math import atan2, degrees
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drumgen.kit import Voice

CROSSED_DEGREES = 15.0
CROSSED_CM = 15.0
OVER_HIHAT_DEGREES = 60.0


def azimuth(voice: Voice) -> float:
    """The direction of a voice seen from the seat, in degrees: to the right is more."""
    return degrees(atan2(voice.x_cm, voice.y_cm))


def crossed(right: Voice, left: Voice) -> bool:
    """Whether the hands are crossed with the right one on ``right`` and the left one on ``left``."""
    at_hihat = "hi-hat" in (right.choke, left.choke) or "hihat" in (right.name, left.name)
    least = OVER_HIHAT_DEGREES if at_hihat else CROSSED_DEGREES
    return azimuth(left) - azimuth(right) > least and left.x_cm - right.x_cm > CROSSED_CM
