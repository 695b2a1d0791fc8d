"""A campaign: so many cases of a kind, in a process of its own that is watched and begun again where it breaks.

Case ``n`` of a kind and seed is always the same. Each finding's file and arguments are kept in a folder, the first few
of every kind of fault.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING, Any

from holding import MOST_S, Room, held, is_large
from seeding import KINDS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from multiprocessing.connection import Connection
    from pathlib import Path

    from seeding import Case

EACH_PROCESS = 4_000
"""Cases after which a fresh process goes on, so that memory that one case took is not laid at another's door."""
LONGEST_S = MOST_S
SILENT_S = 120.0
"""So long without a word the process hangs where no signal reaches it, or its cases take far too long."""
KEPT_EACH = 3


@dataclass
class Campaign:
    """What is asked for: a kind, how many cases from which number, a seed, and seconds at most."""

    kind: str
    count: int
    seed: int = 0
    first: int = 0
    seconds: float = float("inf")
    keep: Path | None = None
    log: Path | None = None
    main: Callable[[list[str]], int] | None = None
    make: Callable[[Random], Case] | None = None


@dataclass
class Outcome:
    """How many cases were run, how each ended, and what was found by its kind."""

    cases: int = 0
    exits: Counter[int | None] = field(default_factory=Counter)
    findings: Counter[str] = field(default_factory=Counter)
    kept: dict[str, list[tuple[int, str]]] = field(default_factory=dict)

    def __str__(self) -> str:
        exits = ", ".join(f"{number} x exit {code}" for code, number in self.exits.most_common())
        lines = [f"{self.cases} cases ({exits}), {self.findings.total()} findings of {len(self.findings)} kinds"]
        for kind, number in self.findings.most_common():
            numbers = ", ".join(str(number) for number, _ in self.kept[kind])
            lines.append(f"  {number} x {kind} (case {numbers})")
        return "\n".join(lines)


def case_of(asked: Campaign, number: int) -> Case:
    """The case of a number."""
    make = asked.make or KINDS[asked.kind]
    return make(Random(f"{asked.kind} {asked.seed} {number}"))  # noqa: S311 - cases that can be made again


def run_campaign(asked: Campaign, folder: Path) -> Outcome:
    """Run all cases in a folder of their own; what was found."""
    outcome, ends = Outcome(), time.monotonic() + asked.seconds
    number, last = asked.first, asked.first + asked.count
    while number < last and time.monotonic() < ends:
        for told in _watched(asked, folder, number, min(last, number + EACH_PROCESS), ends):
            number = told.number + 1
            outcome.cases += 1
            outcome.exits[told.code] += 1
            if told.kind:
                _note(outcome, asked, told)
        _log(outcome, asked, number)
    return outcome


@dataclass(frozen=True)
class Told:
    """What a process says of one case."""

    number: int
    code: int | None = None
    kind: str = ""
    said: str = ""


def _watched(asked: Campaign, folder: Path, first: int, last: int, ends: float) -> Iterator[Told]:
    """The cases from ``first`` on, in one process, until it ends or breaks; a case that broke it is told as well."""
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(asked, folder, range(first, last), ends, theirs), daemon=False)
    process.start()
    theirs.close()
    number = first
    try:
        while ours.poll(SILENT_S):
            told = ours.recv()
            yield told
            number = told.number + 1
        yield Told(number, None, f"silent for {SILENT_S:g} s")
    except EOFError:
        process.join()
        if process.exitcode:
            yield Told(number, None, f"the process died ({process.exitcode})")
    finally:
        if process.is_alive():
            os.kill(process.pid or 0, signal.SIGKILL)
        process.join()


def _work(asked: Campaign, folder: Path, numbers: range, ends: float, tell: Connection) -> None:
    from drumgen.cli.boundary import main

    sys.settrace(None)  # what is measured is the product, not the measuring of coverage
    room = Room(folder / str(os.getpid()))
    for number in numbers:
        case = case_of(asked, number)
        code, finding = held(case, room, main=asked.main or main, seconds=LONGEST_S)
        tell.send(Told(number, code, *(finding or ())))
        if time.monotonic() > ends or is_large(case) or (finding and finding.kind.startswith("over ")):
            break
    tell.close()
    sys.stdout.flush()
    os._exit(0)


def _note(outcome: Outcome, asked: Campaign, told: Told) -> None:
    outcome.findings[told.kind] += 1
    kept = outcome.kept.setdefault(told.kind, [])
    if len(kept) >= KEPT_EACH:
        return
    kept.append((told.number, told.said))
    if asked.keep:
        asked.keep.mkdir(parents=True, exist_ok=True)
        case = case_of(asked, told.number)
        stem = f"{asked.kind}-{asked.seed}-{told.number}"
        (asked.keep / f"{stem}.txt").write_text(
            f"{told.kind}\n{json.dumps(case.arguments)}\n{told.said}", "utf-8", "surrogateescape"
        )
        if case.name:
            (asked.keep / f"{stem}-{case.name}").write_bytes(case.content)


def _log(outcome: Outcome, asked: Campaign, number: int) -> None:
    if asked.log:
        with asked.log.open("a", encoding="utf-8") as log:
            row: dict[str, Any] = {"kind": asked.kind, "seed": asked.seed, "next": number, "cases": outcome.cases}
            row["exits"], row["findings"] = dict(outcome.exits), dict(outcome.findings)
            log.write(f"{time.strftime('%H:%M:%S', time.gmtime())} {json.dumps(row)}\n")
