"""TOML as a person writes it: keys bare where they are words, the equal signs of a table in one column.

Source: TOML 1.0.0. Values are plain ones: texts, numbers, truth values, lists, and dictionaries as inline tables.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from unicodedata import category

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.spec.toml_scan import KeyPath

Plain = str | int | float | list["Plain"] | dict[str, "Plain"]
Entry = tuple[tuple[str, ...], Plain]
"""A key of one or more steps, and its value."""

WIDEST_LINE = 110

_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_-]*")
_SHORT = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}
_UNSEEN = {"Cc", "Zl", "Zp"}
_TURNING = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Marks that turn the direction of writing, by which a line could look other than it is."""


def render_text(text: str) -> str:
    r"""A text as a basic string in quotes, on one line, every script as it is and control characters escaped.

    >>> print(render_text('Тихо, "слева"\n'))
    "Тихо, \"слева\"\n"
    """
    return f'"{"".join(map(_character, text))}"'


def _character(char: str) -> str:
    if char in _SHORT:
        return _SHORT[char]
    return f"\\u{ord(char):04x}" if category(char) in _UNSEEN or char in _TURNING else char


def render_key(path: KeyPath | Sequence[str]) -> str:
    """A dotted key, its steps quoted where they are not words; what begins like a number is none.

    >>> render_key(("bars", "verse 1", "parts"))
    'bars."verse 1".parts'
    >>> render_key(("2",))
    '"2"'
    """
    steps = map(str, path)
    return ".".join(step if _WORD.fullmatch(step) else render_text(step) for step in steps)


def render_value(value: Plain) -> str:
    """A value on one line; a whole float without its point.

    >>> render_value({"around": ["high-tom", "floor-tom"], "every": "beat", "2& 4": "snare"})
    '{ around = ["high-tom", "floor-tom"], every = "beat", "2& 4" = "snare" }'
    """
    match value:
        case str():
            return render_text(value)
        case bool():
            return "true" if value else "false"
        case float():
            return str(int(value)) if value.is_integer() else repr(value)
        case int():
            return str(value)
        case list():
            return f"[{', '.join(map(render_value, value))}]"
        case _:
            inner = ", ".join(f"{render_key((key,))} = {render_value(entry)}" for key, entry in value.items())
            return f"{{ {inner} }}" if inner else "{}"


def render_entries(entries: Iterable[Entry]) -> list[str]:
    """The lines of a table, the equal signs in one column; a list too long for a line is broken."""
    keyed = [(render_key(path), value) for path, value in entries]
    column = max((len(key) for key, _ in keyed), default=0)
    lines: list[str] = []
    for key, value in keyed:
        line = f"{key:{column}} = {render_value(value)}"
        if len(line) > WIDEST_LINE and isinstance(value, list):
            lines += [f"{key:{column}} = [", *_broken(value), "]"]
        else:
            lines.append(line)
    return lines


def _broken(items: list[Plain]) -> Iterable[str]:
    """The items of a list in lines, each as full as it may be."""
    line = ""
    for text in (f"{render_value(item)}," for item in items):
        if line and len(line) + len(text) + 5 > WIDEST_LINE:
            yield line
            line = ""
        line = f"{line} {text}" if line else f"    {text}"
    yield line


def render_document(tables: Iterable[tuple[str, Sequence[Entry]]]) -> str:
    """A whole document: each table under its header, a blank line between; the first header may be empty."""
    blocks = ("\n".join([*([header] if header else []), *render_entries(entries)]) for header, entries in tables)
    return "\n\n".join(block for block in blocks if block) + "\n"
