"""The move model: what a limb needs from one stroke to the next, on the shipped five-piece kit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from drumgen.kit import Voice
from drumgen.spec.loading import load_kit
from drumgen.study.demands import room_needed_s
from drumgen.study.reach import distance_cm, foot_need, hand_need, move_ms, same_spot

if TYPE_CHECKING:
    from drumgen.trade.limits import Skill

KIT = load_kit("five-piece").voices
SNARE, FLOOR, RIM, HIHAT, OPEN = (KIT[name] for name in ("snare", "floor-tom", "rimshot", "hihat", "hihat-open"))
NEAR = Voice("near", 60, x_cm=0, y_cm=0, width_cm=30)
FAR = Voice("far", 61, x_cm=30, y_cm=40, width_cm=30)


def test_distance_is_on_the_plan() -> None:
    assert distance_cm(NEAR, FAR) == 50


def test_a_far_move_takes_fitts_time() -> None:
    need = hand_need(NEAR, FAR, bounces=True, skill="player")
    assert need.asked == "move"
    assert need.sets
    assert need.least_ms == pytest.approx(27.7 + 111.5 * 1.41504, abs=0.01)  # log2(50 / 30 + 1)
    assert need.reach_cm == 50


def test_a_near_move_is_no_quicker_than_a_full_stroke() -> None:
    need = hand_need(NEAR, replace(NEAR, name="beside", x_cm=5), bounces=True, skill="player")
    assert (need.asked, need.least_ms, need.sets) == ("move", 150, False)


def test_one_spot() -> None:
    assert same_spot(HIHAT, OPEN)
    assert not same_spot(SNARE, RIM)
    assert hand_need(HIHAT, OPEN, bounces=True, skill="player").asked == "rebound"
    rim = hand_need(SNARE, RIM, bounces=True, skill="player")
    assert (rim.asked, rim.least_ms, rim.reach_cm) == ("move", 150, 0)


@pytest.mark.parametrize(("skill", "full", "bounce"), [("learner", 200, 90), ("player", 150, 60), ("record", 100, 45)])
def test_a_rebound_and_a_full_stroke(skill: Skill, full: int, bounce: int) -> None:
    once = hand_need(SNARE, SNARE, bounces=True, skill=skill)
    assert (once.asked, once.least_ms, once.full_ms) == ("rebound", bounce, full)
    again = hand_need(SNARE, SNARE, bounces=False, skill=skill)
    assert (again.asked, again.least_ms) == ("full stroke", full)


def test_a_foot() -> None:
    kick = KIT["kick"]
    need = foot_need(kick, kick, skill="player")
    assert (need.asked, need.least_ms, need.full_ms) == ("rebound", 120, 150)
    other = foot_need(kick, replace(kick, name="kick-2", x_cm=kick.x_cm - 20), skill="player")
    assert (other.asked, other.least_ms) == ("move", 187 + 85 * 2)  # log2(2 * 20 / 10)


def test_the_time_of_a_move_is_never_less_than_none() -> None:
    assert move_ms(0.001, 200, skill="player", foot=True) == 0


# A flam of 25 ms before a full stroke of 150; a drag whose grace notes have to shrink to a third of the room.
@pytest.mark.parametrize(
    ("least_s", "early_s", "room_s"), [(0.150, 0.025, 0.175), (0.150, 0.0, 0.150), (0.06, 0.08, 0.09)]
)
def test_the_room_before_grace_notes(least_s: float, early_s: float, room_s: float) -> None:
    assert room_needed_s(least_s, early_s=early_s) == pytest.approx(room_s)
    assert room_s - min(early_s, room_s / 3) == pytest.approx(least_s)
