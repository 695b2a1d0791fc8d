"""Portability: ``python tests/portability/run.py [--quick] [--debian]`` prints a table of what was tried.

The wheel and the sdist; the main job in an empty environment for each Python of this machine from 3.11 up, with the
newest dependencies, and with the oldest that pyproject.toml allows; the unit tests against the installed wheel; the
main job, and all tests but the browser's, on a console of plain ASCII and on a Turkish one; the types of the source on
the other systems; and what is known against the versions that were installed. Exit code 1 where something fails; what
this machine cannot do says ``not here``. Everything is done in a folder that is gone in the end.

``--quick`` leaves the tests out. ``--debian`` brings newer Pythons from Debian's next release, and ``--python`` names
others.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from advisories import known
from consoles import STARTS_IN_LOCALE, ascii_console, turkish_console
from debian import unpacked
from environments import made, python_of
from installed import Installed
from interpreters import interpreters, this_one
from main_job import unlike
from packing import frozen, packed
from trials import Failed, environment, ran, table, tried

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from installed import Age
    from interpreters import Interpreter
    from main_job import Job
    from trials import Trial

UNIT = ("tests/unit",)
ALL_TESTS = (*UNIT, "tests/golden", "tests/property")
NEEDED = ("build", "hatchling", "mypy", "pip")
"""What this Python builds and looks with."""
SYSTEMS = ("win32", "darwin", "linux")


class Checking:
    """What is tried below one folder: the project as it is now, its wheel, and an environment for each Python."""

    def __init__(self, scratch: Path, pythons: list[Interpreter], here: Interpreter, *, quick: bool) -> None:
        self.scratch, self.pythons, self.here, self.quick = scratch, pythons, here, quick
        self.source = frozen(scratch)
        self.wheel = Path()
        self.jobs: dict[str, Job] = {}

    def trials(self) -> Iterator[Trial]:
        """Every row, in the order of how much hangs on it."""
        yield tried("wheel and sdist", self.here.version, self._pack)
        if not self.wheel.name:
            return
        oldest = self.here if self.here.minor == self.pythons[0].minor else self.pythons[0]
        for python in self.pythons:
            yield from self._of_environment(self._installed(python, "newest"))
        yield from self._of_environment(self._installed(oldest, "oldest"))
        yield from self._of_consoles(self._installed(self.here, "newest"))
        yield from self._of_source()

    def _pack(self) -> str:
        self.wheel, note = packed(self.source, self.scratch)
        return note

    def _installed(self, python: Interpreter, age: Age) -> Installed:
        return Installed(python, age, self.scratch, self.source, self.wheel)

    def _of_environment(self, place: Installed) -> Iterator[Trial]:
        version = place.python.version
        installing = tried(f"install, {place.age} dependencies", version, place.install)
        yield installing
        if installing.is_failed:
            return
        yield tried(f"main job, {place.age}", version, partial(self._main_job, place))
        if not self.quick:
            yield tried(f"unit tests, {place.age}", version, partial(self._unit_tests, place))

    def _main_job(self, place: Installed) -> str:
        """The main job, and how it is like the first one that was done."""
        job = place.main_job(environment())
        first = next(iter(self.jobs), None)
        self.jobs[place.home.name] = job
        if first is None:
            return job.note
        others = unlike(job, self.jobs[first])
        return f"{job.note}; " + (f"other bytes than {first}: {', '.join(others)}" if others else f"as {first}")

    @staticmethod
    def _unit_tests(place: Installed) -> str:
        place.prepare_tests()
        return place.tests(UNIT, environment())

    def _of_consoles(self, place: Installed) -> Iterator[Trial]:
        consoles: dict[str, Callable[[], dict[str, str]]] = {
            "ASCII": ascii_console,
            "Turkish": partial(turkish_console, python_of(place.home), self.scratch),
        }
        for name, console in consoles.items():
            yield tried(f"main job, {name} console", self.here.version, partial(self._alike, place, name, console))
            if not self.quick:
                yield tried(f"tests, {name} console", self.here.version, partial(_tests_on, place, console))

    def _alike(self, place: Installed, name: str, console: Callable[[], dict[str, str]]) -> str:
        """The main job on a console. Raises Failed where a file is not as it is on any other."""
        job = place.main_job(console(), name=f"-{name}", starting=STARTS_IN_LOCALE)
        others = unlike(job, self.jobs[place.home.name])
        if others:
            raise Failed(f"not as elsewhere: {', '.join(others)}")
        return f"{job.note}; the same bytes"

    def _of_source(self) -> Iterator[Trial]:
        for system in SYSTEMS:
            yield tried(f"types on {system}", self.here.version, partial(self._types, system))
        yield tried("advisories", self.here.version, self._advisories)

    def _types(self, system: str) -> str:
        mypy = [sys.executable, "-m", "mypy", "--platform", system, "--no-incremental", "drumgen"]
        return ran(mypy, folder=self.source).strip()

    def _advisories(self) -> str:
        auditor = made(self.here, self.scratch / "auditor")
        return known(python_of(self._installed(self.here, "newest").home), auditor)


def _tests_on(place: Installed, console: Callable[[], dict[str, str]]) -> str:
    return place.tests(ALL_TESTS, console())


def main() -> int:
    """Try everything, and print the table; on the way each row as it is ready."""
    parser = argparse.ArgumentParser(description="Try drumgen on every Python and console that this machine has.")
    parser.add_argument("--quick", action="store_true", help="without the tests")
    parser.add_argument("--debian", action="store_true", help="with newer Pythons, out of Debian's packages")
    parser.add_argument("--python", type=Path, nargs="*", default=[], metavar="PROGRAM", help="more Pythons to try")
    asked = parser.parse_args()
    missing = [name for name in NEEDED if importlib.util.find_spec(name) is None]
    if missing:
        parser.error(f"this Python has no {', '.join(missing)}: start it with the one that tests/run made, in .venv")
    with tempfile.TemporaryDirectory(prefix="drumgen-portability-") as scratch:
        trials = list(_told(_trials(asked, Path(scratch))))
    sys.stdout.write(table(trials) + "\n")
    return int(any(trial.is_failed for trial in trials))


def _trials(asked: argparse.Namespace, scratch: Path) -> Iterator[Trial]:
    """What is asked for, with all Pythons that there are."""
    more = list(asked.python)
    here = this_one(interpreters())
    if asked.debian:
        yield tried("Debian's newer Pythons", "", partial(_brought, more, scratch / "debian", here))
    yield from Checking(scratch, interpreters(more), here, quick=asked.quick).trials()


def _brought(more: list[Path], folder: Path, here: Interpreter) -> str:
    folder.mkdir()
    found = unpacked(folder, here=here)
    more += found
    return ", ".join(each.name for each in found)


def _told(trials: Iterator[Trial]) -> Iterator[Trial]:
    """The same, each told as it is ready."""
    for trial in trials:
        sys.stderr.write(f"{trial.what}, Python {trial.python}: {trial.result} {trial.note}{trial.said[:500]}\n")
        yield trial
