"""The bounds that keep odd input from costing much, each answered in a line."""

from __future__ import annotations

import io

import pytest
from drum_room import bar, faults, one_bar, said

from drumgen import arrange, load_phrase, render_audio
from drumgen.errors import nearest


def test_no_hint_is_looked_for_among_very_many_words() -> None:
    many = [f"word{number}" for number in range(2000)]
    assert nearest("word7x", many[:10]) == 'nearest: "word7"'
    assert nearest("word7x", many) == ""


@pytest.mark.parametrize("key", ["sticking", "accents"])
def test_a_text_of_the_language_has_a_longest_length(key: str) -> None:
    found = faults(one_bar(f'{key} = "{"R" * 30_000}"'))
    assert len(found) == 1
    assert "at most 20000 characters, got 30000" in found[0]


def test_a_long_foot_line_is_told_as_it_is() -> None:
    found = faults(one_bar(f'feet.kick = "{"1 " * 15_000}"'))
    assert "at most 20000 characters" in found[0]


def test_very_many_faults_are_counted_and_not_all_told() -> None:
    bars = "".join(f'[bars.b{number}]\nhands.R = "snair"\nsticking = "R"\n' for number in range(700))
    found = faults(f'phrase = ["b0"]\n{bars}')
    assert "more" in found[-1]
    assert len(found) <= 101


def test_a_name_that_no_file_can_have() -> None:
    assert said(lambda: load_phrase("a\0b.toml")).endswith("there is no such file")


def test_an_empty_list_is_told_once() -> None:
    assert "at least one entry" in faults('phrase = []\n[bars.a]\nsticking = "R"\n')[0]
    assert len(faults('phrase = [5]\n[bars.a]\nsticking = "R"\n')) == 1


def test_the_librarys_own_sound() -> None:
    out = io.BytesIO()
    lines = render_audio(arrange(bar('sticking = "R"\nsubdivision = "quarters"')), out, suffix=".flac")
    assert out.getvalue()[:4] == b"fLaC"
    assert "LUFS" in lines[0]


def test_a_file_has_a_greatest_number_of_bars() -> None:
    bars = "".join(f"[bars.b{number}]\n" for number in range(5001))
    assert "at most 5000 entries" in faults(f'phrase = ["b0"]\n{bars}')[0]
