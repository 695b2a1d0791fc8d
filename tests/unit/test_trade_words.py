"""The words of the trade's tables, which are printed as they stand: each is written as a person writes."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from drumgen import trade

if TYPE_CHECKING:
    from collections.abc import Iterator

TABLES = [path.stem for path in sorted(Path(trade.__file__).parent.glob("*.py")) if path.stem != "__init__"]
ABBREVIATIONS = {"ITU", "JPME", "MPPA", "NIOSH", "OSHA", "SFX", "WHO", "dBA"}
STICKING = re.compile(r"[>()RLBKHrlz-]+")


def texts(value: object) -> Iterator[str]:
    """Every text in a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, (tuple, list, set, frozenset)):
        for each in value:
            yield from texts(each)
    elif isinstance(value, dict):
        yield from texts([*value.items()])
    elif is_dataclass(value):
        yield from texts([getattr(value, each.name) for each in fields(value)])


def words(table: str) -> set[str]:
    """The texts of a table, without stickings."""
    values = [value for name, value in vars(import_module(f"drumgen.trade.{table}")).items() if name[:2] != "__"]
    found = {text for text in texts([value for value in values if not isinstance(value, type)]) if text}
    return {text for text in found if not STICKING.fullmatch(text)}


def test_there_are_words_in_every_table() -> None:
    assert all(len(words(table)) > 20 for table in TABLES)


@pytest.mark.parametrize("table", TABLES)
def test_only_abbreviations_are_in_capitals(table: str) -> None:
    for text in words(table):
        loud = set(re.findall(r"[A-Za-z]*[A-Z]{2}[A-Za-z]*", text))
        assert loud <= ABBREVIATIONS, text


@pytest.mark.parametrize("table", TABLES)
def test_a_sentence_begins_with_a_capital_or_a_figure(table: str) -> None:
    for text in words(table):
        assert text == text.strip()
        if text.endswith("."):
            assert re.match(r"[A-Z0-9]", text), text
        assert not re.search(r"[a-z)]\. [a-z]", text), text


def rows(value: object) -> Iterator[Any]:
    """Every row in a value that says how sure it is and where it comes from."""
    if isinstance(value, (tuple, list)):
        for each in value:
            yield from rows(each)
    elif hasattr(value, "source") and not isinstance(value, type):
        yield value


@pytest.mark.parametrize("table", ["cautions", "limits"])
def test_what_was_published_in_a_year_is_by_somebody_or_in_something(table: str) -> None:
    dated = [
        row.source
        for row in rows([*vars(import_module(f"drumgen.trade.{table}")).values()])
        if getattr(row, "mark", "") == "published" and re.search(r"\b(?:19|20)[0-9]{2}\b", row.source)
    ]
    assert len(dated) > 5
    for source in dated:
        assert re.match(r"(?:[A-Z]\. )*[A-Z][A-Za-z-]+", source), source
