"""Practice options as they are written, laid over others."""

import pytest
from drum_room import said

from drumgen.clicks import ClickSound
from drumgen.practice import Practice, parse_ladder
from drumgen.spec.phrase_file import PracticeTable
from drumgen.spec.practising import make_practice, with_options
from drumgen.tempo import parse_tempo


def test_nothing_said_is_nothing_asked() -> None:
    assert make_practice(None) == make_practice(PracticeTable.model_validate({})) == Practice()


def test_everything_said() -> None:
    table = PracticeTable.model_validate(
        {
            "times": 2,
            "bars": "1-2",
            "only": "fill",
            "limbs": "hands",
            "mute": ["kick"],
            "count-in": 1,
            "click": "2 and 4",
            "click-voices": "cowbell/woodblock",
            "click-level": 70,
            "click-side": "left",
            "only-click": True,
            "ladder": "60 to 70 by 5",
            "rungs": "apart",
            "gap": "2 on 1 off",
            "answer": 4,
            "rest": "1 after 2",
        }
    )
    assert make_practice(table) == Practice(
        times=2,
        bars=((1, 2),),
        only="fill",
        limbs=("R", "L"),
        mute=("kick",),
        count_in=1,
        click="2 and 4",
        click_sound=ClickSound("cowbell", "woodblock", 70, "left"),
        only_click=True,
        rungs=parse_ladder("60 to 70 by 5"),
        rungs_apart=True,
        gap=(2, 1),
        answer=4,
        rest=(1, 2),
    )


def test_one_set_over_another() -> None:
    file = Practice(times=4, tempo=parse_tempo("80"), click="quarters")
    assert with_options(file, {"times": 2}) == Practice(times=2, tempo=parse_tempo("80"), click="quarters")
    over = with_options(file, {"ladder": "60 to 70 by 5"})
    assert (over.tempo, len(over.rungs)) == (None, 3)
    back = with_options(over, {"tempo": parse_tempo("99")})
    assert (back.tempo, back.rungs, back.rungs_apart) == (parse_tempo("99"), (), False)


def test_all_faults_at_once() -> None:
    table = PracticeTable.model_validate({"bars": "x", "gap": "y", "ladder": "z", "click-voices": "/"})
    found = said(lambda: make_practice(table)).split("\n")
    assert [line.split(": expected")[0] for line in found] == ["bars", "gap", "ladder", "click-voices"]


@pytest.mark.parametrize("key", ["click", "limbs", "rest"])
def test_each_is_told_under_its_own_key(key: str) -> None:
    assert said(lambda: make_practice(PracticeTable.model_validate({key: "?"}))).startswith(f"{key}: expected ")
