"""Loading a book: its file, or a folder of phrase files, to the book that it means."""

from __future__ import annotations

import re
from pathlib import Path as FilePath
from typing import Any

from drumgen.book import USUAL_PRODUCTS, USUAL_WHOLE, Book, Entry
from drumgen.errors import DrumgenError, Fault, readable, reason_of
from drumgen.spec.book_file import BookFile, EntryTable, SharedTable, read_book
from drumgen.spec.document import decode, read_document
from drumgen.spec.loading import is_kit_file, load_bytes

BOOK_NAME = "book.toml"

_OF_THE_BOOK = ("title", "note", "together", "audio", "paper")
_OPTIONS = ("tempo", "times", "count_in", "click")
_BARS = b"[bars."
_BARS_OR_LINES = re.compile(rb"""^\[bars\.|\"{3}|'{3}""", re.MULTILINE)
_NUMBER = re.compile(r"([0-9]+)")


def load_book(path: FilePath | str) -> Book:
    """The book of a book file, or of a folder: its ``book.toml``, else all its phrase files in order of their names.

    Numbers in names count as numbers: 2 comes before 10. Kit files and book files are no phrases. Raises DrumgenError
    with all faults of the book file; the phrases are not read yet.
    """
    path = FilePath(path)
    if not path.is_dir():
        return _book_of_file(path)
    inside = path / BOOK_NAME
    return _book_of_file(inside) if inside.exists() else make_book(BookFile.model_construct(), folder=path)


def _book_of_file(path: FilePath) -> Book:
    file, _ = read_book(decode(load_bytes(path), file=str(path)), file=str(path))
    return make_book(file, folder=path.parent, name=readable(path.stem), own=path.name)


def make_book(file: BookFile, *, folder: FilePath, name: str = "book", own: str = BOOK_NAME) -> Book:
    """The book that a book file in ``folder``, of its ``own`` name there, means.

    ``name`` is its title where it says none; where the file is just called book, the folder's name is.
    """
    tables = file.phrases or tuple(EntryTable.model_construct(file=found) for found in phrase_names(folder, book=own))
    usual = {"title": name if name != "book" else readable(folder.resolve().name), "together": USUAL_WHOLE}
    said = {key: value for key, value in file.said().items() if key in _OF_THE_BOOK}
    entries = (_entry(number, table, file, folder) for number, table in enumerate(tables, start=1))
    return Book(entries=tuple(entries), **{**usual, **said})


def _entry(number: int, table: EntryTable, file: BookFile, folder: FilePath) -> Entry:
    said = {**_shared(file), **table.said()}
    kit = said.get("kit", "")
    return Entry(
        number=number,
        file=str(folder / table.file),
        heading=table.heading,
        note=table.note,
        make=tuple(dict.fromkeys(said.get("make", USUAL_PRODUCTS))),
        own_make=table.make is not None,
        kit=str(folder / kit) if is_kit_file(kit) else kit,
        lead=table.lead,
        handed=said.get("handed"),
        options=tuple((key, said[key]) for key in _OPTIONS if key in said),
        ladder=table.ladder or "",
    )


def _shared(file: BookFile) -> dict[str, Any]:
    """What a book file says for all its phrases."""
    return {key: value for key, value in file.said().items() if key in SharedTable.model_fields}


def phrase_names(folder: FilePath, *, book: str = BOOK_NAME) -> list[str]:
    """The phrase files of a folder, in the order of their names; the file called ``book`` is none.

    Raises DrumgenError where there are none.
    """
    try:
        names = [each.name for each in folder.iterdir() if each.name != book and _may_be_phrase(each)]
    except OSError as error:
        raise DrumgenError(Fault(f"cannot be read: {reason_of(error)}", file=str(folder))) from None
    if not names:
        raise DrumgenError(Fault("phrase files (.toml) in this folder", got="none", file=str(folder)))
    return sorted(names, key=_in_order)


def _in_order(name: str) -> tuple[list[tuple[int, str]], str]:
    """What names are sorted by: words as they are, numbers by their value."""
    steps = [(int(step), "") if step.isdecimal() else (0, step) for step in _NUMBER.split(FilePath(name).stem)]
    return steps, name


def _may_be_phrase(path: FilePath) -> bool:
    """Whether a file is to be read as a phrase: what cannot be read is, so that its faults are told."""
    if path.suffix.lower() != ".toml" or path.name == BOOK_NAME or not path.is_file():
        return False
    try:
        content = load_bytes(path)
        if _says_bars(content):
            return True
        keys = read_document(decode(content, file=str(path)), file=str(path)).table.keys()
    except DrumgenError:
        return True
    return bool({"phrase", "bars"} & keys) or not {"voices", "phrases"} & keys


def _says_bars(content: bytes) -> bool:
    """Whether a look at a file is enough to know that it has bars: a header before any text of several lines."""
    first = _BARS_OR_LINES.search(content)
    return first is not None and first[0] == _BARS
