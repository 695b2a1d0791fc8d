"""What is carried from bar to bar, and how a fill lands."""

from dataclasses import replace

import pytest
from drum_room import phrase, row

from drumgen.bar import Bar
from drumgen.filling import Progress
from drumgen.layout import lay_out
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.strokes import strokes


def bars(text: str, *, times: int = 1, loop: bool = False) -> list[list[str]]:
    """The strokes of every span in words."""
    plan = arrange(phrase(text), Practice(times=times, loop=loop))
    return [[row(stroke, span.meter) for stroke in laid.strokes] for span, laid in strokes(plan)]


def letters(text: str, *, times: int = 1) -> list[str]:
    plan = arrange(phrase(text), Practice(times=times))
    return ["".join(text for _, text in laid.letters) for _, laid in strokes(plan)]


def downbeats(text: str, *, times: int = 1, loop: bool = False) -> list[list[str]]:
    return [
        [word for word in bar if word.lstrip(">~")[:2] in ("1R", "1L", "1K", "1H")]
        for bar in bars(text, times=times, loop=loop)
    ]


CARRIED = (
    'landing = []\nphrase = {}\n[bars.a]\nmeter = "2/4"\nsubdivision = "eighths"\nsticking = "RRL"\nacross = "carry"\n'
)


def test_carry_goes_on_through_repeats_and_begins_anew_with_each_pass() -> None:
    assert letters(CARRIED.format('["a x3"]'), times=2) == ["RRLR", "RLRR", "LRRL"] * 2


def test_carry_goes_on_into_a_next_bar_of_the_same_sticking_and_subdivision() -> None:
    text = CARRIED.format('["a", "b", "a"]') + '[bars.b]\nlike = "a"\nmeter = "3/4"\nrole = "fill"\n'
    assert letters(text) == ["RRLR", "RLRRLR", "RLRR"]


@pytest.mark.parametrize(
    "other",
    [
        'like = "a"\nsticking = "RLL"\n',
        'like = "a"\nsubdivision = "sixteenths"\n',
        'like = "a"\nacross = "restart"\n',
        'like = "a"\nsubdivision = ["eighths", "triplets"]\n',
    ],
)
def test_and_begins_anew_after_another_bar(other: str) -> None:
    found = letters(CARRIED.format('["a", "b", "a"]') + "[bars.b]\n" + other)
    assert (found[0], found[2]) == ("RRLR", "RRLR")
    assert found[1].startswith(("RRL", "RLL"))


def test_carry_of_a_rudiment_with_its_own_rhythm() -> None:
    # six triplet eighths of RRRLLL fill two quarters; three quarters hold nine of them
    text = 'phrase = ["a x2"]\n[bars.a]\nmeter = "3/4"\nrudiment = "triple stroke roll"\nacross = "carry"\n'
    assert letters(text) == ["RRRLLLRRR", "LLLRRRLLL"]


GROOVE_AND_FILL = """
phrase = {order}
{top}
[bars.groove]
subdivision = "quarters"
sticking = "{groove}"
hands.R = "hihat"
{more}
[bars.fill]
role = "fill"
subdivision = "quarters"
sticking = "LR"
{fill}
"""


def landing(
    groove: str = "RL", *, order: str = '["groove", "fill"]', top: str = "", more: str = "", fill: str = ""
) -> str:
    return GROOVE_AND_FILL.format(order=order, top=top, groove=groove, more=more, fill=fill)


def test_after_each_fill_the_hand_that_plays_there_takes_the_cymbal_and_the_kick_is_added() -> None:
    text = landing(order='["groove", "fill", "groove", "fill", "groove"]')
    assert downbeats(text) == [
        ["1R hihat"],
        ["1L snare"],
        [">1R crash", ">1K kick"],
        ["1L snare"],
        [">1R crash", ">1K kick"],
    ]


def test_a_left_hand_that_plays_there_takes_it() -> None:
    assert downbeats(landing("LR", order='["fill", "groove"]'))[1] == [">1L crash", ">1K kick"]


def test_with_both_hands_there_the_right_takes_it_and_the_left_stays() -> None:
    assert downbeats(landing("B", order='["fill", "groove"]'))[1] == [">1R crash", "1L snare", ">1K kick"]


def test_where_no_hand_plays_the_lead_hand_takes_it() -> None:
    assert downbeats(landing("-LR", order='["fill", "groove"]'))[1] == [">1L crash", ">1K kick"]


def test_where_the_bar_has_no_hands_at_all_the_fills_lead_hand_takes_it() -> None:
    text = landing("K", order='["fill", "groove"]')
    assert downbeats(text)[1] == [">1L crash", ">1K kick"]


def test_a_kick_that_is_there_is_joined_and_accented() -> None:
    assert downbeats(landing(order='["fill", "groove"]', more='feet.kick = "1"'))[1] == [">1R crash", ">1K kick"]


def test_after_the_last_bar_a_bar_is_added_for_it() -> None:
    assert bars(landing())[2:] == [[">1L crash", ">1K kick"]]
    plan = arrange(phrase(landing()))
    assert [span.kind for span in plan.spans] == ["bar", "bar", "landing"]
    assert plan.grains == 3 * 40_320


def test_a_fill_of_no_hands_lands_with_the_kits_hand() -> None:
    assert bars(landing(fill='sticking = "K"\nmeter = "1/4"').replace('sticking = "LR"\n', ""))[-1] == [
        ">1R crash",
        ">1K kick",
    ]


def test_under_loop_it_falls_on_the_loops_first_downbeat() -> None:
    assert downbeats(landing(), loop=True) == [[">1R crash", ">1K kick"], ["1L snare"]]


def test_it_lands_on_every_pass() -> None:
    found = downbeats(landing(), times=2)
    assert found == [["1R hihat"], ["1L snare"], [">1R crash", ">1K kick"], ["1L snare"], [">1L crash", ">1K kick"]]


def test_a_fill_after_a_fill_is_not_landed_on() -> None:
    text = landing(order='["fill x2", "groove"]')
    assert downbeats(text) == [["1L snare"], ["1L snare"], [">1R crash", ">1K kick"]]
    alone = landing(order='["fill"]')
    assert downbeats(alone, loop=True) == [["1L snare"]]


@pytest.mark.parametrize(
    ("top", "fill"), [("landing = []", ""), ("", "landing = []"), ('landing = ["china"]', "landing = []")]
)
def test_an_empty_landing_refuses_it(top: str, fill: str) -> None:
    assert bars(landing(top=top, fill=fill))[1:] == [["1L snare", "2R snare", "3L snare", "4R snare"]]


def test_a_landing_of_ones_own_for_two_hands_and_both_feet() -> None:
    text = landing(order='["fill", "groove"]', fill='landing = ["crash", "china", "hihat-foot", "kick"]')
    assert downbeats(text)[1] == [">1R crash", ">1L china", ">1K kick", ">1H hihat-foot"]


def test_the_other_hands_stroke_moves_to_the_second_cymbal() -> None:
    text = landing("B", order='["fill", "groove"]', fill='landing = ["crash", "china"]')
    assert downbeats(text)[1] == [">1R crash", ">1L china"]


@pytest.mark.parametrize("sticking", ["llR", "llR L"])
def test_a_drag_into_a_crash_keeps_its_grace_notes(sticking: str) -> None:
    plan = arrange(phrase(landing(sticking, order='["fill", "groove"]')))
    stroke = strokes(plan)[1].laid.strokes[0]
    assert (stroke.voice, stroke.grace, stroke.grace_voice) == ("crash", 2, "snare")


def test_after_a_pickup_too() -> None:
    text = landing(order='["fill", "groove"]', fill="").replace('role = "fill"', 'role = "pickup"')
    assert downbeats(text) == [["1L snare"], [">1R crash", ">1K kick"]]


def test_an_odd_groove_is_landed_on_once() -> None:
    text = landing(order='["fill", "groove x2"]')
    assert downbeats(text)[1:] == [[">1R crash", ">1K kick"], ["1R hihat"]]


def test_a_count_in_has_no_strokes() -> None:
    plan = arrange(phrase(landing(top="landing = []")), Practice(count_in=2))
    assert [len(laid.strokes) for _, laid in strokes(plan)] == [0, 0, 4, 4]


def test_left_handed_landing() -> None:
    text = landing("-", order='["fill", "groove"]', top='handed = "left"')
    assert downbeats(text)[1] == [">1R crash", ">1K kick"]  # the fill, L first, is played R first
    text = landing("-", order='["fill", "groove"]', top='handed = "left"', fill='sticking = "K"')
    assert downbeats(text.replace('sticking = "LR"\n', ""))[1] == [">1L crash", ">1K kick"]


def test_bars_played_alone_go_on_from_where_the_sticking_stands_in_the_phrase() -> None:
    text = 'phrase = ["a x4"]\n[bars.a]\nsticking = "RRRLL"\nsubdivision = "quarters"\nacross = "carry"\n'
    whole = strokes(arrange(phrase(text)))
    for first, last in ((2, 2), (3, 4), (2, 4)):
        some = strokes(arrange(phrase(text), Practice(bars=((first, last),), times=2)))
        assert [played.laid.strokes for played in some] == [
            played.laid.strokes for played in whole[first - 1 : last]
        ] * 2


def test_a_landing_in_another_meter_is_its_own() -> None:
    text = """
phrase = ["a", "b"]
[bars.a]
role = "fill"
sticking = "RL"
[bars.b]
meter = "6/8"
feet.hihat-foot = "4"
"""
    answered = strokes(arrange(phrase(text), Practice(answer=1, click="beats", times=1)))
    assert [stroke.voice for stroke in answered[1].laid.strokes] == ["crash", "kick"]


ROUND = (
    'phrase = ["a x40"]\nlanding = []\n[bars.a]\nsticking = "RLLRRL"\nacross = "carry"\nsubdivision = "sixteenths"\n'
)


@pytest.mark.parametrize(
    ("more", "different"),
    [
        ("", 3),  # sixteen places against six: it comes round after three bars
        ('accents = "every 5"\n', 15),
        ('feet.kick = "every 5"\n', 15),
        ('hands.R = { main = "hihat", "every 4" = "snare" }\n', 3),
        ('hands.R = { around = ["snare", "floor-tom"] }\n', 40),  # not known to come round
    ],
)
def test_what_has_come_round_is_laid_out_no_second_time(more: str, different: int) -> None:
    found, progress = phrase(ROUND + more), Progress()
    played = strokes(arrange(found))
    assert len({id(laid) for _, laid in played}) == different
    assert [laid for _, laid in played] == [lay_out(found.bars["a"], found.kit, progress) for _ in played]


class Asked(dict[str, Bar]):
    """The bars of a phrase, and how often one of them was asked for."""

    times = 0

    def __getitem__(self, name: str) -> Bar:
        self.times += 1
        return super().__getitem__(name)


def test_a_carried_sticking_that_begins_anew_looks_back_no_further() -> None:
    text = CARRIED.format('["a x3", "b"]') + '[bars.b]\nlike = "a"\nacross = "restart"\n'
    asked = []
    for times in (20, 40):
        found = phrase(text.replace('"b"]', ", ".join(['"b", "a x3"'] * times) + "]"))
        counting = replace(found, bars=Asked(found.bars))
        strokes(arrange(counting))
        asked.append(counting.bars.times)  # type: ignore[attr-defined]
    assert asked[1] < 2.1 * asked[0]
