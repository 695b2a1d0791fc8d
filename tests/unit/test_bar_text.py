"""Bars as text: what a drummer reads at 80 columns."""

from __future__ import annotations

import pytest
from drum_room import one_bar, phrase

from drumgen.bar_text import plan_lines
from drumgen.plan import arrange
from drumgen.practice import Practice

TEXT = """
tempo = 100
landing = ["crash", "kick"]
phrase = ["a x2", "b"]
[bars.a]
sticking = "RL"
subdivision = "eighths"
note = "As even as rain."
hands.R = "hihat"
accents = "2"
ghosts = "3"
feet.kick = "1"
[bars.b]
role = "fill"
meter = "2/4"
tempo = "100 to 80"
dynamics = "p"
sticking = "lR rrL Rz -"
"""


def shown(practice: Practice | None = None, *, width: int = 80, text: str = TEXT) -> list[str]:
    return plan_lines(arrange(phrase(text), practice), width=width)


def test_a_phrase_whole() -> None:
    assert shown() == [
        "bars 1-2: groove a",
        "  As even as rain.",
        "  count       1     &     2      &     3       &     4     &",
        "  sticking    R     L     R      L     R       L     R     L",
        "  right hand  hihat       >hihat       (hihat)       hihat",
        "  left hand         snare        snare         snare       snare",
        "  kick foot   kick",
        "",
        "bar 3: fill b, 2/4, quarter 100 to 80, p",
        "  count       1          e          &          a",
        "  sticking    lR         rrL        Rz",
        "  right hand  snare flam            snare buzz",
        "  left hand              snare drag",
        "",
        "  count       2          e          &          a",
        "  sticking    lR         rrL        Rz",
        "  right hand  snare flam            snare buzz",
        "  left hand              snare drag",
        "",
        "bar 4: landing, quarter 100",
        "  count       1",
        "  right hand  >crash",
        "  kick foot   >kick",
    ]


def test_lines_keep_to_their_width_and_break_between_beats() -> None:
    for width in (40, 60, 80, 120):
        assert all(len(line) <= width for line in shown(width=width))
    narrow = [line for line in shown(width=40) if line.strip().startswith("count")]
    assert [line.split()[1] for line in narrow][:2] == ["1", "3"]


@pytest.mark.parametrize(("voice", "blocks"), [("high-tom", 1), ("ride-bell", 2)])
def test_a_line_has_eighty_characters_unless_said(voice: str, blocks: int) -> None:
    """Sixteen columns of four, the first as wide as its voice: they just fill a line, or are too long."""
    sticking = f"R{15 * '-'}"
    text = one_bar(f'sticking = "{sticking}"\nhands.R = "{voice}"\n')
    lines = plan_lines(arrange(phrase(text)))
    assert sum("count" in line for line in lines) == blocks
    assert lines == shown(text=text, width=80)
    assert (len(lines[1]) == 80) == (blocks == 1)
    assert shown(text=text, width=82)[1].endswith("4   e   &   a")


@pytest.mark.parametrize("accents", ["", "all"])
def test_a_line_that_fits_exactly_is_not_broken(accents: str) -> None:
    """Whichever of its rows is the longest: the blank behind the last word of a line is none of it."""
    text = one_bar(f'sticking = "RL"\nsubdivision = "eighths"\nmeter = "2/4"\naccents = "{accents}"\n')
    longest = max(map(len, shown(text=text)))
    assert max(map(len, shown(text=text, width=longest))) == longest
    assert shown(text=text, width=longest) == shown(text=text)
    assert shown(text=text, width=longest - 1) != shown(text=text)


def test_a_beat_wider_than_the_line_is_broken_where_the_line_is_full() -> None:
    text = one_bar('sticking = "RRRR"\nmeter = "1/4"\nhands.R = "floor-tom"\n')
    whole = shown(text=text)
    width = whole[-1].rindex(" ")
    assert shown(text=text, width=width)[-1].split() == ["right", "hand", "floor-tom"]
    assert max(map(len, shown(text=text, width=width))) == width


def test_bars_that_come_again_later_are_shown_as_the_first_time() -> None:
    text = one_bar('subdivision = "quarters"\nsticking = "RLL"\nacross = "carry"\n').replace('["a"]', '["a x6"]')
    assert '"a x6"' in text
    bars = "\n".join(plan_lines(arrange(phrase(text)))).split("\n\n")
    headings = [bar.splitlines()[0] for bar in bars]
    assert headings == [f"bar {number}: groove a" for number in range(1, 7)]
    stickings = [line.split()[1:] for bar in bars for line in bar.splitlines() if "sticking" in line]
    assert ["".join(letters) for letters in stickings] == ["RLLR", "LLRL", "LRLL"] * 2
    assert [bar.splitlines()[1:] for bar in bars[:3]] == [bar.splitlines()[1:] for bar in bars[3:]]


def test_a_count_in_clicks_and_answers_are_shown() -> None:
    lines = shown(Practice(count_in=2, click="first", answer=2))
    assert lines[:3] == [
        "count-in (2 times)",
        "  count       1      2     3     4",
        "  click       >click click click click",
    ]
    assert "answer (2 times)" in lines


def test_silenced_limbs_and_voices_are_left_out() -> None:
    lines = shown(Practice(limbs=("R", "K"), mute=("kick",)))
    assert not any("left hand" in line or "kick foot" in line for line in lines)


def test_an_empty_bar_says_why_it_is_there_and_a_silent_one_that_it_is() -> None:
    lines = shown(text='phrase = ["a"]\n[bars.a]\nsticking = "lR"\nsubdivision = "quarters"\n')
    assert lines[:2] == ["an empty bar", "  (silence)"]


def test_bars_that_come_again_apart_have_their_own_numbers() -> None:
    text = TEXT.replace('"a x2", "b"', '"a", "b", "a"')
    headings = [line for line in shown(text=text) if line.startswith("bar")]
    assert headings == [
        "bar 1: groove a",
        "bar 2: fill b, 2/4, quarter 100 to 80, p",
        "bar 3: groove a, 4/4, quarter 100",
    ]
    once = 'phrase = ["a"]\n[bars.a]\nsticking = "R"\nsubdivision = "quarters"\n'
    assert shown(Practice(times=3), text=once)[0] == "bar 1: groove a (3 times)"
