"""What the limbs are told to do in a bar: levels, exceptions, feet, parts, grace voices, a left-hander."""

import pytest
from drum_room import bar, faults, laid, laid_in_turn, one_bar, remarks, rows, said

from drumgen.layout import lay_out_fresh

EIGHTHS = 'subdivision = "eighths"\n'
QUARTERS = 'subdivision = "quarters"\n'


def test_strokes_of_one_place_stand_right_left_kick_hihat() -> None:
    body = 'sticking = "B"\nsubdivision = "quarters"\nmeter = "1/4"\nfeet.hihat-foot = "1"\nfeet.kick = "1"\n'
    assert rows(body) == ["1R snare", "1L snare", "1K kick", "1H hihat-foot"]


def test_feet_signs_in_a_sticking_play_the_kits_pedals() -> None:
    assert rows(EIGHTHS + 'sticking = "R>K(L)H"\nmeter = "2/4"') == [
        "1R snare",
        ">1&K kick",
        "~2L snare",
        "2&H hihat-foot",
    ]


def test_the_letters_of_the_sticking_and_its_rests() -> None:
    bar_laid = laid(EIGHTHS + 'sticking = ">lR-(L)Rz"\nmeter = "2/4"')
    assert bar_laid.letters == ((0, "lR"), (10_080, "L"), (15_120, "Rz"))
    assert [slot.start for slot in bar_laid.slots] == [0, 5040, 10_080, 15_120]


def test_grace_and_buzz_stay_with_their_stroke() -> None:
    one, two, three = laid(QUARTERS + 'sticking = "lR llR Rz"\nmeter = "3/4"').strokes
    assert (one.grace, one.grace_voice, one.buzz) == (1, "snare", False)
    assert (two.grace, two.grace_voice, two.buzz) == (2, "snare", False)
    assert (three.grace, three.grace_voice, three.buzz) == (0, "", True)


# -- accents and ghosts


def test_accents_for_both_hands_or_by_hand() -> None:
    assert rows(QUARTERS + 'sticking = "RL"\naccents = "2 3"\n') == ["1R snare", ">2L snare", ">3R snare", "4L snare"]
    assert rows(QUARTERS + 'sticking = "RL"\naccents.L = "all"\n') == [
        "1R snare",
        ">2L snare",
        "3R snare",
        ">4L snare",
    ]


def test_an_accent_wins_over_a_ghost_whoever_says_it() -> None:
    body = QUARTERS + 'sticking = ">R(L)RL"\naccents.L = "2"\nghosts = "all"\n'
    assert rows(body) == [">1R snare", ">2L snare", "~3R snare", "~4L snare"]


def test_accents_are_of_the_sticking_never_of_the_feet() -> None:
    body = QUARTERS + 'sticking = "RK"\naccents = "all"\naccents.K = "2"\n'
    assert faults(one_bar(body))[0].startswith("shed.toml:6: not TOML")
    body = QUARTERS + 'sticking = "RK"\naccents = "all"\nfeet.kick = "3"\n'
    assert rows(body) == [">1R snare", "2K kick", ">3R snare", "3K kick", "4K kick"]
    assert rows(QUARTERS + 'sticking = "RK"\naccents.K = "2"\n', limbs="K") == [">2K kick", "4K kick"]


def test_every_third_place_obeys_across() -> None:
    assert rows(QUARTERS + 'sticking = "R"\naccents = "every 3"\n') == [
        ">1R snare",
        "2R snare",
        "3R snare",
        ">4R snare",
    ]
    bars = laid_in_turn(QUARTERS + 'sticking = "R"\nacross = "carry"\naccents = "every 3"\n', 3)
    assert [[stroke.level == "accent" for stroke in each.strokes] for each in bars] == [
        [True, False, False, True],
        [False, False, True, False],
        [False, True, False, False],
    ]


def test_typed_accents_stay_beside_an_accents_line() -> None:
    assert rows(QUARTERS + 'sticking = ">RL"\naccents = "2"\nmeter = "2/4"\n') == [">1R snare", ">2L snare"]


def test_what_is_written_where_a_hand_plays_nothing_is_remarked() -> None:
    body = QUARTERS + (
        'sticking = "RL-L"\naccents = "2 2& 3"\nghosts.R = "2 *& all"\nhands.L = { main = "snare", "1 4" = "ride" }\n'
    )
    assert remarks(one_bar(body)) == [
        'shed.toml:5: bars.a.accents: nothing is played on "2&", so it changes nothing',
        'shed.toml:5: bars.a.accents: nothing is played on "3", so it changes nothing',
        'shed.toml:6: bars.a.ghosts.R: nothing is played on "2", so it changes nothing',
        'shed.toml:7: bars.a.hands.L."1 4": nothing is played on "1", so it changes nothing',
    ]


def test_all_faults_of_the_counts_of_a_bar_at_once() -> None:
    body = QUARTERS + 'sticking = "R"\naccents = "5 1"\nhands.R = { "2.2" = "ride" }\nfeet.kick = "6e"\n'
    has = "(1 to 4, each with e & a t l &t &l)"
    assert faults(one_bar(body)) == [
        f'shed.toml:5: bars.a.accents: expected a count of 4/4 {has}, got "5"\n    5 1\n    ^',
        'shed.toml:6: bars.a.hands.R."2.2": expected a place of beat 2, 2.1 to 2.1, got "2.2"\n    2.2\n    ^^^',
        f'shed.toml:7: bars.a.feet.kick: expected a count of 4/4 {has}, got "6e"\n    6e\n    ^^',
    ]


# -- feet


def test_feet_have_signs_of_their_own() -> None:
    assert rows('feet.kick = "1 2& >3 (4&)"\n') == ["1K kick", "2&K kick", ">3K kick", "~4&K kick"]


def test_a_bar_may_have_feet_only() -> None:
    assert rows('feet.hihat-foot = "2 4"\n') == ["2H hihat-foot", "4H hihat-foot"]


@pytest.mark.parametrize(
    ("rule", "places"),
    [
        ("with accents", ["1", "2&"]),
        ("with R", ["1", "2", "2&"]),
        ("with L", ["1&"]),
        ("gaps", []),
        ("none", []),
        ("", []),
        ("*&", ["1&", "2&"]),
        ("all", ["1", "1&", "2", "2&"]),
        ("every 3", ["1", "2&"]),
        ("2.*", ["2", "2&"]),
    ],
)
def test_feet_follow_the_hands(rule: str, places: list[str]) -> None:
    body = EIGHTHS + f'meter = "2/4"\nsticking = ">RLR>R"\nfeet.kick = "{rule}"\n'
    assert rows(body, limbs="K") == [f"{place}K kick" for place in places]


def test_gaps_are_where_no_hand_plays() -> None:
    body = EIGHTHS + 'meter = "2/4"\nsticking = "R-KB"\nfeet.kick = "gaps"\n'
    assert rows(body, limbs="K") == ["1&K kick", "2K kick"]
    assert rows(EIGHTHS + 'meter = "2/4"\nfeet.kick = "gaps"\n') == ["1K kick", "1&K kick", "2K kick", "2&K kick"]


def test_a_kick_in_the_sticking_and_one_beneath_are_one_stroke_the_louder() -> None:
    body = QUARTERS + 'meter = "3/4"\nsticking = "K(K)>K"\nfeet.kick = ">1 2 3"\n'
    assert rows(body) == [">1K kick", "2K kick", ">3K kick"]


def test_two_strokes_written_twice_on_one_count_are_one() -> None:
    assert rows('feet.kick = "1 >1 *e 2e"\n') == [">1K kick", "1eK kick", "2eK kick", "3eK kick", "4eK kick"]


def test_a_foot_between_the_hands_places_is_straight_where_thirty_seconds_fall() -> None:
    strokes = laid(EIGHTHS + 'meter = "1/4"\nfeet.kick = "1 1e 1t 1&"\n').strokes
    assert [(stroke.place, stroke.grains, stroke.straight) for stroke in strokes] == [
        (0, 5040, True),
        (2520, 1260, True),
        (3360, 1260, False),
        (5040, 5040, True),
    ]


def test_a_foot_on_a_triplet_place_is_no_straight_stroke() -> None:
    body = 'subdivision = "triplets"\nmeter = "1/4"\nfeet.kick = "1 1t 1& 1l"\n'
    assert [stroke.straight for stroke in laid(body).strokes] == [False, False, True, False]


def test_kick_on_the_a_under_eighths() -> None:
    body = EIGHTHS + 'sticking = "R"\nhands.R = "hihat"\nfeet.kick = "3a"\n'
    assert rows(body, limbs="K") == ["3aK kick"]


# -- parts


def test_a_part_with_a_sticking_of_its_own_lies_over_its_beats() -> None:
    body = EIGHTHS + (
        'sticking = "RLRR"\naccents = "1 4"\nhands.R = "hihat"\nfeet.kick = "1 3"\n'
        '[[bars.a.parts]]\nbeats = "3-4"\nsticking = "LRL"\nsubdivision = "triplets"\n'
    )
    assert rows(body) == [
        ">1R hihat",
        "1K kick",
        "1&L snare",
        "2R hihat",
        "2&R hihat",
        "3L snare",
        "3K kick",
        "3tR hihat",
        "3lL snare",
        ">4L snare",
        "4tR hihat",
        "4lL snare",
    ]


def test_the_accents_of_a_part_are_the_bars_counts_and_speak_of_its_beats() -> None:
    body = QUARTERS + 'sticking = "R"\naccents = "1 3"\n[[bars.a.parts]]\nbeats = "3"\naccents = ""\nghosts = "*"\n'
    assert said(lambda: rows(body)).startswith("shed.toml:9: bars.a.parts[1].ghosts: expected a count such as")
    body = body.replace('"*"', '"3*"')
    assert rows(body) == [">1R snare", "2R snare", "~3R snare", "4R snare"]


def test_counts_of_a_part_outside_its_beats_are_remarked() -> None:
    body = QUARTERS + (
        'sticking = "R"\n[[bars.a.parts]]\nbeats = "3-4"\naccents = "1 3"\nhands.R = { main = "snare", "2" = "ride" }\n'
        'feet.kick = "1 4"\n'
    )
    assert rows(body) == ["1R snare", "2R snare", ">3R snare", "4R snare", "4K kick"]
    assert remarks(one_bar(body)) == [
        'shed.toml:7: bars.a.parts[1].accents: nothing is played on "1", so it changes nothing',
        'shed.toml:8: bars.a.parts[1].hands.R.2: nothing is played on "2", so it changes nothing',
        'shed.toml:9: bars.a.parts[1].feet.kick: nothing is played on "1", so it changes nothing',
    ]


def test_what_a_part_has_from_its_bar_is_not_remarked_on_again() -> None:
    body = QUARTERS + (
        'sticking = "R"\naccents = "1 2e"\nfeet.kick = "1 2"\nhands.R = { main = "ride", "1" = "crash" }\n'
        '[[bars.a.parts]]\nbeats = "3-4"\nhands.L = "ride"\n'
    )
    assert rows(body) == [">1R crash", "1K kick", "2R ride", "2K kick", "3R ride", "4R ride"]
    assert remarks(one_bar(body)) == [
        'shed.toml:5: bars.a.accents: nothing is played on "2e", so it changes nothing',
    ]


def test_a_fault_that_a_part_has_from_its_bar_is_said_once() -> None:
    body = (
        QUARTERS + 'sticking = "R"\naccents = "9"\nfeet.kick = "8"\n[[bars.a.parts]]\nbeats = "3-4"\nhands.L = "ride"\n'
    )
    assert [fault.split(": expected")[0] for fault in faults(one_bar(body))] == [
        "shed.toml:5: bars.a.accents",
        "shed.toml:6: bars.a.feet.kick",
    ]


def test_a_fault_of_a_part_itself() -> None:
    body = QUARTERS + 'sticking = "R"\n[[bars.a.parts]]\nbeats = "3"\naccents = "9"\n'
    (fault,) = faults(one_bar(body))
    assert fault == (
        "shed.toml:7: bars.a.parts[1].accents: expected a count of 4/4 (1 to 4, each with e & a t l &t &l), "
        'got "9"\n    9\n    ^'
    )


def test_a_sticking_too_long_for_its_part() -> None:
    body = 'sticking = "R"\n[[bars.a.parts]]\nbeats = "4"\nsticking = "RLRLR"\n'
    assert faults(one_bar(body)) == ["shed.toml:6: bars.a.parts[1].sticking: expected at most 4 places, got 5"]


def test_the_feet_of_a_part_take_the_place_of_the_bars_in_its_beats() -> None:
    body = 'feet.kick = "1 2 3 4"\n[[bars.a.parts]]\nbeats = "2"\nfeet.kick = "2& >2"\n'
    assert rows(body) == ["1K kick", ">2K kick", "2&K kick", "3K kick", "4K kick"]
    quiet = 'feet.kick = "1 2 3 4"\n[[bars.a.parts]]\nbeats = "2"\nfeet.kick = "none"\n'
    assert rows(quiet) == ["1K kick", "3K kick", "4K kick"]


def test_feet_of_a_part_may_follow_its_hands() -> None:
    body = QUARTERS + (
        'sticking = "RL"\naccents = "all"\nfeet.kick = "1"\n[[bars.a.parts]]\nbeats = "3-4"\nfeet.kick = "with R"\n'
    )
    assert rows(body, limbs="K") == ["1K kick", "3K kick"]


def test_two_parts_in_any_order_and_beats_between_them() -> None:
    body = QUARTERS + (
        'sticking = "R"\n[[bars.a.parts]]\nbeats = "4"\nsticking = "LL"\nsubdivision = "eighths"\n'
        '[[bars.a.parts]]\nbeats = "1-2"\nsticking = "L"\n'
    )
    assert rows(body) == ["1L snare", "2L snare", "3R snare", "4L snare", "4&L snare"]


def test_a_part_begins_the_bars_sticking_anew_under_its_own_subdivision() -> None:
    body = QUARTERS + 'sticking = "RRL"\n[[bars.a.parts]]\nbeats = "2"\nsubdivision = "triplets"\n'
    assert rows(body) == ["1R snare", "2R snare", "2tR snare", "2lL snare", "3L snare", "4R snare"]


# -- grace voices


def grace_voice(more: str) -> str:
    body = QUARTERS + f'sticking = "lR"\nmeter = "1/4"\n{more}'
    return laid(body).strokes[0].grace_voice


def test_grace_notes_of_a_drum_are_played_on_it_those_of_metal_at_home() -> None:
    assert grace_voice('hands.R = "floor-tom"\nhands.L = "high-tom"\n') == "floor-tom"
    assert grace_voice('hands.R = "crash"\nhands.L = "high-tom"\n') == "high-tom"
    assert grace_voice('hands.R = "crash"\n') == "snare"


def test_grace_notes_on_the_main_voice_or_split() -> None:
    assert grace_voice('hands.R = "crash"\nhands.L = "high-tom"\ngrace_voice = "main"\n') == "crash"
    assert grace_voice('hands.R = "floor-tom"\nhands.L = "high-tom"\ngrace_voice = "split"\n') == "high-tom"


def test_split_grace_notes_are_where_the_other_hand_would_be() -> None:
    split = 'grace_voice = "split"\n'
    assert grace_voice(split + 'hands.L = { main = "snare", "1" = "ride" }\n') == "ride"
    assert grace_voice(split + 'hands.L = { around = ["high-tom", "floor-tom"] }\n') == "high-tom"


def test_a_count_on_which_a_hand_plays_only_a_grace_note_changes_something_where_that_is_split() -> None:
    body = QUARTERS + 'sticking = "lR"\nmeter = "1/4"\nhands.L = { main = "snare", "1" = "ride" }\naccents.L = "1"\n'
    accents = 'bars.a.accents.L: nothing is played on "1", so it changes nothing'
    count = 'bars.a.hands.L.1: nothing is played on "1", so it changes nothing'
    assert remarks(one_bar(f'{body}grace_voice = "split"\n')) == [f"shed.toml:7: {accents}"]
    for grace in ("main", "drum"):
        whole = [f"shed.toml:6: {count}", f"shed.toml:7: {accents}"]
        assert remarks(one_bar(f'{body}grace_voice = "{grace}"\n')) == whole


def test_a_grace_note_under_a_parts_own_map_leaves_the_bars_count_unused() -> None:
    body = QUARTERS + 'sticking = "lR L R L"\ngrace_voice = "split"\nhands.L = { main = "snare", "1" = "high-tom" }\n'
    part = '[[bars.a.parts]]\nbeats = "1"\nhands.L = "floor-tom"\n'
    assert remarks(one_bar(body)) == []
    assert remarks(one_bar(body + part)) == [
        'shed.toml:6: bars.a.hands.L.1: nothing is played on "1", so it changes nothing'
    ]


def test_a_grace_hand_that_comes_round_is_where_it_last_struck() -> None:
    body = EIGHTHS + (
        'meter = "2/4"\nsticking = "L L L lR"\ngrace_voice = "split"\n'
        'hands.L = { around = ["high-tom", "floor-tom"] }\n'
    )
    assert laid(body).strokes[3].grace_voice == "high-tom"


# -- handed


def test_a_left_hander_exchanges_the_hands_alike_and_keeps_the_feet() -> None:
    body = QUARTERS + (
        'handed = "left"\nsticking = ">RLK"\naccents.L = "2"\nmeter = "3/4"\nhands.R = "hihat"\n'
        'feet.hihat-foot = "with R"\n'
    )
    assert rows(body) == [">1L hihat", "1H hihat-foot", ">2R snare", "3K kick"]
    assert laid(body).letters == ((0, "L"), (10_080, "R"), (20_160, "K"))


def test_a_left_hander_flams_with_the_other_hand() -> None:
    body = QUARTERS + 'handed = "left"\nsticking = "lR"\nmeter = "1/4"\nhands.R = "crash"\nhands.L = "floor-tom"\n'
    (stroke,) = laid(body).strokes
    assert (stroke.limb, stroke.voice, stroke.grace_voice) == ("L", "crash", "floor-tom")
    assert laid(body).letters == ((0, "rL"),)


def test_equal_bars_share_one_layout() -> None:
    found = bar('sticking = "RL"\n')
    assert lay_out_fresh(found.bars["a"], found.kit) is lay_out_fresh(found.bars["a"], found.kit)
