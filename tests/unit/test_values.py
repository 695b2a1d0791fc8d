"""Values are frozen: what a phrase, a plan or a performance says cannot be changed behind anybody's back."""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

import drumgen
from drumgen.feel import Feel
from drumgen.kit import Voice
from drumgen.layout import Stroke
from drumgen.performance import Hit
from drumgen.practice import Practice
from drumgen.trade.general_midi import PercussionKey

PACKAGE = Path(drumgen.__file__).parent
ROOMS = ("", "trade", "spec", "midi")
KEEPS_WHAT_IT_WORKED_OUT = {"Bar", "Phrase", "Kit", "Sticking", "Document"}
"""Frozen too, but without slots: a property is worked out once, or the value is told from another by being it."""
GROWS = {"Composition", "Gathering"}
"""No values: what is made step by step."""


def modules() -> list[str]:
    """Every module of the domain core."""
    paths = [path for room in ROOMS for path in sorted((PACKAGE / room).glob("*.py")) if path.stem != "__main__"]
    names = [path.relative_to(PACKAGE.parent).with_suffix("").as_posix().replace("/", ".") for path in paths]
    return [name.removesuffix(".__init__") for name in names]


def classes() -> list[type]:
    """Every dataclass of the domain core."""
    found: dict[str, type] = {}
    for module in modules():
        for name, each in vars(import_module(module)).items():
            if isinstance(each, type) and is_dataclass(each) and each.__module__ == module:
                found[f"{module}.{name}"] = each
    return list(found.values())


def defaults() -> list[tuple[str, str, object]]:
    """Of every field with a default, of dataclasses and of named tuples: its name, its type as written, the default."""
    rows = [
        (f"{of.__name__}.{each.name}", str(each.type), each.default)
        for of in classes()
        for each in fields(of)
        if each.default is not MISSING
    ]
    for module in modules():
        named: list[Any] = [each for each in vars(import_module(module)).values() if isinstance(each, type)]
        for of in named:
            if getattr(of, "_field_defaults", None) and of.__module__ == module:
                types = {key: getattr(kind, "__forward_arg__", kind) for key, kind in of.__annotations__.items()}
                rows += [(f"{of.__name__}.{key}", types[key], value) for key, value in of._field_defaults.items()]
    return rows


def instance(of: type) -> Any:  # noqa: ANN401 - of any class
    """One that is empty: its fields are set as ``copy`` would set them."""
    made: Any = object.__new__(of)
    for each in fields(of):
        object.__setattr__(made, each.name, None)
    return made


@pytest.mark.parametrize("of", [each for each in classes() if each.__name__ not in GROWS], ids=lambda of: of.__name__)
def test_a_value_cannot_be_changed(of: type) -> None:
    value = instance(of)
    for each in fields(of):
        with pytest.raises(FrozenInstanceError, match=f"^cannot assign to field '{each.name}'$"):
            setattr(value, each.name, 1)


@pytest.mark.parametrize("of", classes(), ids=lambda of: of.__name__)
def test_a_value_has_no_room_for_more_than_its_fields(of: type) -> None:
    has_room = of.__name__ in KEEPS_WHAT_IT_WORKED_OUT | {"Composition"}
    assert hasattr(instance(of), "__dict__") == has_room


def test_the_exceptions_are_classes() -> None:
    assert {each.__name__ for each in classes()} >= KEEPS_WHAT_IT_WORKED_OUT | GROWS


@pytest.mark.parametrize(
    ("name", "written", "value"), defaults(), ids=lambda each: each if isinstance(each, str) else ""
)
def test_what_a_field_is_unless_said_is_of_its_type(name: str, written: str, value: object) -> None:
    if value is None:
        assert "None" in written, name
    elif value == "":
        assert "str" in written, name
    elif written.partition("[")[0] in ("int", "str", "bool", "float", "tuple", "frozenset"):
        assert type(value).__name__ == written.partition("[")[0], name


USUAL: list[tuple[object, dict[str, object]]] = [
    (Hit(0, 38, 82, "snare", "R"), {"kind": "stroke", "span": 0, "place": 0, "moved_us": 0}),
    (Feel(), {"spread_ms": 0, "seed": 0, "flam_ms": 25, "drag_ms": 40, "buzz_ms": 30}),
    (Voice("snare", 38, "hands"), {"x_cm": 0.0, "y_cm": 0.0}),
    (Stroke(0, 2520, "R", "snare"), {"level": "normal", "straight": True, "grace": 0, "buzz": False}),
    (Practice(), {"times": 1, "count_in": 0, "loop": False, "only_click": False, "rungs_apart": False, "answer": 0}),
    (PercussionKey(36, "Bass Drum 1", 1), {"other_name": "", "mute_group": ""}),
]


@pytest.mark.parametrize(("value", "usual"), USUAL, ids=lambda each: type(each).__name__)
def test_what_is_usual(value: object, usual: dict[str, object]) -> None:
    assert {key: getattr(value, key) for key in usual} == usual
