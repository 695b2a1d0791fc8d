"""Exact time: the grain, and the note values named in it.

One unit inside: the *grain*, 10 080 to the quarter note (divisible by 2⁵, 3², 5 and 7), always ``int``, so that
sixteenths, thirty-seconds, triplets, sextuplets, quintuplets and septuplets are exact.
Names of note values: the American ones of common practice.
"""

from __future__ import annotations

GRAINS_PER_QUARTER = 10_080
GRAINS_PER_WHOLE = 4 * GRAINS_PER_QUARTER

NOTE_VALUES: dict[str, int] = {
    "whole": 40_320,
    "half": 20_160,
    "quarter": 10_080,
    "eighth": 5_040,
    "sixteenth": 2_520,
    "thirty-second": 1_260,
}
"""Grains of each plain note value."""

TEMPO_UNITS: dict[str, int] = NOTE_VALUES | {f"dotted {name}": grains * 3 // 2 for name, grains in NOTE_VALUES.items()}
"""Grains of each note value that a tempo can be counted in."""

UNIT_NAMES: dict[int, str] = {grains: name for name, grains in TEMPO_UNITS.items()}
"""The name of each of those lengths."""
