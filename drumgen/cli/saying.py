"""What a command says: results on standard output, remarks beside them on standard error."""

from __future__ import annotations

import os
import sys
from typing import TextIO

from drumgen.errors import printable


def remark(*texts: object) -> None:
    """Say something that is no fault, on standard error."""
    tell(*(f"remark: {text}" for text in texts))


def tell(*texts: object) -> None:
    """Say lines on standard error; where they cannot be taken (a closed pipe, a full disk), the work goes on."""
    try:
        say(*texts, file=sys.stderr)
    except OSError:
        to_nowhere(sys.stderr)


def to_nowhere(stream: TextIO) -> None:
    """Let what still goes to a stream that takes nothing more go nowhere: it is not tried again when Python ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def say(*texts: object, file: TextIO | None = None) -> None:
    """Print lines of a result, without what could steer a terminal: a title may hold anything."""
    for line in (line for text in texts for line in str(text).split("\n")):
        print(printable(line), file=file)


def let_be_read() -> None:
    """Pass on what was said: to a pipe or a file it is kept back until there is much of it, or until the end.

    For before a wait.
    """
    sys.stdout.flush()
