"""What a step of two hands costs: from what was struck to what is struck next, by the one hand or the other.

In natural logarithms of odds: the move, by the times that `reach` says a hand needs and the *effort* that `cost` makes
of them; the distance; a hand again where the other could have played, less so where there is time; a third in a row; a
double whose second stroke is the louder; crossed hands; voices out of a hand's way; the other hand than the leading one
on a strong place. A hand that plays a grace note comes along to the other's voice, which costs it less.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.study.crossing import crossed
from drumgen.study.reach import distance_cm, hand_need

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Kit, Voice
    from drumgen.study.arrays import Flags, Numbers, Wholes

LONGEST = 8
RIGHT, LEFT = 0, 1
NONE = -1


class Weights(NamedTuple):
    """The weights of the costs, in natural logarithms of odds; ours, set on phrases made by the renderer."""

    effort: float = 3.5
    over: float = 3.75
    distance_a_cm: float = 0.09
    most_distance: float = 4.5
    again: float = 1.0
    again_slow: float = 0.2
    third: float = 1.0
    louder_second: float = 0.8
    crossed: float = 5.0
    out_of_way: float = 2.0
    grace_comes_along: float = 0.15
    strong_place: float = 0.1
    sharpness: float = 0.5


class Events(NamedTuple):
    """What the hands struck, place by place: the ``first`` voice (a number) and a ``second`` struck with it, else -1.

    ``flam`` says that the second is the grace note before the first; ``force`` is a velocity, ``accent`` a level;
    ``strong`` is 2 on a beat, 1 on its half, else 0.
    """

    at_s: Numbers
    first: Wholes
    second: Wholes
    flam: Flags
    force: Numbers
    accent: Flags
    strong: Wholes


class Model:
    """What a step costs on one kit; its arrays are *(voice, voice)*, from one to the other, ``way`` *(hand, voice)*."""

    def __init__(self, kit: Kit, voices: Sequence[Voice], weights: Weights | None = None) -> None:
        self.weights = weights or Weights()
        self.lead = LEFT if kit.hand == "left" else RIGHT
        number = len(voices)
        self.full_s = np.zeros((number, number))
        self.bounce_s = np.zeros((number, number))
        self.cm = np.zeros((number, number))
        self.crossed = np.zeros((number, number))
        for i, one in enumerate(voices):
            for j, other in enumerate(voices):
                self.full_s[i, j] = hand_need(one, other, bounces=False, skill="player").least_ms / 1000
                self.bounce_s[i, j] = hand_need(one, other, bounces=True, skill="player").least_ms / 1000
                self.cm[i, j] = distance_cm(one, other)
                self.crossed[i, j] = crossed(one, other)  # the right hand on one, the left on the other
        self.way = np.array([[self._way(voice, hand) for voice in voices] for hand in (RIGHT, LEFT)])

    def _way(self, voice: Voice, hand: int) -> float:
        """How far out of a hand's way a voice is: on the other side; the time-keeping metals are the lead hand's."""
        side = voice.x_cm / 100 * (-1 if hand == RIGHT else 1)
        timekeeping = voice.choke == "hi-hat" or voice.name.startswith(("hihat", "ride"))
        if timekeeping:
            return 0.0 if hand == self.lead else 1.0
        return max(0.0, side)

    def move(self, one: Wholes, other: Wholes, room_s: Numbers, *, bounces: Flags | bool) -> Numbers:
        """What a hand's way from voice to voice costs in the time there is; voice -1 is unknown and costs nothing."""
        weights = self.weights
        known = (one >= 0) & (other >= 0)
        a, b = np.maximum(one, 0), np.maximum(other, 0)
        least_s = np.where(bounces, self.bounce_s[a, b], self.full_s[a, b])
        ratio = least_s / np.maximum(room_s, 1e-3)
        share = np.minimum(1.0, ratio) ** 2  # of EFFORT, as `effort` has it
        over = np.minimum(weights.over * np.maximum(0.0, ratio - 1), 3 * weights.over)
        far = np.minimum(weights.distance_a_cm * self.cm[a, b], weights.most_distance)
        cost: Numbers = np.where(known, weights.effort * share + over + far, 0.0)
        return cost


class Steps(NamedTuple):
    """What leads to every event costs: *(event, hand that struck last, how many strokes ago the other did)*.

    ``same`` and ``other``: the next is struck by that hand, by the other one. ``begin``: *(event, hand)*, with
    nothing before it. ``both``: of the events that ``is_both`` says, its two ways as a last axis; ``row`` numbers them.
    """

    begin: Numbers
    same: Numbers
    other: Numbers
    both: Numbers
    is_both: Flags
    row: Wholes


def _place_costs(events: Events, model: Model) -> Numbers:
    """What it costs that each hand strikes the first voice, whatever was before: *(event, hand)*."""
    weights = model.weights
    costs = weights.out_of_way * model.way[:, events.first].T
    second = events.second >= 0
    share = np.where(second, np.where(events.flam, weights.grace_comes_along, 1.0), 0.0)
    costs += weights.out_of_way * share[:, None] * model.way[::-1, np.maximum(events.second, 0)].T
    lagging = np.array([hand != model.lead for hand in (RIGHT, LEFT)])
    single = ~second | events.flam
    out: Numbers = costs + weights.strong_place * (events.strong * single)[:, None] / 2 * lagging[None, :]
    return out


def step_costs(events: Events, model: Model) -> Steps:
    """The costs of all steps."""
    size, width, scale = len(events.at_s), LONGEST + 1, model.weights.sharpness
    place, struck = _place_costs(events, model), _struck(events, model)
    same, other = np.zeros((size, 2, width)), np.zeros((size, 2, width))
    is_both = events.second >= 0
    chosen = np.flatnonzero(is_both)
    both = np.zeros((max(1, len(chosen)), 2, width, 2))
    for hand in (RIGHT, LEFT):
        for ago in range(width):
            own = _last(events, struck, hand, hand, 0, ago)
            far = _last(events, struck, 1 - hand, hand, ago, ago)
            again = _again(events, model.weights, ago)
            plain = np.zeros(size, dtype=np.bool_) if ago > 1 else ~events.accent
            same[:, hand, ago] = model.move(own[0], events.first, own[1], bounces=plain) + again + place[:, hand]
            same[:, hand, ago] += _crossing(model, hand, events.first, far[0])
            other[:, hand, ago] = model.move(far[0], events.first, far[1], bounces=False) + place[:, 1 - hand]
            other[:, hand, ago] += _crossing(model, 1 - hand, events.first, own[0])
            if len(chosen):
                for way in (RIGHT, LEFT):
                    first, second = (own, far) if way == hand else (far, own)
                    ways = both[:, hand, ago, way]
                    ways += _both_cost(events, model, chosen, first, second) + place[chosen, way]
                    cross = _crossing(model, way, events.first[chosen], events.second[chosen])
                    ways += np.where(events.flam[chosen], again[chosen] * (way == hand), cross)
    begin = place + model.weights.strong_place * np.array([hand != model.lead for hand in (RIGHT, LEFT)])
    row = np.maximum(0, np.cumsum(is_both) - 1)
    return Steps(scale * begin, scale * same, scale * other, scale * both, is_both, row)


From = tuple["Wholes", "Numbers"]


def _both_cost(events: Events, model: Model, chosen: Wholes, first: From, second: From) -> Numbers:
    """What the moves of both hands cost to the events where both strike, from where each comes."""
    cost = model.move(first[0][chosen], events.first[chosen], first[1][chosen], bounces=False)
    comes = model.move(second[0][chosen], events.second[chosen], second[1][chosen], bounces=False)
    return cost + comes * np.where(events.flam[chosen], model.weights.grace_comes_along, 1.0)


def _struck(events: Events, model: Model) -> Wholes:
    """The voice that each hand struck at an event where both did, in the likelier way: *(hand, event)*."""
    both = (events.second >= 0) & ~events.flam
    way = model.way
    second = np.maximum(events.second, 0)
    straight = way[RIGHT, events.first] + way[LEFT, second] + model.crossed[events.first, second]
    swapped = way[LEFT, events.first] + way[RIGHT, second] + model.crossed[second, events.first]
    right = np.where(both & (swapped < straight), events.second, events.first)
    left = np.where(both, np.where(swapped < straight, events.first, events.second), events.first)
    return np.stack([right, left])


def _last(events: Events, struck: Wholes, hand: int, last: int, ago: int, state: int) -> tuple[Wholes, Numbers]:
    """For every event: the voice that ``hand`` struck last, and how long before, in the state (``last``, ``state``).

    In state 0 both struck the event before: ``last`` its first voice, the other hand its second.
    """
    size = len(events.at_s)
    index = np.arange(size) - 1 - ago
    safe = np.maximum(index, 0)
    if state == 0:
        voice = events.first[safe] if hand == last else np.where(events.second >= 0, events.second, NONE)[safe]
    else:
        voice = struck[hand, safe]
    known = (index >= 0) & (ago < LONGEST)
    return np.where(known, voice, NONE), events.at_s - events.at_s[safe]


def _again(events: Events, weights: Weights, ago: int) -> Numbers:
    """What it costs that the hand of the last event strikes again, having struck ``ago`` times in a row."""
    size = len(events.at_s)
    before = np.maximum(np.arange(size) - 1, 0)
    room = events.at_s - events.at_s[before]
    quick = np.exp(-((room / 0.25) ** 2))
    cost = weights.again_slow + weights.again * quick
    cost = cost + weights.third * quick * (ago > 1)
    louder = (events.force > events.force[before] * 1.15) & (events.first == events.first[before])
    cost = cost + weights.louder_second * louder * quick
    plain_pair = (events.second[before] >= 0) & ~events.flam[before] & (ago == 0)
    return np.where(plain_pair, 0.0, cost)


def _crossing(model: Model, hand: int, own: Wholes, other: Wholes) -> Numbers:
    """What crossed hands cost, ``hand`` on ``own`` and the other one on ``other``."""
    known = (own >= 0) & (other >= 0)
    right, left = (own, other) if hand == RIGHT else (other, own)
    return model.weights.crossed * np.where(known, model.crossed[np.maximum(right, 0), np.maximum(left, 0)], 0.0)
