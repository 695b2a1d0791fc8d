"""A TOML document: its table, and where everything in it stands, read within bounds.

A byte order mark and both kinds of line ending are welcome. Hostile input (too large, too deep, numbers of thousands of
digits) is refused in a line before it can cost anything.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault
from drumgen.spec.gathering import merged

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.errors import Path
    from drumgen.spec.toml_places import Places

LARGEST_BYTES = 1 << 20
DEEPEST = 64
MOST_FAULTS = 100

_KEY = r"""(?:[\w-]++|"[^"\\\n]*+(?:\\.[^"\\\n]*+)*"|'[^'\n]*+')"""
_DEEP_KEY = re.compile(rf"(?:^|[\[{{,])[ \t]*+(?:{_KEY}[ \t]*+\.[ \t]*+){{64}}", re.MULTILINE)
_AT = re.compile(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", re.DOTALL)


@dataclass(frozen=True)
class Document:
    """A TOML text that could be read, under the name that messages give it."""

    file: str
    text: str
    table: dict[str, Any]

    @cached_property
    def places(self) -> Places:
        """Where each value stands; worked out only when something is to be said of one."""
        from drumgen.spec.toml_places import find_places  # noqa: PLC0415 - only faults and remarks need it

        return find_places(self.text)

    def placed(self, fault: Fault) -> Fault:
        """A fault with its file and line: the line of its path, or of the nearest table around it.

        A fault of another file (a kit's) keeps its own place.
        """
        if fault.file and fault.file != self.file:
            return fault
        fault = replace(fault, path=self._as_said(fault.path))
        path: Path = fault.path
        while path and path not in self.places:
            path = path[:-1]
        line = self._line(path, key=path == fault.path and not fault.text) if path else 0
        return replace(fault, file=self.file, line=fault.line or line)

    def _as_said(self, path: Path) -> Path:
        """A path by the keys of the file: a rudiment where it stands for its sticking, a hand for its only voice."""
        if path in self.places or not path:
            return path
        above, last = path[:-1], path[-1]
        if last == "sticking" and (*above, "rudiment") in self.places:
            return (*above, "rudiment")
        return above if last == "main" else path

    def _line(self, path: Path, *, key: bool) -> int:
        place = self.places[path]
        return place.key_line if key and isinstance(path[-1], str) else place.line

    def error(self, faults: Iterable[Fault], *, given_up: bool = False) -> DrumgenError:
        """All faults of the document, as they are told."""
        return DrumgenError(*self.told(faults, given_up=given_up))

    def told(self, faults: Iterable[Fault], *, kind: str = "faults", given_up: bool = False) -> tuple[Fault, ...]:
        """Faults, or what ``kind`` says, by the document's lines, each once; ``given_up``: there may be yet more."""
        placed = sorted(merged(self.placed(fault) for fault in faults), key=lambda fault: fault.line)
        if len(placed) > MOST_FAULTS:
            number = f"{'at least ' if given_up else ''}{len(placed) - MOST_FAULTS}"
            more = Fault(f"{number} more {kind}", file=self.file)
            placed = [*placed[:MOST_FAULTS], more]
        return tuple(placed)


def decode(content: bytes, *, file: str) -> str:
    """The text of a file's bytes: UTF-8, with or without a byte order mark, at most 1 MiB."""
    if len(content) > LARGEST_BYTES:
        rule = f"a file of at most {LARGEST_BYTES} bytes (1 MiB)"
        raise DrumgenError(Fault(rule, got="more", file=file))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        got = f"byte {content[error.start]:02X} hex at {error.start}"
        raise DrumgenError(Fault("text in UTF-8", got=got, file=file, line=line)) from None


def read_document(text: str, *, file: str) -> Document:
    """The document of a TOML text. Raises DrumgenError with the line where it is not TOML, or is out of bounds."""
    text = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    deep = _DEEP_KEY.search(text)
    if deep:
        line = text.count("\n", 0, deep.start()) + 1
        raise DrumgenError(Fault(f"at most {DEEPEST} levels of nesting", got="more", file=file, line=line))
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DrumgenError(_syntax_fault(str(error), text, file)) from None
    except RecursionError:
        raise DrumgenError(Fault(f"at most {DEEPEST} levels of nesting", got="more", file=file)) from None
    except ValueError:  # Python's own bound on the digits of a whole number
        raise DrumgenError(_digits_fault(text, file)) from None
    if _deeper(table):
        raise DrumgenError(Fault(f"at most {DEEPEST} levels of nesting", got="more", file=file))
    return Document(file, text, table)


def _deeper(value: object) -> bool:
    """Whether tables and lists are nested deeper than is allowed; it never goes further down than that."""
    level = [value]
    for _ in range(DEEPEST + 1):
        level = [inner for each in level for inner in _inside(each)]
    return bool(level)


def _inside(value: object) -> list[Any]:
    return list(value.values()) if isinstance(value, dict) else value if isinstance(value, list) else []


_PLAIN = {
    "Illegal character '\\n'": "a text that is not closed by its quote",
    "Found invalid character '\\n'": "a text that is not closed by its quote",
    "Unterminated string": "a text that is not closed by its quotes",
    "Invalid value": "expected a text in quotes, a number, true or false",
    "Unclosed array": 'a list that is not closed by "]" before this',
    "Unclosed inline table": 'a table that is not closed by "}" before this',
    "Cannot overwrite a value": "this key is there already",
    "Cannot declare": "this header is there already",
    "Duplicate inline table key": "a key that is there already",
    "Expected '='": 'expected "=" after the key',
    "Expected ']' at the end of a table": 'expected "]" at the end of the header',
    "Expected ']]' at the end of an array": 'expected "]]" at the end of the header',
    "Invalid initial character for a key part": "expected letters A to Z, figures, - and _; another name in quotes",
    "Invalid statement": "expected a line key = value or a [header]",
    "Expected newline or end of document": "expected nothing more on this line",
}
"""What the reader of TOML says, by how it begins, in words for those who never heard of TOML."""


def _syntax_fault(message: str, text: str, file: str) -> Fault:
    match = _AT.fullmatch(message)
    what = (match[1] if match else message).strip()
    plain = next((words for start, words in _PLAIN.items() if what.startswith(start)), "")
    lines = text.replace("\r\n", "\n").split("\n")
    line = int(match[2]) if match and match[2] else max(1, len(lines) - (lines[-1] == "" and len(lines) > 1))
    shown = lines[min(line, len(lines)) - 1]
    column = int(match[3]) - 1 if match and match[3] else len(shown)
    sentence = f"not TOML: {plain or what[:1].lower() + what[1:200]}"
    if len(shown) > 200:
        return Fault(sentence, file=file, line=line)
    span = (0, len(shown.rstrip())) if "already" in sentence else (column, column + 1)
    return Fault(sentence, file=file, line=line, text=shown, span=span)


def _digits_fault(text: str, file: str) -> Fault:
    match = re.search(r"[0-9_]{4000,}", text)
    line = text.count("\n", 0, match.start()) + 1 if match else 0
    return Fault("a number of at most 4300 digits", got="more", file=file, line=line)
