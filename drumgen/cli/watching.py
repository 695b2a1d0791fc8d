"""Watching phrase files: doing something again whenever one of them is saved."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

from drumgen.cli.phrases import is_file
from drumgen.cli.saying import let_be_read, tell
from drumgen.errors import DrumgenError, fail

if TYPE_CHECKING:
    from collections.abc import Callable

PAUSE_S = 0.2


def watch_files(texts: list[str], action: Callable[[], None]) -> None:
    """Run ``action`` now, and again after every change of a watched file, until interrupted.

    A faulty file is told of and does not end the watching. Raises DrumgenError where there is no file to watch.
    """
    paths = [Path(text) for text in texts if is_file(text)]
    if not paths:
        raise fail("a phrase file to watch", got=f'"{texts[0]}"')
    while True:
        seen = _stamps(paths)
        try:
            action()
        except DrumgenError as error:
            tell(error)
        let_be_read()
        while _stamps(paths) == seen:
            time.sleep(PAUSE_S)


def _stamps(paths: list[Path]) -> list[tuple[int, int]]:
    """When each file was last changed, and its size; editors that replace a file may leave it out for a moment."""
    stamps = []
    for path in paths:
        try:
            found = path.stat()
            stamps.append((found.st_mtime_ns, found.st_size))
        except OSError:
            stamps.append((0, 0))
    return stamps
