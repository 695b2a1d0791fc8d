"""Loading a book: what its file means, what a folder means, and what of a folder is a phrase."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from needs import need_letters

from drumgen.book import Book, Entry
from drumgen.errors import DrumgenError
from drumgen.spec.book_loading import load_book, phrase_names
from drumgen.tempo import Tempo

if TYPE_CHECKING:
    from pathlib import Path

PHRASE = 'phrase = ["a"]\n[bars.a]\nsticking = "RL"\n'


def refused(path: Path) -> str:
    with pytest.raises(DrumgenError) as caught:
        load_book(path)
    return str(caught.value)


def test_what_the_book_says_and_what_a_phrase_says_for_itself(tmp_path: Path) -> None:
    (tmp_path / "book.toml").write_text("""
title = "Evenings"
note = ["One", "Two"]
make = ["midi", "midi", "ladder"]
together = ["sheet"]
audio = "wav"
paper = "Letter"
kit = "shed/kit.toml"
handed = "left"
times = 4
count-in = 1
click = "beats"
[[phrases]]
file = "a.toml"
heading = "First"
note = "Softly"
lead = "L"
tempo = 80
ladder = "60 to 80 by 5"
[[phrases]]
file = "../b.toml"
make = ["sheet"]
kit = "five-piece"
handed = "right"
times = 1
count-in = 0
click = "first"
""")
    tempo = Tempo(Fraction(80), Fraction(80))
    first = Entry(
        number=1,
        file=str(tmp_path / "a.toml"),
        heading="First",
        note="Softly",
        make=("midi", "ladder"),
        kit=str(tmp_path / "shed/kit.toml"),
        lead="L",
        handed="left",
        options=(("tempo", tempo), ("times", 4), ("count_in", 1), ("click", "beats")),
        ladder="60 to 80 by 5",
    )
    second = Entry(
        number=2,
        file=str(tmp_path / "../b.toml"),
        make=("sheet",),
        own_make=True,
        kit="five-piece",
        handed="right",
        options=(("times", 1), ("count_in", 0), ("click", "first")),
    )
    expected = Book("Evenings", (first, second), "One\nTwo", ("sheet",), "wav", "Letter")
    assert load_book(tmp_path / "book.toml") == expected
    assert load_book(str(tmp_path)) == expected


def test_a_folder_is_its_phrase_files_in_the_order_of_their_names(tmp_path: Path) -> None:
    need_letters()
    folder = tmp_path / "weir"
    folder.mkdir()
    for name in ("10-last.toml", "2-next.TOML", "1-first.toml", "ähre.toml", "broken.toml", "notes.txt"):
        (folder / name).write_text(PHRASE if name != "broken.toml" else "phrase = [")
    (folder / "kit.toml").write_text("[voices.snare]\nnote = 38\n")
    (folder / "spring.toml").write_text('[[phrases]]\nfile = "1-first.toml"\n')
    (folder / "out.toml").mkdir()
    book = load_book(folder)
    names = [entry.file.removeprefix(f"{folder}/") for entry in book.entries]
    assert names == ["1-first.toml", "2-next.TOML", "10-last.toml", "broken.toml", "ähre.toml"]
    assert [entry.number for entry in book.entries] == [1, 2, 3, 4, 5]
    assert (book.title, book.entries[0].make) == ("weir", ("midi", "play-along", "sheet"))


@pytest.mark.parametrize("quotes", ['"""', "'''"])
def test_a_line_of_a_note_is_no_table(tmp_path: Path, quotes: str) -> None:
    """What a kit's or a book's text says of bars, on lines of its own, makes no phrase of it."""
    note = f"{quotes}\nSuch as\n[bars.a]\nin a phrase.{quotes}\n"
    (tmp_path / "kit.toml").write_text(f"title = {note}[voices.snare]\nnote = 38\n")
    (tmp_path / "spring.toml").write_text(f'note = {note}[[phrases]]\nfile = "told.toml"\n')
    (tmp_path / "told.toml").write_text(f"note = {note}{PHRASE}")
    (tmp_path / "before.toml").write_text(f"{PHRASE}note = {note}")
    assert phrase_names(tmp_path) == ["before.toml", "told.toml"]


def test_a_folder_of_phrases_is_listed_without_reading_them_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A book reads each of its phrases once, when its turn comes: where the bars stand in a file does not matter."""
    texts = {"a": PHRASE, "b": f'title = "Weir"\n\n{PHRASE}', "c": '[bars.a]\nsticking = "RL"\n'}
    texts["d"] = f'{PHRASE}note = """\nSoftly"""\n'
    for name, text in texts.items():
        (tmp_path / f"{name}.toml").write_text(text)

    def forbidden(text: str, *, file: str) -> object:
        raise AssertionError(file, text)

    monkeypatch.setattr("drumgen.spec.book_loading.read_document", forbidden)
    assert phrase_names(tmp_path) == ["a.toml", "b.toml", "c.toml", "d.toml"]


def test_a_book_file_without_phrases_speaks_of_its_folder(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(PHRASE)
    (tmp_path / "book.toml").write_text('make = ["sheet"]\n')
    book = load_book(tmp_path)
    assert [(entry.file, entry.make, entry.own_make) for entry in book.entries] == [
        (str(tmp_path / "a.toml"), ("sheet",), False)
    ]
    assert book.title == tmp_path.name


def test_a_book_file_of_another_name_is_no_phrase_of_its_own_folder(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(PHRASE)
    (tmp_path / "term.toml").write_text('title = "Spring term"\n')
    book = load_book(tmp_path / "term.toml")
    assert (book.title, [entry.file for entry in book.entries]) == ("Spring term", [str(tmp_path / "a.toml")])
    (tmp_path / "a.toml").unlink()
    assert refused(tmp_path / "term.toml") == f"{tmp_path}: expected phrase files (.toml) in this folder, got none"


def test_a_book_file_of_another_name_gives_the_title(tmp_path: Path) -> None:
    (tmp_path / "spring term.toml").write_text('[[phrases]]\nfile = "a.toml"\n')
    assert load_book(tmp_path / "spring term.toml").title == "spring term"


def test_what_is_no_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert refused(tmp_path) == f"{tmp_path}: expected phrase files (.toml) in this folder, got none"
    assert refused(tmp_path / "nope") == f"{tmp_path / 'nope'}: there is no such file"
    (tmp_path / "book.toml").write_text("phrases = []\ntitel = 1\n")
    assert refused(tmp_path).splitlines()[1].endswith('titel: expected a known key, got "titel" (nearest: "title")')

    def forbidden(_: Path) -> object:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "book.toml").unlink()
    monkeypatch.setattr(type(tmp_path), "iterdir", forbidden)
    assert refused(tmp_path) == f"{tmp_path}: cannot be read: permission denied"
