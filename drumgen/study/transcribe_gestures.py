"""Gestures: the strokes of a take as a player means them: flams, drags and buzzes are one stroke each.

A *grace note* is clearly softer than the stroke it leads to, comes at most `FARTHEST_GRACE_S` before it, and stands
nearer to it than to what is before: in even strokes, however fast, there is none. A *buzz* is a row of ever softer
strokes on one voice, too close for single ones. The bounds are ours, around the spacings of *common practice*.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.take import Take

FARTHEST_GRACE_S = 0.06
SOFTER = 0.72
NEARER = 1.5
FARTHEST_BOUNCE_S = 0.042
BOUNCE_SOFTER = 0.93
FEWEST_BOUNCES = 2


class Gesture(NamedTuple):
    """One stroke as it is meant: ``velocity`` without its voice's offset; ``hits`` are the take's, by index."""

    at_s: float
    tick: int
    voice: str
    limb: str
    velocity: int
    grace: int = 0
    grace_voice: str = ""
    gap_s: float = 0.0
    buzz: bool = False
    hits: tuple[int, ...] = ()


class _Hit(NamedTuple):
    at_s: float
    tick: int
    voice: str
    force: int
    number: int


def gestures_of(take: Take) -> list[Gesture]:
    """The gestures of a take in order of time; hits of unknown voices are none."""
    seconds = take.seconds()
    offsets = {name: voice.velocity for name, voice in take.kit.voices.items()}
    hands: list[_Hit] = []
    found: list[Gesture] = []
    for index, (hit, at_s) in enumerate(zip(take.hits, seconds, strict=True)):
        if not hit.voice:
            continue
        force = max(1, hit.velocity - offsets[hit.voice])
        if hit.limb:
            found.append(Gesture(at_s, hit.tick, hit.voice, hit.limb, force, hits=(index,)))
        else:
            hands.append(_Hit(at_s, hit.tick, hit.voice, force, index))
    found += _with_graces(_with_bounces(hands))
    found.sort(key=lambda each: (each.tick, each.limb, each.voice))
    return found


def _with_bounces(hits: Sequence[_Hit]) -> Iterable[tuple[_Hit, tuple[int, ...]]]:
    """Each hit with the hits that are its bounces, which stand no more by themselves."""
    taken: set[int] = set()
    by_voice: dict[str, list[_Hit]] = {}
    for hit in hits:
        by_voice.setdefault(hit.voice, []).append(hit)
    bounces: dict[int, tuple[int, ...]] = {}
    for row in by_voice.values():
        at = 0
        while at < len(row):
            end = at + 1
            while end < len(row) and _bounces(row[end - 1], row[end]):
                end += 1
            if end - at > FEWEST_BOUNCES:
                bounces[row[at].number] = tuple(hit.number for hit in row[at + 1 : end])
                taken.update(bounces[row[at].number])
            at = end
    return [(hit, bounces.get(hit.number, ())) for hit in hits if hit.number not in taken]


def _bounces(before: _Hit, hit: _Hit) -> bool:
    return hit.at_s - before.at_s <= FARTHEST_BOUNCE_S and hit.force <= before.force * BOUNCE_SOFTER


def _with_graces(rows: Iterable[tuple[_Hit, tuple[int, ...]]]) -> Iterable[Gesture]:
    """The strokes, each with the grace notes before it."""
    rows = list(rows)
    at = 0
    while at < len(rows):
        number = _graces_from(rows, at)
        (hit, bounced), graces = rows[at + number], rows[at : at + number]
        own = (*(grace.number for grace, _ in graces), hit.number, *bounced)
        gap_s = (hit.at_s - graces[0][0].at_s) / number if number else 0.0
        voice = graces[-1][0].voice if graces else ""
        yield Gesture(hit.at_s, hit.tick, hit.voice, "", hit.force, number, voice, gap_s, bool(bounced), own)
        at += number + 1


def _graces_from(rows: Sequence[tuple[_Hit, tuple[int, ...]]], at: int) -> int:
    """How many grace notes begin here: a drag's two, a flam's one, or none."""
    if at + 1 == len(rows) or rows[at + 1][0].at_s - rows[at][0].at_s > FARTHEST_GRACE_S:
        return 0
    before_s = rows[at - 1][0].at_s if at else -1.0
    for number in (2, 1):
        if at + number >= len(rows):
            continue
        graces, (main, _) = rows[at : at + number], rows[at + number]
        if any(bounced for _, bounced in graces):
            continue
        times = [*(grace.at_s for grace, _ in graces), main.at_s]
        gaps = [later - earlier for earlier, later in pairwise(times)]
        soft = all(grace.force <= main.force * SOFTER for grace, _ in graces)
        one_voice = len({grace.voice for grace, _ in graces}) == 1
        even = max(gaps) <= 1.6 * min(gaps) or number == 1
        close = min(gaps) > 0 and max(gaps) <= FARTHEST_GRACE_S
        if soft and one_voice and even and close and times[0] - before_s >= NEARER * max(gaps):
            return number
    return 0
