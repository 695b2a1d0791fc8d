"""What ``check`` says of a phrase: the moment that sets its top tempo, limb by limb, and what one stumbles over."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from drum_room import phrase

from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.study.concerns import concerns_of
from drumgen.study.moments import Moments, Timed, moments_of
from drumgen.study.top_tempo import TopTempo, shown_tempo, top_tempo
from drumgen.study.words import length_words, voice_words


def report(body: str, *, tempo: str = "90", order: str = '"a x2"', practice: Practice | None = None) -> TopTempo:
    head = f'tempo = {tempo}\nkit = "five-piece"\nphrase = [{order}]\nlanding = []\n'
    return top_tempo(arrange(phrase(f"{head}[bars.a]\n{body}\n"), practice or Practice()))


def tightest(found: TopTempo) -> str:
    assert found.tightest is not None
    return found.tightest.words


def minded(found: TopTempo) -> list[tuple[str, str]]:
    return [(concern.kind, str(concern)) for concern in found.concerns]


MOVE = 'sticking = "RLRL"\nhands.R = { around = ["floor-tom", "snare"] }'


def test_a_move_in_words() -> None:
    found = report(MOVE)
    assert tightest(found) == "right hand, bar 1, from floor tom on 1 to snare on 1&, 54 cm in one eighth: up to 170"
    assert found.tightest is not None
    assert found.tightest.set_by_distance
    assert (found.tempo, found.unit, found.playable) == (90.0, "", True)
    assert found.verdict == "sits well to 148, hard by 170"


def test_a_move_over_the_bar_line_in_words() -> None:
    found = report('sticking = "R--------------R"\nhands.R = { main = "floor-tom", "1" = "snare" }')
    assert (
        tightest(found)
        == "right hand, bar 1, from floor tom on 4a to snare on 1 of bar 2, 54 cm in one sixteenth: up to 85"
    )
    assert found.verdict == "sits well to 74, hard by 85: at 90 not yet"
    assert not found.playable


def test_the_unit_is_the_phrases_own() -> None:
    found = report(MOVE, tempo='"eighth 180"')
    assert (found.tempo, found.unit) == (180.0, "eighth")
    assert found.top == pytest.approx(2 * (report(MOVE).top or 0))


def test_a_bar_with_a_tempo_of_its_own_is_scaled_with_the_phrase() -> None:
    assert report(MOVE + "\ntempo = 180").top == pytest.approx((report(MOVE).top or 0) / 2)
    other = report(MOVE + "\ntempo = 180", practice=Practice(tempo=phrase("tempo = 45\n" + ONE).tempo))
    assert other.tempo == 45.0
    assert other.top == pytest.approx((report(MOVE).top or 0) / 2)


ONE = 'phrase = ["a"]\n[bars.a]\nsticking = "R---------------"'


def test_one_stroke_is_easy_at_any_tempo() -> None:
    found = top_tempo(arrange(phrase(ONE)))
    assert (found.top, found.tightest, found.verdict) == (None, None, "sits well at any tempo")
    assert str(found.limbs[0]) == (
        "right hand: 1 stroke a bar, 1 in the busiest second, 0.0 s without a rest; at any tempo"
    )


def test_a_loop_has_its_seam() -> None:
    body = 'sticking = "R--------------R"\nhands.R = { main = "floor-tom", "1" = "snare" }'
    assert (report(body, order='"a"').top or 0) > 1000
    looped = report(body, order='"a"', practice=Practice(loop=True))
    assert looped.top == report(body).top
    assert tightest(looped).startswith("right hand, bar 1, from floor tom on 4a to snare on 1, 54 cm in one sixteenth")


def test_three_in_a_row_over_the_seam_of_a_loop_are_not_where_the_other_hand_plays() -> None:
    """Of LRLL going round, the left hand's 4&, 4a and 1e have the right hand's 1 between them."""
    found = report('sticking = "RLRR LRLL"', tempo="240", order='"a"', practice=Practice(loop=True))
    assert minded(found) == []
    found = report('sticking = "L--- ---- ---- --LL"', tempo="240", order='"a"', practice=Practice(loop=True))
    assert minded(found) == [
        ("three in a row", "left hand, bar 1, snare, three in a row on 4&, 4a and 1: too fast at this tempo")
    ]


def test_far_apart_is_not_three_in_a_row() -> None:
    found = report('feet.kick = "1"', practice=Practice(loop=True))
    assert tightest(found) == "kick foot, bar 1, kick again and again from 1, one whole note apart: up to 1600"


def test_swing_and_a_changing_tempo_count() -> None:
    straight = report('sticking = "R"\nsubdivision = "eighths"\nhands.R = "hihat"').top
    swung = report('sticking = "R"\nsubdivision = "eighths"\nhands.R = "hihat"\n'
                   '[feel]\nswing = { of = "eighths", ratio = "2:1" }')  # fmt: skip
    assert straight == pytest.approx(200)
    assert swung.top == pytest.approx(800 / 3)  # 150 ms in the longer two thirds; the third before it bounces
    slowing = report('sticking = "R"\nsubdivision = "eighths"\nhands.R = "hihat"\ntempo = "90 to 45"')
    assert 200 < (slowing.top or 0) < 225  # of the two quickest eighths the slower has to be a full stroke


def test_figures_of_a_limb() -> None:
    found = report('sticking = "R-R-B-R-"\nhands.R = "hihat"\nhands.L = "floor-tom"\nfeet.kick = "1"', tempo="120")
    right, left, kick = (limb.figures for limb in found.limbs)
    assert (right.strokes, right.strokes_a_bar, right.most_in_a_bar, right.busiest_second) == (16, 8.0, 8, 4)
    assert (right.quickest_repeat_ms, right.longest_unrested_s, right.longest_move_cm) == (250.0, 3.75, 0.0)
    assert (left.busiest_second, left.longest_unrested_s) == (1, 0.0)
    assert kick.quickest_repeat_ms == 2000.0


def test_a_drag_for_which_the_stroke_before_leaves_no_time_is_said_in_words() -> None:
    """Sixteenths of 62.5 ms, two grace notes of 40 ms each: they begin before the same hand has struck."""
    left = report('sticking = "RL llR L"', tempo="240").limbs[1].figures
    assert left.quickest_repeat_ms == -17.5
    assert str(left).endswith(" without a rest, repeats with no time between")


def test_a_longest_move_and_grace_notes_in_figures() -> None:
    right, left = (
        limb.figures for limb in report('sticking = "RlR--"\nhands.R = { around = ["snare", "floor-tom"] }').limbs
    )
    assert (right.longest_move_cm, right.longest_move) == (54.1, "bar 1, snare on 1 to floor tom on 1e")
    assert left.strokes == 8


# -- what one stumbles over


def test_crossed_hands() -> None:
    assert minded(report('sticking = "RL"\nhands.R = "snare"\nhands.L = "floor-tom"', order='"a"')) == [
        ("crossed hands", "bar 1, on 1e: the hands cross, the right on snare and the left on floor tom (15 times)")
    ]
    assert minded(report('sticking = "RL"\nhands.R = "hihat"\nhands.L = "snare"')) == []
    assert minded(report('sticking = "RL"\nhands.R = "hihat"\nhands.L = "mid-tom"')) == []
    assert minded(report('sticking = "RL"\nhands.R = "hihat"\nhands.L = "floor-tom"', order='"a"')) == [
        ("crossed hands", "bar 1, on 1e: the hands cross, the right on hi-hat and the left on floor tom (15 times)")
    ]
    assert minded(report('sticking = "RL"\nhands.R = "ride"\nhands.L = "hihat"')) == []
    assert minded(report('sticking = "R-------L-------"\nhands.L = "floor-tom"', tempo="60")) == []  # time to go away


def test_the_hihat_foot_under_a_hihat_stroke() -> None:
    assert minded(report('sticking = "R-"\nhands.R = "hihat"\nfeet.hihat-foot = "2"', order='"a"')) == [
        ("hi-hat foot under a hi-hat stroke", "bar 1, on 2: the hi-hat foot closes the hi-hat as a hand strikes it")
    ]
    assert minded(report('sticking = "R-"\nhands.R = "ride"\nfeet.hihat-foot = "2"')) == []


def test_three_in_a_row_only_where_too_fast() -> None:
    body = 'sticking = "RRRL"'
    assert minded(report(body, tempo="120", order='"a"')) == [
        ("three in a row", "right hand, bar 1, snare, three in a row on 1, 1e and 1&: too fast at this tempo (4 times)")
    ]
    assert minded(report(body, tempo="90")) == []


def test_a_grace_note_whose_hand_is_far_away() -> None:
    body = 'sticking = "-LlR-"\nhands.L = "hihat"\nhands.R = "floor-tom"'
    far = "from hi-hat on 1e to a grace note on floor tom before 1&, 93 cm in one sixteenth"
    assert minded(report(body, tempo="90", order='"a"')) == [
        ("far grace note", f"left hand, bar 1, {far}: the hand is still far away (4 times)")
    ]
    assert minded(report(body, tempo="50")) == []


def test_a_grace_note_that_follows_too_soon_where_the_hand_is() -> None:
    for sticking, tempo, what in (("-LlR--", "200", "two in a row"), ("-LllR--", "90", "full strokes")):
        found = report(f'sticking = "{sticking}"', tempo=tempo, order='"a"')
        near = f"{what}, snare on 1e and a grace note on snare before 1&, one sixteenth"
        words = f"left hand, bar 1, {near}: no time for it at this tempo (3 times)"
        assert minded(found) == [("hurried grace note", words)]


def test_a_grace_note_on_another_voice_of_the_same_spot_is_not_far_away() -> None:
    body = 'sticking = "-LlR--"\nhands.L = "rimshot"\ngrace_voice = "main"'
    near = "from rimshot on 1e to a grace note on snare before 1&, 0 cm in one sixteenth"
    words = f"left hand, bar 1, {near}: no time for it at this tempo (3 times)"
    assert minded(report(body, tempo="200", order='"a"')) == [("hurried grace note", words)]


def test_what_no_hand_can_do() -> None:
    body = 'phrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "B---"\nsubdivision = "quarters"\n'
    body += 'hands.R = "snare"\nhands.L = "snare"'
    found = phrase(body)
    voices = {**found.kit.voices, "snare": replace(found.kit.voices["snare"], limb="kick foot")}
    wrong = top_tempo(arrange(replace(found, kit=replace(found.kit, voices=voices))))
    assert minded(wrong) == [
        ("wrong limb", "bar 1, on 1: the right hand cannot play snare"),
        ("wrong limb", "bar 1, on 1: the left hand cannot play snare"),
    ]


def test_one_hand_asked_for_two_voices_at_once() -> None:
    plan = arrange(phrase('phrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "R---"'))
    moments = moments_of(plan)
    (timed,) = moments.timed
    first, *rest = timed.by_limb["R"]
    twice = (first, first._replace(voice=plan.phrase.kit.voice("ride")), *rest)
    found = concerns_of(Moments(moments.played, [Timed({**timed.by_limb, "R": twice}, timed.seconds)]), ())
    assert [str(each) for each in found] == ["bar 1, on 1: the right hand is asked for snare and ride at once"]


def test_json_and_the_caution() -> None:
    said = json.loads(json.dumps(report(MOVE).plain()))
    assert (said["skill"], said["tempo"], said["playable"]) == ("player", 90.0, True)
    assert said["limbs"][0]["tightest"]["reach_cm"] == 54.1
    assert said["caution"].startswith("A ranking of difficulty, not a measurement")


@pytest.mark.parametrize(("tempo", "words"), [(138.97, "138"), (99.999999999, "100"), (100.0, "100")])
def test_a_tempo_is_shown_rounded_down(tempo: float, words: str) -> None:
    assert shown_tempo(tempo) == words


@pytest.mark.parametrize(
    ("grains", "words"),
    [(2520, "one sixteenth"), (5040, "one eighth"), (7560, "three sixteenths"), (11, "0.001 quarters"),
     (3360, "one eighth of a triplet"),
     (6720, "two eighths of a triplet"), (2016, "one note of a quintuplet"), (40320, "one whole note")],
)  # fmt: skip
def test_lengths_in_words(grains: int, words: str) -> None:
    assert length_words(grains) == words


@pytest.mark.parametrize(
    ("name", "words"),
    [("floor-tom", "floor tom"), ("hihat", "hi-hat"), ("hihat-open", "hi-hat open"), ("ride", "ride")],
)
def test_voices_in_words(name: str, words: str) -> None:
    assert voice_words(name) == words
