"""The grid: for every beat the subdivision that its strokes fit best, and the place of every stroke in it.

For each beat and each subdivision that its length allows: how far its strokes stand from their nearest places, against
the spread of the whole take (estimated), and a price for subdivisions that are rarer; two strokes of one voice on one
place do not fit. Dynamic programming over the beats adds a price for changing between straight and tuplet. Swing is
told first: off-beats that agree on one place between the straight one and the next beat, where triplets are missing.
The prices are ours, in natural logarithms of odds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.transcribe_beats import beats_of
from drumgen.subdivision import STRAIGHT, SUBDIVISIONS, TUPLETS, places_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.meter import Meter
    from drumgen.study.arrays import Numbers, Wholes
    from drumgen.study.transcribe_beats import Beats
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.study.transcribe_swing import SwingFound
    from drumgen.take import Take

PRICES = {
    "quarters": 0.0,
    "eighths": 1.0,
    "sixteenths": 2.5,
    "triplets": 3.5,
    "sextuplets": 6.0,
    "thirty-seconds": 6.5,
    "quintuplets": 9.0,
    "septuplets": 10.0,
}
FINER_THAN_32NDS = 4.0
CHANGE = 1.5
COLLISION = 30.0
FIRST_SPREAD_S, LEAST_SPREAD_S, MOST_SPREAD_S = 0.018, 0.0015, 0.03
ROUNDS = 3


class Grid(NamedTuple):
    """Of every gesture its ``bar`` (from 0), ``beat`` in the bar, ``slot`` and ``place`` (grains from the bar's start).

    ``names`` has the subdivision of every beat of every bar; ``spread_s`` is the standard deviation of what is left.
    """

    bar: Wholes
    beat: Wholes
    slot: Wholes
    place: Wholes
    meters: tuple[Meter, ...]
    names: tuple[tuple[str, ...], ...]
    off_s: Numbers
    spread_s: float


def fit(gestures: Sequence[Gesture], take: Take, swing: SwingFound | None = None) -> Grid:
    """The grid of some gestures, which are in order of time; ``swing`` is what was told beforehand."""
    beats = beats_of(take, gestures)
    index, inside = beats.inside(gestures)
    straight = inside if swing is None else swing.straightened(inside, beats.grains[index])
    voices = {name: number for number, name in enumerate(sorted({gesture.voice for gesture in gestures}))}
    voice = np.array([voices[gesture.voice] for gesture in gestures], dtype=np.int64)
    options = sorted({int(grains) for grains in beats.grains})
    fitter = _Fitter(beats, index, inside, straight, voice, beats.seconds(take))
    spread_s = FIRST_SPREAD_S
    names: list[str] = []
    for _ in range(ROUNDS):
        before, names = names, fitter.choose(spread_s, {grains: subdivisions_of(grains) for grains in options})
        if names == before:
            break
        off = fitter.off(names)
        spread_s = float(np.clip(1.2 * np.sqrt(np.mean(off**2)) if len(off) else 0, LEAST_SPREAD_S, MOST_SPREAD_S))
    return _grid(fitter, names, beats)


def _grid(fitter: _Fitter, names: list[str], beats: Beats) -> Grid:
    places = fitter.places(names)[fitter.index]
    slot = fitter.slots(names)
    grains = beats.grains[fitter.index]
    place = beats.place[fitter.index] + slot * grains // places
    off = fitter.off(names)
    rows: list[list[str]] = [[] for _ in beats.meters]
    for name, bar in zip(names, beats.bar.tolist(), strict=True):
        rows[bar].append(name)
    for row, meter in zip(rows, beats.meters, strict=True):
        row += ["quarters" if places_in("quarters", beat.grains) else "eighths" for beat in meter.beats[len(row) :]]
    return Grid(
        beats.bar[fitter.index],
        beats.number[fitter.index],
        slot,
        place,
        beats.meters,
        tuple(map(tuple, rows)),
        off,
        float(np.std(off)) if len(off) else 0.0,
    )


def subdivisions_of(grains: int) -> tuple[str, ...]:
    """The subdivisions that fill a beat, one for each number of places; plain note values before tuplets."""
    by_number: dict[int, str] = {}
    for name in sorted(SUBDIVISIONS, key=lambda each: (each in TUPLETS, PRICES[each])):
        number = places_in(name, grains)
        if number:
            by_number.setdefault(number, name)
    return tuple(by_number[number] for number in sorted(by_number))


def _price(name: str, grains: int) -> float:
    """What a subdivision costs; in a beat of three eighths the eighths are its usual places."""
    if name in STRAIGHT and grains % 3 == 0:
        return {"eighths": 0.5, "sixteenths": 2.0}.get(name, PRICES[name])
    return PRICES[name]


def cheapest_row(costs: Numbers, change: Numbers) -> list[int]:
    """Of each row of ``costs`` a column, so that they and the ``change`` from each to the next cost least together.

    ``costs`` is *(row, column)*, ``change`` *(column, next column)*. By dynamic programming. Where a row is that before
    it, and that one changed nothing in the totals, it changes nothing either: so silence takes next to no time, however
    long it is.
    """
    total = np.zeros(costs.shape[1])
    back = np.zeros(costs.shape, dtype=np.int64)
    other = np.flatnonzero((costs[1:] != costs[:-1]).any(axis=1)) + 1
    at = 0
    while at < len(costs):
        through = total[:, None] + change
        back[at] = through.argmin(axis=0)
        before, total = total, through.min(axis=0) + costs[at]
        total -= total.min()
        at += 1
        if np.array_equal(before, total):
            until = int(np.append(other, len(costs))[np.searchsorted(other, at)])
            back[at:until] = back[at - 1]
            at = until
    chosen = [int(total.argmin())]
    for row in back[:0:-1].tolist():
        chosen.append(row[chosen[-1]])
    return chosen[::-1]


class _Fitter:
    """The strokes of a take against the subdivisions of its beats."""

    def __init__(
        self, beats: Beats, index: Wholes, inside: Numbers, straight: Numbers, voice: Wholes, seconds: Numbers
    ) -> None:
        self.beats, self.index, self.voice, self.seconds = beats, index, voice, seconds
        self.inside, self.straight = inside, straight
        self._known: dict[int, tuple[Wholes, Numbers, Numbers]] = {}

    def _at(self, number: int, *, tuplet: bool) -> tuple[Wholes, Numbers, Numbers]:
        """With so many places a beat: the slot of each stroke, how far off it is (beats), and collisions by beat."""
        key = number * 2 + tuplet
        if key not in self._known:
            inside = self.inside if tuplet else self.straight
            slot = np.clip(np.rint(inside * number), 0, number - 1).astype(np.int64)
            off = inside - slot / number
            spot = (self.index * 64 + slot) * 256 + self.voice
            _, first, counts = np.unique(spot, return_index=True, return_counts=True)
            twice = np.bincount(self.index[first], counts - 1, len(self.beats.start_ticks)).astype(np.float64)
            self._known[key] = (slot, off, twice)
        return self._known[key]

    def choose(self, spread_s: float, options: dict[int, tuple[str, ...]]) -> list[str]:
        """The subdivision of every beat: the cheapest row, found by dynamic programming."""
        all_names = tuple(dict.fromkeys(name for names in options.values() for name in names))
        costs = np.full((len(self.beats.start_ticks), len(all_names)), np.inf)
        for grains, names in options.items():
            own = self.beats.grains == grains
            for name in names:
                cost = self._cost(places_in(name, grains), spread_s, tuplet=_swings_not(name))
                costs[own, all_names.index(name)] = cost[own] + _price(name, grains)
        change = np.array([[_change(one, other) for other in all_names] for one in all_names])
        return [all_names[number] for number in cheapest_row(costs, change)]

    def _cost(self, number: int, spread_s: float, *, tuplet: bool) -> Numbers:
        _, off, twice = self._at(number, tuplet=tuplet)
        off_s = off * self.seconds[self.index]
        each = np.minimum(off_s**2 / (2 * spread_s**2), COLLISION)
        finest = FINER_THAN_32NDS * max(0, number - 8)
        return np.bincount(self.index, each, len(twice)) + COLLISION * twice + finest

    def places(self, names: list[str]) -> Wholes:
        """How many places every beat has."""
        known = {pair: places_in(*pair) for pair in set(zip(names, self.beats.grains.tolist(), strict=True))}
        return np.array([known[pair] for pair in zip(names, self.beats.grains.tolist(), strict=True)], dtype=np.int64)

    def _each(self, names: list[str], column: int) -> Numbers:
        places, tuplets = self.places(names), np.array([_swings_not(name) for name in names])
        out = np.zeros(len(self.index))
        for number in set(places.tolist()):
            for tuplet in (False, True):
                own = ((places == number) & (tuplets == tuplet))[self.index]
                if own.any():
                    out[own] = self._at(number, tuplet=tuplet)[column][own]
        return out

    def slots(self, names: list[str]) -> Wholes:
        """The slot of every stroke in its beat."""
        return self._each(names, 0).astype(np.int64)

    def off(self, names: list[str]) -> Numbers:
        """How far every stroke is from its place, in seconds; late is more."""
        return self._each(names, 1) * self.seconds[self.index]


def _swings_not(name: str) -> bool:
    return name in TUPLETS


def _change(one: str, other: str) -> float:
    plain = ("quarters",)
    if one == other or one in plain or other in plain:
        return 0.0
    return CHANGE if (one in TUPLETS) != (other in TUPLETS) else CHANGE / 5
