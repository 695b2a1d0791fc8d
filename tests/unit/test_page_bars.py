"""What the page is told of a phrase: the same strokes and velocities as the MIDI file has, at any tempo."""

from pathlib import Path
from typing import Any

import pytest
from drum_room import DEMO_PHRASES
from drum_room import phrase as phrase_of

from drumgen.clicks import ClickSound
from drumgen.errors import DrumgenError
from drumgen.page.bars import phrase_table, velocities
from drumgen.page.practising import practice_table
from drumgen.performing import perform
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice, parse_ladder
from drumgen.spec.loading import load_phrase
from drumgen.tempo import parse_tempo

TEXT = """
title   = "Jetty"
tempo   = 100
phrase  = ["a x2", "b"]
landing = ["crash", "kick"]

[bars.a]
sticking  = "RL(R)>L lRLllRRz L---"
subdivision = "sixteenths"
hands.R   = "hihat"
feet.kick = "1"
dynamics  = "mp to f"

[bars.b]
role     = "fill"
sticking = "RLL"
subdivision = "triplets"
tempo    = "100 to 80"
"""


def jetty(text: str = TEXT) -> Phrase:
    return phrase_of(text)


def strokes_of(table: dict[str, Any]) -> list[tuple[int, str, int]]:
    """Every stroke of a table in order: its place from the start of the phrase, its voice, its velocity."""
    found, start = [], 0
    for _, number in table["bars"]:
        shape = table["shapes"][number]
        found += [(start + row[1], table["voices"][row[3]]["name"], row[4]) for row in shape["strokes"]]
        start += shape["grains"]
    return found


@pytest.mark.parametrize("path", DEMO_PHRASES, ids=lambda path: path.stem)
def test_the_strokes_of_the_page_are_those_of_the_performance(path: Path) -> None:
    phrase = load_phrase(str(path)).phrase
    plan = arrange(phrase, Practice())
    begin = next(span.start for span in plan.spans if span.kind == "bar")
    performed = {
        (hit.place - begin, hit.voice, hit.velocity)
        for hit in perform(plan).hits
        if hit.kind == "stroke" and not plan.spans[hit.span].landing
    }
    assert performed <= set(strokes_of(phrase_table(phrase)))


def test_bars_that_are_played_alike_share_a_shape() -> None:
    table = phrase_table(jetty())
    assert table["bars"] == [[1, 0], [2, 0], [3, 1]]
    assert [shape["name"] for shape in table["shapes"]] == ["a", "b"]
    assert table["shapes"][1]["quarters"] == [100.0, 80.0]


def test_ornaments_stand_at_the_end_of_their_row() -> None:
    rows = phrase_table(jetty())["shapes"][0]["strokes"]
    ornaments = [row[7:] for row in rows if len(row) > 7]
    assert [(grace, buzz) for grace, _, _, buzz in ornaments] == [(1, 0), (2, 0), (0, 1)]


def test_a_landing_is_on_the_bar_it_can_fall_on_and_alone() -> None:
    table = phrase_table(jetty())
    groove, fill = table["shapes"]
    assert fill["landing"] == "crash+kick"
    assert "landed" not in fill
    names = [table["voices"][row[3]]["name"] for row in groove["landed"]["crash+kick"] if row[1] == 0]
    assert sorted(names) == ["crash", "kick"]
    alone = [(table["voices"][row[3]]["name"], row[1]) for row in fill["after"]["strokes"]]
    assert sorted(alone) == [("crash", 0), ("kick", 0)]
    assert fill["after"]["quarters"] == [100.0, 100.0]


def test_swing_moves_strokes_and_clicks_to_the_nearest_grain() -> None:
    swung = TEXT.replace("[bars.a]", '[feel]\nswing = { of = "eighths", ratio = "2:1" }\n[bars.a]')
    shape = phrase_table(jetty(swung))["shapes"][0]
    assert {row[1]: row[0] for row in shape["strokes"]}[5040] == 6720
    assert [6720, 5040, 0] in shape["clicks"]["off-beats"]


def test_every_velocity_that_may_sound_is_known() -> None:
    phrase = jetty()
    known = set(velocities(phrase_table(phrase)))
    hits = perform(arrange(phrase, Practice(times=3, count_in=1, click="beats", loop=False))).hits
    assert {(hit.voice, hit.velocity) for hit in hits} <= known


def test_practice_options_are_told_in_the_phrases_own_unit() -> None:
    phrase = jetty()
    practice = Practice(
        tempo=parse_tempo("eighth 180"),
        times=3,
        bars=((2, 3),),
        limbs=("R", "L"),
        mute=("crash",),
        count_in=2,
        click="2 and 4",
        click_sound=ClickSound(side="left"),
        gap=(2, 1),
        answer=4,
        rest=(1, 2),
    )
    assert practice_table(phrase, practice) == {
        "tempo": 90.0,
        "times": 3,
        "first": 2,
        "last": 3,
        "numbers": None,
        "silentLimbs": ["K", "H"],
        "silentVoices": ["crash"],
        "countIn": 2,
        "click": "2 and 4",
        "clickSide": "left",
        "gapOn": 2,
        "gapOff": 1,
        "answer": 4,
        "rest": 1,
        "restAfter": 2,
        "ladder": None,
    }


def test_nothing_asked_for_is_round_and_round_at_the_written_tempo() -> None:
    table = practice_table(jetty(), Practice())
    assert (table["tempo"], table["times"], table["first"], table["last"]) == (None, 0, None, None)
    assert (table["silentLimbs"], table["click"]) == ([], "")


def test_only_a_role_and_only_the_click() -> None:
    table = practice_table(jetty(), Practice(only="fill", click="beats", only_click=True))
    assert (table["first"], table["last"]) == (3, 3)
    assert table["silentLimbs"] == ["R", "L", "K", "H"]


def test_bars_that_are_no_range_are_kept_apart() -> None:
    table = practice_table(jetty(), Practice(bars=((1, 1), (3, 3))))
    assert table["numbers"] == [1, 3]
    assert (table["first"], table["last"]) == (1, 3)


def test_a_loop_goes_round_and_round_however_often_its_file_does() -> None:
    assert practice_table(jetty(), Practice(loop=True, times=4))["times"] == 0


@pytest.mark.parametrize(
    ("practice", "words"),
    [
        (Practice(bars=((2, 9),)), "bars from 1 to 3, got 2-9"),
        (Practice(only="chorus"), 'the name or role of a bar that is played .*, got "chorus"'),
        (Practice(click_sound=ClickSound(plain="anvil")), "anvil"),
        (Practice(mute=("anvil",)), "anvil"),
    ],
)
def test_what_the_phrase_does_not_have_is_refused(practice: Practice, words: str) -> None:
    with pytest.raises(DrumgenError, match=words):
        practice_table(jetty(), practice)


@pytest.mark.parametrize(("text", "by"), [("60 to 120 by 20", 20.0), ("120 to 60 by 15", 15.0), ("60 to 60 by 5", 5)])
def test_a_ladder_is_its_ends_and_its_step(text: str, by: float) -> None:
    rungs = parse_ladder(text)
    table = practice_table(jetty(), Practice(rungs=rungs, times=4))["ladder"]
    assert table == {"times": 4, "from": float(rungs[0].start), "to": float(rungs[-1].start), "by": by}
