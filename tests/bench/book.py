"""A book of many phrases: ``python tests/bench/book.py [--phrases N] [--audio FORMAT]`` prints how long it takes.

Each phrase has eight bars, and MIDI, a play-along with a bar of count-in and a click, and a sheet; of the whole there
are a sheet, a page and an index. It is bound from nothing, again with nothing changed, again with one phrase changed,
and once more from nothing, killed when half of its files are there, and gone on with. The share of the cores is the
time of all processes (user and system) by that of the clock times the cores; where the system tells (Linux), what of
them lay idle stands beside it, for what is neither was taken by others.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter, sleep

from bench_phrases import phrase_texts

PROGRAM = [sys.executable, "-c", "from drumgen.cli import run; run()", "book"]
BOOK = """\
title    = "{number} phrases, invented"
audio    = "{audio}"
count-in = 1
click    = "quarters"
"""


def write_book(folder: Path, number: int, audio: str) -> None:
    """A folder of so many phrases, and its book file."""
    for index, text in enumerate(phrase_texts(number), start=1):
        (folder / f"phrase-{index}.toml").write_text(text, encoding="utf-8")
    (folder / "book.toml").write_text(BOOK.format(number=number, audio=audio), encoding="utf-8")


def measured(label: str, folder: Path, out: Path) -> None:
    """Bind the book and print its seconds, the share of the cores, and what it says of itself."""
    idle = _idle_s()
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), perf_counter()
    done = subprocess.run([*PROGRAM, folder, "-o", out], capture_output=True, text=True, check=False)
    took_s = perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    worked_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    cores = os.cpu_count() or 1
    share = f"{100 * worked_s / (cores * took_s):.0f} % of {cores} cores"
    if idle is not None:
        share += f", {100 * ((_idle_s() or 0) - idle) / (cores * took_s):.0f} % idle"
    words = done.stdout.strip().partition(": ")[2].partition(", in ")[0]
    sys.stdout.write(f"{label:24} {took_s:7.2f} s  {share:28}  exit {done.returncode}: {words}\n")
    sys.stdout.flush()


def _idle_s() -> float | None:
    """The seconds that the cores of this machine have been idle, all together."""
    stat = Path("/proc/stat")
    if not stat.exists():
        return None
    return int(stat.read_text(encoding="utf-8").split()[4]) / os.sysconf("SC_CLK_TCK")


def killed(folder: Path, out: Path, files: int) -> None:
    """Bind the book and kill it when so many files are there."""
    process = subprocess.Popen([*PROGRAM, folder, "-o", out], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    start = perf_counter()
    while process.poll() is None and (not out.is_dir() or len(list(out.iterdir())) < files):
        sleep(0.05)
    process.kill()
    process.wait()
    there = len([path for path in out.iterdir() if path.is_file()])
    sys.stdout.write(f"{'killed':24} {perf_counter() - start:7.2f} s  {there} files there\n")


def alike(one: Path, other: Path) -> str:
    """How many files of two folders are the same bytes."""
    names = sorted(path.name for path in one.iterdir() if path.is_file())
    same = sum((one / name).read_bytes() == (other / name).read_bytes() for name in names if (other / name).is_file())
    return f"{same} of {len(names)} files are the same bytes"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Print how long a book of many phrases takes.")
    parser.add_argument("--phrases", type=int, default=200, metavar="N", help="how many phrases; 200 unless said")
    parser.add_argument("--audio", default="mp3", metavar="FORMAT", help="the format of play-alongs; mp3 unless said")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder, out, other = Path(place) / "course", Path(place) / "out", Path(place) / "other"
        folder.mkdir()
        write_book(folder, asked.phrases, asked.audio)
        measured("from nothing", folder, out)
        measured("nothing changed", folder, out)
        changed = folder / "phrase-1.toml"
        changed.write_text(changed.read_text("utf-8") + "# a remark\n", encoding="utf-8")
        measured("one phrase changed", folder, out)
        killed(folder, other, 3 * asked.phrases // 2)
        measured("gone on with", folder, other)
        sys.stdout.write(f"beside each other: {alike(out, other)}\n")


if __name__ == "__main__":
    main()
