"""The files of a book: their names, and the keys that change with what they are made from, and with nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from book_room import LADDERED, phrase_text, write_phrases
from needs import need_letters

from drumgen.binding.jobs import Job, Manner, jobs_of, output_name
from drumgen.book import Book, Entry, Product
from drumgen.spec.book_loading import load_book

if TYPE_CHECKING:
    from pathlib import Path

EVERYTHING: tuple[Product, ...] = ("midi", "play-along", "ladder", "click", "sheet")


def book(folder: Path, *entries: Entry, **said: Any) -> Book:  # noqa: ANN401 - the fields of a book
    return Book("Evenings", entries or (Entry(1, str(folder / "a.toml"), make=EVERYTHING),), **said)


def jobs(found: Book, manner: Manner = Manner(font="f")) -> dict[str, Job]:  # noqa: B008 - a constant
    return {job.name: job for job in jobs_of(found, manner).jobs}


def keys(found: Book, manner: Manner = Manner(font="f")) -> dict[str, str]:  # noqa: B008 - a constant
    return {job.kind: job.key for job in jobs(found, manner).values()}


def changed(before: dict[str, str], after: dict[str, str]) -> set[str]:
    assert before.keys() == after.keys()
    return {kind for kind in before if before[kind] != after[kind]}


@pytest.fixture
def course(tmp_path: Path) -> Path:
    write_phrases(tmp_path, a=phrase_text(more=LADDERED))
    return tmp_path


def test_the_names_of_a_phrase(course: Path) -> None:
    assert list(jobs(book(course))) == [
        "page.html",
        "book.pdf",
        "01-a.mid",
        "01-a.mp3",
        "01-a-ladder.mp3",
        "01-a-click.mp3",
        "01-a.pdf",
    ]


@pytest.mark.parametrize(
    ("file", "name"),
    [
        ("x/01-say it.toml", "03-say-it.mid"),
        ("12_turn.toml", "03-turn.mid"),
        ("12.toml", "03-12.mid"),
        ("7 .toml", "03-7.mid"),
        ("../../../etc/passwd.toml", "03-passwd.mid"),
        ("con.toml", "03-con_.mid"),
        ("水車.toml", "03-水車.mid"),
        ("-.toml", "03-phrase.mid"),
        ("x" * 300 + ".toml", "03-" + "x" * 200 + ".mid"),
    ],
)
def test_a_name_is_one_that_every_file_system_takes(file: str, name: str) -> None:
    assert output_name(Entry(3, file), "midi", Manner()) == name


def test_names_are_distinct_and_in_order_however_many_there_are(course: Path) -> None:
    entries = [Entry(number, str(course / "a.toml"), make=EVERYTHING) for number in range(1, 121)]
    found = jobs_of(book(course, *entries), Manner()).jobs
    names = [job.name for job in found]
    assert len({name.casefold() for name in names}) == len(names) == 2 + 5 * 120
    assert names[2] == "001-a.mid"
    assert [name for name in names if name.endswith(".mid")] == sorted(n for n in names if n.endswith(".mid"))


def test_a_machine_with_short_names_gets_short_names(course: Path) -> None:
    need_letters()
    (course / "kit.toml").write_text(
        '[limits]\nname_length = 8\nname_characters = "A-Z0-9_"\n[voices.snare]\nnote = 38\n'
        "[voices.click]\nnote = 76\n[voices.click-accent]\nnote = 77\n"
    )
    entry = Entry(1, str(course / "a.toml"), make=("midi", "sheet"), kit=str(course / "kit.toml"))
    longer = replace(entry, number=2, file=str(course / "strait-way é.toml"))
    (course / "strait-way é.toml").write_text(phrase_text(), encoding="utf-8")
    assert list(jobs(book(course, entry, longer, together=()))) == ["01_A.mid", "01-a.pdf", "02_STRAI.mid",
                                                                     "02-strait-way-é.pdf"]  # fmt: skip


def test_a_machine_without_figures_in_its_names_is_refused_where_the_file_is_made(course: Path) -> None:
    (course / "kit.toml").write_text('[limits]\nname_characters = "A-Z"\n[voices.snare]\nnote = 38\n')
    entry = Entry(1, str(course / "a.toml"), make=("midi",), kit=str(course / "kit.toml"))
    assert list(jobs(book(course, entry, together=()))) == ["01-a.mid"]


def test_one_letter_is_too_short_for_a_number_and_is_refused_where_it_is_made(course: Path) -> None:
    (course / "kit.toml").write_text("[limits]\nname_length = 1\n[voices.snare]\nnote = 38\n")
    entry = Entry(1, str(course / "a.toml"), make=("midi",), kit=str(course / "kit.toml"))
    assert list(jobs(book(course, entry, together=()))) == ["01.mid"]


def test_a_ladder_only_where_there_is_one(course: Path) -> None:
    write_phrases(course, b=phrase_text(), c=phrase_text())
    (course / "book.toml").write_text(
        'make = ["ladder"]\ntogether = []\n[[phrases]]\nfile = "a.toml"\n[[phrases]]\nfile = "b.toml"\n'
        '[[phrases]]\nfile = "b.toml"\nladder = "60 to 80 by 5"\n[[phrases]]\nfile = "c.toml"\nmake = ["ladder"]\n'
    )
    works = jobs_of(load_book(course), Manner())
    assert [job.name for job in works.jobs] == ["01-a-ladder.mp3", "03-b-ladder.mp3", "04-c-ladder.mp3"]
    assert works.unladdered == (2,)


def test_a_phrase_that_cannot_be_read_stops_only_itself(course: Path) -> None:
    (course / "b.toml").write_bytes(b"\xff")
    entries = (Entry(1, str(course / "b.toml")), Entry(2, str(course / "c.toml")), Entry(3, str(course / "a.toml")))
    works = jobs_of(book(course, *entries), Manner())
    assert [job.name for job in works.jobs] == ["page.html", "book.pdf", "03-a.mid", "03-a.mp3", "03-a.pdf"]
    assert [(number, str(fault)) for number, fault in works.faults] == [
        (1, f"{course}/b.toml:1: expected text in UTF-8, got byte FF hex at 0"),
        (2, f"{course}/c.toml: there is no such file"),
    ]
    names = [f"{stem}.{suffix}" for stem in ("01-b", "02-c") for suffix in ("mid", "mp3", "pdf")]
    assert works.kept == set(names)


@pytest.mark.parametrize(
    ("said", "kinds"),
    [
        ({"heading": "First"}, {"midi", "sheet", "whole sheet", "page"}),
        ({"note": "Softly"}, {"sheet", "whole sheet", "page"}),
        ({"lead": "L"}, {*EVERYTHING, "whole sheet", "page"}),
        ({"handed": "left"}, {*EVERYTHING, "whole sheet", "page"}),
        ({"kit": "five-piece"}, {*EVERYTHING, "whole sheet", "page"}),
        ({"options": (("tempo", 80),)}, {"midi", "play-along", "click", "page"}),
        ({"options": (("times", 4),)}, {"play-along", "ladder", "click", "page"}),
        ({"options": (("count_in", 2),)}, {"play-along", "ladder", "click", "page"}),
        ({"options": (("click", "beats"),)}, {"play-along", "ladder", "click", "page"}),
        ({"ladder": "60 to 80 by 5"}, {"ladder", "page"}),
    ],
)
def test_what_a_phrase_says_changes_only_what_depends_on_it(
    course: Path, said: dict[str, Any], kinds: set[str]
) -> None:
    entry = book(course).entries[0]
    assert changed(keys(book(course)), keys(book(course, replace(entry, **said)))) == kinds


def test_what_the_book_says_changes_only_what_depends_on_it(course: Path) -> None:
    before = keys(book(course))
    assert changed(before, keys(book(course, note="Bring sticks."))) == {"whole sheet", "page"}
    assert changed(before, keys(replace(book(course), title="Nights"))) == {"whole sheet", "page"}
    assert changed(before, keys(book(course), Manner(paper="Letter", font="f"))) == {"sheet", "whole sheet"}
    assert changed(before, keys(book(course), Manner(font="g"))) == {"play-along", "ladder", "click", "page"}
    assert changed(before, keys(book(course), Manner(audio="wav", font="f"))) == {"play-along", "ladder", "click"}


def test_every_byte_of_a_phrase_and_of_its_kit_counts(course: Path) -> None:
    (course / "kit.toml").write_text("[voices.snare]\nnote = 38\n")
    (course / "a.toml").write_text('kit = "kit.toml"\n' + phrase_text(more=LADDERED))
    before = keys(book(course))
    (course / "kit.toml").write_text("[voices.snare]\nnote = 40\n")
    after = keys(book(course))
    assert changed(before, after) == set(before)
    (course / "a.toml").write_text((course / "a.toml").read_text() + "# a remark\n")
    assert changed(after, keys(book(course))) == set(before)


def test_where_a_book_lies_does_not_count(course: Path, tmp_path: Path) -> None:
    moved = tmp_path / "elsewhere"
    write_phrases(moved, a=phrase_text(more=LADDERED))
    assert keys(book(course)) == keys(book(moved))


def test_another_version_makes_all_again(course: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = keys(book(course))
    monkeypatch.setattr("drumgen.binding.jobs.__version__", "9.9")
    assert changed(before, keys(book(course))) == set(before)


def test_a_title_or_a_note_that_the_book_covers_does_not_count_nor_any_where_nothing_is_read(course: Path) -> None:
    entry = book(course).entries[0]
    covered = replace(entry, heading="First", note="Softly")
    before, plain = keys(book(course, covered)), keys(book(course))
    (course / "a.toml").write_text(phrase_text("Other", more=f'note = "Loudly"\n{LADDERED}'))
    assert changed(before, keys(book(course, covered))) == set()
    assert changed(plain, keys(book(course))) == {"midi", "sheet", "whole sheet", "page"}
