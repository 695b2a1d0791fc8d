"""Breaks: small changes of a module, each of which some test should notice.

The changes are mutmut's (its operators, over libcst's trees): numbers, strings, comparisons, arithmetic, arguments,
assignments, conditions. Not broken is what says nothing while a program runs (annotations, names of types, docstrings,
what is imported for types alone), and how much a cache keeps, which changes no answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

import libcst as cst
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path
    from random import Random

_GENERIC = {"Literal", "tuple", "list", "dict", "set", "frozenset", "type", "Callable", "Sequence", "Iterable"}
_FOR_TYPES = {"cast", "TypeVar", "lru_cache"}
"""What takes types, or the size of a cache."""


@dataclass(frozen=True, slots=True)
class Break:
    """One change: ``lines`` are the statement's, both in; ``was`` and ``now`` what differs; ``text`` the module."""

    module: str
    line: int
    lines: tuple[int, int]
    was: str
    now: str
    text: str

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.was}  ==>  {self.now}"


@dataclass(frozen=True, slots=True)
class _Place:
    """A node that can be broken, the line it begins on, and the lines of its statement."""

    node: cst.CSTNode
    line: int
    lines: tuple[int, int]


class Breakable:
    """One module, and what of it can be broken."""

    def __init__(self, root: Path, module: str) -> None:
        self.module, self.text = module, (root / module).read_text("utf-8")
        wrapper = MetadataWrapper(cst.parse_module(self.text))
        self._tree = wrapper.module
        positions = wrapper.resolve(PositionProvider)
        self._places: dict[int, list[_Place]] = {}
        for node, statement in _speaking(self._tree, self._tree):
            if node in positions and any(True for _ in _changed(node)):
                whole = statement if isinstance(statement, cst.SimpleStatementLine) else node
                lines = (positions[whole].start.line, positions[whole].end.line)
                line = positions[node].start.line
                self._places.setdefault(line, []).append(_Place(node, line, lines))

    @property
    def lines(self) -> list[int]:
        """The lines on which something can be broken."""
        return sorted(self._places)

    def breaks(self, line: int, rng: Random | None = None) -> Iterator[Break]:
        """The breaks that begin on a line and leave it Python; with ``rng`` in any order."""
        changes = [(place, new) for place in self._places[line] for new in _changed(place.node)]
        if rng is not None:
            rng.shuffle(changes)
        for place, new in changes:
            text = cst.ensure_type(self._tree.deep_replace(place.node, new), cst.Module).code
            if text != self.text and _is_python(text):
                yield Break(self.module, line, place.lines, *_difference(self.text, text), text)


def sampled(modules: Sequence[Breakable], number: int, rng: Random) -> list[Break]:
    """``number`` breaks, each on a line of its own, every line that can be broken as likely as another."""
    places = [(module, line) for module in modules for line in module.lines]
    rng.shuffle(places)
    found: list[Break] = []
    for module, line in places:
        if len(found) == number:
            break
        found += islice(module.breaks(line, rng), 1)
    return found


def _speaking(node: cst.CSTNode, statement: cst.CSTNode) -> Iterator[tuple[cst.CSTNode, cst.CSTNode]]:
    """Every node that means something while the program runs, with the statement it stands in."""
    if _is_silent(node):
        return
    if isinstance(node, cst.BaseStatement):
        statement = node
    yield node, statement
    for child in _alternative(node) if _is_for_types(node) else node.children:
        yield from _speaking(child, statement)


def _is_silent(node: cst.CSTNode) -> bool:
    match node:
        case cst.Annotation() | cst.Import() | cst.ImportFrom() | cst.Comma():
            return True
        case cst.BaseParenthesizableWhitespace() | cst.TrailingWhitespace() | cst.EmptyLine():
            return True
        case cst.Expr(value=cst.SimpleString() | cst.ConcatenatedString()):
            return True
        case cst.Assign(value=cst.Subscript(value=cst.Name(value=name))):
            return name in _GENERIC
        case cst.Call(func=cst.Name(value=name)):
            return name in _FOR_TYPES
        case _:
            return False


def _is_for_types(node: cst.CSTNode) -> bool:
    return isinstance(node, cst.If) and isinstance(node.test, cst.Name) and node.test.value == "TYPE_CHECKING"


def _alternative(node: cst.CSTNode) -> list[cst.CSTNode]:
    return [node.orelse] if isinstance(node, cst.If) and node.orelse is not None else []


def _changed(node: cst.CSTNode) -> Iterator[cst.CSTNode]:
    for kind, operator in mutation_operators:
        if isinstance(node, kind):
            yield from operator(node)


def _is_python(text: str) -> bool:
    try:
        compile(text, "broken.py", "exec")
    except SyntaxError:
        return False
    return True


def _difference(text: str, broken: str) -> tuple[str, str]:
    """The lines that differ, as they were and as they are now."""
    was, now = text.splitlines(), broken.splitlines()
    while was and now and was[-1] == now[-1]:
        del was[-1], now[-1]
    first = next((at for at, (one, other) in enumerate(zip(was, now, strict=False)) if one != other), len(was))
    return " ".join(map(str.strip, was[first:])), " ".join(map(str.strip, now[first:]))
