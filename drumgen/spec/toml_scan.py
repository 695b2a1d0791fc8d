r"""The spans of a TOML document: key paths to character offsets.

Convention: the text is a document that ``tomllib`` accepts, so nothing is checked, with ``\n`` for every line
end. Offsets count characters, half-open. One walk, each character looked at once, without recursion.
A path is kept to its first `DEEPEST_LEVEL` keys: whatever is deeper shares the place of its 64th level.
Grammar: TOML 1.0.0, and the line breaks, trailing commas and escapes that TOML 1.1 adds.
"""

from __future__ import annotations

import re
import tomllib
from typing import NamedTuple

KeyPath = tuple[str | int, ...]

DEEPEST_LEVEL = 64

_BLANK = re.compile(r"[ \t\n]*+(?:#[^\n]*+[ \t\n]*+)*")
_KEY_PART = re.compile(
    r"""[ \t]*+(?P<raw>(?P<bare>[A-Za-z0-9_-]++)|'[^'\n]*+'|"[^"\\\n]*+(?:\\.[^"\\\n]*+)*")"""
    r"[ \t]*+(?P<then>[.=\]])[ \t]*+"
)
_VALUE = re.compile(
    r'"""[^"\\]*+(?:(?:\\.|""?(?!"))[^"\\]*+)*"{3,5}'
    r"|'''[^']*+(?:''?(?!')[^']*+)*'{3,5}"
    r'|"[^"\\\n]*+(?:\\.[^"\\\n]*+)*"'
    r"|'[^'\n]*+'"
    r"|[\[{]"
    r"|[0-9]{4}-[0-9]{2}-[0-9]{2}[ ][0-9][^\s,\]}#]*+"
    r"|[^\s,\]}#]++",
    re.DOTALL,
)


class Span(NamedTuple):
    """Offsets of a value and of its key, half-open."""

    start: int
    end: int
    key_start: int
    key_end: int


def scan_spans(text: str) -> dict[KeyPath, Span]:
    r"""The span of every table, array and value; ``()`` is the document.

    >>> scan_spans("[bars]\nrole = 'fill'")["bars", "role"]
    Span(start=14, end=20, key_start=7, key_end=11)
    """
    return _Scan(text).spans


class _Open:
    """An array or inline table whose end has not been met; ``count`` is the elements begun, -1 in a table."""

    __slots__ = ("count", "key", "path", "start")

    def __init__(self, path: KeyPath, start: int, key: tuple[int, int], *, is_array: bool) -> None:
        self.path = path
        self.start = start
        self.key = key
        self.count = 0 if is_array else -1


class _Scan:
    """One walk over the text, without recursion, each character looked at once."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.spans: dict[KeyPath, Span] = {(): Span(0, 0, 0, 0)}
        self.tables_so_far: dict[KeyPath, int] = {}
        self._statements()

    def _statements(self) -> None:
        table: KeyPath = ()
        at = self._blank(0)
        while at < len(self.text):
            if self.text[at] == "[":
                table, at = self._header(at)
            else:
                path, key, at = self._key(table, at)
                at = self._value(path, key, at)
            at = self._blank(at)

    def _blank(self, at: int) -> int:
        """Past white space, line ends and comments."""
        match = _BLANK.match(self.text, at)
        return match.end() if match else at

    def _key(self, table: KeyPath, at: int) -> tuple[KeyPath, tuple[int, int], int]:
        """``part ("." part)* ("=" | "]")``: the path, the last part's offsets, and where the value starts."""
        path = table
        while True:
            part, key, then, at = self._key_part(at)
            path = (*path, part)[:DEEPEST_LEVEL]
            if then != ".":
                return path, key, at
            self.spans.setdefault(path, Span(*key, *key))
            if path in self.tables_so_far and len(path) < DEEPEST_LEVEL:
                path = (*path, self.tables_so_far[path] - 1)

    def _key_part(self, at: int) -> tuple[str, tuple[int, int], str, int]:
        match = _KEY_PART.match(self.text, at)
        if match is None:
            msg = "only a document that tomllib accepts has places"
            raise TypeError(msg)
        raw, bare, then = match.groups()
        return bare or _unquoted(raw), match.span("raw"), then, match.end()

    def _header(self, start: int) -> tuple[KeyPath, int]:
        """``"[" key "]"`` or ``"[[" key "]]"``: the table that the lines after it speak of."""
        is_element = self.text.startswith("[[", start)
        path, key, _ = self._key((), start + 1 + is_element)
        end = self.text.index("]", key[1]) + 1 + is_element
        span = Span(start, end, *key)
        if is_element:
            self.spans.setdefault(path, span)
            count = self.tables_so_far.get(path, 0)
            self.tables_so_far[path] = count + 1
            path = (*path, count)[:DEEPEST_LEVEL]
        self.spans[path] = span
        return path, end

    def _value(self, path: KeyPath, key: tuple[int, int], at: int) -> int:
        """One value with everything inside it, from its first character; the offset after it."""
        opened: list[_Open] = []
        while True:
            match = _VALUE.match(self.text, at)
            end = match.end() if match else at
            if self.text[at] in "[{":
                opened.append(_Open(path, at, key, is_array=self.text[at] == "["))
            else:
                self.spans[path] = Span(at, end, *key)
            at = self._next_inside(opened, end)
            if not opened:
                return at
            path, key, at = self._element(opened[-1], at)

    def _next_inside(self, opened: list[_Open], at: int) -> int:
        """Past commas and the ends of containers, to where the next element starts."""
        while opened:
            at = self._blank(at)
            if self.text[at] in "]}":
                inner = opened.pop()
                self.spans[inner.path] = Span(inner.start, at + 1, *inner.key)
            elif self.text[at] != ",":
                break
            at += 1
        return at

    def _element(self, container: _Open, at: int) -> tuple[KeyPath, tuple[int, int], int]:
        if container.count < 0:
            return self._key(container.path, at)
        path = (*container.path, container.count)[:DEEPEST_LEVEL]
        container.count += 1
        return path, container.key, at


def _unquoted(raw: str) -> str:
    """The key that a quoted key stands for."""
    if "\\" not in raw or raw[0] == "'":
        return raw[1:-1]
    (key,) = tomllib.loads(f"{raw}=0")
    return key
