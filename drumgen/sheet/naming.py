"""Naming: the ids of what is printed, the same in MusicXML and in the engraved sheet.

``m1-3-5040-1a`` is the lowest head of the note of line 1 on grain 5 040 of the third measure of the first score;
``m1-3-5040-1`` a rest there, ``m1-3-5040-1g0`` the first grace note before it.
"""

from __future__ import annotations

from string import ascii_lowercase
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.sheet.score import Event, Line, Score


def measure_name(score: int, measure: int) -> str:
    """The id of a measure, both counted from 1."""
    return f"m{score}-{measure}"


def event_name(measure: str, event: Event, line: Line) -> str:
    """The id of a rest, and what the ids of its heads and grace notes begin with."""
    return f"{measure}-{event.place}-{line.number}"


def head_name(event: str, index: int) -> str:
    """The id of one head of a note, counted from the lowest."""
    return f"{event}{ascii_lowercase[index]}"


def grace_name(event: str, index: int) -> str:
    """The id of a grace note."""
    return f"{event}g{index}"


def _events(score: Score, number: int) -> Iterator[tuple[str, Event]]:
    for index, measure in enumerate(score.measures, start=1):
        for line in measure.lines:
            for event in line.events:
                yield event_name(measure_name(number, index), event, line), event


def head_names(score: Score, number: int) -> Iterator[tuple[str, str]]:
    """Every head and grace note's id, with the kind of its head."""
    for name, event in _events(score, number):
        yield from ((head_name(name, index), one.head.notehead) for index, one in enumerate(event.struck))
        yield from ((grace_name(name, index), one.head.notehead) for index, one in enumerate(event.graces))


def rest_names(score: Score, number: int) -> Iterator[tuple[str, str]]:
    """Every rest's id on which something is said, with what is said."""
    yield from ((name, event.count) for name, event in _events(score, number) if not event.struck and event.count)


def grace_letters(score: Score, number: int) -> Iterator[tuple[str, str]]:
    """Every grace note's id, with the small letter of its hand."""
    for name, event in _events(score, number):
        yield from ((grace_name(name, index), one.limb.lower()) for index, one in enumerate(event.graces))


def drag_names(score: Score, number: int) -> Iterator[str]:
    """The id of the first grace note of every drag."""
    yield from (grace_name(name, 0) for name, event in _events(score, number) if len(event.graces) > 1)
