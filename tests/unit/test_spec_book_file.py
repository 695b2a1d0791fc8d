"""The book file: read strictly, all its faults in one go, and given back as a person would have written it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from pydantic import ValidationError

from drumgen.clicks import CLICKS_ON
from drumgen.errors import DrumgenError
from drumgen.spec.book_file import BookFile, EntryTable, read_book
from drumgen.spec.writing import render_book_file
from drumgen.tempo import Tempo, parse_tempo

STEADY = "expected a steady tempo, as only a bar's own may change through it"
WHOLE = """\
title    = "Lock-keeper's evenings"
note     = ["Twelve evenings.", "Bring sticks and a pad."]
make     = ["midi", "play-along", "ladder", "click", "sheet"]
together = ["sheet", "page", "index"]
audio    = "flac"
paper    = "Letter"
kit      = "kits/shed.toml"
handed   = "left"
times    = 4
count-in = 1
click    = "2 and 4"

[[phrases]]
file     = "01-say-it.toml"
heading  = "Say it first"
note     = "Aim: the count aloud."
make     = ["sheet"]
kit      = "five-piece"
handed   = "right"
lead     = "L"
tempo    = "eighth 192"
ladder   = "60 to 80 by 5"
times    = 2
count-in = 0
click    = "beats"

[[phrases]]
file = "../vault/turn.toml"
"""


def read(text: str) -> BookFile:
    return read_book(text, file="book.toml").file


def faults(text: str) -> list[str]:
    with pytest.raises(DrumgenError) as caught:
        read(text)
    return str(caught.value).splitlines()


def test_every_key_is_read_and_written_as_a_person_would_have() -> None:
    file = read(WHOLE)
    assert render_book_file(file) == WHOLE
    assert file.model_fields_set == set(BookFile.model_fields)
    assert file.phrases is not None
    assert file.phrases[0].model_fields_set == set(EntryTable.model_fields)
    assert file.phrases[0].tempo == Tempo(Fraction(192), Fraction(192), "eighth")


def test_what_was_written_is_read_as_the_same_book() -> None:
    file = read(WHOLE)
    assert read(render_book_file(file)) == file


def test_a_book_may_say_nothing() -> None:
    file = read("")
    assert file == BookFile.model_construct()
    assert render_book_file(file) == "\n"


def test_it_cannot_be_changed() -> None:
    with pytest.raises(ValidationError, match=r"\btitle\n +Instance is frozen\b"):
        read(WHOLE).title = "Another"


@pytest.mark.parametrize(
    ("written", "again"),
    [
        ('note = "One\\nTwo"', 'note = ["One", "Two"]'),
        ('note = ["One"]', 'note = "One"'),
        ("note = []", 'note = ""'),
        ('note = ["", ""]', 'note = ["", ""]'),
        ("audio = 'mp3'", 'audio = "mp3"'),
        ('click = " 2  and 4 "', 'click = "2 and 4"'),
        ("make = []", "make = []"),
        ("together = []", "together = []"),
        ('title = "リズム帳"', 'title = "リズム帳"'),
    ],
)
def test_other_ways_of_saying_it_become_the_usual_one(written: str, again: str) -> None:
    assert render_book_file(read(written)) == f"{again}\n"


def test_a_book_can_be_made_of_values() -> None:
    first = {"file": "a.toml", "note": ["Aim", "Move on"], "tempo": parse_tempo("eighth 90"), "count-in": 2}
    book = BookFile.model_validate({"title": "Evenings", "phrases": [first, {"file": "b.toml", "tempo": 80}]})
    assert read(render_book_file(book)) == book


def test_a_ladder_is_kept_as_it_is_written() -> None:
    file = read('[[phrases]]\nfile = "a.toml"\nladder = " eighth  120 to 160   by 20 "\n')
    assert file.phrases is not None
    assert file.phrases[0].ladder == "eighth 120 to 160 by 20"


def test_all_faults_at_once_each_with_its_line() -> None:
    text = """\
title = 3
papper = "A4"
audio = "aac"
make = ["midi", "video"]
together = "page"
count-in = 9
click = "on 3"
note = [3]

[[phrases]]
heading = ""
tempo = "80 to 90"
ladder = "up"
lead = "B"

[[phrases]]
file = ""
times = 0
note = 7
"""
    assert faults(text) == [
        "book.toml:1: title: expected a text in quotes, got 3",
        'book.toml:2: papper: expected a known key, got "papper" (nearest: "paper")',
        'book.toml:3: audio: expected one of wav, flac, ogg, mp3, got "aac"',
        'book.toml:4: make[2]: expected one of midi, play-along, ladder, click, sheet, got "video"',
        'book.toml:5: together: expected a list such as ["page"], got "page"',
        "book.toml:6: count-in: expected a number of at most 8, got 9",
        f'book.toml:7: click: expected a click on one of {", ".join(CLICKS_ON)}, got "on 3"',
        "book.toml:8: note: expected a text in quotes, or a list of its lines, got a list",
        'book.toml:10: phrases[1].file: expected a line file = "slipway.toml", got none',
        'book.toml:11: phrases[1].heading: expected a text that is not empty, got ""',
        f'book.toml:12: phrases[1].tempo: {STEADY}, got "80 to 90"',
        'book.toml:13: phrases[1].ladder: expected a ladder such as "60 to 120 by 5", got "up"',
        'book.toml:14: phrases[1].lead: expected one of R, L, got "B"',
        'book.toml:17: phrases[2].file: expected a text that is not empty, got ""',
        "book.toml:18: phrases[2].times: expected a number of at least 1, got 0",
        "book.toml:19: phrases[2].note: expected a text in quotes, or a list of its lines, got 7",
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("phrases = []", "book.toml:1: phrases: expected at least one entry, got an empty list"),
        ("[[phrase]]", 'book.toml:1: phrase: expected a known key, got "phrase" (nearest: "phrases")'),
        ("phrases = 3", "book.toml:1: phrases: expected a list such as [[phrases]], got 3"),
        ("title", 'book.toml:1: not TOML: expected "=" after the key'),
        (f"note = {['x'] * 101}", "book.toml:1: note: expected at most 100 lines, got 101"),
        (f'note = "{"x" * 2001}"', "book.toml:1: note: expected lines of at most 2000 characters, got 2001"),
        (f'title = "{"x" * 201}"', 'book.toml:1: title: expected at most 200 characters, got "' + "x" * 60 + '…"'),
        ("[[phrases]]\nfile = 'a'\nladder = 5", "phrases[1].ladder: expected a ladder such as"),
        ("[[phrases]]\nfile = 'a'\ntempo = 500", "phrases[1].tempo: expected a tempo from 10 to 400"),
        ("[[phrases]]\nfile = 'a'\ntempo = true", 'expected a tempo that stays, such as 92 or "eighth 192", got true'),
        ("click = 4", "book.toml:1: click: expected a click on one of"),
    ],
)
def test_what_is_refused(text: str, message: str) -> None:
    assert message in "\n".join(faults(text))


def test_a_title_of_two_lines_is_no_list() -> None:
    text = 'title = "One\\nTwo"\n'
    assert render_book_file(read_book(text, file="book.toml").file) == text
