"""The command line as a process of its own, where a test needs one; ``golden_case.run_here`` runs it in this one."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Timer
from typing import IO

PROGRAM = [sys.executable, "-c", "from drumgen.cli import run; run()"]

PIER = """\
title  = "Pier"
phrase = ["a x2", "b"]

[bars.a]
sticking  = "RLRR LRLL"
hands.R   = "hihat"
feet.kick = "1 3"

[bars.b]
role    = "fill"
like    = "a"
hands.R = "floor-tom"
"""


def spawn(folder: Path, *arguments: str, encoding: str = "utf-8") -> tuple[int, str, str]:
    """The exit code of a process, what it printed, and what it said beside it."""
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    typed = [*PROGRAM, *arguments]
    done = subprocess.run(typed, cwd=folder, capture_output=True, env=environment, check=False)
    return done.returncode, done.stdout.decode(encoding, "replace"), done.stderr.decode(encoding, "replace")


@contextmanager
def waited_for(process: subprocess.Popen[str], seconds: float = 60) -> Iterator[IO[str]]:
    """What a process says; one that does not end is killed, so that nothing waits for it without end."""
    killer = Timer(seconds, process.kill)
    killer.start()
    try:
        with process:
            assert process.stdout is not None
            yield process.stdout
    finally:
        killer.cancel()
