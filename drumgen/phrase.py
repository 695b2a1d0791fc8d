"""Phrases: bars in order on a kit, checked and whole. What every later step starts from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from drumgen.levels import Dynamics
from drumgen.practice import Practice

if TYPE_CHECKING:
    from drumgen.bar import Bar
    from drumgen.errors import Fault
    from drumgen.kit import Kit
    from drumgen.meter import Meter
    from drumgen.tempo import Tempo

LONGEST_TITLE = 200
MOST_BARS = 100_000


@dataclass(frozen=True, eq=False)
class Phrase:
    """A phrase: ``order`` names its bars one after the other; ``remarks`` are what its reading had to say."""

    name: str
    title: str
    kit: Kit
    meter: Meter
    tempo: Tempo
    bars: dict[str, Bar]
    order: tuple[str, ...]
    dynamics: Dynamics = field(default_factory=Dynamics)
    practice: Practice = field(default_factory=Practice)
    note: str = ""
    remarks: tuple[Fault, ...] = ()

    @property
    def first_number(self) -> int:
        """The number of the first bar: 0 where it is a pickup."""
        return 0 if self.order and self.bars[self.order[0]].role == "pickup" else 1
