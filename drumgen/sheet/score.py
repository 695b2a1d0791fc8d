"""Scores: a phrase as it is written down, note by note, before any file format.

Places are grains from the bar's start, lengths grains (10 080 to the quarter). A *line* is one voice of a measure: the
hands with stems up, the feet with stems down, or both in one line where hands and feet never strike together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from fractions import Fraction

    from drumgen.kit import Kit
    from drumgen.levels import Level
    from drumgen.meter import Meter
    from drumgen.sheet.heads import Head
    from drumgen.spans import Span
    from drumgen.sticking import Limb

BeamWord = Literal["begin", "continue", "end", "forward hook", "backward hook"]
Edge = Literal["", "start", "stop"]


@dataclass(frozen=True, slots=True)
class Struck:
    """One note head: what is struck, by which limb, how loud (a MIDI velocity)."""

    head: Head
    limb: Limb
    level: Level
    velocity: int


@dataclass(frozen=True, slots=True)
class Event:
    """A note, a chord or (nothing ``struck``) a rest, as it is written.

    ``value`` has MusicXML's name of a note value; ``actual`` notes stand in the time of ``normal``; ``graces`` come
    before it in order; ``letters`` are the sticking under it and ``count`` what is said on it.
    """

    place: int
    grains: int
    value: str
    dots: int = 0
    actual: int = 1
    normal: int = 1
    tuplet: Edge = ""
    struck: tuple[Struck, ...] = ()
    graces: tuple[Struck, ...] = ()
    buzz: bool = False
    letters: str = ""
    count: str = ""
    beams: tuple[BeamWord, ...] = ()
    whole_bar: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One voice of a measure: its number, its stems, and its events from the measure's start to its end."""

    number: Literal[1, 2]
    stem: Literal["up", "down"]
    events: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class TempoMark:
    """A tempo as it is printed: so many of a note value (grains) a minute; ``end`` where it changes evenly."""

    unit_grains: int
    per_minute: Fraction
    end: Fraction
    quarters: Fraction
    end_quarters: Fraction


@dataclass(frozen=True, slots=True)
class Measure:
    """One printed measure. ``start`` grains of its bar are cut off in front (a pickup); ``times`` ends a repeat.

    ``bars`` are the numbers of the bars of the phrase that it stands for, in order.
    """

    bars: tuple[int, ...]
    meter: Meter
    span: Span
    lines: tuple[Line, ...]
    tempo: TempoMark
    name: str
    role: str
    start: int = 0
    opens: bool = False
    times: int = 1
    block_times: int = 1

    @property
    def implicit(self) -> bool:
        """Whether it is a pickup, which is not counted among the bars."""
        return self.bars[0] == 0

    @property
    def grains(self) -> int:
        """The length of what is printed."""
        return self.meter.grains - self.start


@dataclass(frozen=True, slots=True)
class Score:
    """A phrase as it is written: its measures in order, and every voice of its kit that they use, as heads."""

    title: str
    note: str
    kit: Kit
    measures: tuple[Measure, ...]
    heads: tuple[Head, ...]
    notes: tuple[tuple[str, str], ...] = ()
