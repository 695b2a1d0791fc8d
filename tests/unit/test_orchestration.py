"""From a hand's stroke to a voice: the most particular rule wins; how ``around`` comes round."""

import pytest
from drum_room import laid, laid_in_turn, phrase, rows, voices

from drumgen.counts import parse_places
from drumgen.levels import Level
from drumgen.orchestration import Around, HandMap, choose_voice
from drumgen.plan import arrange
from drumgen.strokes import strokes

FULL = HandMap(main="snare", accent="crash", ghost="cross-stick", around=("high-tom", "floor-tom"))


def voice(
    hand: HandMap, *, level: Level = "normal", on_count: str | None = None, progress: Around | None = None
) -> str:
    on = progress or Around()
    return choose_voice(hand, level=level, on_count=on_count, come_around=lambda: on.step(1), home="pad")


def test_a_count_wins_over_everything() -> None:
    assert voice(FULL, level="accent", on_count="ride") == "ride"
    assert voice(FULL, level="ghost", on_count="ride") == "ride"


def test_accent_and_ghost_win_over_around() -> None:
    assert voice(FULL, level="accent") == "crash"
    assert voice(FULL, level="ghost") == "cross-stick"


def test_around_wins_over_main() -> None:
    assert voice(FULL) == "high-tom"


def test_around_takes_accents_that_no_rule_speaks_of() -> None:
    assert voice(HandMap(main="snare", around=("high-tom",)), level="accent") == "high-tom"


def test_main_and_else_the_home_voice() -> None:
    assert voice(HandMap(main="ride"), level="accent") == "ride"
    assert voice(HandMap()) == "pad"


def test_around_counts_only_the_strokes_that_come_to_it() -> None:
    progress = Around()
    voice(FULL, level="accent", progress=progress)
    voice(FULL, on_count="ride", progress=progress)
    assert progress.index == -1


def test_every_voice_it_names_with_its_path() -> None:
    hand = HandMap(
        "snare", "", "pad", ("high-tom", "floor-tom"), "beat", ((parse_places("4& 4a", signs=False), "ride"),)
    )
    assert hand.named == (
        (("main",), "snare"),
        (("ghost",), "pad"),
        (("around", 0), "high-tom"),
        (("around", 1), "floor-tom"),
        (("4& 4a",), "ride"),
    )


TOMS = '["high-tom", "mid-tom", "floor-tom"]'


def right_hand(every: str, sticking: str = "RL", subdivision: str = "sixteenths", more: str = "") -> list[str]:
    body = (
        f'sticking = "{sticking}"\nsubdivision = "{subdivision}"\n'
        f'hands.R = {{ around = {TOMS}, every = "{every}" }}\n{more}'
    )
    return voices(laid(body).strokes, "R")


def test_around_with_every_stroke_comes_round() -> None:
    assert right_hand("stroke") == ["high-tom", "mid-tom", "floor-tom"] * 2 + ["high-tom", "mid-tom"]


def test_around_with_every_beat_stays_on_its_last() -> None:
    assert right_hand("beat") == ["high-tom"] * 2 + ["mid-tom"] * 2 + ["floor-tom"] * 4


def test_around_with_every_group_follows_the_meters_groups() -> None:
    assert right_hand("group", "RR", "eighths", 'meter = "7/8 2+2+3"') == (
        ["high-tom"] * 2 + ["mid-tom"] * 2 + ["floor-tom"] * 3
    )


def test_a_group_is_else_each_coming_round_of_the_sticking() -> None:
    assert right_hand("group", "RLR", "eighths") == ["high-tom"] * 2 + ["mid-tom"] * 2 + ["floor-tom"]


def test_around_with_every_bar_stands_still_within_one() -> None:
    assert right_hand("bar") == ["high-tom"] * 8


CARRIED = (
    'sticking = "{}"\nacross = "carry"\nhands.R = {{ around = ["high-tom", "mid-tom", "floor-tom"], every = "{}" }}'
)


@pytest.mark.parametrize(
    ("every", "sticking", "firsts"),
    [
        ("bar", "RL", ["high-tom", "mid-tom", "floor-tom", "floor-tom"]),
        ("stroke", "RL", ["high-tom", "floor-tom", "mid-tom", "high-tom"]),  # eight in a bar: 8 is 2 more than 6
        ("beat", "RLLLLLLLLLLLLLLL", ["high-tom", "mid-tom", "floor-tom", "floor-tom"]),
        ("group", "RLLLLLLLLLLLLLLL", ["high-tom", "mid-tom", "floor-tom", "floor-tom"]),
    ],
)
def test_around_goes_on_where_the_sticking_is_carried(every: str, sticking: str, firsts: list[str]) -> None:
    bars = laid_in_turn(CARRIED.format(sticking, every), 4)
    assert [voices(bar.strokes, "R")[0] for bar in bars] == firsts


def test_groups_of_the_meter_go_on_too() -> None:
    body = 'meter = "3/8 1+2"\nsubdivision = "eighths"\n' + CARRIED.format("RLL", "group")
    assert [voices(bar.strokes, "R") for bar in laid_in_turn(body, 3)] == [["high-tom"], ["mid-tom"], ["floor-tom"]]


def test_around_begins_anew_with_each_bar_that_is_not_carried() -> None:
    text = CARRIED.format("RLLLLLLL", "stroke").replace("carry", "restart")
    found = phrase(f'phrase = ["a x3"]\n[bars.a]\n{text}\n')
    played = [voices(bar_laid.strokes, "R") for _, bar_laid in strokes(arrange(found))]
    assert played == [["high-tom", "mid-tom"]] * 3


def test_exceptions_accents_and_around_in_one_bar() -> None:
    body = (
        'sticking = "RLRL"\nsubdivision = "eighths"\naccents = "2 4"\n'
        'hands.R = { main = "ride", accent = "crash", around = ["high-tom", "mid-tom"], "4" = "china" }\n'
    )
    assert rows(body, limbs="R") == ["1R high-tom", ">2R crash", "3R mid-tom", ">4R china"]


def test_the_first_exception_of_a_place_is_the_one_that_is_played() -> None:
    body = 'sticking = "R"\nsubdivision = "quarters"\nhands.R = { "1 2" = "ride", "2 3" = "crash" }\n'
    assert rows(body) == ["1R ride", "2R ride", "3R crash", "4R snare"]


def test_a_part_that_leaves_the_hands_alone_lets_around_go_on() -> None:
    body = (
        'sticking = "R"\nsubdivision = "quarters"\n'
        f'hands.R = {{ around = {TOMS[:-1]}, "low-tom"] }}\n'
        '[[bars.a.parts]]\nbeats = "3-4"\naccents = "3"\n'
    )
    assert rows(body) == ["1R high-tom", "2R mid-tom", ">3R floor-tom", "4R low-tom"]


def test_a_part_with_a_subdivision_of_its_own_lets_around_go_on() -> None:
    body = (
        f'sticking = "RL"\nsubdivision = "eighths"\nhands.R = {{ around = {TOMS}, every = "beat" }}\n'
        '[[bars.a.parts]]\nbeats = "3"\nsticking = "RLR"\nsubdivision = "triplets"\n'
    )
    assert rows(body, limbs="R") == ["1R high-tom", "2R mid-tom", "3R floor-tom", "3lR floor-tom", "4R floor-tom"]


def test_a_part_with_a_map_of_its_own_begins_it() -> None:
    body = (
        f'sticking = "R"\nsubdivision = "quarters"\nhands.R = {{ around = {TOMS} }}\n'
        '[[bars.a.parts]]\nbeats = "3-4"\nhands.R = { around = ["ride", "crash"] }\n'
    )
    assert rows(body) == ["1R high-tom", "2R mid-tom", "3R ride", "4R crash"]


def test_a_part_begins_its_map_in_every_bar_although_the_bar_is_carried() -> None:
    body = (
        'sticking = "R"\nsubdivision = "quarters"\nacross = "carry"\n'
        '[[bars.a.parts]]\nbeats = "4"\nhands.R = { around = ["ride", "crash"] }\n'
    )
    assert [bar.strokes[3].voice for bar in laid_in_turn(body, 2)] == ["ride", "ride"]


def test_a_sticking_of_a_part_is_a_group_of_its_own() -> None:
    body = (
        f'sticking = "R"\nsubdivision = "quarters"\nhands.R = {{ around = {TOMS}, every = "group" }}\nacross = "once"\n'
        '[[bars.a.parts]]\nbeats = "2-3"\nsticking = "RR"\n'
    )
    assert rows(body) == ["1R high-tom", "2R mid-tom", "3R mid-tom"]
