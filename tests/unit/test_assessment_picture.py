"""The picture of an assessment: what stands under which stroke, and how high it may be."""

import re

import pytest
from drum_room import loaded

from drumgen import assessment_picture
from drumgen.assessment_picture import offs_of, render_picture
from drumgen.errors import DrumgenError
from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.study.assess import Assessment, assess

pytest.importorskip("verovio")

TEXT = """
title = "Sill"
tempo = 100
phrase = ["a"]
[bars.a]
meter = "2/4"
subdivision = "eighths"
sticking = "R-lR-"
feet.kick = "1&"
"""


def of_the_hands() -> tuple[Phrase, Assessment]:
    """A phrase, and what a take of its hands alone made of them: two strokes, one of them a flam."""
    phrase = loaded(TEXT).phrase
    plan = arrange(phrase, Practice(limbs=("R", "L")))
    performance = perform(plan)
    return phrase, assess(plan, performance, read_take(render_midi(performance), kit=phrase.kit), stretch=1, start_s=0)


def test_grace_notes_have_no_number_of_their_own() -> None:
    hands, feet = offs_of(of_the_hands()[1])
    assert {where: len(row) for where, row in hands.items()} == {(1, 0): 1, (1, 10_080): 1}
    assert not feet


def test_what_was_not_asked_for_has_no_number() -> None:
    """The kick between the two strokes of the hands."""
    drawn = render_picture(*of_the_hands(), suffix=".svg").decode()
    assert re.findall(r">(-?\d+\*?|\*)</", drawn[drawn.index(">hands<") :]) == ["0", "0"]
    assert ">feet<" not in drawn


@pytest.mark.parametrize("suffix", [".svg", ".png"])
def test_a_picture_on_one_page_has_a_greatest_height(suffix: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(assessment_picture, "_HIGHEST", 5000)
    with pytest.raises(
        DrumgenError, match=rf"^expected a picture at most 5 m high for {suffix}, or \.pdf, got 0\.1 m$"
    ):
        render_picture(*of_the_hands(), suffix=suffix)
    assert render_picture(*of_the_hands(), suffix=".pdf").startswith(b"%PDF")
