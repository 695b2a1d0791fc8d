"""Top tempos against rates that people were seen to play at, and what every drummer plays (*common practice*)."""

from __future__ import annotations

import pytest
from drum_room import phrase

from drumgen.plan import arrange
from drumgen.study.top_tempo import top_tempo
from drumgen.trade.limits import RATES, Rate, Skill

RATE = {rate.what: rate for rate in RATES}


def top(text: str, skill: Skill = "player") -> float:
    found = top_tempo(arrange(phrase(text)), skill=skill).top
    assert found is not None
    return found


def bars(body: str, *, tempo: int = 60, kit: str = "five-piece") -> str:
    return f'tempo = {tempo}\nkit = "{kit}"\nphrase = ["a x4"]\nlanding = []\n[bars.a]\n{body}\n'


def strokes_a_second(sticking: str, skill: Skill) -> float:
    """How many strokes a second of one sticking on the snare in even sixteenths, at the top tempo."""
    return top(bars(f'sticking = "{sticking}"'), skill) * 4 / 60


def test_one_hand_at_its_ceiling() -> None:
    ceiling = RATE["one hand or finger tapping, general ceiling"]  # Fujii et al. 2009
    for skill in ("learner", "player"):
        assert ceiling.low_hz <= strokes_a_second("R", skill) <= ceiling.high_hz


def test_one_hand_of_a_contest_winner() -> None:
    winner: Rate = RATE["one hand, stick, winner of a contest"]  # Fujii et al. 2009
    assert strokes_a_second("R", "record") == pytest.approx(winner.high_hz)


def test_singles_of_a_record() -> None:
    record = RATE["both hands alternating, record over 60 s"]  # a news page of 2013: 1 208 strokes in a minute
    assert strokes_a_second("RL", "record") == pytest.approx(record.high_hz, rel=0.02)


def test_singles_of_a_skilled_amateur() -> None:
    amateurs = RATE["both hands alternating, skilled amateurs, short stretches"]  # memory
    assert amateurs.low_hz <= strokes_a_second("RL", "player") <= amateurs.high_hz


def test_one_foot() -> None:
    sustained, burst = RATE["one foot, bass drum, sustained"], RATE["one foot, bass drum, short bursts"]  # memory
    feet = {skill: top(bars('feet.kick = "1 1& 2 2& 3 3& 4 4&"'), skill) * 2 / 60 for skill in ("learner", "player")}
    assert sustained.low_hz <= feet["learner"] <= sustained.high_hz
    assert sustained.low_hz <= feet["player"] <= burst.high_hz


def test_two_feet_of_a_trained_player() -> None:
    both = RATE["two feet on a double pedal, trained players"]  # a blog
    one = top(bars('feet.kick = "1 1& 2 2& 3 3& 4 4&"'), "record") * 2 / 60
    assert 2 * one == pytest.approx(both.high_hz)


ROCK = bars(
    'sticking = "R-R-B-R-"\nhands.R = "hihat"\nhands.L = "snare"\naccents.L = "2 4"\nfeet.kick = "1 3"', tempo=152
)
TWO_NOTE_KICK = bars('sticking = "R-R-B-R-"\nhands.R = "hihat"\nhands.L = "snare"\nfeet.kick = "1 1e 3 3e"', tempo=120)
SIXTEENTH_HIHAT = bars(
    'sticking = "RL"\nhands.R = { main = "hihat", "2 4" = "snare" }\nhands.L = "hihat"\nfeet.kick = "1 3"', tempo=110
)
ROLL = bars('sticking = "RRLL"\nsubdivision = "thirty-seconds"', tempo=120)
AROUND = '{ around = ["snare", "high-tom", "mid-tom", "floor-tom"], every = "beat" }'
SINGLES = bars(f'sticking = "RL"\nhands.R = {AROUND}\nhands.L = {AROUND}', tempo=120)
JAZZ = bars(
    'sticking = "R-- R-R R-- R-R"\nsubdivision = "triplets"\nhands.R = "ride"\nfeet.hihat-foot = "2 4"', tempo=200
)


# Common practice: what is played every night.
@pytest.mark.parametrize("text", [ROCK, TWO_NOTE_KICK, SIXTEENTH_HIHAT, ROLL, SINGLES, JAZZ])
def test_a_player_plays_it(text: str) -> None:
    report = top_tempo(arrange(phrase(text)), skill="player")
    assert report.playable, report.tightest


# Common practice: nobody plays sixteenths with one hand at 180, or goes from floor tom to hi-hat in a thirty-second.
TOO_FAST = [
    bars('sticking = "R"\nhands.R = "hihat"', tempo=180),
    bars('sticking = "RL"\nhands.R = { around = ["hihat", "floor-tom"] }', tempo=200),
    bars('sticking = "R"\nsubdivision = "thirty-seconds"', tempo=90),
    bars('feet.kick = "1* 2* 3* 4*"\nsticking = "RL"', tempo=170),
]


@pytest.mark.parametrize("text", TOO_FAST)
def test_nobody_plays_it(text: str) -> None:
    report = top_tempo(arrange(phrase(text)), skill="record")
    assert not report.playable


def test_a_double_split_over_two_drums_is_slower_than_on_one() -> None:
    together = top(bars('sticking = "RRLL"'))
    split = top(bars('sticking = "RRLL"\nhands.R = { around = ["snare", "floor-tom"] }'))
    assert split < together / 1.5


# Common practice: the two grace notes of a drag are a double that bounces, and what has bounced is not thrown again at
# once; so nobody plays a paradiddle as fast with a drag in it.
@pytest.mark.parametrize("name", ["drag paradiddle #1", "drag paradiddle #2"])
def test_a_drag_takes_its_time(name: str) -> None:
    plain = top(bars('rudiment = "single paradiddle"'))
    assert top(bars(f'rudiment = "{name}"\nacross = "carry"')) < 0.8 * plain


def test_a_hand_needs_a_full_stroke_before_a_drag_and_after_it() -> None:
    after = 'sticking = "llRL--------------"'  # the last grace note is 40 ms before the right hand's stroke
    assert top(bars(after)) == pytest.approx(15_000 / (150 - 40), abs=0.1)
    before = 'sticking = "L-llR-------------"\nacross = "carry"'  # squeezed to a third of the room
    assert top(bars(before)) == pytest.approx(30_000 / 225, abs=0.1)


def test_an_accented_second_stroke_is_a_full_one() -> None:
    assert top(bars('sticking = "RRLL"')) == pytest.approx(250)  # 60 ms in a sixteenth
    assert top(bars('sticking = "R>RL>L"')) == pytest.approx(100)  # 150 ms


def test_three_in_a_row_have_one_full_stroke() -> None:
    assert top(bars('sticking = "RRRL LLRL"')) == pytest.approx(100)
