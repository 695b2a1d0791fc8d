"""What the events of a Standard MIDI File mean: onsets, notes, tempo, seconds, meters and texts.

Written from the specification alone (Standard MIDI Files 1.0, RP-001), like ``smf_reader``, for formats 0 and 1, whose
tracks are one piece of music. Ticks are absolute, seconds exact fractions, channels count from 0, texts are bytes.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from smf_reader import FRAME_RATES, METER, TEMPO, Event, File, refuse

TEXT, COPYRIGHT, TRACK_NAME, INSTRUMENT, LYRIC, MARKER, CUE = range(1, 8)
LAST_TEXT = 0x0F
DEFAULT_TEMPO_US = 500_000


@dataclass(frozen=True, slots=True)
class Onset:
    tick: int
    channel: int
    key: int
    velocity: int


@dataclass(frozen=True, slots=True)
class Note:
    tick: int
    end_tick: int
    channel: int
    key: int
    velocity: int

    @property
    def length_ticks(self) -> int:
        return self.end_tick - self.tick


@dataclass(frozen=True, slots=True)
class Text:
    tick: int
    track: int
    meta: int
    content: bytes


@dataclass(frozen=True, slots=True)
class Meter:
    """A time signature; ``lower`` is the number written, not its logarithm."""

    tick: int
    upper: int
    lower: int
    clocks_per_click: int
    thirty_seconds_per_quarter: int


def in_order(file: File) -> list[tuple[int, Event]]:
    """Track number and event, by tick, tracks in turn within one tick."""
    rows = [(number, event) for number, track in enumerate(file.tracks) for event in track.events]
    return sorted(rows, key=lambda row: row[1].tick)


def onsets(file: File) -> list[Onset]:
    """Every note-on of a velocity above 0, of all tracks, by tick."""
    return [
        Onset(event.tick, event.status & 0x0F, event.data[0], event.data[1])
        for _, event in in_order(file)
        if event.status & 0xF0 == 0x90 and event.data[1]
    ]


def notes(file: File) -> list[Note]:
    """Every note with its end: the first note-off of that channel and key, of any track, not taken by an earlier note.

    By tick; raises ``ValueError`` for a note that is never ended and for a note-off that ends nothing.
    """
    sounding: dict[tuple[int, int], list[tuple[int, Event]]] = {}
    found: list[tuple[int, Note]] = []
    for order, (_, event) in enumerate(in_order(file)):
        command, channel = event.status & 0xF0, event.status & 0x0F
        if event.kind != "channel" or command not in (0x80, 0x90):
            continue
        waiting = sounding.setdefault((channel, event.data[0]), [])
        if command == 0x90 and event.data[1]:
            waiting.append((order, event))
        elif waiting:
            first, on = waiting.pop(0)
            found.append((first, Note(on.tick, event.tick, channel, *on.data)))
        else:
            refuse(event.offset, f"a note-off of key {event.data[0]}, which does not sound")
    for _, on in (left for waiting in sounding.values() for left in waiting):
        refuse(on.offset, f"key {on.data[0]} is never ended")
    return [note for _, note in sorted(found, key=lambda row: row[0])]


def overlaps(file: File) -> list[tuple[Note, Note]]:
    """Neighbouring notes of one channel and key of which the second begins before the first has ended."""
    by_key: dict[tuple[int, int], list[Note]] = {}
    for note in notes(file):
        by_key.setdefault((note.channel, note.key), []).append(note)
    return [pair for row in by_key.values() for pair in pairwise(row) if pair[1].tick < pair[0].end_tick]


def metas(file: File, meta: int) -> list[Event]:
    return [event for _, event in in_order(file) if event.meta == meta]


def tempo_map(file: File) -> list[tuple[int, int]]:
    """(tick, microseconds a quarter), ascending, from tick 0; the last of several on one tick holds."""
    stated = {event.tick: int.from_bytes(event.data, "big") for event in metas(file, TEMPO)}
    return sorted(({0: DEFAULT_TEMPO_US} | stated).items())


def seconds_at(file: File, tick: int) -> Fraction:
    """The exact time of a tick."""
    division = file.header.division
    if division & 0x8000:
        return Fraction(tick, division & 0xFF) / FRAME_RATES[(division >> 8) - 256]
    sections = [*tempo_map(file), (tick, 0)]
    passed = sum(
        (min(following[0], tick) - start) * tempo_us
        for (start, tempo_us), following in pairwise(sections)
        if start < tick
    )
    return Fraction(passed, division * 1_000_000)


def meters(file: File) -> list[Meter]:
    """The time signatures, ascending; none is assumed."""
    return [
        Meter(event.tick, event.data[0], 2 ** event.data[1], event.data[2], event.data[3])
        for event in metas(file, METER)
    ]


def texts(file: File, *kinds: int) -> list[Text]:
    """The text metas of these types, or all of them, by tick."""
    return [
        Text(event.tick, number, event.meta, event.data)
        for number, event in in_order(file)
        if event.meta is not None and 1 <= event.meta <= LAST_TEXT and (not kinds or event.meta in kinds)
    ]
