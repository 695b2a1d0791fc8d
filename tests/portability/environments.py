"""Empty environments: made without pip, filled by this one's pip; the oldest versions that pyproject.toml allows."""

from __future__ import annotations

import os
import re
import sys
import tomllib
from typing import TYPE_CHECKING, Any

from trials import Failed, ran

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from interpreters import Interpreter

PROGRAMS = "Scripts" if os.name == "nt" else "bin"
ENDING = ".exe" if os.name == "nt" else ""
UNUSED_BY_TESTS = {
    *("bandit", "build", "hatchling", "mypy", "playwright", "pytest-cov", "ruff"),
    *("pyloudnorm", "resvg_py", "svglib", "symusic"),
}
"""Of the development packages: what checks the source, packs it, or drives a browser; and witnesses of other tests."""
_VERSIONS = """
import sys
from importlib.metadata import version
print(*(f"{name} {version(name)}" for name in sys.argv[1:]), sep=", ")
"""
_BOUND = re.compile(r"([A-Za-z0-9._-]+)>=([0-9][0-9A-Za-z.]*)")


def made(interpreter: Interpreter, folder: Path) -> Path:
    """The Python of a new environment with nothing in it."""
    ran([interpreter.path, "-m", "venv", "--without-pip", folder], folder=folder.parent)
    return folder / PROGRAMS / f"python{ENDING}"


def python_of(home: Path) -> Path:
    """The Python of an environment."""
    return home / PROGRAMS / f"python{ENDING}"


def program(python: Path, name: str) -> Path:
    """A program that was installed beside a Python."""
    return python.with_name(name + ENDING)


def install(python: Path, *what: str | Path, constraints: Path | None = None) -> None:
    """Install packages, and see that what they ask of each other is there."""
    pip: list[str | Path] = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--python", python]
    bound: list[str | Path] = [] if constraints is None else ["--constraint", constraints]
    ran([*pip, "install", "--progress-bar", "off", "--no-compile", *bound, *what], folder=python.parent)
    ran([*pip, "check"], folder=python.parent)


def versions(python: Path, *names: str) -> str:
    """The versions of some packages that are installed, in a line."""
    return ran([python, "-I", "-c", _VERSIONS, *names], folder=python.parent).strip()


def project(source: Path) -> dict[str, Any]:
    """What pyproject.toml says."""
    return tomllib.loads((source / "pyproject.toml").read_text(encoding="utf-8"))


def needed_by_tests(source: Path) -> list[str]:
    """What the tests are run with, as pyproject.toml asks for it."""
    group = project(source)["dependency-groups"]["dev"]
    return [wanted for wanted in group if re.split(r"[<>=!~ ]", wanted)[0] not in UNUSED_BY_TESTS]


def oldest(requirements: Sequence[str]) -> list[str]:
    """The lowest versions that requirements allow, as pip takes constraints.

    >>> oldest(["numpy>=1.26", "ruff>=0.17,<0.18"])
    ['numpy==1.26', 'ruff==0.17']
    """
    found = []
    for requirement in requirements:
        match = _BOUND.match(requirement)
        if match is None:
            raise Failed(f"pyproject.toml: {requirement} has no lower bound")
        found.append(f"{match[1]}=={match[2]}")
    return found


def constraints(source: Path, folder: Path) -> Path:
    """A file that holds every package of pyproject.toml's own, those of extras too, at its lowest version."""
    said = project(source)["project"]
    wanted = [*said["dependencies"], *(each for extra in said["optional-dependencies"].values() for each in extra)]
    path = folder / "oldest.txt"
    path.write_text("".join(f"{line}\n" for line in oldest(wanted)), encoding="utf-8")
    return path
