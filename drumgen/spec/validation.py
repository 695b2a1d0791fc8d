"""Validation: a table against its model, with every fault in the one shape.

What is faulty is taken out and the rest validated again, so that all faults of a file are found in one go.
"""

from __future__ import annotations

import re
from copy import deepcopy
from types import UnionType
from typing import TYPE_CHECKING, Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import ValidationError

from drumgen.errors import DrumgenError, Fault, Path, nearest
from drumgen.spec.fields import shown
from drumgen.spec.toml_writing import render_text

if TYPE_CHECKING:
    from pydantic import BaseModel

MOST_HINTED = 1000
"""So many faults are worded; more are never told one by one."""

DEEPEST_TABLE = 8
"""More than the tables of any file lie within each other."""

Model = TypeVar("Model", bound="BaseModel")

_KINDS = {
    "string_type": "a text in quotes",
    "string_unicode": "a text whose letters this system can tell (PYTHONUTF8=1 lets Python read UTF-8)",
    "int_type": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "finite_number": "a finite number",
    "string_too_short": "a text that is not empty",
    "string_pattern_mismatch": 'a place on the staff from C3 to G6, such as "C5"',
}
_EXAMPLES = {
    "phrase": 'phrase = ["verse x3", "turn"]',
    "bars": "[bars.verse]",
    "PracticeTable.bars": 'bars = "4-5"',
    "parts": "[[bars.verse.parts]]",
    "beats": 'beats = "3-4"',
    "hands": 'hands.R = "hihat"',
    "feet": 'feet.kick = "1 3"',
    "feel": "feel.spread_ms = 3",
    "swing": 'swing = { of = "eighths", ratio = "2:1" }',
    "of": 'of = "eighths"',
    "ratio": 'ratio = "2:1"',
    "voices": "[voices.snare]",
    "file": 'file = "slipway.toml"',
    "landing": 'landing = ["crash", "kick"]',
    "mute": 'mute = ["ride"]',
    "make": 'make = ["midi", "sheet"]',
    "together": 'together = ["sheet", "index"]',
    "phrases": "[[phrases]]",
}
"""How some keys are written, for those who left them out or wrote something else; of what is called alike by table."""
_BOUNDS = {
    "greater_than_equal": ("at least", "ge"),
    "less_than_equal": ("at most", "le"),
    "greater_than": ("more than", "gt"),
    "less_than": ("less than", "lt"),
}


def without_faulty(
    model: type[Model], table: dict[str, Any], *, instead: dict[str, Any] | None = None
) -> tuple[Model | None, list[Fault]]:
    """The model of a table, without what is faulty in it, and the faults; None where it cannot stand without that.

    ``instead`` stands in for keys that must be there, so that the rest can be looked at.
    """
    try:
        return model.model_validate(table), []
    except ValidationError as error:
        problems = error.errors(include_url=False)
    hinted, others = problems[:MOST_HINTED], problems[MOST_HINTED:]
    faults = [fault for problem in hinted for fault in _faults(problem, model)]
    faults += [Fault("a value that is right", got="another", path=tuple(problem["loc"])) for problem in others]
    sound = deepcopy(table)
    for _ in range(DEEPEST_TABLE):
        for problem in problems:
            _prune(sound, problem["loc"], missing=problem["type"] == "missing")
        sound = {**(instead or {}), **sound}
        try:
            return model.model_validate(sound), faults
        except ValidationError as error:  # a key that must be there was faulty
            problems = error.errors(include_url=False)
    return None, faults


def valid(model: type[Model], table: dict[str, Any]) -> Model:
    """The model of a table. Raises DrumgenError with all faults of the table."""
    found, faults = without_faulty(model, table)
    if found is None or faults:
        raise DrumgenError(*faults)
    return found


def _prune(table: Any, path: Path, *, missing: bool) -> None:  # noqa: ANN401 - tables and lists of any kind
    """Take out what stands at ``path``: a list as a whole, or the table around a key that must be there."""
    steps = path[: len(path) - (missing or path[-1:] == ("[key]",))]
    for number, step in enumerate(steps, start=1):
        inner = table.get(step)
        if number == len(steps) or not isinstance(inner, dict):
            table.pop(step, None)
            return
        table = inner


def _faults(problem: Any, model: type[BaseModel]) -> list[Fault]:  # noqa: ANN401 - pydantic's own dictionary
    path, kind, context = tuple(problem["loc"]), problem["type"], problem.get("ctx", {})
    inner = context.get("error")
    if isinstance(inner, DrumgenError):
        return [fault.under(*path) for fault in inner.faults]
    if kind == "too_short" and problem["input"]:  # its entries are at fault, and have been told
        return []
    if kind == "extra_forbidden":
        known = _keys(model, path[:-1])
        hint = nearest(str(path[-1]), known)
        rule = "a known key" if hint else f"one of the keys {', '.join(known)}"
        return [Fault(rule, got=shown(str(path[-1])), nearest=hint, path=path)]
    if kind == "missing":
        return [Fault(f"a line {_EXAMPLES[str(path[-1])]}", got="none", path=path)]
    if path and path[-1] == "[key]":
        return [Fault("a name of 1 to 100 characters", got=shown(problem["input"]), path=path[:-1])]
    got = problem["input"]
    hint = nearest(got, _choices(context)) if kind == "literal_error" and isinstance(got, str) else ""
    rule = _rule(kind, context) + _manner(kind, got, path, model)
    return [Fault(rule, got=str(len(got)) if kind == "too_long" else shown(got), nearest=hint, path=path)]


def _manner(kind: str, got: object, path: Path, model: type[BaseModel]) -> str:
    """How a value of this kind is written, where one of another kind stands."""
    if isinstance(got, str) and kind in ("int_type", "float_type", "bool_type"):
        return " without quotes"
    table, key = _at(model, path[:-1]), str(path[-1])
    if get_origin(table) or not kind.endswith("_type"):
        return ""
    if isinstance(got, str) and kind == "tuple_type" and _takes(table, key, [got]) and shown(got) == render_text(got):
        return f" such as [{shown(got)}]"
    example = _EXAMPLES.get(f"{table.__name__}.{key}") or _EXAMPLES.get(key)
    return f" such as {example}" if example else ""


def _takes(table: type[BaseModel], key: str, value: object) -> bool:
    """Whether a key of a table takes a value."""
    try:
        table.model_validate({key: value})
    except ValidationError as error:
        return all(problem["loc"][0] != key for problem in error.errors(include_url=False))
    return True


def _choices(context: dict[str, Any]) -> list[str]:
    """The words that a choice is among."""
    return re.findall("'([^']*)'", context["expected"])


def _rule(kind: str, context: dict[str, Any]) -> str:
    if kind in _BOUNDS:
        words, key = _BOUNDS[kind]
        bound = context[key]
        return f"a number of {words} {bound if isinstance(bound, int) else f'{bound:g}'}"
    if kind == "literal_error":
        return f"one of {', '.join(_choices(context))}"
    if kind == "string_too_long":
        return f"at most {context['max_length']} characters"
    if kind == "too_short":
        return "at least one entry"
    if kind == "too_long":
        return f"at most {context['max_length']} entries"
    return _KINDS.get(kind, "a value of the right kind")


def _keys(model: type[BaseModel], path: Path) -> list[str]:
    """The keys that a table at ``path`` may have."""
    return list(_by_alias(_at(model, path)))


def _by_alias(model: type[BaseModel]) -> dict[str, Any]:
    return {field.alias or name: field.annotation for name, field in model.model_fields.items()}


def _at(model: type[BaseModel], path: Path) -> Any:  # noqa: ANN401 - any annotation
    """What may stand at a path: a table, or an annotation such as a list's or that of a table of free names."""
    found: Any = model
    for step in path:
        if get_origin(found) is None:
            found = _by_alias(found)[str(step)]
        else:
            found = get_args(found)[1 if get_origin(found) is dict else 0]
        while get_origin(found) in (Union, UnionType, Annotated):  # it may be left out, or is read in a way of its own
            found = get_args(found)[0]
    return found
