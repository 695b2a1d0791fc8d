"""What a command says: results on standard output, remarks beside them on standard error."""

from __future__ import annotations

import sys
from typing import TextIO

from drumgen.errors import printable


def remark(*texts: object) -> None:
    """Say something that is no fault, on standard error."""
    for text in texts:
        say(f"remark: {text}", file=sys.stderr)


def say(*texts: object, file: TextIO | None = None) -> None:
    """Print lines of a result, without what could steer a terminal: a title may hold anything."""
    for line in (line for text in texts for line in str(text).split("\n")):
        print(printable(line), file=file)


def let_be_read() -> None:
    """Pass on what was said: to a pipe or a file it is kept back until there is much of it, or until the end.

    For before a wait.
    """
    sys.stdout.flush()
