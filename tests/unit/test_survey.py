"""When a sticking comes round, and what a phrase holds. The figures of the trade are *common practice*."""

from __future__ import annotations

from fractions import Fraction

import pytest
from drum_room import bar, phrase

from drumgen.coming_round import round_bars
from drumgen.survey import survey


@pytest.mark.parametrize(
    ("body", "bars", "words"),
    [
        ('sticking = "RLRRLRLL"', Fraction(1, 2), "comes round every 2 beats"),
        ('sticking = "RLRR"', Fraction(1, 4), "comes round every beat"),
        ('sticking = "RLRRLL"\nacross = "carry"', Fraction(3), "comes round after 3 bars"),
        ('sticking = "RL"', Fraction(1), "comes round every bar"),
        ('sticking = "RRLRLLRLRRLRLLRL"', Fraction(1), "comes round every bar"),
        ('rudiment = "single paradiddle"', Fraction(1, 2), "comes round every 2 beats"),
        ('rudiment = "double paradiddle"\nsubdivision = "triplets"', Fraction(1), "comes round every bar"),
        ('rudiment = "seventeen stroke roll"\nacross = "carry"', Fraction(3), "comes round after 3 bars"),
        ('sticking = "RLL"\nsubdivision = ["sixteenths", "triplets", "sixteenths", "triplets"]\nacross = "carry"',
         Fraction(3), "comes round after 3 bars"),
        ('sticking = "RLRRLL"', Fraction(3), "begins anew each bar (carried, it comes round after 3 bars)"),
        ('sticking = "RLRRLL"\nacross = "once"', Fraction(3), "once each bar"),
        ('sticking = "RLRRLRLL"\nacross = "once"', Fraction(1, 2), "once each bar"),
        ('feet.kick = "1"\nacross = "once"', None, "no sticking"),
        ('feet.kick = "1"', None, "no sticking"),
    ],
)  # fmt: skip
def test_when_a_sticking_comes_round(body: str, bars: Fraction | None, words: str) -> None:
    one = bar(body)
    only = one.bars["a"]
    assert round_bars(only.layer, only.meter) == bars
    assert survey(one)[0].round_words == words


def test_a_beat_and_a_half() -> None:
    only = bar('rudiment = "double ratamacue"\nacross = "carry"', top='meter = "6/4"\n')
    assert survey(only)[0].round_words == "comes round every 3 beats"


def test_what_a_bar_holds() -> None:
    text = """
phrase = ["a", "b", "c"]
[bars.a]
sticking = ">RLRR LRLL"
hands.R = "hihat"
feet.kick = "1 >3"
feet.hihat-foot = "2"
[bars.b]
role = "fill"
sticking = "RLK-"
[bars.c]
subdivision = "quarters"
"""
    hands = "right hand 8 strokes, 2 accents; left hand 8 strokes"
    feet = "kick foot 2 strokes, 1 accent; hi-hat foot 1 stroke"
    each_limb = "right hand 4 strokes; left hand 4 strokes; kick foot 4 strokes"
    assert [str(each) for each in survey(phrase(text))] == [
        f"a (groove, 4/4): comes round every 2 beats; not linear; {hands}; {feet}",
        f"b (fill, 4/4): comes round every beat; linear; {each_limb}",
        "c (groove, 4/4): no sticking; linear; silence",
    ]


def test_as_plain_values() -> None:
    (row,) = survey(bar('sticking = ">RLRR"\nfeet.kick = "1"\naccents = "2"'))
    assert row.plain["strokes"] == {"right hand": 12, "left hand": 4, "kick foot": 1}
    assert row.plain["accents"] == {"right hand": row.accents["R"]}
    assert survey(bar('feet.kick = "1"'))[0].plain["comes_round_bars"] is None
