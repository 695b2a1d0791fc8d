"""One case held to the promises: what it may do, and what it did.

No traceback and no exit but the table's; no more than 5 seconds of the processor (a busy machine changes nothing) and
500 MB; bad input is answered in words that steer no terminal, and changes nothing in the folder that is written into.
"""

from __future__ import annotations

import os
import re
import resource
import shutil
import signal
import sys
import traceback
from contextlib import chdir, contextmanager
from io import BytesIO, TextIOWrapper
from typing import TYPE_CHECKING, NamedTuple

from seeding import PHRASE, capture, take

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path
    from types import FrameType

    from seeding import Case

MOST_S = 5.0
MOST_BYTES = 500 << 20
CODES = {0, 1, 2, 4}
UNCHANGED = {2}
"""Exit codes after which nothing may have been written."""
STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
OURS = re.compile(r'File "(?:[^"]*/)?(drumgen/[^"]+)", line (\d+), in (\S+)')
OLD = b"an old file"
ASKED_FOR = re.compile(rb"(?:x\s*|times\D{0,5})(\d{4,6})\b")
"""A thousand bars and more are work that is asked for: a phrase of 100 000 bars takes its time, and its memory."""
LARGE = 12
"""By how much more then."""


class Hung(BaseException):
    """A case has used up its time; no boundary catches it."""


class Finding(NamedTuple):
    """What is wrong, in a few words that are the same for the same kind of fault, and all that was said."""

    kind: str
    said: str


class Ended(NamedTuple):
    """How a case ended: its exit code, or None where it did not come to one; and what is wrong with that."""

    code: int | None
    finding: Finding | None


class Room:
    """A folder with whole files beside the damaged one, and a folder to write into that holds an old file."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.out = folder, folder / "out"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "whole.toml").write_text(PHRASE)
        (folder / "take.mid").write_bytes(take())
        (folder / "capture.mid").write_bytes(capture())
        self.words = {"CAPTURE": "capture.mid", "PHRASE": "whole.toml", "TAKE": "take.mid", "FOLDER": ".", "OUT": "out"}
        self.tidy()

    def tidy(self) -> None:
        """The folder to write into as it was."""
        shutil.rmtree(self.out, ignore_errors=True)
        self.out.mkdir()
        (self.out / "x.mid").write_bytes(OLD)

    def arguments(self, case: Case) -> list[str]:
        """The arguments with the names of this room's files."""
        words = {**self.words, "CASE": case.name or "CASE"}
        pattern = re.compile(r"\b(" + "|".join(words) + r")\b")
        named = [pattern.sub(lambda found: words[found[0]], each) for each in case.arguments]
        if case.name:
            return named
        return [new if each.startswith("OUT/") else each for each, new in zip(case.arguments, named, strict=True)]

    def contents(self) -> dict[str, bytes]:
        """What is in the folder to write into, and the names beside it."""
        inside = {str(path): path.read_bytes() for path in self.out.rglob("*") if path.is_file()}
        return {**inside, **dict.fromkeys(os.listdir(self.folder), b"")}  # noqa: PTH208 - names are enough, and quick


@contextmanager
def limited(seconds: float) -> Iterator[None]:
    """Raise ``Hung`` after so many seconds of the processor, and again each second, as a handler may be swallowed."""

    def hung(_signal: int, _frame: FrameType | None) -> None:
        raise Hung

    before = signal.signal(signal.SIGPROF, hung)
    signal.setitimer(signal.ITIMER_PROF, seconds, 1.0)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def held(case: Case, room: Room, *, main: Callable[[list[str]], int], seconds: float = MOST_S) -> Ended:
    """How a case ended."""
    if case.name:
        (room.folder / case.name).write_bytes(case.content)
    before = room.contents()
    with chdir(room.folder):
        code, said, broken = _run(room.arguments(case), main, seconds * (LARGE if is_large(case) else 1))
    after = room.contents()
    try:
        finding = _ill(code, said, broken) or _unwritten(code, before, after) or (None if is_large(case) else _greedy())
        return Ended(code, finding)
    finally:
        if after != before:
            room.tidy()
            for name in set(after) - set(before):
                (room.folder / name).unlink(missing_ok=True)


def _run(arguments: list[str], main: Callable[[list[str]], int], seconds: float) -> tuple[int | None, str, str]:
    """The exit code (None where it did not end well), all that was said, and what broke it."""
    kept = sys.stdout, sys.stderr
    streams = [TextIOWrapper(BytesIO(), encoding="utf-8", newline="\n", write_through=True) for _ in kept]
    sys.stdout, sys.stderr = streams
    code, broken = None, ""
    try:
        with limited(seconds):
            code = main(arguments)
    except Hung:
        broken = f"over {seconds:g} s of the processor\n{traceback.format_exc()}"
    except BaseException:  # noqa: BLE001 - nothing may come out of the boundary, whatever it is
        broken = f"out of the boundary\n{traceback.format_exc()}"
    finally:
        sys.stdout, sys.stderr = kept
    return code, "".join(stream.buffer.getvalue().decode("utf-8", "replace") for stream in streams), broken


def is_large(case: Case) -> bool:
    """Whether a case asks for a thousand bars or more, by number."""
    return bool(ASKED_FOR.search(case.content) or ASKED_FOR.search(" ".join(case.arguments).encode()))


def _greedy() -> Finding | None:
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    return Finding("over 500 MB", f"{most >> 20} MiB") if most > MOST_BYTES else None


def _ill(code: int | None, said: str, broken: str) -> Finding | None:
    if broken:
        return Finding(f"{broken.splitlines()[0]} {_where(broken)}", broken + said[-2000:])
    if code not in CODES:
        return Finding(f"exit {code} {_where(said)}", said)
    if code == 2 and not said.strip():
        return Finding("bad input without a word", said)
    if STEERING.search(said):
        return Finding("a sign that steers a terminal", repr(STEERING.findall(said)) + said[-2000:])
    return None


def _where(text: str) -> str:
    """The error and the innermost line of the product in a traceback."""
    places = OURS.findall(text)
    error = text.rstrip().splitlines()[-1].partition(":")[0] if "Traceback" in text else ""
    return f"{error} in {places[-1][0]}:{places[-1][1]} {places[-1][2]}" if places else error


def _unwritten(code: int | None, before: dict[str, bytes], after: dict[str, bytes]) -> Finding | None:
    changed = sorted({name for name in {*before, *after} if before.get(name) != after.get(name)})
    if code in UNCHANGED and changed:
        return Finding("written on bad input", ", ".join(changed))
    left = [name for name in after if name.endswith(".part")]
    return Finding("a part left behind", ", ".join(left)) if left else None
