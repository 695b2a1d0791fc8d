"""``like``: what a bar has from others, limb by limb; chains and circles; where a fault in it points."""

from drum_room import faults, loaded, phrase, row, rows

from drumgen.layout import lay_out
from drumgen.spec.inheriting import inherit, over

FIRST = 'sticking = "RL"\nsubdivision = "quarters"\nmeter = "2/4"\nhands.R = "hihat"\nfeet.kick = "1"\n'


def bars(text: str, name: str) -> list[str]:
    found = phrase(text)
    one = found.bars[name]
    return [row(stroke, one.meter) for stroke in lay_out(one, found.kit).strokes]


def chain(second: str, third: str = "") -> str:
    return f'phrase = ["a"]\n[bars.a]\n{FIRST}[bars.b]\nlike = "a"\n{second}' + (
        f'[bars.c]\nlike = "b"\n{third}' if third else ""
    )


def test_everything_that_is_not_said_is_as_in_that_bar() -> None:
    assert bars(chain(""), "b") == ["1R hihat", "1K kick", "2L snare"]


def test_hands_and_feet_merge_limb_by_limb() -> None:
    text = chain('hands.L = "ride"\nfeet.hihat-foot = "2"\n')
    assert bars(text, "b") == ["1R hihat", "1K kick", "2L ride", "2H hihat-foot"]


def test_a_limbs_map_is_replaced_whole() -> None:
    text = chain('hands.R = { main = "ride", "1" = "crash" }\n', 'hands.R = { "2" = "crash" }\n')
    assert bars(text, "c")[0] == "1R snare"


def test_nothing_removes_an_inherited_foot() -> None:
    for silence in ("", "none"):
        assert bars(chain(f'feet.kick = "{silence}"\n'), "b") == ["1R hihat", "2L snare"]


def test_accents_and_parts_are_replaced_whole() -> None:
    text = chain(
        'accents.R = "1"\nghosts.L = "2"\n[[bars.b.parts]]\nbeats = "2"\nsticking = "R"\n',
        'accents.L = "2"\nparts = []\n',
    )
    assert bars(text, "c") == ["1R hihat", "1K kick", ">2L snare"]


def test_a_chain_and_a_sticking_of_its_own() -> None:
    assert bars(chain("", 'sticking = "LR"\n'), "c") == ["1L snare", "1K kick", "2R hihat"]


def test_a_rudiment_takes_the_place_of_a_sticking_and_back() -> None:
    text = chain('rudiment = "flam"\n', 'sticking = "LL"\n')
    assert bars(text, "b")[0] == "1R hihat"
    assert phrase(text).bars["b"].layer.sticking != phrase(text).bars["a"].layer.sticking
    assert bars(text, "c") == ["1L snare", "1K kick", "2L snare"]


def test_both_at_once_are_one_too_many() -> None:
    assert faults('phrase = ["a"]\n[bars.a]\nsticking = "RL"\nrudiment = "flam"\n') == [
        "shed.toml:4: bars.a.rudiment: expected a sticking or a rudiment, got both"
    ]


def test_bars_in_a_circle_and_missing_ones() -> None:
    text = 'phrase = ["a"]\n[bars.a]\nlike = "b"\n[bars.b]\nlike = "c"\n[bars.c]\nlike = "b"\n[bars.d]\nlike = "e"\n'
    assert faults(text) == [
        "shed.toml:5: bars.b.like: expected bars that are not like each other in a circle, got b is like c is like b",
        'shed.toml:9: bars.d.like: expected the name of a bar, got "e"',
    ]


def test_a_bar_like_itself() -> None:
    assert faults('phrase = ["a"]\n[bars.a]\nlike = "a"\n') == [
        "shed.toml:3: bars.a.like: expected bars that are not like each other in a circle, got a is like a"
    ]


def test_a_misspelt_name_and_a_nearest_one() -> None:
    (fault,) = faults('phrase = ["verse"]\n[bars.verse]\n[bars.turn]\nlike = "vers"\n')
    assert fault == 'shed.toml:4: bars.turn.like: expected the name of a bar, got "vers" (nearest: "verse")'


def test_a_chain_of_64_and_no_longer() -> None:
    links = (
        "".join(f'[bars.b{index}]\nlike = "b{index + 1}"\n' for index in range(63)) + '[bars.b63]\nfeet.kick = "1"\n'
    )
    assert bars('phrase = ["b0"]\n' + links, "b0") == ["1K kick"]
    longer = links.replace('feet.kick = "1"', 'like = "b64"') + '[bars.b64]\nfeet.kick = "1"\n'
    assert faults('phrase = ["b0"]\n' + longer) == [
        "shed.toml:3: bars.b0.like: expected at most 64 bars in a row, each like the next, got more"
    ]


def test_a_fault_in_an_inherited_value_points_to_its_own_line_and_says_who_uses_it() -> None:
    text = 'phrase = ["a"]\n[bars.a]\naccents = "4"\nfeet.kick = "4"\n[bars.b]\nlike = "a"\nmeter = "3/4"\n'
    has = "expected a count of 3/4 (1 to 3, each with e & a t l &t &l), got"
    assert faults(text) == [
        f'shed.toml:3: bars.a.accents: {has} "4" [used by bars.b]\n    4\n    ^',
        f'shed.toml:4: bars.a.feet.kick: {has} "4" [used by bars.b]\n    4\n    ^',
    ]


def test_a_sticking_too_long_for_the_bar_that_inherits_it() -> None:
    text = (
        'phrase = ["a"]\n[bars.a]\nsticking = "RLRLRLRL"\nsubdivision = "eighths"\n'
        '[bars.b]\nlike = "a"\nmeter = "3/4"\n'
    )
    assert faults(text) == [
        'shed.toml:3: bars.a.sticking: expected at most 6 places, or across = "carry", got 8 [used by bars.b]'
    ]


def test_a_rudiment_too_long_for_its_bar_is_told_at_the_rudiment() -> None:
    text = 'meter = "1/4"\nphrase = ["a"]\n[bars.a]\nsubdivision = "sixteenths"\nrudiment = "single paradiddle"\n'
    assert faults(text) == ['shed.toml:5: bars.a.rudiment: expected at most 4 places, or across = "carry", got 8']


def test_of_many_users_three_are_named() -> None:
    text = 'phrase = ["a"]\n[bars.a]\naccents = "4"\n' + "".join(
        f'[bars.b{index}]\nlike = "a"\nmeter = "3/4"\n' for index in range(5)
    )
    (fault,) = faults(text)
    assert "[used by bars.b0, bars.b1, bars.b2 and 2 more]" in fault


def test_hands_that_say_nothing_are_nothing() -> None:
    assert rows('sticking = "R"\nsubdivision = "quarters"\nmeter = "1/4"\nhands = {}\nfeet = {}\n') == ["1R snare"]


def test_limbs_are_kept_apart_from_what_a_bar_and_its_part_say_by_key() -> None:
    part = '[[bars.a.parts]]\nbeats = "2"\nlead = "L"\nhands.L = "ride"\nfeet.hihat-foot = "2"\n'
    file = loaded(f'phrase = ["a"]\n[bars.a]\n{FIRST}{part}').file
    said = inherit(file, ["a"])
    assert set(said.values) == {"sticking", "subdivision", "meter", "parts"}
    over_it = over(said, said.values["parts"][0])
    assert set(over_it.values) == {"sticking", "subdivision", "meter", "parts", "lead"}
    assert {limb: hand.main for limb, hand in over_it.hands.items()} == {"R": "hihat", "L": "ride"}
    assert list(over_it.feet) == ["kick", "hihat-foot"]
