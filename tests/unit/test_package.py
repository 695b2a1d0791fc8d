"""The library: what is exported, lazily."""

from __future__ import annotations

import subprocess
import sys

import pytest

import drumgen


@pytest.mark.parametrize("name", drumgen.__all__)
def test_every_exported_name_is_there_and_documented(name: str) -> None:
    found = getattr(drumgen, name)
    assert name == "__version__" or found.__doc__


def test_another_name_is_not() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'cowbell'"):
        _ = drumgen.cowbell


def test_importing_it_is_light() -> None:
    code = "import sys, drumgen; print(sorted(m for m in sys.modules if m.startswith('drumgen.') or m == 'numpy'))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert found.strip() == "[]"
