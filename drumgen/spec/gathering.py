"""Gathering: all faults and remarks of a file in one go, each pointing to the line where its value was said."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

from drumgen.errors import DrumgenError, Fault, Path

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Origin:
    """Where the values of a bar were said: a fault in an inherited value points there, and says who uses it."""

    bar: str
    said_in: dict[Path, str]
    inside: Path = ()
    user: str = ""

    def within(self, path: Path) -> Origin:
        """The same, for what stands further inside."""
        return Origin(self.bar, self.said_in, path)

    def placed(self, fault: Fault) -> Fault:
        """A fault of the bar with its whole path."""
        if not self.bar:
            return replace(fault, via=fault.via or (f"used by bars.{self.user}" if self.user else ""))
        path = (*self.inside, *fault.path)
        keyed = self.said_in.get(path[:2]) or self.said_in.get(path[:1]) or self.bar
        if path[:1] == ("sticking",):
            keyed = self.said_in.get(path) or self.said_in.get(("rudiment",)) or self.bar
        via = f"used by bars.{self.bar}" if keyed != self.bar else ""
        return replace(fault, path=("bars", keyed, *path), via=via)


FILE = Origin("", {})
"""The file as a whole."""


MOST_GATHERED = 500
"""With so many faults a file is given up: more are never told one by one."""


class TooManyFaultsError(Exception):
    """Ends the resolving of a file; it never leaves it."""


@dataclass(slots=True)
class Gathering:
    """Faults and remarks while a file is resolved."""

    faults: list[Fault] = field(default_factory=list)
    remarks: list[Fault] = field(default_factory=list)

    def fault(self, fault: Fault, origin: Origin = FILE) -> None:
        """Note one fault. Raises TooManyFaultsError where it makes no sense to go on."""
        self.faults.append(origin.placed(fault))
        if len(self.faults) >= MOST_GATHERED:
            raise TooManyFaultsError

    def attempt(self, make: Callable[[], Made], path: Path = (), origin: Origin = FILE) -> Made | None:
        """What ``make`` gives, or None with its faults noted under ``path``."""
        try:
            return make()
        except DrumgenError as error:
            for fault in error.faults:
                self.fault(fault.under(*path), origin)
            return None


MOST_USERS = 3
"""How many users of a faulty value are named."""


def merged(faults: Iterable[Fault]) -> list[Fault]:
    """Each fault once: of a value that several bars use, those that only inherit it are named together.

    Where the bar that says it is at fault too, its users are not named at all.
    """
    users: dict[Fault, list[str]] = {}
    for fault in faults:
        users.setdefault(replace(fault, via=""), []).append(fault.via)
    return [replace(fault, via=_users("" if "" in named else named)) for fault, named in users.items()]


def _users(named: Iterable[str]) -> str:
    names = list(dict.fromkeys(named))
    more = f" and {len(names) - MOST_USERS} more" if len(names) > MOST_USERS else ""
    return ", ".join([*names[:1], *(name.removeprefix("used by ") for name in names[1:MOST_USERS])]) + more
