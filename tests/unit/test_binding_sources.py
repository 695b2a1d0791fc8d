"""The sources of a book's phrases: read once, then needed nowhere else; and how each product is practised."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest
from book_room import phrase_text, write_phrases

from drumgen.binding.practising import practice_for
from drumgen.binding.sources import read_source
from drumgen.book import Entry
from drumgen.errors import DrumgenError, Fault
from drumgen.practice import Practice
from drumgen.tempo import Tempo

if TYPE_CHECKING:
    from pathlib import Path

PRACTICE = '[practice]\ntempo = 70\ntimes = 2\ncount-in = 1\nclick = "eighths"\n'
LADDER = '[practice]\ntimes = 2\nladder = "60 to 80 by 20"\nrungs = "apart"\n'
SLOW, USUAL, QUICK = (Tempo(Fraction(bpm), Fraction(bpm)) for bpm in (60, 70, 80))


def practised(folder: Path, product: str, table: str = "", **said: Any) -> Practice:  # noqa: ANN401 - of an entry
    write_phrases(folder, a=phrase_text(more=table))
    entry = replace(Entry(1, str(folder / "a.toml")), **said)
    return practice_for(product, read_source(entry).phrase(), entry)


def test_midi_is_the_phrase_itself_once(tmp_path: Path) -> None:
    assert practised(tmp_path, "midi") == Practice()
    assert practised(tmp_path, "midi", PRACTICE) == Practice(tempo=USUAL)
    assert practised(tmp_path, "midi", PRACTICE, options=(("tempo", QUICK), ("times", 9))) == Practice(tempo=QUICK)
    assert practised(tmp_path, "midi", "[practice]\nloop = true\n") == Practice(loop=True)


def test_a_play_along_has_the_options_without_the_ladder(tmp_path: Path) -> None:
    assert practised(tmp_path, "play-along", PRACTICE) == Practice(USUAL, times=2, count_in=1, click="eighths")
    assert practised(tmp_path, "play-along", LADDER) == Practice(times=2)
    said = (("tempo", QUICK), ("times", 4), ("count_in", 2), ("click", "first"))
    assert practised(tmp_path, "play-along", LADDER, options=said) == Practice(QUICK, 4, count_in=2, click="first")


def test_a_click_is_that_of_the_play_along(tmp_path: Path) -> None:
    assert practised(tmp_path, "click", PRACTICE) == Practice(USUAL, 2, count_in=1, click="eighths", only_click=True)
    assert practised(tmp_path, "click") == Practice(click="beats", only_click=True)


def test_a_ladder_is_the_books_or_the_phrases_own_in_one_file(tmp_path: Path) -> None:
    assert practised(tmp_path, "ladder", LADDER) == Practice(times=2, rungs=(SLOW, QUICK))
    said: dict[str, Any] = {"ladder": "70 to 80 by 10", "options": (("tempo", SLOW), ("count_in", 1))}
    assert practised(tmp_path, "ladder", LADDER, **said) == Practice(times=2, count_in=1, rungs=(USUAL, QUICK))
    assert practised(tmp_path, "ladder", PRACTICE, **said) == Practice(
        times=2, count_in=1, click="eighths", rungs=(USUAL, QUICK)
    )
    assert practised(tmp_path, "ladder", "[practice]\nloop = true\n", **said) == Practice(
        count_in=1, rungs=(USUAL, QUICK)
    )
    with pytest.raises(DrumgenError, match='a line ladder = "60 to 80 by 5" in the book, or in'):
        practised(tmp_path, "ladder")


def test_a_page_begins_with_the_ladder_where_no_tempo_is_named(tmp_path: Path) -> None:
    assert practised(tmp_path, "page", LADDER).rungs == (SLOW, QUICK)
    assert practised(tmp_path, "page", PRACTICE, ladder="60 to 70 by 10").rungs == (SLOW, USUAL)
    assert practised(tmp_path, "page", LADDER, options=(("tempo", QUICK),)) == Practice(QUICK, times=2)


def test_a_source_needs_no_disk_any_more(tmp_path: Path) -> None:
    write_phrases(tmp_path, a='kit = "kit.toml"\n' + phrase_text("One").replace('feet.kick = "1"\n', ""))
    (tmp_path / "kit.toml").write_text(
        "[voices.snare]\nnote = 40\n[voices.click]\nnote = 1\n[voices.click-accent]\nnote = 2"
    )
    entry = Entry(1, str(tmp_path / "a.toml"), heading="First", note="Softly\nEvenly", lead="L", handed="left")
    source = read_source(entry)
    for path in tmp_path.iterdir():
        path.unlink()
    phrase = source.phrase()
    assert (phrase.title, phrase.note, phrase.name) == ("First", "Softly\nEvenly", "a")
    assert phrase.kit.voices["snare"].key == 40
    assert replace(source, entry=Entry(1, entry.file)).phrase().title == "One"


def test_a_kit_that_cannot_be_read_is_told_where_the_phrase_is_read(tmp_path: Path) -> None:
    write_phrases(tmp_path, a='kit = "nope.toml"\n' + phrase_text(), b="kit = 3\n", c=phrase_text())
    source = read_source(Entry(1, str(tmp_path / "a.toml")))
    assert isinstance(source.kit, Fault)
    with pytest.raises(DrumgenError, match=r"nope.toml: there is no such file \[the kit of .*a.toml\]"):
        source.phrase()
    with pytest.raises(DrumgenError, match="kit: expected a text in quotes, got 3"):
        read_source(Entry(1, str(tmp_path / "b.toml"))).phrase()
    with pytest.raises(DrumgenError, match="kit: expected a shipped kit"):
        read_source(Entry(1, str(tmp_path / "c.toml"), kit="five-peace")).phrase()


@pytest.mark.parametrize("kit", ["", "limits = 3", "limits = [", "[limits]\nname_length = 'x'\nname_characters = 4"])
def test_limits_are_looked_at_before_a_kit_is_read(tmp_path: Path, kit: str) -> None:
    write_phrases(tmp_path, a=phrase_text())
    (tmp_path / "kit.toml").write_text(kit)
    source = read_source(Entry(1, str(tmp_path / "a.toml"), kit=str(tmp_path / "kit.toml")))
    assert (source.name_length, source.name_characters) == (None, "")


@pytest.mark.parametrize(
    ("table", "title", "note"),
    [
        ('title = "One"\nnote = "Softly"', "One", "Softly"),
        ('title = 3\nnote = ["a", "b"]', "", "a\nb"),
        ("practice = 3", "", ""),
    ],
)
def test_what_is_looked_at_before_a_phrase_is_read(tmp_path: Path, table: str, title: str, note: str) -> None:
    (tmp_path / "a.toml").write_text(table)
    source = read_source(Entry(1, str(tmp_path / "a.toml")))
    assert (source.title, source.note, source.laddered) == (title, note, False)
