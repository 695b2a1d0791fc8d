"""Trying: the tests that may notice a break, run on a copy of the project, file after file until one of them fails.

This file is also what runs in the copy, ``python trying.py``: it loads what the tests need beside the package, and then
forks for each line that it is sent, so that no run pays for the loading again. POSIX only.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
import traceback
from contextlib import suppress
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pytest

COPIED = ("drumgen", "kits", "tests", "demo", "pyproject.toml", "README.md", "DEVELOPERS.md")
LEAST_S = 60
SLOWER = 10
"""A run may take so many seconds, and on top so many times as long as its tests took when they were measured."""
LARGEST_BYTES = 4 << 30
"""The memory of a run: a break that fills it is noticed."""

ALWAYS: tuple[str, ...] = (
    "--quiet",
    "-p",
    "no:cacheprovider",
    "-p",
    "no:xdist",
    "-p",
    "no:pytest_cov",
    "--no-header",
    "--tb=no",
)
ALWAYS += ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # what is loaded beforehand is not rewritten
LOADED = ("pytest", "hypothesis.strategies", "pydantic", "mido", "typer.main", "typer.testing")


class Copy:
    """A copy of the project in a folder of its own, in which one module at a time is another."""

    def __init__(self, project: Path, folder: Path) -> None:
        self.folder = folder
        for name in COPIED:
            source = project / name
            if source.is_dir():
                shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
            elif source.exists():
                shutil.copy2(source, folder / name)
        command = [sys.executable, str(Path(__file__))]
        streams = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True, "encoding": "utf-8"}
        self._running: subprocess.Popen[str] = subprocess.Popen(command, cwd=folder, env=environment(folder), **streams)  # type: ignore[call-overload]

    def close(self) -> None:
        """No more runs."""
        with self._running as running:
            running.communicate()

    def compile(self, files: Sequence[str]) -> None:
        """Compile the tests once, so that no run pays for it."""
        self._ask(files, seconds=0, compiling=True)

    def noticed_by(self, tests: Sequence[str], *, seconds: float, module: str = "", text: str = "") -> str:
        """Which test fails while ``module`` is ``text``: its name, or "time" where the run has no end; "" for none.

        ``seconds`` is how long the tests usually take.
        """
        if not module:
            return self._ask(tests, seconds=seconds)
        path = self.folder / module
        own, when = path.read_bytes(), path.stat()
        path.write_text(text, "utf-8")
        try:
            return self._ask(tests, seconds=seconds)
        finally:
            path.write_bytes(own)
            os.utime(path, ns=(when.st_atime_ns, when.st_mtime_ns))  # so that what was compiled of it holds again

    def _ask(self, tests: Sequence[str], *, seconds: float, compiling: bool = False) -> str:
        stdin, stdout = self._running.stdin, self._running.stdout
        if stdin is None or stdout is None:
            raise TypeError("a process with pipes")
        asked = {"tests": [*tests], "seconds": LEAST_S + SLOWER * seconds, "compiling": compiling}
        stdin.write(json.dumps(asked) + "\n")
        stdin.flush()
        by = str(json.loads(stdout.readline()))
        if by.startswith("Traceback"):
            raise RuntimeError(by)
        return by


def environment(folder: Path) -> dict[str, str]:
    """What a run in a copy is told: to import the copy's package, and to look for the same examples each time.

    Its temporary files are in a folder beside the copy, where no other run of pytest clears them away.
    """
    temporary = folder.with_name(f"{folder.name}-temporary")
    temporary.mkdir(exist_ok=True)
    told = {"PYTHONPATH": str(folder), "PYTHONUNBUFFERED": "1", "CI": "true", "PYTEST_DEBUG_TEMPROOT": str(temporary)}
    return {**os.environ, **told}


# -- in the copy


class Chosen:
    """A plugin of pytest: the tests that are asked for, in their order; ``failed`` is the first that failed."""

    def __init__(self, tests: Sequence[str]) -> None:
        self.order = {test: index for index, test in enumerate(tests)}
        self.failed = ""

    def pytest_collection(self) -> None:
        """Shrinking an example that fails is not worth the time."""
        from hypothesis import Phase, settings

        settings.register_profile("breaking", settings(), phases=(Phase.explicit, Phase.generate), database=None)
        settings.load_profile("breaking")

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Keep what is asked for; of a test with parameters whose name has changed, all."""
        there = {item.nodeid for item in items}
        lost = {test.partition("[")[0] for test in self.order if test not in there}
        kept = [item for item in items if item.nodeid in self.order or item.nodeid.partition("[")[0] in lost]
        items[:] = sorted(kept, key=lambda item: self.order.get(item.nodeid, len(self.order)))

    def pytest_runtest_setup(self) -> None:
        """Nothing is remembered from one test to the next."""
        forget()

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """A file that cannot be imported is a failure too."""
        self._failed(report)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A test that fails."""
        self._failed(report)

    def _failed(self, report: pytest.CollectReport | pytest.TestReport) -> None:
        """The first failure."""
        if report.failed and not self.failed:
            self.failed = report.nodeid


def forget() -> None:
    """Empty every cache of the package: which test fills one is chance."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == "drumgen":
            for found in list(vars(module).values()):
                if callable(getattr(found, "cache_clear", None)):
                    found.cache_clear()


def files_of(tests: Sequence[str]) -> list[tuple[str, list[str]]]:
    """The tests by their files, in the order they are asked for."""
    return [(file, list(group)) for file, group in groupby(tests, key=lambda test: test.partition("::")[0])]


def run(tests: Sequence[str]) -> str:
    """The first of some tests that fails, or nothing."""
    import pytest

    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    for file, of_file in files_of(tests):
        chosen = Chosen(of_file)
        code = pytest.main([*ALWAYS, "--exitfirst", file], plugins=[chosen])
        if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return chosen.failed or f"{file} ({code!r})"
    return ""


def forked(asked: dict[str, Any], said: Path) -> str:
    """What comes of one line: a process of its own, which is ended with all that it has started."""
    said.unlink(missing_ok=True)
    pid = os.fork()
    if pid == 0:
        _child(asked, said)
    deadline, ended = time.monotonic() + asked["seconds"], (0, 0)
    while not ended[0] and time.monotonic() < deadline:
        time.sleep(0.01)
        ended = os.waitpid(pid, os.WNOHANG)
    with suppress(ProcessLookupError):
        os.killpg(pid, signal.SIGKILL)
    if not ended[0]:
        os.waitpid(pid, 0)
        return "time"
    return said.read_text("utf-8") if said.exists() else f"a crash (status {ended[1]})"


def _child(asked: dict[str, Any], said: Path) -> None:
    import resource

    os.setsid()
    resource.setrlimit(resource.RLIMIT_AS, (LARGEST_BYTES, LARGEST_BYTES))
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nothing, stream)
    try:
        by = compiled(asked["tests"]) if asked["compiling"] else run(asked["tests"])
    except BaseException:  # noqa: BLE001 - whatever it is, it is told
        by = traceback.format_exc()
    said.write_text(by, "utf-8")
    os._exit(0)


def compiled(files: Sequence[str]) -> str:
    """Compile tests by collecting them."""
    import pytest

    pytest.main([*ALWAYS, "--collect-only", *files])
    return ""


def main() -> None:
    """Answer each line."""
    from importlib import import_module

    for name in LOADED:
        import_module(name)
    for line in sys.stdin:
        print(json.dumps(forked(json.loads(line), Path.cwd() / "said.txt")), flush=True)  # noqa: T201 - what answers


if __name__ == "__main__":
    main()
