"""What ``vary`` gives on the five-piece kit: its files and words, its limits, and what it says when it cannot."""

from __future__ import annotations

import pytest
from drum_room import loaded, said

from drumgen.plan import arrange
from drumgen.spec.loading import load_kit
from drumgen.study import arrangements, cost
from drumgen.study.arrangements import Arrangements
from drumgen.study.cost import drum_order
from drumgen.study.material import offered_voices
from drumgen.study.telling import told
from drumgen.study.top_tempo import top_tempo
from drumgen.study.vary import varied_bars, vary
from drumgen.study.wish import Variations, Wish

WEIR = """
title = "Weir"
tempo = 100
kit = "five-piece"
phrase = ["run x3", "drop"]
landing = ["crash-2", "kick"]
note = "An invented phrase."

[bars.run]
sticking = "RLRR LRLL"
accents.L = "2 4"
ghosts.L = "all"
hands.R = "hihat"
hands.L = "snare"
feet.kick = "1 2& 3"

[bars.drop]
role = "fill"
like = "run"
accents = "1 2 3 4"
ghosts = ""
hands.R = "snare"
note = "All on the snare."

[bars.after]
like = "drop"
role = "groove"
"""
SIX = ("snare", "hihat", "high-tom", "mid-tom", "floor-tom", "crash")


def weir(**wish: object) -> Variations:
    file = loaded(WEIR)
    return vary(file.file, file.phrase.kit, Wish(**{"voices": SIX, **wish}))  # type: ignore[arg-type]


def refused(text: str = WEIR, **wish: object) -> str:
    file = loaded(text)
    return said(lambda: vary(file.file, file.phrase.kit, Wish(**wish)))  # type: ignore[arg-type]


def test_the_best_by_rule_is_a_map_one_can_teach() -> None:
    best = weir(number=1).found[0]
    assert best.words == (
        "Right hand stays on hi-hat, accents on high tom; left hand stays on snare, accents on mid tom; "
        "the kick with every accent."
    )
    lines = best.text.splitlines()
    assert 'hands.R   = { main = "hihat", accent = "high-tom" }' in lines
    assert 'hands.L   = { main = "snare", accent = "mid-tom" }' in lines
    assert 'feet.kick = "with accents"' in lines
    assert [line for line in lines if "note" in line and best.words in line] == [f'note    = "{best.words}"']
    assert "All on the snare." not in best.text.partition("[bars.after]")[0]  # what is no longer true


def test_the_best_stroke_by_stroke_walks_down_the_toms() -> None:
    best = weir(number=1, space="strokes", keep=("feet",)).found[0]
    names = {"snare": "s", "hihat": "h", "high-tom": "1", "mid-tom": "2", "floor-tom": "f"}
    assert "".join(names[voice] for voice in best.voices["drop"]) == "sshhshss1shh2hss"
    assert best.words == (
        "Right hand walks down snare and high tom with its accents, the rest on hi-hat; "
        "left hand walks down snare and mid tom with its accents, the rest on snare."
    )
    section = best.text.partition("[bars.drop]")[2].partition("[bars.after]")[0]
    assert '{ main = "hihat", "1" = "snare", "3" = "high-tom" }' in section
    assert '{ main = "snare", "4" = "mid-tom" }' in section


def test_taps_on_one_tom_under_accents_on_another_are_no_fill_to_teach() -> None:
    """Of the eight best none has a hand's accent on one tom and its tap of the same beat on another one."""
    toms = {"high-tom", "mid-tom", "floor-tom"}
    for space in ("rules", "strokes"):
        for variation in weir(number=8, space=space).found:
            row = list(zip("RLRRLRLL" * 2, variation.voices["drop"], strict=True))
            beats = [row[i : i + 4] for i in range(0, 16, 4)]
            used = [{voice for limb, voice in beat if limb == hand} & toms for beat in beats for hand in "RL"]
            assert all(len(each) < 2 for each in used), variation.words


def test_no_hand_reaches_over_to_the_floor_tom_while_the_other_is_at_the_hihat() -> None:
    for space in ("rules", "strokes"):
        for variation in weir(number=20, space=space).found:
            report = top_tempo(arrange(loaded(variation.text).phrase), skill="player")
            assert not [each for each in report.concerns if each.kind == "crossed hands" and each.bar == 4]


def test_the_other_bars_say_what_they_had() -> None:
    best = weir(number=1).found[0]
    tail = best.text[best.text.index("[bars.after]") :]
    assert 'hands.R   = "snare"' in tail
    assert 'hands.L   = "snare"' in tail
    assert 'feet.kick = "1 2& 3"' in tail
    assert 'note      = "All on the snare."' in tail
    assert best.text.startswith('title   = "Weir"')


def test_costs_come_in_order_with_their_terms() -> None:
    found = weir(number=10).found
    totals = [variation.cost.total for variation in found]
    assert totals == sorted(totals)
    assert str(found[0].cost).startswith(f"{totals[0]} (effort ")


def test_easiest_first() -> None:
    efforts = [variation.cost.effort for variation in weir(number=10, order="easiest").found]
    assert efforts == sorted(efforts)


def test_how_many_there_are() -> None:
    found = weir(number=10, space="strokes")
    assert found.covered == 5**14 * 6**2  # the crash needs an accent with the kick
    assert found.summary.startswith("10 of 219 726 562 500 orchestrations; the ")


def test_a_crash_only_on_an_accent_with_the_kick_once_a_bar() -> None:
    file = loaded(WEIR.replace('ghosts = ""', 'ghosts = ""\nfeet.kick = "1 3 4e"'))
    voices = ("snare", "crash")
    found = vary(file.file, file.phrase.kit, Wish(number=1000, space="strokes", apart=1, voices=voices)).found
    assert {tuple(i for i, voice in enumerate(v.voices["drop"]) if voice == "crash") for v in found} == {(0,), (8,)}


def test_ghost_notes_only_at_home_or_on_the_closed_hihat() -> None:
    file = loaded(WEIR)
    found = vary(file.file, file.phrase.kit, Wish(number=50, space="strokes", apart=1, bars=("run",), voices=SIX))
    left = {voice for each in found.found for voice in each.voices["run"]}
    assert left == {"snare", "hihat"}
    assert all(each.voices["run"][4] == "snare" == each.voices["run"][12] for each in found.found)  # the backbeat
    assert all(each.voices["run"][0] == "hihat" for each in found.found)  # the hand that keeps time


@pytest.mark.parametrize(
    ("asked", "names"),
    [((), ("drop",)), (("groove",), ("run",)), (("drop", "run"), ("run", "drop")), (("fill",), ("drop",))],
)
def test_which_bars_are_varied(asked: tuple[str, ...], names: tuple[str, ...]) -> None:
    assert varied_bars(loaded(WEIR).phrase, asked) == names


def test_where_there_is_no_fill_every_bar_is_varied() -> None:
    assert varied_bars(loaded('phrase = ["a"]\n[bars.a]\nsticking = "RL"').phrase, ()) == ("a",)


KEEP = "to keep accents, taps, ghosts, right hand, left hand, feet or a voice"
BARS = "the name or role of a bar with a sticking (drop, fill, groove, run)"


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        ({"number": 0}, "k: expected a number from 1 to 1000, got 0"),
        ({"apart": 0}, "apart: expected at least 1 stroke apart, got 0"),
        (
            {"bars": ("dorp",)},
            f'bars: expected {BARS}, got "dorp" (nearest: "drop")',
        ),
        ({"voices": ("snare", "kick")}, 'voices: expected a voice that hands play, got "kick"'),
        ({"voices": ("snare",)}, "voices: expected 2 to 16 voices for the hands, got snare"),
        ({"voices": ("snair", "ride")}, 'expected a voice of the kit "five-piece", got "snair" (nearest: "snare")'),
        ({"keep": ("acents",)}, f'keep: expected {KEEP}, got "acents" (nearest: "accents")'),
    ],
)
def test_a_wish_that_means_nothing(wish: dict[str, object], message: str) -> None:
    assert refused(WEIR, **wish) == message


def test_a_phrase_without_a_sticking() -> None:
    text = 'phrase = ["a"]\n[bars.a]\nfeet.kick = "1"'
    assert refused(text) == "bars: expected a phrase with a bar whose sticking can be varied, got none"


def test_why_nothing_can_be_played() -> None:
    text = WEIR.replace("tempo = 100", "tempo = 260").replace("RLRR LRLL", "RRRL")
    assert refused(text, skill="learner") == (
        'expected an orchestration of "drop" that a learner can play at 260, got none '
        "(right hand, bar 1, hi-hat, three in a row on 1, 1e and 1&: up to 75)"
    )


CATALOGUE = """
tempo = 88
phrase = ["six", "ratamacue", "even"]
[bars.six]
rudiment = "six stroke roll"
across = "carry"
[bars.ratamacue]
meter = "2/4"
rudiment = "single ratamacue"
across = "carry"
[bars.even]
rudiment = "paradiddle"
subdivision = "sixteenths"
hands.R = "hihat"
feet.kick = "with R"
"""
NO_TIME = (
    "(left hand, bar 1, full strokes, snare on 4a and a grace note on snare before 1 of bar 2, one sixteenth: up to 66)"
)


def test_a_seam_that_no_voices_can_do_is_known_before_any_bar_is_read() -> None:
    assert refused(CATALOGUE) == (
        f'expected an orchestration of "six", "ratamacue", "even" that a player can play at 88, got none {NO_TIME}'
    )
    file = loaded(CATALOGUE)
    offered = offered_voices(file.phrase.kit, ())
    found = Arrangements(file.file, file.phrase, ("six", "ratamacue", "even"), offered, Wish())
    assert found.lists[0].get(0) is found.lists[1].get(0) is None
    assert next(found.in_order_of_cost(), None) is None
    assert found.tried == 0


def test_where_too_few_bars_go_together_it_ends_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    file = loaded(CATALOGUE.replace("88", "60"))
    wish = Wish(number=30, apart=1)
    whole = vary(file.file, file.phrase.kit, wish)
    monkeypatch.setattr(arrangements, "MOST_TRIED", 100)
    cut = vary(file.file, file.phrase.kit, wish)
    assert cut.remarks[0] == "110 combinations of bars were tried, not all"
    assert not cut.whole
    assert 0 < len(cut.found) < len(whole.found) == 30
    assert all(top_tempo(arrange(loaded(each.text).phrase)).playable for each in cut.found)
    assert cut.found[0] == whole.found[0]
    monkeypatch.setattr(arrangements, "with_a_way", lambda puzzles, _: puzzles)
    assert "got none of 110 combinations tried (left hand, bar 1, full strokes, snare on 4a" in refused(CATALOGUE)


def test_more_than_four_bars_that_do_not_go_together_end_as_well(monkeypatch: pytest.MonkeyPatch) -> None:
    more = "".join(f'[bars.{name}]\nsticking = "RLRL"\n' for name in ("two", "three"))
    text = CATALOGUE.replace('"even"]', '"even", "two", "three"]') + more
    monkeypatch.setattr(arrangements, "with_a_way", lambda puzzles, _: puzzles)
    monkeypatch.setattr(arrangements, "MOST_IN_VAIN", 20)
    assert "got none of 20 combinations tried (left hand, bar 1, full strokes, snare on 4a" in refused(text)


def test_a_carried_sticking_by_rule_but_not_stroke_by_stroke() -> None:
    text = 'phrase = ["a x3"]\nlanding = []\n[bars.a]\nsticking = "RLLRRL"\nacross = "carry"\nhands.R = "snare"'
    file = loaded(text)
    by_rule = vary(file.file, file.phrase.kit, Wish(number=1))
    assert by_rule.found[0].words == "Right hand stays on snare; left hand stays on hi-hat."
    assert len(by_rule.found[0].voices["a"]) == 48
    assert refused(text, space="strokes") == (
        'bars: expected "a" to come out alike each time to vary it stroke by stroke, '
        "got 3 different playings, as its sticking is carried over the bar line"
    )


def test_a_carried_sticking_may_go_a_drum_each_bar() -> None:
    text = 'phrase = ["a x3"]\nlanding = []\n[bars.a]\nrole = "fill"\nsticking = "RLL"\nacross = "carry"\n'
    file = loaded(text + 'subdivision = "quarters"\nhands.R = "snare"')
    wish = Wish(number=1000, apart=1, voices=("snare", "high-tom", "floor-tom"))
    found = vary(file.file, file.phrase.kit, wish).found
    each = [variation for variation in found if 'every = "bar"' in variation.text]
    told = next(each for each in each if each.words.startswith("Right hand walks down snare, high tom and floor tom"))
    assert told.words.startswith("Right hand walks down snare, high tom and floor tom, a drum each bar")
    right = [voice for sign, voice in zip("RLL" * 4, told.voices["a"], strict=True) if sign == "R"]
    assert right == ["snare", "snare", "high-tom", "floor-tom"]  # on 1 and 4, 3 of the next, 2 of the last


def test_grace_notes_on_their_hands_own_voice_keep_that_hand() -> None:
    text = WEIR.replace('hands.R = "snare"', 'hands.R = "ride"').replace(
        "[bars.drop]", '[bars.drop]\nsticking = "lRLRR LRLL"'
    )  # fmt: skip
    for space in ("rules", "strokes"):
        file = loaded(text)
        found = vary(file.file, file.phrase.kit, Wish(number=5, space=space, bars=("drop",)))
        assert all(variation.voices["drop"][0] == "ride" for variation in found.found)
        assert all(variation.voices["drop"][1] == "snare" for variation in found.found)


def test_other_accents_and_starts() -> None:
    found = weir(number=6, from_sticking=True).found
    assert any(variation.words.startswith("Begins with stroke") for variation in found)
    assert any("start     = " in variation.text for variation in found)


def test_what_the_hands_are_offered() -> None:
    kit = load_kit("five-piece")
    names = [voice.name for voice in offered_voices(kit, ())]
    assert names == ["snare", "hihat", "ride", "crash", "high-tom", "mid-tom", "floor-tom"]
    assert said(lambda: offered_voices(load_kit("practice-pad"), ())).startswith("voices: expected 2 to 16 voices")


def test_the_drums_come_round_from_the_hihats_side() -> None:
    for name in ("five-piece", "left-handed"):
        kit = load_kit(name)
        order = cost.drum_order(kit, tuple(kit.voices[drum] for drum in ("floor-tom", "snare", "mid-tom", "high-tom")))
        assert sorted(order, key=lambda drum: order[drum]) == ["snare", "high-tom", "mid-tom", "floor-tom"]


@pytest.mark.parametrize(("head", "hand"), [("", "right"), ('handed = "left"\n', "left")])
def test_the_kick_is_told_with_the_hand_that_plays(head: str, hand: str) -> None:
    text = (
        f'tempo = 120\nkit = "five-piece"\nmeter = "2/4"\nphrase = ["x"]\n{head}'
        '[bars.x]\nrole = "fill"\nsticking = ">R>L>R>L"\nsubdivision = "sixteenths"\n'
    )
    file = loaded(text)
    best = vary(file.file, file.phrase.kit, Wish(number=1, voices=("snare", "high-tom"))).found[0]
    assert best.feet == {"x": "with R"}  # the hand as it is written
    assert best.words.endswith(f"; the kick with the {hand} hand.")


def test_what_a_hand_plays_is_told_from_count_to_count() -> None:
    words = weir(number=3, space="strokes", keep=("feet",)).found[2].words
    assert words.startswith("Right hand plays snare from 1, high tom from 2e, mid tom from 3; left hand walks down")


def test_a_list_of_voices_is_told_in_one_order() -> None:
    """Hi-hat and ride are on no way around the drums: they come as they are first played."""
    text = (
        'tempo = 60\nkit = "five-piece"\nphrase = ["x"]\n'
        '[bars.x]\nrole = "fill"\nsticking = "R"\nsubdivision = "eighths"\n'
    )
    file = loaded(text)
    found = Arrangements(file.file, file.phrase, ("x",), offered_voices(file.phrase.kit, ()), Wish(space="strokes"))
    (material,) = found.materials.values()
    names = ["ride", "hihat", "snare"] * 2 + ["ride", "hihat"]
    line = told(material, names, {}, None, drum_order(file.phrase.kit, material.voices))
    assert line == "right hand moves between ride, hi-hat and snare"


ONE_STROKE = """
kit = "five-piece"
phrase = ["a"]
[bars.a]
role = "fill"
sticking = "R---"
subdivision = "quarters"
"""


def test_one_of_a_thing_is_told_as_one() -> None:
    file = loaded(ONE_STROKE)
    alone = vary(file.file, file.phrase.kit, Wish(number=3, voices=("snare", "floor-tom")))
    assert alone.summary == "1 of 54 orchestrations; all that can be played were read"
    assert alone.remarks == ("1 of those read differs by 1 stroke from what is written and from each other",)
    kept = weir(number=3, space="strokes", bars=("drop",), keep=("accents", "taps"))
    assert kept.summary == "0 of 1 orchestration; all that can be played were read"
    first = Variations(alone.found, 54, 1, whole=False)
    assert first.summary == "1 of 54 orchestrations; the cheapest that can be played was read"
