"""What is said of a wrong value, whichever key it is under: in plain words, and what it offers instead is taken."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any

import pytest

from drumgen.spec.book_file import BookFile, EntryTable
from drumgen.spec.kit_file import KitFile, LimitsTable, VoiceTable
from drumgen.spec.phrase_file import (
    BarTable,
    DynamicsTable,
    FeelTable,
    HandsTable,
    PartTable,
    PhraseFile,
    PracticeTable,
    SwingTable,
    Table,
)
from drumgen.spec.validation import without_faulty

if TYPE_CHECKING:
    from drumgen.errors import Fault

TABLES: list[type[Table]] = [PhraseFile, BarTable, PartTable, FeelTable, SwingTable, DynamicsTable, PracticeTable]
TABLES += [HandsTable, KitFile, VoiceTable, LimitsTable, BookFile, EntryTable]
WRONG: list[object] = [3.5, "zz top", "", [], [[]], ["zz"], {}, {"R": 1}, {"zz": "1"}, True, 10**7, -(10**7), 2**70]
WRONG += [float("inf"), "z" * 30_000]
KEYS = [(table, field.alias or name) for table in TABLES for name, field in table.model_fields.items()]
every_key = pytest.mark.parametrize(("table", "key"), KEYS, ids=lambda each: getattr(each, "__name__", each))


def told(table: type[Table], key: str) -> set[Fault]:
    """What is said of a key with all kinds of wrong values, and of a table without it."""
    faults = [fault for value in WRONG for fault in without_faulty(table, {key: value})[1]]
    return {fault for fault in [*faults, *without_faulty(table, {})[1]] if key in fault.path}


def offers(table: type[Table], key: str) -> set[str]:
    """The lines that messages offer for a key, and what they say that it may be such as."""
    found: set[str] = set()
    for fault in told(table, key):
        line = re.search(r"(?:a line|such as) ([\w.]+ = .+|\[\[?[a-z].+|\{.+\})", fault.rule)
        if fault.path != (key,):
            continue
        if line:
            found.add(f"{key} = {line[1]}" if line[1].startswith("{") else line[1])
        elif 'a list such as ["' in fault.rule:
            found.add(f"{key} = {fault.rule.partition('such as ')[2]}")
        else:
            examples = re.findall(r'"([^"]*)"', fault.rule.partition("such as")[2])
            found |= {f'{key} = ["{text}"]' if key == "phrase" else f'{key} = "{text}"' for text in examples}
    return found


def headed(table: dict[str, Any], key: str) -> object:
    """What a header, as it is read, gives for a key: it is one of the tables that the header names."""
    for inner in table.values():
        return table[key] if key in table else headed(inner, key)
    raise AssertionError(key)


@every_key
def test_a_wrong_value_is_told_in_plain_words(table: type[Table], key: str) -> None:
    faults = told(table, key)
    assert faults
    for fault in faults:
        assert re.match(r"""[a-z"']|[RLKH], """, fault.rule), fault.rule
        assert not re.search(r"[A-Z]{2}", re.sub(r'"[RL ]+"', "", fault.rule)), fault.rule
        assert "right kind" not in fault.rule, fault.rule
        assert fault.got, fault.rule


@every_key
def test_what_is_offered_is_taken(table: type[Table], key: str) -> None:
    for line in offers(table, key):
        said = tomllib.loads(line)
        if line.startswith("["):  # a header, under which there is more to be said
            assert (key,) not in {fault.path for fault in without_faulty(table, {key: headed(said, key)})[1]}
        else:
            assert list(said) == [key]
            assert not [fault for fault in without_faulty(table, said)[1] if key in fault.path]


def test_something_is_offered_for_what_is_hard_to_guess() -> None:
    keys = {key for table, key in KEYS if offers(table, key)}
    assert keys >= {"phrase", "bars", "parts", "beats", "hands", "feet", "feel", "swing", "of", "ratio", "voices"}
    assert keys >= {"tempo", "meter", "dynamics", "sticking", "subdivision", "staff", "ladder", "accents", "file"}
    assert keys >= {"landing", "mute", "make", "together", "phrases"}
