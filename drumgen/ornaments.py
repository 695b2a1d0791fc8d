"""Ornaments: how many ticks grace notes hang before their stroke, and bounces follow it.

Grace notes shrink to a third of the room there is since the last stroke of their hand or their drum; bounces fill at
most two thirds of their stroke's place, so that the two never meet. The shares are ours, and how much softer each
bounce is; that a buzz has three contacts or more, ever softer, is *common practice, from memory*.
"""

from __future__ import annotations

MOST_BOUNCES = 12
_FEWEST_BOUNCES = 2


def grace_ticks(number: int, *, gap_ticks: int, room_ticks: int) -> tuple[int, ...]:
    """The ticks before the stroke of each of ``number`` grace notes, the earliest first.

    ``room_ticks`` lies between the stroke and what was last struck, or the start. Empty where they do not fit: each
    needs a tick of its own.
    """
    gap = max(1, min(gap_ticks, room_ticks // (3 * number)))
    if number * gap >= room_ticks:
        return ()
    return tuple(gap * index for index in range(number, 0, -1))


def bounce_ticks(*, gap_ticks: int, place_ticks: int) -> tuple[int, ...]:
    """The ticks after the stroke of each further bounce of a buzz: at least two where there is room, twelve at most."""
    room = place_ticks * 2 // 3
    gap = max(1, min(gap_ticks, room // _FEWEST_BOUNCES))
    return tuple(gap * index for index in range(1, min(MOST_BOUNCES, room // gap) + 1))


def bounce_velocity(velocity: int, number: int) -> int:
    """The velocity of the ``number``-th bounce: each four fifths of the one before, never under 1."""
    above: int = 4**number
    below: int = 5**number
    return max(1, velocity * above // below)
