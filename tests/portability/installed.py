"""The wheel in an empty environment of one Python, and what can be tried with it there."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from environments import constraints, install, made, needed_by_tests, program, python_of, versions
from main_job import main_job
from trials import ran

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from interpreters import Interpreter
    from main_job import Job

Age = Literal["newest", "oldest"]

BESIDE_TESTS = ("tests", "demo", "kits", ".ci", "README.md", "DEVELOPERS.md", "pyproject.toml")
OF_THE_TREE = ("tests/unit/test_wheel.py",)
"""Tests of the tree that the wheel is built of: what they check has rows of its own."""
TOLD = ("numpy", "pydantic", "typer", "verovio")


@dataclass(frozen=True, slots=True)
class Installed:
    """An environment below ``scratch``: the wheel of ``source`` with the newest or the oldest of what it needs."""

    python: Interpreter
    age: Age
    scratch: Path
    source: Path
    wheel: Path

    @property
    def home(self) -> Path:
        """Its folder."""
        return self.scratch / f"{self.age}-{self.python.version}".replace(" ", "-")

    @property
    def bound(self) -> Path | None:
        """The file of constraints, where there are any."""
        return constraints(self.source, self.scratch) if self.age == "oldest" else None

    def install(self) -> str:
        """Make it, and give the versions of some packages; the extras are there where their oldest versions are."""
        python = made(self.python, self.home)
        extras = "[live,cluster]" if self.age == "oldest" else ""
        install(python, f"{self.wheel}{extras}", constraints=self.bound)
        return versions(python, *TOLD)

    def main_job(self, env: Mapping[str, str], *, name: str = "", starting: str = "") -> Job:
        """The main job in a folder of its own, by the installed program or by a few words of Python."""
        python = python_of(self.home)
        typed: list[str | Path] = [python, "-P", "-c", starting] if starting else [program(python, "drumgen")]
        return main_job(typed, self.scratch / f"job-{self.home.name}{name}", env)

    def prepare_tests(self) -> None:
        """Install what the tests need."""
        install(python_of(self.home), *needed_by_tests(self.source), constraints=self.bound)

    def tests(self, paths: Sequence[str], env: Mapping[str, str]) -> str:
        """The last line of pytest, in a folder without the package: what is installed is tested."""
        beside = Path(tempfile.mkdtemp(prefix="tests-", dir=self.scratch))
        for name in BESIDE_TESTS:
            copy = shutil.copytree if (self.source / name).is_dir() else shutil.copyfile
            copy(self.source / name, beside / name)
        pytest: list[str | Path] = [python_of(self.home), "-m", "pytest", "-q", "-p", "no:cacheprovider", "--tb=short"]
        left_out = [f"--ignore={name}" for name in OF_THE_TREE]
        every_core = ["--numprocesses=auto", "--dist=worksteal"]
        return ran([*pytest, *every_core, *left_out, *paths], folder=beside, env=env).splitlines()[-1].strip("= ")
