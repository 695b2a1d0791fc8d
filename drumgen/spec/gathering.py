"""Gathering: all faults and remarks of a file in one go, each pointing to the line where its value was said."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

from drumgen.errors import DrumgenError, Fault, Path

if TYPE_CHECKING:
    from collections.abc import Callable

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Where:
    """Where the values of a bar were said: a fault in an inherited value points there, and says who uses it."""

    bar: str
    origin: dict[Path, str]
    inside: Path = ()
    user: str = ""

    def within(self, path: Path) -> Where:
        """The same, for what stands further inside."""
        return Where(self.bar, self.origin, path)

    def placed(self, fault: Fault) -> Fault:
        """A fault of the bar with its whole path."""
        if not self.bar:
            return replace(fault, via=fault.via or (f"used by bars.{self.user}" if self.user else ""))
        path = (*self.inside, *fault.path)
        keyed = self.origin.get(path[:2]) or self.origin.get(path[:1]) or self.bar
        via = f"used by bars.{self.bar}" if keyed != self.bar else ""
        return replace(fault, path=("bars", keyed, *path), via=via)


FILE = Where("", {})
"""The file as a whole."""


@dataclass(slots=True)
class Gathering:
    """Faults and remarks while a file is resolved."""

    faults: list[Fault] = field(default_factory=list)
    remarks: list[Fault] = field(default_factory=list)

    def fault(self, fault: Fault, where: Where = FILE) -> None:
        """Note one fault."""
        self.faults.append(where.placed(fault))

    def attempt(self, make: Callable[[], Made], path: Path = (), where: Where = FILE) -> Made | None:
        """What ``make`` gives, or None with its faults noted under ``path``."""
        try:
            return make()
        except DrumgenError as error:
            self.faults += [where.placed(fault.under(*path)) for fault in error.faults]
            return None
