"""Reaching: which tests run which lines of the package, and how long each takes; measured once, by coverage.

A line that runs while its module is imported is in no test's hands alone: it is the matter of every test that runs
something of the module or of one that imports it, and of every test in a file that imports one of these.
"""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import pytest
    from coverage import CoverageData

LONGEST_S = 60.0
"""Of the tests that reach a line, the quickest so long together are run (of those that import the module, and of the
others): what they leave is a break that survives."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Of each module, by line, the tests that run it; of each test that passes, its seconds; who imports a module."""

    by_line: dict[str, dict[int, frozenset[str]]]
    seconds: dict[str, float]
    importers: dict[str, frozenset[str]]

    def tests(self, module: str, lines: tuple[int, int]) -> list[str]:
        """The tests that may notice a change of some lines (first and last), file by file.

        First the files named after the module, then the quickest.
        """
        by_line = self.by_line.get(module, {})
        found = {test for line in range(lines[0], lines[1] + 1) for test in by_line.get(line, ())}
        if not found or "" in found:
            for each in self._importing(module):
                found = found.union(*self.by_line.get(each, {}).values(), self._of_file(each))
        return self.ordered(found & self.seconds.keys(), module)

    def _importing(self, module: str) -> set[str]:
        """A module, the modules and the tests that import it, and the tests that import one of these modules."""
        found = {module, *self.importers.get(module, ())}
        further = {each for importer in found for each in self.importers.get(importer, ())}
        return found | {each for each in further if each.startswith("tests/")}

    def _of_file(self, file: str) -> list[str]:
        return [test for test in self.seconds if test.partition("::")[0] == file]

    def ordered(self, tests: set[str], module: str = "", *, longest_s: float = LONGEST_S) -> list[str]:
        """Tests file by file, those named after ``module`` first.

        Of those whose files import the module, and of the others, the quickest, each so long as is allowed.
        """
        by_file: dict[str, list[str]] = defaultdict(list)
        near = {test for test in tests if test.partition("::")[0] in self.importers.get(module, ())}
        for group in (near, tests - near):
            total = 0.0
            for test in sorted(group, key=lambda test: (self.seconds[test], test)):
                total += self.seconds[test]
                if total > longest_s:
                    break
                by_file[test.partition("::")[0]].append(test)
        rows = sorted(by_file.items(), key=lambda row: (not _named_after(row[0], module), self.taking(row[1]), row[0]))
        return [test for _, row in rows for test in row]

    def taking(self, tests: Sequence[str]) -> float:
        """How many seconds tests take."""
        return sum(self.seconds[test] for test in tests)


def _named_after(file: str, module: str) -> bool:
    """``tests/unit/test_spec_fields.py`` is named after ``drumgen/spec/fields.py``; its doctests are its own too."""
    name = "_".join(module.removesuffix(".py").split("/")[1:])
    return bool(name) and (file == module or Path(file).stem == f"test_{name}")


def measure(root: Path, files: Sequence[str], scratch: Path, *, processes: int = 1) -> Reach:
    """Run the tests of ``files`` in ``root``, in so many processes at once, and see what they reach."""
    with ThreadPoolExecutor(processes) as pool:
        shares = [files[number::processes] for number in range(processes)]
        rows = pool.map(lambda each: _measured(root, each[1], scratch / f"share{each[0]}"), enumerate(shares))
    by_line: dict[str, dict[int, frozenset[str]]] = {}
    seconds: dict[str, float] = {}
    for found, times in rows:
        seconds.update(times)
        for module, lines in found.items():
            known = by_line.setdefault(module, {})
            known.update({line: tests | known.get(line, frozenset()) for line, tests in lines.items()})
    return Reach(by_line, seconds, importers(root))


def _measured(
    root: Path, files: Sequence[str], scratch: Path
) -> tuple[dict[str, dict[int, frozenset[str]]], dict[str, float]]:
    """Of some files, the tests by module and line, and the seconds of each test."""
    from coverage import CoverageData
    from trying import ALWAYS, environment

    scratch.mkdir()
    configuration, times, kept = scratch / "coveragerc", scratch / "seconds.json", scratch / "coverage"
    configuration.write_text(f"[run]\nsource = drumgen\ndata_file = {kept}\n", "utf-8")
    command = [sys.executable, str(Path(__file__)), str(times), *ALWAYS, *files]
    command += ["-p", "pytest_cov", "--cov", "--cov-context=test", "--cov-report=", f"--cov-config={configuration}"]
    subprocess.run(command, cwd=root, env=environment(root), check=False)
    data = CoverageData(str(kept))
    data.read()
    return _by_line(data, root), json.loads(times.read_text("utf-8"))


def _by_line(data: CoverageData, root: Path) -> dict[str, dict[int, frozenset[str]]]:
    """The tests by module and line, from coverage's own data; "" is what ran while no test did."""
    found = {}
    for file in data.measured_files():
        lines = data.contexts_by_lineno(file)
        tests = {line: frozenset(context.partition("|")[0] for context in contexts) for line, contexts in lines.items()}
        found[Path(file).relative_to(root.resolve()).as_posix()] = tests
    return found


def importers(root: Path) -> dict[str, frozenset[str]]:
    """By module, the modules and the files of tests that import it, or from it; a test that looks for them, all."""
    found: dict[str, set[str]] = defaultdict(set)
    modules = [path.relative_to(root).as_posix() for path in (root / "drumgen").rglob("*.py")]
    for path in [*(root / "drumgen").rglob("*.py"), *(root / "tests").rglob("test_*.py")]:
        name, text = path.relative_to(root).as_posix(), path.read_text("utf-8")
        for module in _imported(text):
            found[f"{module.replace('.', '/')}.py"].add(name)
        if "import_module(" in text and name.startswith("tests/"):
            for module in modules:
                found[module].add(name)
    return {module: frozenset(names) for module, names in found.items()}


def _imported(text: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom):
            yield f"{node.module}"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def save(reach: Reach, file: Path) -> None:
    """Keep what was measured; each test is a number there."""
    numbers = {test: number for number, test in enumerate(sorted({"", *reach.seconds, *_all_tests(reach)}))}
    lines = {
        module: {line: sorted(numbers[test] for test in tests) for line, tests in by_line.items()}
        for module, by_line in reach.by_line.items()
    }
    kept = {"tests": [*numbers], "lines": lines, "seconds": reach.seconds}
    kept["importers"] = {module: sorted(importers) for module, importers in reach.importers.items()}
    file.write_text(json.dumps(kept), "utf-8")


def _all_tests(reach: Reach) -> set[str]:
    return {test for by_line in reach.by_line.values() for tests in by_line.values() for test in tests}


def load(file: Path) -> Reach:
    """What was kept."""
    kept = json.loads(file.read_text("utf-8"))
    tests = kept["tests"]
    by_line = {
        module: {int(line): frozenset(tests[number] for number in numbers) for line, numbers in lines.items()}
        for module, lines in kept["lines"].items()
    }
    return Reach(by_line, kept["seconds"], {module: frozenset(row) for module, row in kept["importers"].items()})


class Timing:
    """A plugin of pytest: how long each test takes that passes, in seconds."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = defaultdict(float)
        self.others: set[str] = set()

    def pytest_runtest_setup(self) -> None:
        """As in a run on a break: nothing is remembered from one test to the next."""
        from trying import forget

        forget()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """One phase of a test."""
        self.seconds[report.nodeid] += report.duration
        if not report.passed:
            self.others.add(report.nodeid)

    def passed(self) -> dict[str, float]:
        """The tests that passed."""
        return {test: seconds for test, seconds in self.seconds.items() if test not in self.others}


def main() -> None:
    """Run pytest in a copy, and keep the times: ``reaching.py SECONDS.json [ARGUMENTS…]``."""
    import pytest

    timing = Timing()
    pytest.main(sys.argv[2:], plugins=[timing])
    Path(sys.argv[1]).write_text(json.dumps(timing.passed()), "utf-8")


if __name__ == "__main__":
    main()
