"""Reach: the shortest time one limb needs from a stroke to its next one. A model of difficulty, not of a person.

In plain words. A hand that goes from one voice to another needs the time of Fitts' law: 27.7 + 111.5 log2(A/W + 1)
milliseconds, A the distance on the plan of the kit and W the striking width of the voice it goes to (Shannon form,
fitted to Fitts' own table of 1954, see `limits`; the fit is derived). It is never quicker than the same hand's repeated
full stroke. On one and the same spot a hand needs the time of a full stroke, or of a rebound where the second stroke
bounces off the first; never two rebounds in a row, so that of three strokes in a row one is full. An accented stroke, a
buzz and the stroke after a buzz are full; a drag is a full stroke and its rebound, and the stroke after it is full. A
double split over two drums is a move. Two voices at one place with different widths (snare and rim) are different spots
without a distance: a full stroke. A foot on one pedal needs the time of its repeated stroke, or of a quick pair that is
not followed by another; between two pedals Drury's line for feet (*published*, second-hand), never quicker than its
repeated stroke. Three levels scale it as `limits` has them.

What it leaves out: heights, angles, grips, how loud, how long, how tired. The fit was made with a pen-sized stylus and
small targets; no published study is known that fits it to drums. So it ranks phrases and warns; it does not measure
anybody, and what it lets pass may still hurt: slow down at the first pain.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING, Literal

from drumgen.trade.limits import (
    FOOT_FIT,
    FOOT_PAIR,
    FOOT_REPEATED,
    HAND_REBOUND,
    HAND_REPEATED,
    MOVE_FACTOR,
    SHANNON_FIT,
)

if TYPE_CHECKING:
    from drumgen.kit import Voice
    from drumgen.trade.limits import Skill

Asked = Literal["move", "full stroke", "rebound"]
SKILLS: tuple[Skill, ...] = ("learner", "player", "record")


@dataclass(frozen=True, slots=True)
class Need:
    """What a limb is asked for between two strokes: ``least_ms``, and ``full_ms`` where that is not its full stroke.

    ``reach_cm`` is the distance, ``sets`` whether the distance (not the repeated stroke) sets the time of a move.
    """

    asked: Asked
    least_ms: float
    full_ms: float
    reach_cm: float = 0.0
    sets: bool = False


def distance_cm(one: Voice, other: Voice) -> float:
    """How far apart two voices stand on the plan of the kit."""
    return hypot(one.x_cm - other.x_cm, one.y_cm - other.y_cm)


def same_spot(one: Voice, other: Voice) -> bool:
    """Whether two voices are struck at one and the same spot: place and width are equal."""
    return (one.x_cm, one.y_cm, one.width_cm) == (other.x_cm, other.y_cm, other.width_cm)


def move_ms(reach_cm: float, width_cm: float, *, skill: Skill, foot: bool = False) -> float:
    """Fitts' time of a move of ``reach_cm`` (0 or more) onto ``width_cm`` (more than 0), at a level.

    >>> round(move_ms(40.64, 35.56, skill="player"))
    150
    """
    if reach_cm == 0:
        return 0.0
    fit = FOOT_FIT if foot else SHANNON_FIT
    return max(0.0, fit.move_ms(reach=reach_cm, width=width_cm)) * MOVE_FACTOR.at(skill)


@lru_cache(maxsize=65_536)
def hand_need(one: Voice, other: Voice, *, bounces: bool, skill: Skill) -> Need:
    """What a hand needs from a stroke on ``one`` to a stroke on ``other``.

    ``bounces``: the second may be a rebound of the first, being neither accented nor a buzz or drag, nor after one.
    """
    full = HAND_REPEATED.at(skill)
    if same_spot(one, other):
        return Need("rebound", HAND_REBOUND.at(skill), full) if bounces else Need("full stroke", full, full)
    return _move(one, other, full, skill, foot=False)


@lru_cache(maxsize=4096)
def foot_need(one: Voice, other: Voice, *, skill: Skill) -> Need:
    """What a foot needs from a stroke on ``one`` to a stroke on ``other``."""
    full = FOOT_REPEATED.at(skill)
    if same_spot(one, other):
        return Need("rebound", FOOT_PAIR.at(skill), full)
    return _move(one, other, full, skill, foot=True)


def _move(one: Voice, other: Voice, full: float, skill: Skill, *, foot: bool) -> Need:
    reach = distance_cm(one, other)
    fitts = move_ms(reach, other.width_cm, skill=skill, foot=foot)
    least = max(full, fitts)
    return Need("move", least, least, reach, sets=fitts > full)
