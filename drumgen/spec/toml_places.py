"""Where everything stands in a TOML document: key paths to lines and columns, which ``tomllib`` does not tell.

Convention: the text comes without a byte order mark and ``tomllib`` has accepted it already, so nothing is
checked here. Lines count from 1, columns from 0 in characters; both kinds of line ending are one. A path is
the keys, and the indexes of arrays, from the top: ``("bars", "verse", "parts", 0, "sticking")``; ``()`` is the
document.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING

from drumgen.spec.toml_scan import KeyPath, scan_spans

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True)
class Place:
    """Where one value stands, and its key.

    ``text`` is the whole line on which the value starts. ``end`` is where the value ends, or the end of that
    line if it goes on. ``content`` is where the characters of a one-line string without escapes start: the
    string's n-th character stands in column ``content + n``; for every other value it is ``None``.
    The key of an array's element is the key of the array. A table that only stands inside a longer key
    (``feet`` in ``feet.kick = "1"``) has its place there.
    """

    line: int
    text: str
    column: int
    end: int
    key_line: int
    key_text: str
    key_column: int
    key_end: int
    content: int | None


class Places(Mapping[KeyPath, Place]):
    """The place of every table, array and value of a document, worked out when asked for."""

    __slots__ = ("_line_starts", "_lines", "_spans", "_text")

    def __init__(self, text: str) -> None:
        self._text = text.replace("\r\n", "\n")
        self._spans = scan_spans(self._text)
        self._lines = self._text.split("\n")
        self._line_starts = [0, *accumulate(len(line) + 1 for line in self._lines)]

    def __getitem__(self, path: KeyPath) -> Place:
        span = self._spans[path]
        line, column = self._locate(span.start)
        key_line, key_column = self._locate(span.key_start)
        return Place(
            line=line,
            text=self._lines[line - 1],
            column=column,
            end=min(column + span.end - span.start, len(self._lines[line - 1])),
            key_line=key_line,
            key_text=self._lines[key_line - 1],
            key_column=key_column,
            key_end=key_column + span.key_end - span.key_start,
            content=column + 1 if _is_verbatim(self.source(path)) and not span.is_key_alone else None,
        )

    def __iter__(self) -> Iterator[KeyPath]:
        return iter(self._spans)

    def __len__(self) -> int:
        return len(self._spans)

    def __contains__(self, path: object) -> bool:
        return path in self._spans

    def nearest(self, path: KeyPath) -> Place:
        """The place of ``path``, or of the innermost table or array around it that has one."""
        while path not in self._spans:
            path = path[:-1]
        return self[path]

    def source(self, path: KeyPath) -> str:
        """The value as it is written; of a table its header, of one inside a longer key that key's part."""
        span = self._spans[path]
        return self._text[span.start : span.end]

    def without(self, *paths: KeyPath) -> str:
        """The text without these keys and their values, and without their lines where nothing else is on them."""
        spans = sorted((self._spans[path] for path in paths if path in self._spans), key=lambda span: -span.start)
        text = self._text
        for span in spans:
            after = text[span.end :]
            blank = len(after) - len(after.lstrip(" \t"))
            text = text[: span.key_start] + (after[blank + 1 :] if after[blank : blank + 1] == "\n" else after)
        return text

    def _locate(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self._line_starts, offset)
        return line, offset - self._line_starts[line - 1]


def find_places(text: str) -> Places:
    r"""The places of a document that ``tomllib`` accepts.

    >>> find_places('[bars.verse]\nsticking = "RLRR LRLL"')["bars", "verse", "sticking"].content
    12
    """
    return Places(text)


def _is_verbatim(source: str) -> bool:
    """Whether the source is a string of one line whose characters stand for themselves."""
    literal = source.startswith("'") and not source.startswith("'''")
    basic = source.startswith('"') and not source.startswith('"""')
    return literal or (basic and "\\" not in source)
