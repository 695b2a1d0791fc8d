"""Where everything stands in a TOML document: key paths to lines, which ``tomllib`` does not tell.

Convention: the text comes without a byte order mark and ``tomllib`` has accepted it already, so nothing is
checked here. Lines count from 1; both kinds of line ending are one. A path is the keys, and the indexes of arrays, from
the top: ``("bars", "verse", "parts", 0, "sticking")``; ``()`` is the document.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

from drumgen.spec.toml_scan import KeyPath, scan_spans

if TYPE_CHECKING:
    from collections.abc import Iterator


class Place(NamedTuple):
    """The line on which a value begins, and the line of its key.

    The key of an array's element is the key of the array. A table that only stands inside a longer key
    (``feet`` in ``feet.kick = "1"``) has its place there.
    """

    line: int
    key_line: int


class Places(Mapping[KeyPath, Place]):
    """The place of every table, array and value of a document, worked out when asked for."""

    __slots__ = ("_line_starts", "_spans", "_text")

    def __init__(self, text: str) -> None:
        self._text = text.replace("\r\n", "\n")
        self._spans = scan_spans(self._text)
        self._line_starts = [0, *accumulate(len(line) + 1 for line in self._text.split("\n"))]

    def __getitem__(self, path: KeyPath) -> Place:
        span = self._spans[path]
        return Place(self._line(span.start), self._line(span.key_start))

    def __iter__(self) -> Iterator[KeyPath]:
        return iter(self._spans)

    def __len__(self) -> int:
        return len(self._spans)

    def __contains__(self, path: object) -> bool:
        return path in self._spans

    def without(self, *paths: KeyPath) -> str:
        """The text without these keys and their values, and without their lines where nothing else is on them."""
        spans = sorted((self._spans[path] for path in paths if path in self._spans), key=lambda span: -span.start)
        text = self._text
        for span in spans:
            after = text[span.end :]
            blank = len(after) - len(after.lstrip(" \t"))
            text = text[: span.key_start] + (after[blank + 1 :] if after[blank : blank + 1] == "\n" else after)
        return text

    def _line(self, offset: int) -> int:
        return bisect_right(self._line_starts, offset)


def find_places(text: str) -> Places:
    r"""The places of a document that ``tomllib`` accepts.

    >>> find_places('[bars.verse]\nsticking = "RLRR LRLL"')["bars", "verse", "sticking"].line
    2
    """
    return Places(text)
