"""Validation: a table against its model, with every fault in the one shape.

What is faulty is taken out and the rest validated again, so that all faults of a file are found in one go.
"""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any, TypeVar

from pydantic import ValidationError

from drumgen.errors import DrumgenError, Fault, Path, nearest
from drumgen.spec.fields import shown

if TYPE_CHECKING:
    from pydantic import BaseModel

    from drumgen.spec.phrase_file import Table

Model = TypeVar("Model", bound="BaseModel")

_KINDS = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "list_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "finite_number": "a finite number",
    "int_parsing_size": "a whole number of usual size",
}
_BOUNDS = {
    "greater_than_equal": ("at least", "ge"),
    "less_than_equal": ("at most", "le"),
    "greater_than": ("more than", "gt"),
    "less_than": ("less than", "lt"),
}


def validated(model: type[Model], table: dict[str, Any]) -> tuple[Model | None, list[Fault]]:
    """The model of a table, without what is faulty in it, and the faults; None where it cannot stand without that."""
    try:
        return model.model_validate(table), []
    except ValidationError as error:
        problems = error.errors(include_url=False)
    faults = [fault for problem in problems for fault in _faults(problem, model)]
    sound = deepcopy(table)
    for problem in problems:
        _prune(sound, problem["loc"])
    try:
        return model.model_validate(sound), faults
    except ValidationError as error:  # a key that must be there is missing or was faulty
        return None, faults or [fault for problem in error.errors() for fault in _faults(problem, model)]


def _prune(table: Any, path: Path) -> None:  # noqa: ANN401 - tables and lists of any kind
    for step in path[:-1]:
        if (isinstance(table, list) and isinstance(step, int)) or (isinstance(table, dict) and step in table):
            table = table[step]  # type: ignore[index]
        else:
            return
    last = path[-1] if path else None
    if isinstance(table, dict):
        table.pop(last, None)
    elif isinstance(table, list) and isinstance(last, int):
        table[last] = _Hole


class _Hole:
    """What was taken out of a list, so that the others keep their numbers."""


def _faults(problem: Any, model: type[BaseModel]) -> list[Fault]:  # noqa: ANN401 - pydantic's own dictionary
    path, kind, context = tuple(problem["loc"]), problem["type"], problem.get("ctx", {})
    if problem["input"] is _Hole:
        return []
    inner = context.get("error")
    if isinstance(inner, DrumgenError):
        return [fault.under(*path) for fault in inner.faults]
    if kind == "extra_forbidden":
        known = _keys(model, path[:-1])
        hint = nearest(str(path[-1]), known)
        return [Fault(f"one of the keys {', '.join(known)}", got=shown(str(path[-1])), nearest=hint, path=path)]
    if kind == "missing":
        return [Fault(f"the key {path[-1]}", got="nothing", path=path)]
    if path and path[-1] == "[key]":
        return [Fault("a name of 1 to 100 characters", got=shown(problem["input"]), path=path[:-1])]
    return [Fault(_rule(kind, context), got=shown(problem["input"]), path=path)]


def _rule(kind: str, context: dict[str, Any]) -> str:
    if kind in _BOUNDS:
        words, key = _BOUNDS[kind]
        return f"a number of {words} {context[key]}"
    if kind == "literal_error":
        return f"one of {context['expected'].replace(chr(39), '').replace(' or ', ', ')}"
    if kind == "string_too_long":
        return f"at most {context['max_length']} characters"
    if kind in ("string_too_short", "too_short"):
        return f"at least {context['min_length']}"
    return _KINDS.get(kind, "a value of the right kind")


def _keys(model: type[BaseModel], path: Path) -> list[str]:
    """The keys that a table at ``path`` may have."""
    found: type[BaseModel] = model
    for step in path:
        if isinstance(step, str) and step in _by_alias(found):
            inner = _inner_model(_by_alias(found)[step])
            found = inner or found
    return list(_by_alias(found))


def _by_alias(model: type[BaseModel]) -> dict[str, Any]:
    return {field.alias or name: field.annotation for name, field in model.model_fields.items()}


def _inner_model(annotation: Any) -> type[Table] | None:  # noqa: ANN401 - any annotation
    """The model that an annotation speaks of, however it is wrapped."""
    if isinstance(annotation, type) and hasattr(annotation, "model_fields"):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _inner_model(inner)
        if found is not None:
            return found
    return None
