"""Every strategy that tests share: the types of the language, the files, and whole phrases that can be performed."""

from file_strategies import (
    hand_maps,
    kit_files,
    level_lines,
    meters,
    phrase_files,
    places,
    signs,
    steady_tempos,
    stickings,
)
from hypothesis import HealthCheck, settings
from phrase_strategies import general_midi, phrase_of, phrases, valid_phrases, ways_to_practise

UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
"""For laws over whole phrases, whose making takes some tens of milliseconds each on a busy machine."""

__all__ = [
    "UNHURRIED",
    "general_midi",
    "hand_maps",
    "kit_files",
    "level_lines",
    "meters",
    "phrase_files",
    "phrase_of",
    "phrases",
    "places",
    "signs",
    "steady_tempos",
    "stickings",
    "valid_phrases",
    "ways_to_practise",
]
