"""Every error that a user can cause, in one shape, and a collector for many at once.

The shape is ``file:line: key: expected RULE, got VALUE (nearest: "…")`` and under it, where there is text,
the text with a caret. A fault knows its field, its value and its span; where it stands (file, line, key) is
added by whoever knows it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


Path = tuple[str | int, ...]
"""Where a value stands in a file: table keys, and indexes of arrays from 0."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def key_text(path: Path) -> str:
    """A path as people read it: ``bars.turn.parts[1].beats``, indexes counted from 1, odd keys in quotes."""
    out = ""
    for step in path:
        if isinstance(step, int):
            out += f"[{step + 1}]"
        else:
            plain = step if _BARE_KEY.fullmatch(step) else '"' + step.replace('"', "'") + '"'
            out += f".{plain}" if out else plain
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in out)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, with its place.

    ``rule`` completes "expected …"; without ``got`` it is the whole sentence.
    ``span`` is a half-open range of characters of ``text``. ``line`` counts from 1; 0 is unknown.
    """

    rule: str
    got: str = ""
    nearest: str = ""
    path: Path = ()
    file: str = ""
    line: int = 0
    text: str = ""
    span: tuple[int, int] | None = None
    via: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.file and self.line else f"{self.file}: " if self.file else ""
        key = f"{key_text(self.path)}: " if self.path else ""
        sentence = f"expected {self.rule}, got {self.got}" if self.got else self.rule
        hint = f" ({self.nearest})" if self.nearest else ""
        via = f" [{self.via}]" if self.via else ""
        return "\n".join([f"{place}{key}{sentence}{hint}{via}", *self._caret_lines()])

    def _caret_lines(self) -> list[str]:
        if self.span is None or not self.text:
            return []
        start, end = self.span
        text = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in self.text)
        return [f"    {text}", "    " + " " * start + "^" * max(1, end - start)]

    def under(self, *prefix: str | int) -> Fault:
        """The same fault, its path continued from ``prefix``."""
        return replace(self, path=(*prefix, *self.path))


class DrumgenError(ValueError):
    """The user's input cannot be used: one or more faults, in the order of the file."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__(*faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


def fail(rule: str, *, got: str = "", nearest: str = "", path: Path = ()) -> DrumgenError:
    """An error of one fault without text."""
    return DrumgenError(Fault(rule, got=got, nearest=nearest, path=path))


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the known word nearest to ``word``, or nothing where none is near."""
    from difflib import get_close_matches  # noqa: PLC0415 - only where something is wrong

    close = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f'nearest: "{close[0]}"' if close else ""
