"""Tempos: beats a minute in a named note value, steady or changing evenly through a bar.

A bare number counts the meter's own beat. Bounds: 10 to 400 of the value that is counted. Inside, a tempo is an
exact fraction of quarters a minute; MIDI's whole microseconds a quarter are rounded, never truncated (Standard MIDI
Files 1.0, Set Tempo).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.note_values import GRAINS_PER_QUARTER, TEMPO_UNITS, UNIT_NAMES

if TYPE_CHECKING:
    from drumgen.meter import Meter

SLOWEST, FASTEST = 10, 400
DEFAULT_PER_MINUTE = 90
_US_PER_MINUTE = 60_000_000
_MOST_US = (1 << 24) - 1


@dataclass(frozen=True, slots=True)
class Tempo:
    """A tempo as it is written: ``unit`` is a note value's name, or nothing for the meter's beat.

    >>> [str(parse_tempo(text)) for text in ("92", "eighth 192", "152 to 120", "dotted quarter 80.5")]
    ['92', 'eighth 192', '152 to 120', 'dotted quarter 80.5']
    """

    start: Fraction
    end: Fraction
    unit: str = ""

    def __str__(self) -> str:
        unit = f"{self.unit} " if self.unit else ""
        return f"{unit}{_plain(self.start)}{'' if self.steady else f' to {_plain(self.end)}'}"

    @property
    def steady(self) -> bool:
        """Whether it stays the same through the bar."""
        return self.start == self.end

    def unit_grains(self, meter: Meter) -> int:
        """The length that is counted. Raises DrumgenError where a bare number has no one beat to count."""
        grains = TEMPO_UNITS[self.unit] if self.unit else meter.tempo_grains
        if grains is None:
            unit = UNIT_NAMES[meter.unit_grains]
            rule = (
                f'a tempo with its note value, as the beats of {meter} have no one note value, such as "{unit} {self}"'
            )
            raise DrumgenError(Fault(rule, got=str(self)))
        return grains

    def quarters(self, meter: Meter) -> tuple[Fraction, Fraction]:
        """Quarter notes a minute at the bar's start and at its end. Raises DrumgenError as ``us_per_quarter``."""
        return _quarters(self, self.unit_grains(meter))


@lru_cache(maxsize=512)
def _quarters(tempo: Tempo, unit_grains: int) -> tuple[Fraction, Fraction]:
    factor = Fraction(unit_grains, GRAINS_PER_QUARTER)
    us_per_quarter(min(tempo.start, tempo.end) * factor)  # refuses what a MIDI file cannot say
    return tempo.start * factor, tempo.end * factor


def _plain(number: Fraction) -> str:
    return str(number.numerator) if number.denominator == 1 else str(float(number))


def us_per_quarter(quarters_per_minute: Fraction) -> int:
    """MIDI's whole microseconds a quarter note, to the nearest (half up): 127 is 472 441.

    Raises DrumgenError where they do not fit the three bytes of a Set Tempo event (Standard MIDI Files 1.0).
    """
    above, below = quarters_per_minute.numerator, quarters_per_minute.denominator
    us = (2 * _US_PER_MINUTE * below + above) // (2 * above)
    if us > _MOST_US:
        rule = "a tempo of at least 3.577 quarter notes a minute, the slowest of a MIDI file"
        raise DrumgenError(Fault(rule, got=f"{float(quarters_per_minute):g}"))
    return us


_NUMBER = r"\d{1,9}(?:\.\d{1,3})?"
_TEMPO = re.compile(
    rf"\s*(?:(?P<unit>[a-z][a-z -]*?)\s+)?(?P<start>{_NUMBER})(?:\s+to\s+(?P<end>{_NUMBER}))?\s*", re.ASCII
)


def parse_tempo(text: str, *, ramp: bool = True) -> Tempo:
    """The tempo written in ``text``; with ``ramp`` it may change through its bar.

    ``tempo := [note value] number ["to" number]``, the numbers from 10 to 400 with at most three decimals.
    """
    match = _TEMPO.fullmatch(text)
    if match is None or (match["end"] and not ramp):
        raise DrumgenError(Fault('a tempo such as 92, "eighth 192" or "dotted quarter 80"', got=f'"{text}"'))
    unit = matched_unit(match)
    start = matched_number(match, "start")
    return Tempo(start, matched_number(match, "end") if match["end"] else start, unit)


def matched_unit(match: re.Match[str]) -> str:
    """The note value in the group ``unit`` of a tempo or ladder; nothing where it names none. Raises DrumgenError."""
    unit = " ".join((match["unit"] or "").split())
    if unit and unit not in TEMPO_UNITS:
        hint, span = nearest(unit, TEMPO_UNITS), match.span("unit")
        raise DrumgenError(Fault("a note value", got=f'"{unit}"', nearest=hint, text=match.string, span=span))
    return unit


def matched_number(match: re.Match[str], group: str) -> Fraction:
    """The beats a minute in a group of a tempo or ladder. Raises DrumgenError out of 10 to 400."""
    number = Fraction(match[group])
    if not SLOWEST <= number <= FASTEST:
        rule = f"a tempo from {SLOWEST} to {FASTEST} beats a minute"
        raise DrumgenError(Fault(rule, got=match[group], text=match.string, span=match.span(group)))
    return number


def default_tempo(meter: Meter) -> Tempo:
    """The tempo of a phrase that names none: 90 of the meter's beat, or its lower value where the beats differ."""
    unit = "" if meter.tempo_grains else UNIT_NAMES[meter.unit_grains]
    return Tempo(Fraction(DEFAULT_PER_MINUTE), Fraction(DEFAULT_PER_MINUTE), unit)
