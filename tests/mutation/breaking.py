"""Breaking the code on purpose: ``python tests/mutation/breaking.py [MODULES…] --sample N --seed S``.

A sample of breaks over the domain core, each on a line of its own; on each, the tests that reach the line are run until
one fails. Prints the breaks that survive, and the share that is noticed; the exit code is 1 under 90 %. A break that
has no end is noticed. Those of ``equivalents.toml`` change nothing and are not counted. ``--reach FILE`` keeps what
was measured of the tests, or takes it from there.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
import tempfile
import tomllib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from random import Random
from typing import TYPE_CHECKING

sys.path[:0] = [str(Path(__file__).parent)]

import reaching  # noqa: E402 - beside this file
from breaks import Breakable, sampled  # noqa: E402 - as above
from trying import Copy  # noqa: E402 - as above

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from breaks import Break
    from reaching import Reach

PROJECT = Path(__file__).resolve().parents[2]
EQUIVALENTS = Path(__file__).with_name("equivalents.toml")
LEAST_SHARE = 0.9
CORE = ("drumgen", "drumgen/trade", "drumgen/spec", "drumgen/midi")
TESTS = ("drumgen", "tests/unit", "tests/oracle", "tests/property", "tests/golden")
APART = (
    r"drumgen/(audio|sheet|page|study|binding|cli)"
    r"|test_(audio|sheet|page|study|binding|cli_(book|lesson|study|play|boundary|documents))[_.]"
    r"|test_(wheel|demo|fluidsynth|loudness|musicxml|sheet|damaged|every_writer|playing_rates|claims)"
)
"""Tests of the rooms over the core, of sound and of drawing: they take long and say little of it."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a break: ``by`` is what noticed it; ``reason`` is why it changes nothing."""

    broken: Break
    by: str = ""
    reason: str = ""

    def __str__(self) -> str:
        return f"{self.broken}{f'  ({self.reason})' if self.reason else ''}"


@dataclass(frozen=True, slots=True)
class Score:
    """What became of a sample."""

    outcomes: tuple[Outcome, ...]

    @property
    def equivalent(self) -> int:
        """How many change nothing."""
        return sum(bool(outcome.reason) for outcome in self.outcomes)

    @property
    def noticed(self) -> int:
        """How many were noticed."""
        return sum(bool(outcome.by) for outcome in self.outcomes)

    @property
    def share(self) -> float:
        """Of those that change something, the share that was noticed."""
        counted = len(self.outcomes) - self.equivalent
        return self.noticed / counted if counted else 1.0

    def __str__(self) -> str:
        by_time = sum(outcome.by == "time" for outcome in self.outcomes)
        words = f"{len(self.outcomes)} breaks: {self.noticed} noticed ({by_time} of them as they had no end)"
        left = len(self.outcomes) - self.equivalent - self.noticed
        return f"{words}, {left} survived, {self.equivalent} change nothing: {100 * self.share:.1f} % noticed"


def modules_of(project: Path, asked: Sequence[str]) -> list[str]:
    """The modules that are asked for, files or folders; without any, the domain core."""
    files: list[Path] = []
    for name in asked or CORE:
        path = project / name
        files += sorted(path.glob("*.py")) if path.is_dir() else [path]
    return [file.relative_to(project).as_posix() for file in files]


def equivalents(file: Path = EQUIVALENTS) -> dict[tuple[str, str, str], str]:
    """By module and the lines that differ, why a break changes nothing."""
    rows = tomllib.loads(file.read_text("utf-8")).get("equivalent", [])
    return {(row["module"], row["was"], row["now"]): row["why"] for row in rows}


def outcomes(
    breaks: Iterable[Break], *, reach: Reach, copies: Sequence[Copy], known: dict[tuple[str, str, str], str]
) -> Iterator[Outcome]:
    """What becomes of breaks, in their order, tried as many at once as there are copies."""
    free: SimpleQueue[Copy] = SimpleQueue()
    for copy in copies:
        free.put(copy)

    def tried(broken: Break) -> Outcome:
        reason = known.get((broken.module, broken.was, broken.now), "")
        if reason:
            return Outcome(broken, reason=reason)
        tests = reach.tests(broken.module, broken.lines)
        copy = free.get()
        try:
            by = copy.noticed_by(tests, seconds=reach.taking(tests), module=broken.module, text=broken.text)
        finally:
            free.put(copy)
        return Outcome(broken, by=by)

    with ThreadPoolExecutor(len(copies)) as pool:
        yield from pool.map(tried, breaks)


def files_of(project: Path, tests: Sequence[str]) -> list[str]:
    """The files of tests, and modules with doctests, in some files and folders."""
    files: list[Path] = []
    for name in tests:
        path = project / name
        files += sorted(path.rglob("*.py")) if path.is_dir() else [path]
    names = [file.relative_to(project).as_posix() for file in files]
    return [name for name in names if name in tests or (_has_tests(project / name) and not re.search(APART, name))]


def _has_tests(file: Path) -> bool:
    return file.name.startswith("test_") or ">>> " in file.read_text("utf-8")


def reach_of(asked: argparse.Namespace, project: Path, folder: Path) -> Reach:
    """What the tests reach, measured unless it was kept."""
    if asked.reach is not None and asked.reach.exists():
        return reaching.load(asked.reach)
    reach = reaching.measure(project, files_of(project, asked.tests), folder, processes=asked.processes)
    if asked.reach is not None:
        reaching.save(reach, asked.reach)
    return reach


def main(arguments: Sequence[str] | None = None) -> int:
    """Break what is asked for and print what survives."""
    parser = argparse.ArgumentParser(description="Break the code on purpose, and see which breaks no test notices.")
    parser.add_argument("modules", nargs="*", metavar="MODULES", help="files or folders; the domain core, unless said")
    parser.add_argument("--sample", type=int, default=300, help="how many breaks")
    parser.add_argument("--seed", type=int, default=0, help="another seed is another sample")
    parser.add_argument("--tests", nargs="+", default=TESTS, help="the tests that may notice them")
    parser.add_argument("--processes", type=int, default=min(2, os.cpu_count() or 1), help="so many at once")
    parser.add_argument("--reach", type=Path, help="a file for what was measured of the tests, or with it")
    parser.add_argument("--project", type=Path, default=PROJECT, help=argparse.SUPPRESS)
    parser.add_argument("--log", type=Path, help="a file for each break and what noticed it")
    asked = parser.parse_args(arguments)
    found: list[Outcome] = []
    with tempfile.TemporaryDirectory(prefix="drumgen-breaking-") as name:
        copies = [Copy(asked.project, Path(name) / f"copy{number}") for number in range(asked.processes)]
        project = copies[0].folder  # from here on the project may change: what is broken and what is tried is one state
        modules = [Breakable(project, module) for module in modules_of(project, asked.modules)]
        breaks = sampled(modules, asked.sample, Random(asked.seed))  # noqa: S311 - a sample
        lines = sum(len(module.lines) for module in modules)
        say(f"{len(breaks)} of {lines} lines that can be broken, in {len(modules)} modules (seed {asked.seed})")
        reach = reach_of(asked, project, Path(name))
        for copy in copies:
            copy.compile(sorted({test.partition("::")[0] for test in reach.seconds}))
        for outcome in outcomes(breaks, reach=reach, copies=copies, known=equivalents()):
            found.append(outcome)
            if not outcome.by:
                say(str(outcome))
            if asked.log:
                with asked.log.open("a", encoding="utf-8") as log:
                    log.write(f"{outcome.by or outcome.reason or 'SURVIVED'}\t{outcome.broken}\n")
        by = {outcome.by for outcome in found}  # tests, and files that could not be imported
        vouching = {test for test in reach.seconds if test in by or test.partition("::")[0] in by}
        false = copies[0].noticed_by(reach.ordered(vouching, longest_s=float("inf")), seconds=reach.taking([*vouching]))
        for copy in copies:
            copy.close()
    if false:
        sys.exit(f"fails without any break: {false}")
    score = Score(tuple(found))
    say(str(score))
    return int(score.share < LEAST_SHARE)


def say(words: str) -> None:
    """A line of what was found."""
    print(words, flush=True)  # noqa: T201 - a command prints


if __name__ == "__main__":
    sys.exit(main())
