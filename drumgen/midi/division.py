"""Divisions: what a file's ticks are, musical or SMPTE time, as ticks to a quarter note.

In SMPTE time a tick has a fixed length and tempo events mean nothing: its quarter is a second (a thousandth longer at
30 drop-frame, whose frames are 1001/30 000 s), so that every tick stays as it is. Source: Standard MIDI Files 1.0.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drumgen.midi.oddities import Oddities

_RATES = {24: (24, 1_000_000), 25: (25, 1_000_000), 29: (30, 1_001_000), 30: (30, 1_000_000)}


def ticks_of(division: int, oddities: Oddities) -> tuple[int, int]:
    """Ticks to a quarter note, and in SMPTE time the microseconds of that quarter (else 0)."""
    if not division & 0x8000:
        return division, 0
    rate, parts = 256 - (division >> 8), division & 0xFF
    frames, us = _RATES.get(rate, (rate, 1_000_000))
    words = f"SMPTE time, {rate} frames a second of {parts} ticks; tempo events mean nothing in it"
    oddities.add(words if rate in _RATES else f"{words}; {rate} is no SMPTE rate, taken at its word")
    return frames * parts, us
