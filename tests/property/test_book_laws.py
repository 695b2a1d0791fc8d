"""Laws of books: one written is read as it was; what changed is exactly what is made again; a folder has no history."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from book_room import bound, contents, phrase_text, write_phrases
from file_strategies import maybe, said
from hypothesis import example, given, settings
from hypothesis import strategies as st
from strategies import UNHURRIED, steady_tempos

from drumgen.clicks import CLICKS_ON
from drumgen.spec.book_file import BookFile, EntryTable, read_book
from drumgen.spec.writing import render_book_file
from drumgen.tempo import Tempo, parse_tempo

NAMES = st.sampled_from(["five-piece", "kits/shed.toml", "終わり"]) | st.text(min_size=1, max_size=8)
NOTES = st.lists(st.text(st.characters(exclude_characters="\n"), max_size=12), min_size=1, max_size=4).map("\n".join)
PRODUCTS = st.lists(st.sampled_from(["midi", "play-along", "ladder", "click", "sheet"]), max_size=6).map(tuple)
LADDERS = st.builds("{} to {} by {}".format, st.integers(10, 400), st.integers(10, 400), st.integers(1, 400))
SHARED: dict[str, st.SearchStrategy[Any]] = {
    "make": maybe(PRODUCTS),
    "kit": maybe(NAMES),
    "handed": maybe(st.sampled_from(["right", "left"])),
    "times": maybe(st.integers(1, 10_000)),
    "count_in": maybe(st.integers(0, 8)),
    "click": maybe(st.sampled_from(CLICKS_ON)),
}
ENTRIES = st.builds(
    lambda **values: said(EntryTable, **values),
    file=st.text(min_size=1, max_size=12),
    heading=maybe(st.text(min_size=1, max_size=12)),
    note=maybe(NOTES),
    lead=maybe(st.sampled_from(["R", "L"])),
    tempo=maybe(steady_tempos()),
    ladder=maybe(LADDERS.filter(lambda text: abs(int(text.split()[0]) - int(text.split()[2])) <= 300)),
    **SHARED,
)
BOOK_FILES = st.builds(
    lambda **values: said(BookFile, **values),
    title=maybe(st.text(max_size=12)),
    note=maybe(NOTES),
    together=maybe(st.lists(st.sampled_from(["sheet", "page", "index"]), max_size=3).map(tuple)),
    audio=maybe(st.sampled_from(["wav", "flac", "ogg", "mp3"])),
    paper=maybe(st.sampled_from(["A4", "Letter"])),
    phrases=maybe(st.lists(ENTRIES, min_size=1, max_size=4).map(tuple)),
    **SHARED,
)


@UNHURRIED
@given(BOOK_FILES)
def test_reading_the_book_that_was_written_gives_the_same_book(file: BookFile) -> None:
    text = render_book_file(file)
    again = read_book(text, file="written.toml").file
    assert again == file
    assert again.model_fields_set == file.model_fields_set
    assert render_book_file(again) == text


class Written(NamedTuple):
    """One phrase of a small book."""

    name: str
    title: str
    sticking: str
    heading: str | None
    note: str | None
    tempo: Tempo | None


PHRASES = st.builds(
    Written,
    st.sampled_from(["weir", "lock", "sluice"]),
    st.sampled_from(["Weir", "Lock"]),
    st.sampled_from(["RLRR LRLL", "RRLL", "RX"]),
    st.sampled_from([None, "First", "Last"]),
    st.sampled_from([None, "Softly.", "Evenly."]),
    st.sampled_from([None, parse_tempo("80"), parse_tempo("120")]),
)
BOOKS = st.lists(PHRASES, min_size=1, max_size=4)
DAMAGE = st.lists(st.tuples(st.integers(0, 9), st.sampled_from(["delete", "alter"])), max_size=2)


def write(folder: Path, phrases: list[Written]) -> None:
    """The folder of a book; two phrases of one name and other content lie in folders of their own."""
    entries = [EntryTable.model_construct(**_entry(folder, number, each)) for number, each in enumerate(phrases)]
    book = said(BookFile, make=("midi", "sheet"), together=("index",), phrases=tuple(entries))
    folder.mkdir(exist_ok=True)
    (folder / "book.toml").write_text(render_book_file(book), encoding="utf-8")


def _entry(folder: Path, number: int, phrase: Written) -> dict[str, Any]:
    write_phrases(folder / str(number), **{phrase.name: phrase_text(phrase.title, phrase.sticking)})
    values = {"heading": phrase.heading, "note": phrase.note, "tempo": phrase.tempo}
    return {
        "file": f"{number}/{phrase.name}.toml",
        **{key: value for key, value in values.items() if value is not None},
    }


def harm(out: Path, damage: list[tuple[int, str]]) -> set[str]:
    """Delete or alter some files, and give their names."""
    names = sorted(contents(out))
    harmed = set()
    for index, how in damage if names else []:
        path = out / names[index % len(names)]
        harmed.add(path.name)
        if how == "delete":
            path.unlink(missing_ok=True)
        else:
            path.write_bytes(b"altered")
    return harmed


def without(files: dict[str, bytes], names: set[str]) -> dict[str, bytes]:
    """All but some files."""
    return {name: content for name, content in files.items() if name not in names}


LOCK = [("lock", "Weir", "RLRR LRLL", None, None, None), ("weir", "Weir", "RLRR LRLL", None, None, None)]


@settings(UNHURRIED, max_examples=40)
@example(
    before=[Written(*each) for each in LOCK],
    after=[Written("lock", "Weir", "RX", None, None, None), Written(*LOCK[1])],
    damage=[(0, "alter")],
    overwrite=False,
)
@given(before=BOOKS, after=BOOKS, damage=DAMAGE, overwrite=st.booleans())
def test_what_changed_is_exactly_what_is_made_again(
    *, before: list[Written], after: list[Written], damage: list[tuple[int, str]], overwrite: bool
) -> None:
    """Against a book that is bound from nothing: the same files, and only those made that are other than they were.

    What somebody altered is left as it is, unless it may be written over.
    """
    with TemporaryDirectory() as name:
        place = Path(name)
        write(place / "before", before)
        bound(place / "before", place / "out")
        harmed = harm(place / "out", damage)
        was = contents(place / "out")
        write(place / "after", after)
        found = bound(place / "after", place / "out", overwrite=overwrite)
        fresh = bound(place / "after", place / "fresh")
        anew = contents(place / "fresh")
        now = contents(place / "out")
        altered = set() if overwrite else {name for name in harmed & anew.keys() if was.get(name) == b"altered"}
        assert {*found.altered} == altered
        assert {name: now[name] for name in anew if name not in altered} == without(anew, altered)
        left = {name for name in now if name not in anew or name in altered}
        assert all(now[name] == was[name] for name in left)  # altered, or of a phrase that is broken now
        other = {name for name, content in anew.items() if was.get(name) != content} - altered
        assert {*found.made, *found.renamed} == other | (harmed & anew.keys()) - altered
        assert {*found.unchanged} == anew.keys() - other - altered
        assert found.all_faults == fresh.all_faults
        again = bound(place / "after", place / "out")
        assert (again.made, again.renamed, again.removed) == ([], [], [])
