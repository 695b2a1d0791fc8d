"""The schemas for editors: in the words of JSON Schema, and true of what the files take.

Source: JSON Schema 2020-12 (its keywords and its names of types, from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import pytest
from pydantic import TypeAdapter, ValidationError

from drumgen.levels import MARKS
from drumgen.spec.book_file import BookFile, EntryTable
from drumgen.spec.kit_file import KitFile, LimitsTable, VoiceTable
from drumgen.spec.phrase_file import BarTable, HandsTable, PhraseFile, PracticeTable
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
        assert words[0].isupper() or not words[0].isalpha()
        assert words.upper() != words


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
    with pytest.raises(ValidationError):
        checked(HandsTable, "R", {"around": ["snare"], "EVERY": "beat"})


def test_a_subdivision_is_one_of_those_there_are_or_a_list_of_them() -> None:
    ways = alternatives(BarTable, "subdivision")
    assert [way["enum"] for way in ways if "enum" in way] == [list(SUBDIVISIONS)] * 2
    assert any(way.get("type") == "array" for way in ways)


def test_the_marks_are_told_as_examples_that_exist() -> None:
    (example,) = next(way["examples"] for way in alternatives(BarTable, "dynamics") if "examples" in way)
    assert set(example.split(" to ")) <= MARKS.keys()
