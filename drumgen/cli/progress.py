"""A progress bar for long work, on a terminal only."""

from __future__ import annotations

import sys
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


@contextmanager
def shown_progress(words: str = "sound") -> Iterator[Callable[[int, int], None] | None]:
    """What long work tells how much is done of how much; None where nobody watches. ``words`` stand beside the bar."""
    if not sys.stderr.isatty():
        yield None
        return
    with ExitStack() as stack:
        shown: list[Callable[[int, int], None]] = []

        def tell(done: int, total: int) -> None:
            if not shown:
                shown.append(stack.enter_context(_bar(words)))
            shown[0](done, total)

        yield tell


@contextmanager
def _bar(words: str) -> Iterator[Callable[[int, int], None]]:
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(words, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
