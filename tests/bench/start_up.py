"""Whole processes: writing one file, and showing the help, against small typer programs.

Both sides are started as they are every day, from warm bytecode caches, and write to a folder of their own.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from bench_phrases import SLIPWAY
from measuring import Row, rounds_of
from mido_writing import rows_of

from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.spec.loading import read_phrase

if TYPE_CHECKING:
    from collections.abc import Sequence

DRUMGEN = str(Path(sysconfig.get_path("scripts")) / "drumgen")
HERE = Path(__file__).parent

# One command that writes the events with mido. They stand in a module of their own, so that they are compiled once,
# as the program's own modules are.
PROGRAM = """
from pathlib import Path

import typer


def write(output: Path = typer.Option(..., "--output", "-o", help="The file to write.")) -> None:
    \"\"\"Write a groove to a MIDI file.\"\"\"
    from events import ROWS
    from mido_writing import built

    built(ROWS).save(str(output))
    print(f"wrote {output}")


if __name__ == "__main__":
    typer.run(write)
"""


def environment(*paths: Path) -> dict[str, str]:
    """The environment of a day's work: bytecode is cached, and nothing of the tests is on the path but ``paths``."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "COV"))}
    return {**kept, "PYTHONPATH": os.pathsep.join(map(str, paths))} if paths else kept


def process(command: Sequence[str], folder: Path, env: dict[str, str]) -> None:
    """Run one process to its end; a failure is an error."""
    subprocess.run(command, cwd=folder, env=env, check=True, capture_output=True)


def rendering(folder: Path, rounds: int) -> Row:
    """One phrase file to one MIDI file."""
    (folder / "slipway.toml").write_text(SLIPWAY, encoding="utf-8")
    content = render_midi(perform(arrange(read_phrase(SLIPWAY, file="slipway.toml", name="slipway").phrase)))
    (folder / "events.py").write_text(f"ROWS = {rows_of(content)!r}\n", encoding="utf-8")
    (folder / "program.py").write_text(PROGRAM, encoding="utf-8")
    ours = partial(process, [DRUMGEN, "render", "slipway.toml", "-o", "ours.mid"], folder, environment())
    theirs = partial(process, [sys.executable, "program.py", "-o", "theirs.mid"], folder, environment(folder, HERE))
    for _ in range(2):
        ours()
        theirs()
    if not (folder / "ours.mid").read_bytes() == (folder / "theirs.mid").read_bytes() == content:
        sys.exit("the two programs do not write the same bytes")
    return Row("drumgen render x.toml -o x.mid", "typer program with mido", 1.35, rounds_of(ours, theirs, rounds))


def helping(folder: Path, rounds: int) -> Row:
    """The help, against what every typer program has to load."""
    ours = partial(process, [DRUMGEN, "--help"], folder, environment())
    theirs = partial(process, [sys.executable, "-c", "import typer"], folder, environment())
    for _ in range(2):
        ours()
        theirs()
    return Row("drumgen --help", "python -c 'import typer'", 1.3, rounds_of(ours, theirs, rounds))


def rows(rounds: int) -> list[Row]:
    """The rows of this module."""
    with TemporaryDirectory() as name:
        return [rendering(Path(name), rounds), helping(Path(name), rounds)]
