"""A phrase arranged: passes, selections, count-in, pickup, landing, loop, empty bar; what cannot be played."""

from __future__ import annotations

from fractions import Fraction

import pytest
from drum_room import phrase, said

from drumgen.clicks import ClickSound, count_clicks
from drumgen.meter import parse_meter
from drumgen.plan import Plan, arrange
from drumgen.practice import Practice, parse_ladder
from drumgen.spans import Click
from drumgen.tempo import parse_tempo

TEXT = """
tempo = 100
landing = []
phrase = ["p", "verse x2", "turn", "verse"]
[bars.p]
role = "pickup"
sticking = "-R"
subdivision = "quarters"
[bars.verse]
sticking = "RL"
[bars.turn]
role = "fill"
meter = "3/4"
sticking = "RL"
"""

NO_PICKUP = TEXT.replace('"p", ', "")


def plan(text: str = NO_PICKUP, practice: Practice | None = None) -> Plan:
    return arrange(phrase(text), practice)


def names(one: Plan) -> list[str]:
    return [span.bar.name if span.kind == "bar" and span.bar else span.kind for span in one.spans]


def test_once_through_as_it_stands() -> None:
    one = plan()
    assert names(one) == ["verse", "verse", "turn", "verse"]
    assert [span.start for span in one.spans] == [0, 40_320, 80_640, 110_880]
    assert [span.number for span in one.spans] == [1, 2, 3, 4]
    assert [span.pass_number for span in one.spans] == [0] * 4
    assert one.grains == 151_200
    assert (one.loop, one.silent_limbs, one.silent_voices, one.remarks) == (False, frozenset(), frozenset(), ())
    assert all(span.clicks == () for span in one.spans)
    assert one.spans[2].label == "fill turn"


def test_the_phrases_own_practice_unless_another_is_given() -> None:
    text = "[practice]\ntimes = 2\n"
    top, bars = NO_PICKUP.split("[bars.p]")
    own = f"{top}{text}[bars.p]{bars}"
    assert len(plan(own).spans) == 8
    assert len(plan(own, Practice()).spans) == 4


def test_times_are_passes() -> None:
    one = plan(practice=Practice(times=3))
    assert len(one.spans) == 12
    assert [span.pass_number for span in one.spans] == [0] * 4 + [1] * 4 + [2] * 4


def test_some_bars_keep_their_numbers() -> None:
    one = plan(practice=Practice(bars=((2, 3),)))
    assert [span.number for span in one.spans] == [2, 3]
    assert names(plan(practice=Practice(bars=((3, 3), (1, 1))))) == ["verse", "turn"]


@pytest.mark.parametrize(("bars", "got"), [(((5, 5),), "5"), (((4, 6),), "4-6"), (((0, 1),), "0-1")])
def test_bars_that_are_not_there(bars: tuple[tuple[int, int], ...], got: str) -> None:
    assert said(lambda: plan(practice=Practice(bars=bars))) == f"bars: expected bars from 1 to 4, got {got}"


def test_bars_with_a_pickup_begin_with_0() -> None:
    assert names(plan(TEXT, Practice(bars=((0, 1),)))) == ["p", "verse"]
    assert said(lambda: plan(TEXT, Practice(bars=((0, 9),)))) == "bars: expected bars from 0 to 4, got 0-9"


def test_only_some_by_name_or_role() -> None:
    assert names(plan(practice=Practice(only="verse"))) == ["verse"] * 3
    assert names(plan(practice=Practice(only="fill"))) == ["turn"]
    assert said(lambda: plan(practice=Practice(only="fil"))) == (
        'only: expected the name or role of a bar that is played (fill, groove, turn, verse), got "fil" '
        '(nearest: "fill")'
    )


def test_a_hundred_thousand_bars_and_no_more() -> None:
    text = 'phrase = ["a x11"]\n[bars.a]\n'
    assert said(lambda: plan(text, Practice(times=10_000))) == "times: expected at most 100000 bars, got 110000"


def test_silence() -> None:
    one = plan(practice=Practice(limbs=("R", "K"), mute=("pad", "ride")))
    assert one.silent_limbs == {"L", "H"}
    assert one.silent_voices == {"snare", "ride"}
    assert said(lambda: plan(practice=Practice(mute=("gong",)))).endswith('got "gong"')


# -- counting in and pickups


def test_a_count_in_in_the_first_bars_meter_and_tempo() -> None:
    text = NO_PICKUP.replace('"verse x2", ', "").replace('role = "fill"', 'role = "fill"\ntempo = "80 to 60"')
    one = plan(text, Practice(count_in=2))
    assert names(one) == ["count-in", "count-in", "turn", "verse"]
    assert one.spans[0].meter == parse_meter("3/4")
    assert [*one.spans[0].quarters] == [*(80, 80)]
    assert [*one.spans[2].quarters] == [*(80, 60)]
    assert one.spans[0].clicks == (Click(0, True), Click(10_080, False), Click(20_160, False))  # noqa: FBT003


@pytest.mark.parametrize(
    ("meter", "marked", "number"),
    [
        ("4/4", [0], 4),
        ("6/8", [0, 3], 6),
        ("6/8 in 2", [0], 2),
        ("7/8 2+2+3", [0, 2, 4], 7),
        ("7/8 2+2+3 in 3", [0], 3),
        ("5/8", [0], 5),
        ("2/2", [0], 2),
    ],
)
def test_the_clicks_of_a_count_in(meter: str, marked: list[int], number: int) -> None:
    clicks = count_clicks(parse_meter(meter))
    assert len(clicks) == number
    assert [index for index, click in enumerate(clicks) if click.accented] == marked


def test_a_pickup_lies_over_the_count_ins_last_bar() -> None:
    one = plan(TEXT, Practice(count_in=2))
    assert names(one) == ["count-in", "p", "verse", "verse", "turn", "verse"]
    assert one.spans[1].number == 0
    assert len(one.spans[1].clicks) == 4
    assert one.spans[2].number == 1


def test_a_pickup_without_a_count_in_is_a_bar_of_its_own_without_clicks() -> None:
    one = plan(TEXT)
    assert names(one)[0] == "p"
    assert one.spans[0].clicks == ()


def test_a_pickup_is_played_once_and_alone_if_asked_for() -> None:
    assert names(plan(TEXT, Practice(times=2))).count("p") == 1
    assert names(plan(TEXT, Practice(only="pickup"))) == ["p"]


def test_a_pickup_is_left_out_of_a_loop() -> None:
    one = plan(TEXT, Practice(loop=True))
    assert names(one) == ["verse", "verse", "turn", "verse"]
    assert one.remarks == ('the pickup "p" is left out of the loop',)


# -- tempo


def test_another_tempo_scales_every_bar() -> None:
    text = NO_PICKUP.replace('role = "fill"', 'role = "fill"\ntempo = 120')
    one = plan(text, Practice(tempo=parse_tempo("50")))
    assert [span.quarters[0] for span in one.spans] == [50, 50, 60, 50]


def test_another_tempo_in_an_uneven_meter_counts_what_the_phrases_does() -> None:
    text = 'tempo = "eighth 200"\nmeter = "7/8 2+2+3"\nphrase = ["a"]\n[bars.a]\n'
    assert plan(text, Practice(tempo=parse_tempo("100"))).spans[0].quarters[0] == 50
    assert plan(text, Practice(tempo=parse_tempo("quarter 100"))).spans[0].quarters[0] == 100


def test_a_ladder_has_all_its_rounds_on_each_rung() -> None:
    one = plan(practice=Practice(rungs=parse_ladder("80 to 100 by 10"), times=2, only="turn"))
    assert [span.quarters[0] for span in one.spans] == [80, 80, 90, 90, 100, 100]
    assert [span.pass_number for span in one.spans] == list(range(6))


# -- landing, loop and the empty bar


LANDED = NO_PICKUP.replace("landing = []\n", "")


def test_a_landing_on_the_next_downbeat_or_in_a_bar_added() -> None:
    assert [span.landing for span in plan(LANDED).spans] == [(), (), (), ("crash", "kick")]
    ends = plan(LANDED, Practice(bars=((3, 3),)))
    assert names(ends) == ["turn", "landing"]
    assert ends.spans[1].landing == ("crash", "kick")
    assert ends.spans[1].meter == parse_meter("3/4")
    assert ends.spans[1].number == 4
    assert ends.spans[1].label == "landing"


def test_the_added_bar_is_in_the_phrases_tempo() -> None:
    text = LANDED.replace('role = "fill"', 'role = "fill"\ntempo = "150 to 130"')
    one = plan(text, Practice(bars=((3, 3),), tempo=parse_tempo("50")))
    assert [*one.spans[0].quarters] == [*(75, 65)]
    assert one.spans[1].quarters == (Fraction(50), Fraction(50))


def test_a_loop_has_exactly_its_bars() -> None:
    one = plan(LANDED, Practice(loop=True, bars=((2, 3),)))
    assert names(one) == ["verse", "turn"]
    assert one.spans[0].landing == ("crash", "kick")
    assert one.loop


@pytest.mark.parametrize(
    ("practice", "empty"),
    [(Practice(), True), (Practice(loop=True), False), (Practice(count_in=1), False), (Practice(limbs=("K",)), True)],
)
def test_an_empty_bar_in_front_of_a_first_grace_note(practice: Practice, empty: bool) -> None:  # noqa: FBT001
    one = plan('phrase = ["a"]\n[bars.a]\ntempo = "120 to 60"\nmeter = "3/4"\nsticking = "lRL"\n', practice)
    assert (one.spans[0].kind == "empty") is empty
    assert bool(one.remarks) is empty
    if empty:
        assert [*one.spans[0].quarters] == [*(120, 120)]
        assert one.spans[0].meter == parse_meter("3/4")
        assert one.spans[1].start == 30_240


def test_no_empty_bar_where_the_grace_note_comes_later() -> None:
    assert plan('phrase = ["a"]\n[bars.a]\nsticking = "R lR"\n').remarks == ()


def test_an_order_that_nothing_begins() -> None:
    assert phrase('phrase = ["a"]\n[bars.a]\n').first_number == 1


# -- clicks, answers and rests


def clicked(practice: Practice) -> list[int]:
    return [len(span.clicks) for span in plan(practice=practice).spans]


def test_a_click_in_every_bar_and_a_gap_in_it() -> None:
    assert clicked(Practice(click="quarters")) == [4, 4, 3, 4]
    assert clicked(Practice(click="quarters", gap=(1, 1))) == [4, 0, 3, 0]
    assert clicked(Practice(click="first", gap=(3, 1), times=2)) == [1, 1, 1, 0, 1, 1, 1, 0]


def test_the_gap_does_not_count_what_is_counted_in() -> None:
    assert clicked(Practice(click="first", gap=(1, 1), count_in=1)) == [4, 1, 0, 1, 0]


def test_the_clicks_voices_and_level() -> None:
    one = plan(practice=Practice(click="first", click_sound=ClickSound("pad", "", 90)))
    assert one.click_sound == ClickSound("snare", "click-accent", 90)
    assert plan().click_sound == ClickSound("click", "click-accent")
    wrong = Practice(click="first", click_sound=ClickSound("gong"))
    assert said(lambda: plan(practice=wrong)) == 'expected a voice of the kit "general-midi", got "gong"'


def test_nothing_but_the_click() -> None:
    assert plan(practice=Practice(click="first", only_click=True)).silent_limbs == {"R", "L", "K", "H"}


def test_an_answer_after_so_many_bars() -> None:
    one = plan(practice=Practice(click="quarters", answer=2))
    assert names(one) == ["verse", "verse", "answer", "answer", "turn", "verse", "answer", "answer"]
    assert [span.meter.upper for span in one.spans] == [4, 4, 4, 4, 3, 4, 3, 4]
    assert all(span.clicks for span in one.spans)


def test_a_rest_after_so_many_times_through() -> None:
    one = plan(practice=Practice(rest=(2, 1), times=3, bars=((1, 1),)))
    assert names(one) == ["verse", "rest", "rest", "verse", "rest", "rest", "verse"]


def test_a_landing_over_an_answer_and_before_a_rung() -> None:
    one = plan(LANDED, Practice(click="first", answer=1, bars=((3, 3),)))
    assert names(one) == ["turn", "answer"]
    assert one.spans[1].landing == ("crash", "kick")
    ladder = plan(LANDED, Practice(rungs=parse_ladder("80 to 90 by 10"), bars=((3, 3),), count_in=1))
    assert names(ladder) == ["count-in", "turn", "landing", "count-in", "turn", "landing"]
    assert [span.quarters[0] for span in ladder.spans] == [80, 80, 80, 90, 90, 90]


def test_a_fill_lands_although_a_rest_follows() -> None:
    one = plan(LANDED, Practice(rest=(1, 1), times=2, bars=((3, 3),)))
    landed = [span.kind for span in one.spans if span.landing]
    assert len(landed) == 2
