"""What became of a book that was bound: its files by what was done with them, and what is to be said."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from drumgen.book import SOUNDING

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.binding.jobs import Job, Numbered
    from drumgen.binding.making import Outcome
    from drumgen.errors import Fault


@dataclass
class Bound:
    """What became of a book: names of files, and what is to be said. A fault has its phrase's number, 0 for the whole.

    ``altered`` are files that somebody altered after they were made; they are left as they are.
    ``seconds`` are those of the longest sound that was made, None where none was.
    """

    made: list[str] = field(default_factory=list)
    unchanged: list[str] = field(default_factory=list)
    renamed: list[str] = field(default_factory=list)
    altered: list[str] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    remarks: dict[str, None] = field(default_factory=dict)
    faults: dict[Numbered, None] = field(default_factory=dict)
    seconds: float | None = None

    @property
    def all_faults(self) -> tuple[Fault, ...]:
        """The faults in the order of the book, those of the whole last, each once."""
        ordered = sorted(self.faults, key=_in_book)
        return tuple(dict.fromkeys(fault for _, fault in ordered))

    @property
    def there(self) -> frozenset[str]:
        """The names of the files that are there now."""
        return frozenset((*self.made, *self.unchanged, *self.renamed, *self.altered))

    @property
    def broken(self) -> int:
        """How many phrases have faults."""
        return len({number for number, _ in self.faults if number})

    def leave(self, path: Path) -> None:
        """Note a file that somebody altered."""
        self.altered.append(path.name)
        self.remarks[f"{path} was altered, and is left; --overwrite makes it again"] = None

    def add(self, job: Job, outcome: Outcome) -> None:
        """Note what a file's making had to say."""
        self.remarks.update(dict.fromkeys(outcome.remarks))
        self.faults.update(dict.fromkeys(outcome.faults))
        if outcome.sha256:
            self.made.append(job.name)
        if outcome.sha256 and job.kind in SOUNDING:
            self.seconds = max(self.seconds or 0.0, outcome.seconds)


def _in_book(numbered: Numbered) -> tuple[bool, int, str, int, str]:
    """Where a fault is told, whichever file was ready first."""
    number, fault = numbered
    return number == 0, number, fault.file, fault.line, fault.via
