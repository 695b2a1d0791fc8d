"""The Pythons of this machine: on the path, under their numbered names, and where pyenv keeps them."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

OLDEST = (3, 11)
_NAME = re.compile(r"python3?(\.\d+)?(\.exe)?")
_ASKED = "import platform, sys; print(sys.implementation.name, platform.python_version(), *sys.version_info[:3])"


@dataclass(frozen=True, slots=True)
class Interpreter:
    """One Python: its program, its version in words, and the version's figures."""

    path: Path
    version: str
    numbers: tuple[int, ...]

    @property
    def minor(self) -> tuple[int, ...]:
        """The two figures of its language."""
        return self.numbers[:2]


def interpreters(more: Iterable[Path] = ()) -> list[Interpreter]:
    """Each version from 3.11 up once, the oldest first; ``more`` are programs that are known."""
    found: dict[str, Interpreter] = {}
    for path in (Path(sys.executable), *more, *_candidates()):
        each = _asked(path)
        if each is not None and each.minor >= OLDEST:
            found.setdefault(each.version, each)
    return sorted(found.values(), key=lambda each: (each.numbers, each.version))


def this_one(several: Iterable[Interpreter]) -> Interpreter:
    """The Python that runs this, among several."""
    return next(each for each in several if each.path == Path(sys.executable))


def _candidates() -> Iterator[Path]:
    folders = [Path(name) for name in os.environ.get("PATH", "").split(os.pathsep) if name]
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    folders += sorted(pyenv.glob("*/bin"))
    for folder in folders:
        if folder.is_dir():
            yield from sorted(path for path in folder.iterdir() if _NAME.fullmatch(path.name))


def _asked(path: Path) -> Interpreter | None:
    """A program as a Python; nothing where it is none, or does not start."""
    try:
        done = subprocess.run([path, "-I", "-c", _ASKED], check=True, capture_output=True, text=True, timeout=30)
        name, version, *numbers = done.stdout.split()
    except (OSError, subprocess.SubprocessError, ValueError):
        return None
    return Interpreter(path, version if name == "cpython" else f"{name} {version}", tuple(map(int, numbers)))
