"""Meters: how long a bar is, what is felt as its beat, and what number is said on it.

*Beat*: what is felt. A quarter in x/4; a half in x/2; a dotted value in compound meters (6/8, 9/8, 12/8 and their like
over 16 and 32); each group in a grouped meter; in any other meter the lower number's own value.
*Count*: the number said: the lower number's own value, or the beat where the meter is counted ``in n``.
Counting aloud has no standard; these ways are *common practice*. All lengths are grains.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import GRAINS_PER_QUARTER, GRAINS_PER_WHOLE, UNIT_NAMES

LOWER_NUMBERS = (1, 2, 4, 8, 16, 32)
UPPER_MOST = 32

_QUARTERS = {"e": (1, 4), "&": (1, 2), "a": (3, 4)}
_THIRDS = {"t": (1, 3), "l": (2, 3), "&t": (4, 6), "&l": (5, 6)}
_SIMPLE = {"": (0, 1), **_QUARTERS, **_THIRDS}
_HALVED = {"": (0, 1), "&": (1, 2)}
_COMPOUND = {"": (0, 1), "&": (1, 3), "a": (2, 3), "t": (1, 3), "l": (2, 3)}
_WHOLE = {"": (0, 1)}


class Beat(NamedTuple):
    """One felt beat: where it starts in the bar, and its length."""

    start: int
    grains: int


class Count(NamedTuple):
    """One spoken count: where it starts, its length, and the parts of it that have a name, as grains from its start."""

    start: int
    grains: int
    parts: dict[str, int]


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter; ``felt`` is set where the counts are the felt beats (``12/8 in 4``).

    >>> [str(parse_meter(text)) for text in ("4/4", " 7/8  2+2+3", "2+2+3/8", "12/8 in 4")]
    ['4/4', '7/8 2+2+3', '7/8 2+2+3', '12/8 in 4']
    """

    upper: int
    lower: int
    groups: tuple[int, ...] = ()
    felt: bool = False

    def __str__(self) -> str:
        groups = f" {'+'.join(map(str, self.groups))}" if self.groups else ""
        return f"{self.upper}/{self.lower}{groups}{f' in {len(self.beats)}' if self.felt else ''}"

    @property
    def unit_grains(self) -> int:
        """The length of the lower number's note value."""
        return GRAINS_PER_WHOLE // self.lower

    @property
    def grains(self) -> int:
        """The length of the bar."""
        return self.upper * self.unit_grains

    @property
    def compound(self) -> bool:
        """Whether the beat divides in three: an upper number of 6, 9, 12… over eighths or shorter, not grouped."""
        return not self.groups and self.lower >= 8 and self.upper > 3 and self.upper % 3 == 0

    @property
    def beats(self) -> tuple[Beat, ...]:
        """The felt beats, in order."""
        return _beats(self)

    def beat_at(self, place: int) -> int:
        """The index of the felt beat that a place of the bar (grains from its start) stands in.

        >>> [parse_meter("6/8").beat_at(place) for place in (0, 15_119, 15_120)]
        [0, 0, 1]
        """
        return next(index for index, beat in enumerate(self.beats) if place < beat.start + beat.grains)

    @property
    def counts(self) -> tuple[Count, ...]:
        """The spoken counts, in order."""
        return _counts(self)

    @property
    def tempo_grains(self) -> int | None:
        """The length that a bare tempo counts: the beat; None where the beats differ or have no name as a note."""
        lengths = {beat.grains for beat in self.beats}
        return lengths.pop() if len(lengths) == 1 and lengths <= UNIT_NAMES.keys() else None

    @property
    def click_grains(self) -> int:
        """The length of one metronome click: the beat, or the count where the beats differ."""
        return self.tempo_grains or self.unit_grains

    @property
    def clocks(self) -> int:
        """MIDI clocks (24 to the quarter) in one metronome click: 36 for a dotted quarter."""
        return self.click_grains * 24 // GRAINS_PER_QUARTER


@lru_cache(maxsize=512)
def _beats(meter: Meter) -> tuple[Beat, ...]:
    sizes = meter.groups or ((3,) * (meter.upper // 3) if meter.compound else (1,) * meter.upper)
    starts = [sum(sizes[:index]) for index in range(len(sizes))]
    unit = meter.unit_grains
    return tuple(Beat(start * unit, size * unit) for start, size in zip(starts, sizes, strict=True))


@lru_cache(maxsize=512)
def _counts(meter: Meter) -> tuple[Count, ...]:
    unit = meter.unit_grains
    if not meter.felt:
        parts = _SIMPLE if meter.lower <= 4 else _HALVED
        return tuple(_count(index * unit, unit, parts) for index in range(meter.upper))
    by_size = {1: _SIMPLE if meter.lower <= 4 else _HALVED, 2: _SIMPLE, 3: _COMPOUND, 4: _SIMPLE}
    return tuple(_count(start, grains, by_size.get(grains // unit, _WHOLE)) for start, grains in meter.beats)


def _count(start: int, grains: int, parts: dict[str, tuple[int, int]]) -> Count:
    return Count(start, grains, {name: grains * above // below for name, (above, below) in parts.items()})


_GROUPS = r"[1-9]\d?(?:\s*\+\s*[1-9]\d?)+"
_METER = re.compile(
    rf"\s*(?:(?P<upper>\d+)|(?P<front>{_GROUPS}))\s*/\s*(?P<lower>\d+)(?:\s+(?P<groups>{_GROUPS}))?"
    r"(?:\s+in\s+(?P<felt>\d+))?\s*",
    re.ASCII,
)


def parse_meter(text: str) -> Meter:
    """The meter written in ``text``.

    ``meter := upper "/" lower [groups] ["in" n] | groups "/" lower ["in" n]`` · ``groups := size {"+" size}``
    with upper 1-32, lower one of 1 2 4 8 16 32, groups that add up to upper, and n the number of felt beats.
    """
    match = _METER.fullmatch(text)
    if match is None or (match["front"] and match["groups"]):
        plain = "".join(str(int(char)) if char.isdecimal() else "/" if char == "\uff0f" else char for char in text)
        near = f'nearest: "{plain}"' if plain != text and _METER.fullmatch(plain) else ""
        raise DrumgenError(Fault('a meter such as "4/4" or "7/8 2+2+3"', got=f'"{text}"', nearest=near))
    groups = tuple(int(size) for size in (match["front"] or match["groups"] or "").split("+") if size)
    upper = sum(groups) if match["front"] else int(match["upper"][:9])
    lower = int(match["lower"][:9])
    if not 1 <= upper <= UPPER_MOST:
        raise _part_fault(
            text, match.span("upper" if match["upper"] else "front"), "an upper number from 1 to 32", upper
        )
    if lower not in LOWER_NUMBERS:
        raise _part_fault(text, match.span("lower"), "a lower number of 1, 2, 4, 8, 16 or 32", lower)
    if groups and sum(groups) != upper:
        raise _part_fault(text, match.span("groups"), f"groups that add up to {upper}", sum(groups))
    meter = Meter(upper, lower, groups)
    if match["felt"]:
        if int(match["felt"][:9]) != len(meter.beats):
            raise _part_fault(
                text, match.span("felt"), f'the number of felt beats, "in {len(meter.beats)}"', match["felt"]
            )
        felt = {beat.grains for beat in meter.beats} != {meter.unit_grains}
        meter = Meter(upper, lower, groups, felt=felt)
    return meter


def _part_fault(text: str, span: tuple[int, int], rule: str, got: object) -> DrumgenError:
    return DrumgenError(Fault(rule, got=str(got), text=text, span=span))
