"""The schemas for editors: in the words of JSON Schema, and true of what the files take.

Source: JSON Schema 2020-12 (its keywords and its names of types, from memory).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Any

import pytest
from pydantic import TypeAdapter, ValidationError

from drumgen.levels import MARKS
from drumgen.spec.book_file import BookFile, EntryTable
from drumgen.spec.kit_file import KitFile, LimitsTable, VoiceTable
from drumgen.spec.loading import read_phrase
from drumgen.spec.phrase_file import BarTable, DynamicsTable, FeelTable, HandsTable, PhraseFile, PracticeTable
from drumgen.spec.validation import without_faulty
from drumgen.subdivision import SUBDIVISIONS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pydantic import BaseModel

FILES: list[type[BaseModel]] = [PhraseFile, KitFile, BookFile]
TABLES: list[type[BaseModel]] = [*FILES, BarTable, HandsTable, PracticeTable, VoiceTable, LimitsTable, EntryTable]
TYPES = {"string", "array", "boolean", "number", "integer", "object", "null"}
NAMED = ("properties", "$defs")
"""Keywords over schemas by names that are free."""
NESTED = ("items", "additionalProperties")
LISTED = ("anyOf", "oneOf", "allOf", "prefixItems")
PLAIN = {"title", "description", "examples", "default", "enum", "const", "required", "type", "$ref"}
PLAIN |= {"propertyNames", "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "pattern"}
PLAIN |= {f"{bound}{of}" for bound in ("min", "max") for of in ("Items", "Length", "Properties")}

BY_LIMB = {limb: {"type": "string"} for limb in "RLKH"}


def schemas(schema: Any) -> Iterator[dict[str, Any]]:  # noqa: ANN401 - JSON
    """A schema and all that it holds."""
    if isinstance(schema, dict):
        yield schema
        inner = [each for key in NAMED for each in schema.get(key, {}).values()]
        inner += [schema[key] for key in NESTED if key in schema]
        for each in inner + [each for key in LISTED for each in schema.get(key, ())]:
            yield from schemas(each)


@pytest.mark.parametrize("file", FILES)
def test_each_is_in_the_words_of_json_schema(file: type[BaseModel]) -> None:
    for schema in schemas(file.model_json_schema()):
        assert schema.keys() <= PLAIN | {*NAMED, *NESTED, *LISTED}
        assert schema.get("type", "object") in TYPES
        assert schema.keys() & {"type", "enum", "const", "anyOf", "$ref"}, f"anything may stand where {schema} is"


@pytest.mark.parametrize("file", FILES)
def test_what_is_told_of_a_key_is_a_sentence_of_its_own(file: type[BaseModel]) -> None:
    told = [schema["description"] for schema in schemas(file.model_json_schema()) if "description" in schema]
    assert len(told) > 5
    for words in told:
        assert re.match(r"[A-Z][a-z]*\b|\W", words), words
        assert words.upper() != words


TABLES_THAT_TELL = {"PracticeTable", "DynamicsTable"}
"""The keys of the first are the options of the command line, whose help tells them; of the second, the levels."""
SAY_ALL_BY_NAME = {
    *("PhraseFile.title", "PhraseFile.handed", "PhraseFile.feel", "PhraseFile.dynamics", "PhraseFile.practice"),
    *("PhraseFile.bars", "BarTable.role", "BarTable.note", "BarTable.handed", "BarTable.landing", "BarTable.feel"),
    *("BarTable.parts", "KitFile.title", "KitFile.limits", "KitFile.voices", "VoiceTable.notehead"),
    *("BookFile.title", "FeelTable.swing"),
    *(f"{table}.{key}" for table in ("BarTable", "PartTable") for key in ("subdivision", "hands")),
    *(f"{book}.{key}" for book in ("BookFile", "EntryTable") for key in ("handed", "times", "count-in", "click")),
}
"""Keys that are told by their tables, by their choices or by the same key of another table."""


def told_keys(file: type[BaseModel]) -> Iterator[tuple[str, str, bool]]:
    """Every key of a file's tables: its table, its name, and whether anything is told of it."""
    schema = file.model_json_schema()
    for table in (schema, *schema["$defs"].values()):
        for key, own in table.get("properties", {}).items():
            yield table["title"], key, any("description" in each for each in schemas(own))


@pytest.mark.parametrize("file", FILES)
def test_an_editor_tells_of_every_key_what_it_means(file: type[BaseModel]) -> None:
    untold = {f"{table}.{key}" for table, key, told in told_keys(file) if not told and table not in TABLES_THAT_TELL}
    assert not untold - SAY_ALL_BY_NAME


@pytest.mark.parametrize("file", FILES)
def test_every_table_is_told(file: type[BaseModel]) -> None:
    schema = file.model_json_schema()
    assert all(table["description"] for table in (schema, *schema["$defs"].values()))


FIELDS = [(table, name) for table in TABLES for name in table.model_fields]


def checked(table: type[BaseModel], name: str, value: object) -> object:
    """A value as a field of a table reads it."""
    field = table.model_fields[name]
    of: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
    return TypeAdapter(of).validate_python(value)


@pytest.mark.parametrize(("table", "name"), FIELDS, ids=lambda each: getattr(each, "__name__", each))
def test_each_example_is_taken(table: type[BaseModel], name: str) -> None:
    alias = table.model_fields[name].alias or name
    own = table.model_json_schema()["properties"][alias]
    for schema in (own, *own.get("anyOf", ())):
        for example in schema.get("examples", ()):
            assert checked(table, name, example) is not None


@pytest.mark.parametrize("header", ["", "[practice]\n"], ids=["file", "practice"])
def test_each_example_of_a_tempo_is_one_that_may_stand_there(header: str) -> None:
    table = PracticeTable if header else PhraseFile
    bar = '[bars.a]\nsticking = "RL"\n'
    examples = table.model_json_schema()["properties"]["tempo"]["anyOf"][0]["examples"]
    assert len(examples) > 1
    for example in examples:
        text = f'phrase = ["a"]\n{header}tempo = {example!r}\n{bar}'
        assert read_phrase(text, file="case.toml", name="case").phrase.bars


def alternatives(table: type[BaseModel], key: str) -> list[dict[str, Any]]:
    """The ways to write a key."""
    return [*schemas(table.model_json_schema()["properties"][key])]


@pytest.mark.parametrize("key", ["accents", "ghosts"])
def test_counts_are_a_text_or_one_by_limb(key: str) -> None:
    ways = alternatives(BarTable, key)
    assert {"type": "string"} in ways
    assert {"type": "object", "properties": BY_LIMB, "additionalProperties": False} in ways


def test_a_hands_rules_are_those_that_are_read() -> None:
    rules = next(way["properties"] for way in alternatives(HandsTable, "R") if "properties" in way)
    assert list(rules) == ["main", "accent", "ghost", "around", "every"]
    assert checked(HandsTable, "R", {"around": ["snare", "ride"], "every": "beat"}) is not None
    with pytest.raises(ValidationError, match="EVERY: expected a count such as 2, "):
        checked(HandsTable, "R", {"around": ["snare"], "EVERY": "beat"})


def test_a_subdivision_is_one_of_those_there_are_or_a_list_of_them() -> None:
    ways = alternatives(BarTable, "subdivision")
    assert [way["enum"] for way in ways if "enum" in way] == [list(SUBDIVISIONS)] * 2
    assert any(way.get("type") == "array" for way in ways)


def test_the_marks_are_told_as_examples_that_exist() -> None:
    (example,) = next(way["examples"] for way in alternatives(BarTable, "dynamics") if "examples" in way)
    assert set(example.split(" to ")) <= MARKS.keys()


SEVEN_BITS = ("VoiceTable.note", "VoiceTable.pedal", "KitFile.program")
VELOCITIES = [f"DynamicsTable.{level}" for level in ("accent", "normal", "ghost", "grace")] + [
    "PracticeTable.click-level"
]
BOUNDS: dict[str, tuple[int, int]] = {
    **dict.fromkeys(SEVEN_BITS, (0, 127)),  # MIDI 1.0 Detailed Specification: a data byte has seven bits
    **dict.fromkeys(VELOCITIES, (1, 127)),  # as above: a note-on of velocity 0 is a note-off
    "KitFile.channel": (1, 16),  # as above
    "LimitsTable.ppq": (1, 2**15 - 1),  # Standard MIDI Files 1.0: a division of ticks has fifteen bits
    "LimitsTable.longest_s": (1, 24 * 60 * 60),  # no file is longer than a day
    "LimitsTable.name_length": (1, 255),  # common practice: the longest name of most file systems
    "FeelTable.seed": (0, 2**32 - 1),  # 32 bits
    # our own choice: what is still an ornament, or a stroke out of its place
    "FeelTable.spread_ms": (0, 50),
    "FeelTable.flam_ms": (1, 200),
    "FeelTable.drag_ms": (1, 200),
    "FeelTable.buzz_ms": (5, 200),
    "VoiceTable.velocity": (-60, 60),
    "EntryTable.tempo": (10, 400),  # of what a person can count
}


def numbers() -> dict[str, dict[str, Any]]:
    """The schema of every key that is a number, by its table and name."""
    found = {}
    for file in FILES:
        schema = file.model_json_schema()
        for table in (schema, *schema["$defs"].values()):
            for key, own in table.get("properties", {}).items():
                whole = [each for each in schemas(own) if each.get("type") in ("integer", "number")]
                found.update({f"{table['title']}.{key}": each for each in whole})
    return found


def test_no_number_is_without_bounds() -> None:
    for key, schema in numbers().items():
        assert "maximum" in schema, key
        assert schema.keys() & {"minimum", "exclusiveMinimum"}, key


@pytest.mark.parametrize("key", BOUNDS)
def test_the_bounds_of_a_number_are_those_of_what_it_counts(key: str) -> None:
    low, high = BOUNDS[key]
    name, _, alias = key.partition(".")
    tables: list[type[BaseModel]] = [*TABLES, DynamicsTable, FeelTable]
    table = next(each for each in tables if each.__name__ == name)
    assert (numbers()[key]["minimum"], numbers()[key]["maximum"]) == (low, high)
    taken = {
        value: (alias,) not in [problem.path for problem in without_faulty(table, {alias: value})[1]]
        for value in (low - 1, low, high, high + 1)
    }
    assert taken == {low - 1: False, low: True, high: True, high + 1: False}
