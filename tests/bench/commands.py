"""What each command loads: ``python tests/bench/commands.py [--rounds N]`` prints its start-up beside its usual work.

Whole processes, from warm bytecode caches, by the processor's clock (the median of a few): the command's help, an
example of its work, how much of that is importing (by Python's own ``-X importtime``, which adds to it), how many
modules that loads, and which of the heavy ones. The bare interpreter and ``import typer`` stand first.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from functools import partial
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from bench_phrases import SLIPWAY
from measuring import aligned, spent_on
from start_up import DRUMGEN, environment, process

if TYPE_CHECKING:
    from collections.abc import Sequence

HEAVY = ("pydantic", "mido", "numpy", "soundfile", "verovio", "svglib", "reportlab", "pretty_midi", "rich")
WORK = {
    "render": ("slipway.toml", "-o", "x.mid"),
    "render to WAV": ("slipway.toml", "-o", "x.wav"),
    "render to PDF": ("slipway.toml", "-o", "x.pdf"),
    "render to page": ("slipway.toml", "-o", "x.html"),
    "play": (),
    "show": ("slipway.toml",),
    "check": ("slipway.toml",),
    "new": ("RLRR LRLL",),
    "vary": ("slipway.toml",),
    "lesson": (),
    "book": (),
    "transcribe": ("take.mid",),
    "assess": ("slipway.toml", "take.mid"),
    "rudiments": (),
    "kits": (),
    "kits learn": (),
    "kits remap": ("take.mid", "--from", "general-midi", "--to", "five-piece", "-o", "moved.mid", "--overwrite"),
    "schema": (),
}
"""An example of each command's work."""
HELP_ALONE = ("play", "lesson", "book")
"""One waits for its listener, and two make dozens of files (``book.py`` measures those)."""
IMPORTED = re.compile(r"import time: +(\d+) \| +\d+ \| +(\S+)")


def milliseconds(command: Sequence[str], folder: Path, rounds: int) -> float:
    """The processor's milliseconds of a whole process, once it has been run before."""
    run = partial(process, command, folder, environment())
    run()
    return 1000 * median(spent_on(run).cpu for _ in range(rounds))


def imports(command: Sequence[str], folder: Path) -> tuple[float, list[str]]:
    """The milliseconds of importing, and the modules."""
    traced = [sys.executable, "-X", "importtime", *command]
    done = subprocess.run(traced, cwd=folder, env=environment(), check=True, capture_output=True, text=True)
    rows = IMPORTED.findall(done.stderr)
    return sum(int(own) for own, _ in rows) / 1000, [name for _, name in rows]


def line(name: str, folder: Path, rounds: int) -> tuple[str, ...]:
    """One command's row."""
    words = name.split(" to ", maxsplit=1)[0].split()
    help_ms = milliseconds([DRUMGEN, *words, "--help"], folder, rounds)
    if name in HELP_ALONE:
        return name, f"{help_ms:.0f}", "", "", "", ""
    work = [DRUMGEN, *words, *WORK[name]]
    work_ms = milliseconds(work, folder, rounds)
    import_ms, modules = imports(work, folder)
    heavy = [module for module in HEAVY if module in modules]
    return name, f"{help_ms:.0f}", f"{work_ms:.0f}", f"{import_ms:.0f}", str(len(modules)), ", ".join(heavy)


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Print what each command loads.")
    parser.add_argument("--rounds", type=int, default=5, metavar="N", help="how many rounds each is measured in")
    rounds = parser.parse_args().rounds
    lines: list[tuple[str, ...]] = [("command", "help ms", "work ms", "importing ms", "modules", "heavy ones")]
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "slipway.toml").write_text(SLIPWAY, encoding="utf-8")
        process([DRUMGEN, "render", "slipway.toml", "-o", "take.mid"], folder, environment())
        for words in ("pass", "import typer"):
            alone = milliseconds([sys.executable, "-c", words], folder, rounds)
            lines.append((f"python -c '{words}'", "", f"{alone:.0f}", "", "", ""))
        for command in WORK:
            sys.stderr.write(f"measuring {command}\n")
            lines.append(line(command, folder, rounds))
    sys.stdout.write(aligned(lines) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
