"""Laws of what ``vary`` gives: it can be played, is what it says, keeps what is to be kept, and has a mirror image."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product
from typing import TYPE_CHECKING
from unittest.mock import patch

import pytest
from drum_room import loaded
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st
from study_room import OFFERS, Case, cases

from drumgen.errors import DrumgenError
from drumgen.layout import lay_out_fresh
from drumgen.plan import arrange
from drumgen.strokes import strokes
from drumgen.study import arrangements
from drumgen.study.arrangements import Arrangements
from drumgen.study.material import offered_voices
from drumgen.study.playings import playings_of
from drumgen.study.top_tempo import top_tempo
from drumgen.study.vary import vary
from drumgen.study.wish import Wish

if TYPE_CHECKING:
    from drumgen.phrase import Phrase
    from drumgen.study.arrangements import BarFound
    from drumgen.study.combining import Listed
    from drumgen.study.wish import Space, Variation, Variations

LAW = settings(deadline=None, max_examples=50, suppress_health_check=[HealthCheck.too_slow])
SPACES: tuple[Space, ...] = ("rules", "strokes")
WISHES = st.builds(
    Wish,
    number=st.integers(1, 5),
    space=st.sampled_from(SPACES),
    skill=st.sampled_from(["learner", "player", "record"]),
    apart=st.sampled_from([None, 1, 2, 4]),
    voices=st.sampled_from(OFFERS),
    keep=st.sampled_from([(), (), ("accents",), ("snare",), ("left hand",), ("feet", "ghosts")]),
    bars=st.sampled_from([(), ("x",)]),
    order=st.sampled_from(["cost", "easiest"]),
)


def varied(text: str, wish: Wish) -> Variations:
    file = loaded(text)
    found: Variations | None = None
    try:
        found = vary(file.file, file.phrase.kit, wish)
    except DrumgenError:
        assume(condition=False)
    assert found is not None
    return found


def hand_strokes(phrase: Phrase, name: str) -> list[tuple[int, str, str]]:
    """The hand strokes of a bar as its playings show them: place, limb, voice."""
    played = strokes(arrange(phrase))
    rows: list[tuple[int, str, str]] = []
    for span in playings_of(name, played).shown:
        landed = played[span].span.landing
        rows += [
            (stroke.place, stroke.limb, stroke.voice)
            for stroke in played[span].laid.strokes
            if stroke.limb in ("R", "L") and not (landed and stroke.place == 0 and stroke.voice in landed)
        ]
    return rows


def check_result(text: str, variation: Variation, wish: Wish) -> None:
    before, after = loaded(text), loaded(variation.text)
    assert after.file == variation.file
    assert top_tempo(arrange(after.phrase), skill=wish.skill).playable
    for name, bar in before.phrase.bars.items():
        if name not in variation.voices:
            assert after.phrase.bars[name].layer == bar.layer
            assert after.phrase.bars[name].parts == bar.parts
        else:
            assert sorted(voice for _, _, voice in hand_strokes(after.phrase, name)) == sorted(variation.voices[name])


@LAW
@given(cases(most=5), WISHES)
def test_every_result_can_be_played_and_is_what_it_says(case: Case, wish: Wish) -> None:
    for variation in varied(case.text, wish).found:
        check_result(case.text, variation, wish)


@LAW
@given(cases(most=5), WISHES)
def test_results_are_far_enough_apart_and_in_their_order(case: Case, wish: Wish) -> None:
    found = varied(case.text, wish).found
    marks = [set(hand_strokes(loaded(each.text).phrase, "x")) for each in found if "x" in each.voices]
    marks.append(set(hand_strokes(loaded(case.text).phrase, "x")))
    if wish.apart is not None and all(list(each.voices) == ["x"] for each in found):
        assert all(len(one - other) >= wish.apart for one, other in combinations(marks, 2))
    costs = [each.cost.effort if wish.order == "easiest" else each.cost.total for each in found]
    assert costs == sorted(costs)


@LAW
@given(cases(most=5), st.sampled_from(["snare", "accents", "right hand"]), st.sampled_from(SPACES))
def test_what_is_kept_stays(case: Case, word: str, space: Space) -> None:
    wish = Wish(number=4, space=space, keep=(word,), voices=case.voices, bars=("x",), apart=1)
    before = loaded(case.text).phrase
    found = lay_out_fresh(before.bars["x"], before.kit).strokes
    levels: dict[tuple[int, str], str] = {(stroke.place, stroke.limb): stroke.level for stroke in found}
    kept = {
        (place, limb, voice)
        for place, limb, voice in hand_strokes(before, "x")
        if {"snare": voice == "snare", "accents": levels[place, limb] == "accent", "right hand": limb == "R"}[word]
    }
    for variation in varied(case.text, wish).found:
        assert kept <= set(hand_strokes(loaded(variation.text).phrase, "x"))


ACCENTS_TOO_FAST_FOR_THE_KICK = Case(
    'tempo = 90\nkit = "five-piece"\nmeter = "2/4"\nphrase = ["x"]\n'
    '[bars.x]\nrole = "fill"\nsticking = ">R>L"\nhands.R = "hihat"\nsubdivision = "sixteenths"',
    ("snare", "floor-tom"),
)
"""So that it follows one hand, which the words have to name."""


@LAW
@given(cases(most=5), WISHES)
@example(ACCENTS_TOO_FAST_FOR_THE_KICK, Wish(number=2, voices=("snare", "floor-tom")))
def test_a_left_handed_kit_gives_the_mirror_image(case: Case, wish: Wish) -> None:
    right = varied(case.text, wish)
    keep = tuple({"left hand": "right hand"}.get(word, word) for word in wish.keep)
    left = varied(case.text.replace('"five-piece"', '"left-handed"'), replace(wish, keep=keep))
    assert [each.cost for each in right.found] == [each.cost for each in left.found]
    for one, other in zip(right.found, left.found, strict=True):
        mirrored = one.words.lower().replace("right", "…").replace("left", "right").replace("…", "left")
        for name in one.voices:
            assert hands_of(one, name) == {"R": hands_of(other, name)["L"], "L": hands_of(other, name)["R"]}
        assert sorted(mirrored) == sorted(other.words.lower()), (one.words, other.words)
    assert (right.covered, right.read) == (left.covered, left.read)


def hands_of(variation: Variation, name: str) -> dict[str, list[tuple[int, str]]]:
    rows = hand_strokes(loaded(variation.text).phrase, name)
    return {hand: [(place, voice) for place, limb, voice in rows if limb == hand] for hand in ("R", "L")}


@LAW
@given(cases(most=5), WISHES)
def test_the_same_question_has_the_same_answer(case: Case, wish: Wish) -> None:
    one, other = varied(case.text, wish), varied(case.text, wish)
    assert [each.text for each in one.found] == [each.text for each in other.found]
    assert one == other


TWO = """
tempo = {tempo}
kit = "five-piece"
meter = "2/4"
phrase = [{order}]
landing = {landing}
[bars.x]
role = "fill"
sticking = "{first}"
subdivision = "eighths"
feet.kick = "1"
[bars.y]
role = "fill"
sticking = "{second}"
subdivision = "eighths"
feet.kick = "1 2"
"""


@settings(LAW, max_examples=25)
@given(
    st.builds(
        TWO.format,
        tempo=st.sampled_from([60, 100, 140, 300]),
        order=st.sampled_from(['"x", "y"', '"x", "y", "x"', '"y", "x x2", "y"']),
        landing=st.sampled_from(["[]", '["crash"]']),
        first=st.sampled_from([">RLR", "RL>R", "BR", "RLRL"]),
        second=st.sampled_from(["RLL", ">L>RL", "R", "llRL", "rrLR"]),
    ),
    st.sampled_from(SPACES),
)
def test_two_bars_together_are_every_pair_with_its_seams(text: str, space: Space) -> None:
    file, wish = loaded(text), Wish(space=space, voices=("snare", "floor-tom"))
    asked = (file.file, file.phrase, ("x", "y"), offered_voices(file.phrase.kit, wish.voices), wish)
    try:
        found = Arrangements(*asked)
    except DrumgenError:
        assert file.phrase.tempo.quarters(file.phrase.bars["x"].meter)[0] > 200
        return
    with patch.object(arrangements, "with_a_way", lambda puzzles, _: puzzles):  # with those that meet no other
        alone = Arrangements(*asked)
    told = [(points, entries) for points, entries in found.in_order_of_cost()]
    every = []
    for pair in product(*map(everything, alone.lists)):
        seams = alone.seam_points(pair)
        if seams is not None:
            every.append((sum(entry.points for entry in pair) + seams, pair))
    assert [points for points, _ in told] == sorted(points for points, _ in every)
    assert len({(points, entries) for points, entries in map(key_of, told)}) == len(told)
    assert {*map(key_of, told)} == {*map(key_of, every)}
    for each in told[:3]:
        assert found.variation(each).cost.total == each[0]
        check_result(text, found.variation(each), wish)


def key_of(each: tuple[int, tuple[BarFound, ...]]) -> tuple[int, tuple[object, ...]]:
    return each[0], tuple((entry.points, entry.numbers, entry.foot) for entry in each[1])


def everything(each: Listed[BarFound]) -> list[BarFound]:
    found: list[BarFound] = []
    while (entry := each.get(len(found))) is not None:
        found.append(entry)
    return found


@pytest.mark.parametrize("space", SPACES)
def test_more_than_four_bars_are_varied_each_by_its_own_best(space: Space) -> None:
    names = ["one", "two", "three", "four", "five"]
    bars = "".join(f'[bars.{name}]\nrole = "fill"\nsticking = "RLRL"\nsubdivision = "quarters"\n' for name in names)
    text = f"phrase = {names}\n{bars}".replace("'", '"')
    wish = Wish(number=3, space=space, apart=1, voices=("snare", "floor-tom"))
    found = varied(text, wish)
    assert found.remarks[0] == "5 bars are varied: each by its own best, not all together"
    assert len(found.found) == 3
    for variation in found.found:
        check_result(text, variation, wish)


@settings(LAW, max_examples=12)
@given(cases(most=3), st.sampled_from(SPACES))
def test_other_accents_and_starts_can_be_played_too(case: Case, space: Space) -> None:
    wish = Wish(number=4, space=space, voices=case.voices, bars=("x",), apart=1, from_sticking=True)
    for variation in varied(case.text, wish).found:
        check_result(case.text, variation, wish)
