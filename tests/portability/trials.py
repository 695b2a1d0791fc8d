"""A trial: what was tried with which Python, how it ended, and how long it took; and the table of them."""

from __future__ import annotations

import os
import subprocess
from dataclasses import dataclass
from time import perf_counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

LONGEST_S = 7200
SHOWN_LINES = 30
HEADINGS = ("what", "Python", "result", "seconds", "")


class Failed(Exception):  # noqa: N818 - how a trial ended, not an error of ours
    """It does not hold, and what was said."""


class NotHere(Exception):  # noqa: N818 - as above
    """This machine cannot try it, and why."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One row of the table. ``note`` is a line; ``said`` is the end of what a failure printed."""

    what: str
    python: str
    result: str
    seconds: float
    note: str = ""
    said: str = ""

    @property
    def is_failed(self) -> bool:
        """Whether it is a finding."""
        return self.result == "FAILED"


def tried(what: str, python: str, work: Callable[[], str]) -> Trial:
    """The trial of some work, which gives its note."""
    start = perf_counter()
    result, note, said = "ok", "", ""
    try:
        note = work()
    except Failed as error:
        result, said = "FAILED", str(error)
    except NotHere as error:
        result, note = "not here", str(error)
    return Trial(what, python, result, perf_counter() - start, note, said)


def environment(**more: str) -> dict[str, str]:
    """This process's environment without what makes Python or its programs another, and with ``more``."""
    dropped = ("PYTHON", "COV", "VIRTUAL_ENV", "PIP_CONSTRAINT", "LC_", "LANG", "DRUMGEN", "CI", "MIDO")
    return {**{key: value for key, value in os.environ.items() if not key.startswith(dropped)}, **more}


def ran(command: Sequence[str | Path], *, folder: Path, env: Mapping[str, str] | None = None) -> str:
    """What a command prints. Raises Failed with the end of what it said, where its exit code is not 0."""
    typed = [str(part) for part in command]
    done = subprocess.run(
        typed,
        cwd=folder,
        env=environment() if env is None else env,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        timeout=LONGEST_S,
    )
    said = done.stdout.decode("utf-8", "replace")
    if done.returncode:
        end = "\n".join([line for line in said.splitlines() if not line.startswith("WARNING: ")][-SHOWN_LINES:])
        raise Failed(f"{' '.join(typed)}: exit code {done.returncode}\n{end}")
    return said


def table(trials: Sequence[Trial]) -> str:
    """The trials in columns, and under them what the failures said."""
    cells = [(each.what, each.python, each.result, f"{each.seconds:.1f}", each.note) for each in trials]
    lines = [HEADINGS, *cells]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADINGS))]
    rows = ["  ".join(map(str.ljust, line, widths)).rstrip() for line in lines]
    said = [f"\n{each.what}, Python {each.python}:\n{each.said}" for each in trials if each.is_failed]
    return "\n".join([*rows, *said])
