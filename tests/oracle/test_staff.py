"""Staff places against a reading of the tables of others.

Source: N. Weinberg, Guidelines for Drumset Notation, Percussive Notes, June 1994, as later tables report it; a row that
is marked otherwise is *common practice*, or our own choice.
"""

import re

import pytest

from drumgen.trade.staff import STAFF_PLACES

LINES_AND_SPACES = {
    # voice: place in words, step and octave read off the treble clef, head, whose place it is
    "kick": ("first space", "F4", "normal", "Weinberg"),
    "snare": ("third space", "C5", "normal", "Weinberg"),
    "cross-stick": ("third space", "C5", "x", "Weinberg"),
    "rimshot": ("third space", "C5", "slashed", "common practice"),
    "hihat": ("space above the top line", "G5", "x", "Weinberg"),
    "hihat-half": ("space above the top line", "G5", "circle-x", "common practice"),
    "hihat-open": ("space above the top line", "G5", "x", "Weinberg"),
    "hihat-foot": ("space below the bottom line", "D4", "x", "Weinberg"),
    "ride": ("fifth line", "F5", "x", "Weinberg"),
    "ride-bell": ("fifth line", "F5", "diamond", "Weinberg"),
    "crash": ("first ledger line above", "A5", "x", "Weinberg"),
    "crash-2": ("space above the first ledger line", "B5", "x", "common practice"),
    "splash": ("space above the second ledger line", "D6", "x", "common practice"),
    "china": ("second ledger line above", "C6", "x", "common practice"),  # Weinberg: B5
    "high-tom": ("fourth space", "E5", "normal", "common practice"),  # Weinberg: F5
    "mid-tom": ("fourth line", "D5", "normal", "Weinberg"),
    "low-tom": ("third line", "B4", "normal", "Weinberg"),
    "floor-tom": ("second space", "A4", "normal", "Weinberg"),
    "cowbell": ("fourth space", "E5", "triangle", "Weinberg"),
    "woodblock": ("fifth line", "F5", "triangle", "own choice"),
    "tambourine": ("fourth space", "E5", "diamond", "common practice"),
    "pad": ("third space", "C5", "normal", "common practice"),
}

# Steps above the bottom line, from the words.
STEPS = {
    "space below the bottom line": -1,
    "first space": 1,
    "second space": 3,
    "third space": 5,
    "fourth space": 7,
    "second line": 2,
    "third line": 4,
    "fourth line": 6,
    "fifth line": 8,
    "space above the top line": 9,
    "first ledger line above": 10,
    "space above the first ledger line": 11,
    "second ledger line above": 12,
    "space above the second ledger line": 13,
}


def test_every_trade_voice_has_a_place() -> None:
    assert list(STAFF_PLACES) == list(LINES_AND_SPACES)


@pytest.mark.parametrize("voice", LINES_AND_SPACES)
def test_step_octave_head_and_source(voice: str) -> None:
    place = STAFF_PLACES[voice]
    words, pitch, head, source = LINES_AND_SPACES[voice]
    assert (f"{place.step}{place.octave}", place.notehead, place.source) == (pitch, head, source)
    assert "CDEFGAB".index(place.step) + 7 * (place.octave - 4) - "CDEFGAB".index("E") == STEPS[words]


def test_feet_have_stems_down_in_the_second_voice() -> None:
    down = {voice for voice, place in STAFF_PLACES.items() if place.stem == "down"}
    assert down == {voice for voice, place in STAFF_PLACES.items() if place.voice_number == 2}
    assert down == {"kick", "hihat-foot"}


def test_two_voices_never_look_the_same() -> None:
    looks = [(p.step, p.octave, p.notehead, p.is_open) for voice, p in STAFF_PLACES.items() if voice != "pad"]
    assert len(set(looks)) == len(looks)


@pytest.mark.parametrize("voice", STAFF_PLACES)
def test_what_is_told_of_other_tables_is_another_place(voice: str) -> None:
    place = STAFF_PLACES[voice]
    others = set(re.findall(r"\b(?:[A-G][3-6]|circle-x|diamond|slashed|triangle)\b", place.note))
    assert not others & {f"{place.step}{place.octave}", place.notehead}
    assert place.source == "Weinberg" or place.note


def test_only_the_open_hihat_has_the_open_sign() -> None:
    assert [voice for voice, place in STAFF_PLACES.items() if place.is_open] == ["hihat-open"]
