"""The library: what is exported, lazily."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import drumgen


@pytest.mark.parametrize("name", drumgen.__all__)
def test_every_exported_name_is_there_and_documented(name: str) -> None:
    found = getattr(drumgen, name)
    assert name == "__version__" or found.__doc__


def typed() -> dict[str, str]:
    """The names that type checkers are told of, and the module that each is from."""
    tree = ast.parse(Path(drumgen.__file__).read_text("utf-8"))
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.level == 0 and node.module]
    return {each.name: f"{node.module}" for node in imports for each in node.names if "drumgen." in f"{node.module}"}


def test_what_is_exported_is_what_type_checkers_are_told() -> None:
    assert set(drumgen.__all__) == {*typed(), "__version__"}
    star: dict[str, object] = {}
    exec("from drumgen import *", star)  # noqa: S102 - as a reader would
    for name, module in typed().items():
        assert star[name] is getattr(import_module(module), name)


def test_another_name_is_not() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'cowbell'"):
        _ = drumgen.cowbell


def test_importing_it_is_light() -> None:
    code = "import sys, drumgen; print(sorted(m for m in sys.modules if m.startswith('drumgen.') or m == 'numpy'))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert found.strip() == "[]"
