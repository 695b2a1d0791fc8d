"""A file of one kind where another is asked for: one fault says what it is, not one for each of its keys."""

from collections.abc import Callable

import pytest

from drumgen.errors import DrumgenError
from drumgen.spec.book_file import read_book
from drumgen.spec.loading import read_kit, read_phrase

PHRASE = 'title = "Sluice"\nphrase = ["a"]\n[bars.a]\nsticking = "RLRR"\n'
KIT = "channel = 10\n[voices.snare]\nnote = 38\n"
BOOK = 'make = ["midi"]\ntempo = 3\n[[phrases]]\nfile = "a.toml"\n'
READERS: dict[str, Callable[[str], object]] = {
    "phrase": lambda text: read_phrase(text, file="x.toml", name="x"),
    "kit": lambda text: read_kit(text, file="x.toml", name="x"),
    "book": lambda text: read_book(text, file="x.toml"),
}


@pytest.mark.parametrize(
    ("reader", "text", "said"),
    [
        ("phrase", KIT, "x.toml:2: voices: expected a phrase file, got a kit file (for --kit, or a phrase's kit)"),
        ("phrase", BOOK, "x.toml:3: phrases: expected a phrase file, got a book file (for drumgen book)"),
        ("kit", PHRASE, "x.toml:3: bars: expected a kit file, got a phrase file"),
        ("kit", BOOK, "x.toml:3: phrases: expected a kit file, got a book file (for drumgen book)"),
        ("book", PHRASE, "x.toml:3: bars: expected a book file, got a phrase file"),
        ("book", KIT, "x.toml:2: voices: expected a book file, got a kit file (for --kit, or a phrase's kit)"),
    ],
)
def test_a_file_of_another_kind_is_called_by_its_name(reader: str, text: str, said: str) -> None:
    with pytest.raises(DrumgenError) as caught:
        READERS[reader](text)
    assert str(caught.value) == said


@pytest.mark.parametrize(
    ("text", "key"), [(PHRASE + "[voices.snare]\nnote = 38\n", "voices"), (PHRASE + "[[phrases]]\n", "phrases")]
)
def test_a_file_with_its_own_key_is_what_is_asked_for(text: str, key: str) -> None:
    """Then the other key is a fault in it, as any unknown one."""
    with pytest.raises(DrumgenError, match=rf"^x\.toml:\d: {key}: expected (one of the keys|a known key)"):
        READERS["phrase"](text)


def test_a_file_that_is_nothing_is_told_what_it_lacks() -> None:
    with pytest.raises(DrumgenError, match=r"phrase: expected a line"):
        READERS["phrase"]("")
