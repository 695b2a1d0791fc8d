"""Practice options as they are written, and what cannot be asked for together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from drum_room import said

from drumgen.practice import Practice, parse_bar_ranges, parse_gap, parse_ladder, parse_limbs, parse_rest
from drumgen.tempo import parse_tempo

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.mark.parametrize(
    ("text", "limbs"),
    [
        ("hands", "RL"),
        ("feet", "KH"),
        ("feet and right hand", "RKH"),
        ("kick  foot, left hand", "LK"),
        ("H,K,L,R", "RLKH"),
        ("hi-hat foot", "H"),
    ],
)
def test_limbs(text: str, limbs: str) -> None:
    assert "".join(parse_limbs(text)) == limbs


def test_no_such_limb() -> None:
    assert said(lambda: parse_limbs("hans")) == (
        "expected limbs of hands, feet, right hand, left hand, kick foot, hi-hat foot, R, L, K, H, "
        'got "hans" (nearest: "hands")'
    )
    assert 'got ""' in said(lambda: parse_limbs("hands,"))


@pytest.mark.parametrize(
    ("text", "ranges"),
    [("4", ((4, 4),)), ("4-5", ((4, 5),)), (" 0 , 2 - 3,9", ((0, 0), (2, 3), (9, 9)))],
)
def test_bars(text: str, ranges: tuple[tuple[int, int], ...]) -> None:
    assert parse_bar_ranges(text) == ranges


@pytest.mark.parametrize("text", ["", "a", "4-", "-4", "1-2-3", "4;5", "\uff14", "1234567"])
def test_what_are_no_bars(text: str) -> None:
    assert said(lambda: parse_bar_ranges(text)) == f'expected bar numbers such as "4" or "4-5, 8", got "{text}"'


def test_a_range_runs_upwards() -> None:
    assert said(lambda: parse_bar_ranges("1, 5-4")) == 'expected a range of bars from low to high, got "5-4"'


@pytest.mark.parametrize(
    ("text", "tempos"),
    [
        ("60 to 70 by 5", "60 65 70"),
        ("60 to 72 by 5", "60 65 70 72"),
        ("70 to 60 by 5", "70 65 60"),
        ("60 to 60 by 5", "60"),
        ("60.5 to 61 by 0.25", "60.5 60.75 61"),
    ],
)
def test_ladders(text: str, tempos: str) -> None:
    assert [str(tempo) for tempo in parse_ladder(text)] == tempos.split()


def test_a_ladder_of_another_note_value() -> None:
    assert parse_ladder("dotted  quarter 60 to 62 by 2") == (
        parse_tempo("dotted quarter 60"),
        parse_tempo("dotted quarter 62"),
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("60 to 70", 'expected a ladder such as "60 to 120 by 5", got "60 to 70"'),
        ("9 to 70 by 5", "expected a tempo from 10 to 400 beats a minute, got 9\n    9 to 70 by 5\n    ^"),
        (
            "60 to 700 by 5",
            "expected a tempo from 10 to 400 beats a minute, got 700\n    60 to 700 by 5\n          ^^^",
        ),
        ("60 to 70 by 0", "expected a step that makes at most 400 rungs, got 0\n    60 to 70 by 0\n                ^"),
    ],
)
def test_what_is_no_ladder(text: str, message: str) -> None:
    assert said(lambda: parse_ladder(text)) == message


def test_a_ladder_in_an_unknown_note_value() -> None:
    assert said(lambda: parse_ladder("crotchet 60 to 70 by 5")).startswith('expected a note value, got "crotchet"')


def test_gaps_and_rests() -> None:
    assert parse_gap(" 2 on 3 off ") == (2, 3)
    assert parse_rest("1 after 10") == (1, 10)


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (parse_gap, "2 off 2 on"),
        (parse_gap, "0 on 1 off"),
        (parse_gap, "1 on 65 off"),
        (parse_rest, "after 10"),
        (parse_rest, "0 after 10"),
        (parse_rest, "1 after 0"),
    ],
)
def test_what_is_none(parse: Callable[[str], object], text: str) -> None:
    assert said(lambda: parse(text)).endswith(f'got "{text}"')


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"times": 0}, "times: expected a number from 1 to 10000, got 0"),
        ({"times": 10_001}, "times: expected a number from 1 to 10000, got 10001"),
        ({"count_in": 9}, "count-in: expected a number from 0 to 8, got 9"),
        ({"answer": 65}, "answer: expected a number from 0 to 64, got 65"),
        ({"loop": True, "count_in": 1}, "loop: a loop or a count-in, not both: "),
        ({"loop": True, "rungs": parse_ladder("60 to 70 by 5")}, "loop: a loop or a ladder, not both: "),
        ({"loop": True, "rest": (1, 2)}, "loop: a loop or a rest, not both: "),
        (
            {"tempo": parse_tempo("90"), "rungs": parse_ladder("60 to 70 by 5")},
            "ladder: a ladder or a tempo, not both: ",
        ),
        ({"gap": (1, 1)}, "gap: a click beside the gap"),
        ({"answer": 2}, "answer: a click beside the answer"),
        ({"tempo": parse_tempo("152 to 120")}, "tempo: a steady tempo: it is a bar that slows"),
        ({"rungs_apart": True}, "rungs: a ladder beside rungs apart"),
        ({"only_click": True}, "only-click: a click beside only-click"),
    ],
)
def test_what_cannot_be_asked_for_says_why(options: dict[str, Any], message: str) -> None:
    assert said(lambda: Practice(**options)).startswith(message)


def test_all_that_cannot_be_asked_for_is_said_at_once() -> None:
    assert said(lambda: Practice(times=0, loop=True, count_in=9, answer=2)).split("\n") == [
        "times: expected a number from 1 to 10000, got 0",
        "count-in: expected a number from 0 to 8, got 9",
        "loop: a loop or a count-in, not both: the count-in would come round with the loop",
        "answer: a click beside the answer, so that the player keeps time",
    ]


def test_what_goes_together() -> None:
    practice = Practice(loop=True, click="quarters", gap=(2, 2), answer=1, only_click=True)
    assert practice.loop
