"""Kills at random moments: ``python tests/fuzz/killing.py --times N --seed S [SUFFIXES…]``.

A process writes one file over and over, each time the whole command; it is killed (SIGKILL) after a random while, and
the file must be one that a whole command wrote, or the old one: never a part. What is left beside it is counted.
Exit code 1 where a part was found.
"""

from __future__ import annotations

import argparse
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from drumgen.file_names import SUFFIXES

PHRASE = (
    'title = "Sluice {}"\nphrase = ["a x2"]\n[bars.a]\nsticking = "RLRR LRLL"\nhands.R = "hihat"\nfeet.kick = "1 3"\n'
)
OLD = b"an old file"
LONGEST_S = 0.4
"""The longest while to the kill, from the first file on: several files of the slowest format."""

WRITING = """
import contextlib, io, sys
from drumgen.cli.boundary import main

while True:
    for number in "12":
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            code = main(["render", f"{number}.toml", "-o", sys.argv[1]])
        print(code, flush=True)
"""
"""Two phrases by turns, so that each writing changes the file."""


@dataclass
class Killed:
    """How often a file was the old one, one of the new ones, and neither; and what was left beside it."""

    files: Counter[str] = field(default_factory=Counter)
    parts: int = 0
    wrong: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        found = ", ".join(f"{number} x {what}" for what, number in self.files.most_common())
        return f"{self.files.total()} kills: {found}; {self.parts} with an unfinished file of another name left beside"


def kill_often(suffix: str, times: int, rng: Random, folder: Path) -> Killed:
    """Kill the writer of a format so many times."""
    killed = Killed()
    for number in "12":
        (folder / f"{number}.toml").write_text(PHRASE.format(number))
    whole = [_whole(folder, number, suffix) for number in "12"]
    kept = folder / f"kept{suffix}"
    for _ in range(times):
        kept.write_bytes(OLD)
        _kill_once(folder, kept.name, rng)
        content = kept.read_bytes()
        what = "old" if content == OLD else "new" if _same(content, whole, suffix) else "a part"
        killed.files[what] += 1
        if what == "a part":
            killed.wrong.append(f"{suffix}: {len(content)} bytes")
        left = [path for path in folder.iterdir() if path.name.endswith(".part")]
        killed.parts += bool(left)
        for path in left:
            path.unlink()
    return killed


def _whole(folder: Path, number: str, suffix: str) -> bytes:
    """What a whole command writes."""
    out = folder / f"whole-{number}{suffix}"
    code = "import sys; from drumgen.cli.boundary import main; sys.exit(main(sys.argv[1:]))"
    typed = [sys.executable, "-c", code, "render", f"{number}.toml", "-o", out.name]
    subprocess.run(typed, cwd=folder, check=True, capture_output=True)
    return out.read_bytes()


def _same(content: bytes, whole: list[bytes], suffix: str) -> bool:
    """Whether it is one of the whole files; of an Ogg stream, which has a serial of its own, by length and pages."""
    if suffix != ".ogg":
        return content in whole
    pages = content.count(b"OggS")
    return any((len(content), pages) == (len(each), each.count(b"OggS")) for each in whole)


def _kill_once(folder: Path, name: str, rng: Random) -> None:
    typed = [sys.executable, "-c", WRITING, name]
    with subprocess.Popen(typed, cwd=folder, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        if rng.random() < 0.9:  # else at any moment, before the first file too
            process.stdout.readline()
        time.sleep(rng.random() * LONGEST_S)
        os.kill(process.pid, signal.SIGKILL)


def main() -> int:
    """Kill as often as asked, and print what was found."""
    parser = argparse.ArgumentParser(description="Kill drumgen while it writes.")
    parser.add_argument("suffixes", nargs="*", metavar="SUFFIXES", help=f"of {', '.join(SUFFIXES)}; all, unless said")
    parser.add_argument("--times", type=int, default=20, help="kills of each format")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    wrong = 0
    for suffix in asked.suffixes or SUFFIXES:
        with tempfile.TemporaryDirectory(prefix="drumgen-kill-") as folder:
            killed = kill_often(suffix, asked.times, Random(f"{suffix} {asked.seed}"), Path(folder))  # noqa: S311 - moments
        print(f"{suffix}: {killed}", *killed.wrong, sep="\n  ", flush=True)  # noqa: T201 - a command prints
        wrong += len(killed.wrong)
    return min(wrong, 1)


if __name__ == "__main__":
    sys.exit(main())
