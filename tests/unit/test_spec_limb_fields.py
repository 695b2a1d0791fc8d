"""The fields that speak of limbs: accents and ghosts, hands, feet; each fault with its place."""

from __future__ import annotations

import pytest
from drum_room import said

from drumgen.counts import parse_places
from drumgen.orchestration import HandMap
from drumgen.spec.limb_fields import read_foot, read_hand, read_levels, read_places


def test_levels() -> None:
    assert read_levels("2 4") == (("", parse_places("2 4", signs=False)),)
    assert read_levels({"L": "all", "K": "1"}) == (
        ("L", parse_places("all", signs=False)),
        ("K", parse_places("1", signs=False)),
    )
    assert read_levels({}) == ()


def test_what_is_no_level_line() -> None:
    assert said(lambda: read_levels(2)) == 'expected counts in quotes, such as "2 4", or a table by limb, got 2'
    assert said(lambda: read_levels({"left": "1", "L": 3, "R": "x"})) == (
        'left: expected a limb of R, L, K, H, got "left"\n'
        'L: expected counts in quotes, such as "2 4", got 3\n'
        'R: expected a count such as 2, 2&, 2.3, 2*, *&, all or every 3, got "x"\n    x\n    ^'
    )


def test_hands() -> None:
    assert read_hand("hihat") == HandMap(main="hihat")
    table = {"main": "snare", "accent": "crash", "ghost": "pad", "around": ["a", "b"], "every": "beat", "4& 4a": "ride"}
    assert read_hand(table) == HandMap(
        "snare", "crash", "pad", ("a", "b"), "beat", ((parse_places("4& 4a", signs=False), "ride"),)
    )
    assert read_hand({}) == HandMap()


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (3, 'expected a voice, or a table such as { main = "snare" }, got 3'),
        ("", 'expected a voice, got ""'),
        ({"main": 1}, "main: expected a voice in quotes, got 1"),
        ({"accent": ""}, 'accent: expected a voice, got ""'),
        ({"around": "snare"}, 'around: expected a list of voices, such as ["high-tom", "floor-tom"], got "snare"'),
        ({"around": []}, 'around: expected a list of voices, such as ["high-tom", "floor-tom"], got an empty list'),
        ({"around": ["a", 2]}, "around: expected a voice in quotes, got 2"),
        ({"every": "beat"}, 'every: expected an "around" for "every" to speak of, got none'),
        (
            {"around": ["a"], "every": "beats"},
            'every: expected one of stroke, beat, group, bar, got "beats" (nearest: "beat")',
        ),
        ({"around": ["a"], "every": 2}, "every: expected one of stroke, beat, group, bar, got 2"),
        (
            {"acent": "a"},
            'acent: expected main, accent, ghost, around, every or counts, got "acent" (nearest: "accent")',
        ),
        (
            {"qq": "a"},
            'qq: expected a count such as 2, 2&, 2.3, 2*, *&, all or every 3, got "qq"\n    qq\n    ^^',
        ),
        ({" ": "a"}, '" ": expected counts, got " "'),
        ({"2": 5}, "2: expected a voice in quotes, got 5"),
    ],
)
def test_what_is_no_hand(value: object, message: str) -> None:
    assert said(lambda: read_hand(value)) == message


def test_all_that_is_wrong_with_a_hand_at_once() -> None:
    assert said(lambda: read_hand({"main": 1, "around": [], "every": "x"})) == (
        "main: expected a voice in quotes, got 1\n"
        'around: expected a list of voices, such as ["high-tom", "floor-tom"], got an empty list\n'
        'every: expected one of stroke, beat, group, bar, got "x"'
    )


@pytest.mark.parametrize("rule", ["with accents", "with R", "with L", "gaps"])
def test_feet_that_follow(rule: str) -> None:
    assert read_foot(rule) == rule
    assert read_foot(f"  {rule.replace(' ', '   ')} ") == rule


def test_feet_with_places_and_none() -> None:
    assert read_foot("1 >3 (4&)") == parse_places("1 >3 (4&)", signs=True)
    assert read_foot("none") == read_foot("") == parse_places("", signs=True)


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (1, 'expected counts in quotes, such as "1 2& >3 (4&)", got 1'),
        ("with r", 'expected counts, or with accents, with R, with L, gaps or none, got "with r" (nearest: "with R")'),
        ("gap", 'expected counts, or with accents, with R, with L, gaps or none, got "gap" (nearest: "gaps")'),
        ("1 2x", 'expected a count such as 2, 2&, 2.3, 2*, *&, all or every 3, got "2x"\n    1 2x\n      ^^'),
    ],
)
def test_what_is_no_foot_line(value: object, message: str) -> None:
    assert said(lambda: read_foot(value)) == message


@pytest.mark.parametrize(
    ("text", "plain"),
    [("1, 2", "1 2"), ("1 and 2", "1 2"), ("1+ 2+", "1& 2&"), ("(1) >2", "1 2")],
)
def test_without_commas_words_and_signs_is_the_hint(text: str, plain: str) -> None:
    assert f'(nearest: "{plain}")' in said(lambda: read_places(text, signs=False))


def test_no_hint_where_it_would_not_be_read_either() -> None:
    assert "nearest" not in said(lambda: read_places("1, x", signs=False))
    assert "nearest" not in said(lambda: read_places("x", signs=False))
    assert "nearest" not in said(lambda: read_places(",", signs=True))
