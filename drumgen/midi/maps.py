"""Maps: the tempos, meters, names and markers of a file, gathered from all its tracks.

A tempo belongs in the first track; elsewhere it holds for all the same, and is remarked. What cannot be (a tempo of 0,
a meta event too short) is skipped with a remark. Without any: 120 quarters a minute, 4/4 (Standard MIDI Files 1.0).
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.meter import LOWER_NUMBERS, UPPER_MOST, Meter
from drumgen.midi.chunks import META
from drumgen.midi.decoding import decode_text
from drumgen.performance import MeterChange, TempoChange, Words
from drumgen.take import ASSUMED_US_PER_QUARTER

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.midi.oddities import Oddities
    from drumgen.midi.track import Event

    Tracks = Sequence[Sequence[Event]]

NAME, MARKER, TEMPO, METER = 0x03, 0x06, 0x51, 0x58
FIXED_LENGTHS = {TEMPO: 3, METER: 4, 0x00: 2, 0x54: 5, 0x59: 2}
_WORDS = {
    TEMPO: "a tempo",
    METER: "a meter",
    0x00: "a sequence number",
    0x54: "an SMPTE offset",
    0x59: "a key signature",
}


def _metas(tracks: Tracks, kind: int) -> Iterator[tuple[int, Event]]:
    """The meta events of one kind, in order of tick, each with the number of its track from 1."""
    found = [
        (number, event)
        for number, track in enumerate(tracks, start=1)
        for event in track
        if event[2] == META and event[3][0] == kind  # by number, which is quicker for the many that are something else
    ]
    return iter(sorted(found, key=lambda row: row[1].tick))


def _whole(tracks: Tracks, kind: int, oddities: Oddities) -> Iterator[tuple[int, Event, bytes]]:
    """Those that are as long as their kind is; a longer one is read as far as it means something."""
    for number, event in _metas(tracks, kind):
        body = event.data[1:]
        if len(body) < FIXED_LENGTHS[kind]:
            got = f"{amount(len(body), 'byte')} instead of {FIXED_LENGTHS[kind]}"
            oddities.add(f"{_WORDS[kind]} of {got} skipped", event.offset)
        else:
            yield number, event, body


def tempo_map(tracks: Tracks, fixed_us: int, oddities: Oddities) -> tuple[tuple[TempoChange, ...], bool]:
    """The tempo map, and whether the file says it; with ``fixed_us`` tempo events mean nothing."""
    found: dict[int, int] = {}
    for number, event, body in _whole(tracks, TEMPO, oddities):
        us = int.from_bytes(body[:3], "big")
        if us == 0:
            oddities.add("a tempo of no time skipped", event.offset)
            continue
        if number > 1:
            oddities.add(f"a tempo in track {number}, which holds for all tracks", event.offset, kind=f"tempo {number}")
        found[event.tick] = us
    if fixed_us:
        return (TempoChange(0, fixed_us),), False
    changes = [TempoChange(tick, us) for tick, us in sorted(found.items())]
    if not changes or changes[0].tick:
        changes.insert(0, TempoChange(0, ASSUMED_US_PER_QUARTER))
    kept = [changes[0]]
    kept += [change for before, change in pairwise(changes) if change[1] != before[1]]
    return tuple(kept), bool(found)


def meter_map(tracks: Tracks, oddities: Oddities) -> tuple[tuple[MeterChange, ...], bool]:
    """The meter map, and whether the file says it; meters that drumgen cannot count are skipped."""
    found: dict[int, Meter] = {}
    for kind in (0x00, 0x54, 0x59):
        for _ in _whole(tracks, kind, oddities):
            pass
    for _, event, body in _whole(tracks, METER, oddities):
        upper, lower = body[0], 1 << min(body[1], 31)
        if not 1 <= upper <= UPPER_MOST or lower not in LOWER_NUMBERS:
            oddities.add(f"a meter of {upper}/{lower} skipped", event.offset)
            continue
        found[event.tick] = Meter(upper, lower)
    changes = [MeterChange(tick, meter) for tick, meter in sorted(found.items())]
    if not changes or changes[0].tick:
        changes.insert(0, MeterChange(0, Meter(4, 4)))
    kept = [changes[0]]
    kept += [change for before, change in pairwise(changes) if change[1] != before[1]]
    return tuple(kept), bool(found)


def said(tracks: Tracks, oddities: Oddities) -> tuple[tuple[str, ...], tuple[Words, ...]]:
    """The names of the tracks and the markers, as text."""
    names = tuple(_text(event, oddities) for _, event in _metas(tracks, NAME))
    markers = tuple(Words(event.tick, _text(event, oddities)) for _, event in _metas(tracks, MARKER))
    return names, markers


def _text(event: Event, oddities: Oddities) -> str:
    text, encoding = decode_text(event.data[1:])
    if encoding:
        oddities.add(f"a text that is not UTF-8, read as {encoding}", event.offset, kind=f"text {encoding}")
    return text
