"""Every error that a user can cause, in one shape, and a collector for many at once.

The shape is ``file:line: key: expected RULE, got VALUE (nearest: "…")`` and under it, where there is text,
the text with a caret. A fault knows its field, its value and its span; where it stands (file, line, key) is
added by whoever knows it.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


Path = tuple[str | int, ...]
"""Where a value stands in a file: table keys, and indexes of arrays from 0."""

WIDEST = 120
"""The longest piece of a message, in characters."""

MOST_KNOWN = 500
"""Among more words than these the nearest is not looked for."""

QUOTES = "\"')"
_JOINERS = "\N{ZERO WIDTH NON-JOINER}\N{ZERO WIDTH JOINER}"
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def key_text(path: Path) -> str:
    """A path as people read it: ``bars.turn.parts[1].beats``, indexes counted from 1, odd keys in quotes."""
    out = ""
    for step in (each if isinstance(each, int) else _cut(each) for each in path):
        if isinstance(step, int):
            out += f"[{step + 1}]"
        else:
            plain = step if _BARE_KEY.fullmatch(step) else '"' + step.replace('"', "'") + '"'
            out += f".{plain}" if out else plain
    return printable(out)


def printable(text: str) -> str:
    r"""A text in one line that a terminal can be sent: no control characters, no marks that turn the writing round.

    >>> printable("a\x1b[31m\n\u202eb")
    'a\ufffd[31m\ufffd\ufffdb'
    """
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() or char in _JOINERS else "\N{REPLACEMENT CHARACTER}" for char in text)


def readable(name: str) -> str:
    r"""A file's name as a text: bytes that this system's letters cannot tell are read as UTF-8, the rest is marked.

    Systems keep names as bytes; what Python cannot read of them it keeps as half characters, which no text may hold.

    >>> readable("strait"), readable("\udce9tude")
    ('strait', '\ufffdtude')
    """
    try:
        name.encode()
    except UnicodeEncodeError:
        return printable(os.fsencode(name).decode("utf-8", "replace"))
    return printable(name)


def _cut(text: str) -> str:
    """A text of at most `WIDEST` characters; of a longer one its beginning, and its closing quote."""
    return text if len(text) <= WIDEST else f"{text[: WIDEST - 2]}…{text[-1:] if text[-1:] in QUOTES else ''}"


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
        sentence = f"expected {self.rule}, got {_cut(self.got)}" if self.got else self.rule
        hint = f" ({self.nearest})" if 0 < len(self.nearest) <= WIDEST else ""
        via = f" [{self.via}]" if self.via else ""
        return "\n".join([printable(f"{place}{key}{sentence}{hint}{via}"), *self._caret_lines()])

    def _caret_lines(self) -> list[str]:
        if self.span is None or not self.text:
            return []
        start, end = self.span
        text, first = self.text, max(0, start - WIDEST // 2)
        if len(text) > WIDEST:  # the part around what is meant
            last = first + WIDEST
            text = f"{'…' if first else ''}{text[first:last]}{'…' if last < len(text) else ''}"
            start, end = start - first + bool(first), min(end, last) - first + bool(first)
        return [f"    {printable(text)}", "    " + " " * start + "^" * max(1, end - start)]

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


def reason_of(error: OSError) -> str:
    """What the system says, in small letters."""
    return (error.strerror or str(error)).lower()


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the known word nearest to ``word``, or nothing where none is near.

    Nothing either where the word is very long, or the known ones are very many.
    """
    from difflib import get_close_matches  # noqa: PLC0415 - only where something is wrong

    words = list(known)
    if len(word) > WIDEST or len(words) > MOST_KNOWN:
        return ""
    close = get_close_matches(word, words, n=1, cutoff=0.6)
    return f'nearest: "{close[0]}"' if close else ""
