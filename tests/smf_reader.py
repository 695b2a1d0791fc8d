"""A second reader of Standard MIDI Files, strict, to judge what the product writes.

Written from the specification alone (Standard MIDI Files 1.0, RP-001, revised February 1996, in transcriptions); it
uses no MIDI library and knows nothing of the product. Ticks are absolute from the start of the track, channels
count from 0 as on the wire. Whatever the specification forbids is a ``ValueError`` that
names the byte's offset in the file. Two duties of a reader are kept: unknown chunks are skipped, and a header
longer than six bytes is accepted. What the events mean is in ``smf_music``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NoReturn

Kind = Literal["channel", "meta", "sysex"]

SEQUENCE_NUMBER, END_OF_TRACK, TEMPO, SMPTE_OFFSET, METER = 0x00, 0x2F, 0x51, 0x54, 0x58
# Metas of a fixed length in bytes.
FIXED_LENGTHS = {SEQUENCE_NUMBER: 2, 0x20: 1, END_OF_TRACK: 0, TEMPO: 3, SMPTE_OFFSET: 5, METER: 4, 0x59: 2}
ONE_DATA_BYTE = {0xC0, 0xD0}
# Frames a second by the division's high byte, which is negative; -29 is 30 drop-frame.
FRAME_RATES = {-24: Fraction(24), -25: Fraction(25), -29: Fraction(30_000, 1001), -30: Fraction(30)}


@dataclass(frozen=True, slots=True)
class Header:
    """``division`` is the sixteen bits as they stand."""

    format: int
    ntrks: int
    division: int

    @property
    def ticks_per_quarter(self) -> int | None:
        return None if self.division & 0x8000 else self.division


@dataclass(frozen=True, slots=True)
class Event:
    """``raw`` is the event without its delta, as in the file; ``status`` is known after running status too.

    ``data`` is what follows the status: of a meta its content, with its type in ``meta``; of a sysex its bytes.
    """

    offset: int
    tick: int
    kind: Kind
    status: int
    data: bytes
    raw: bytes
    meta: int | None = None


@dataclass(frozen=True, slots=True)
class Track:
    events: tuple[Event, ...]

    @property
    def end_tick(self) -> int:
        return self.events[-1].tick


@dataclass(frozen=True, slots=True)
class File:
    header: Header
    tracks: tuple[Track, ...]


def refuse(offset: int, rule: str) -> NoReturn:
    message = f"byte {offset}: {rule}"
    raise ValueError(message)


class Bytes:
    """Bytes from an offset of the file up to an end, taken in order."""

    def __init__(self, content: bytes, at: int, end: int) -> None:
        self.content = content
        self.at = at
        self.end = end

    def take(self, count: int, what: str) -> bytes:
        if self.at + count > self.end:
            refuse(self.at, f"{what} needs {count} bytes, {self.end - self.at} are left")
        self.at += count
        return self.content[self.at - count : self.at]

    def number(self, count: int, what: str) -> int:
        return int.from_bytes(self.take(count, what), "big")

    def variable(self, what: str) -> int:
        """A variable-length quantity: seven bits a byte, the most significant first, four bytes at most."""
        start, value = self.at, 0
        for _ in range(4):
            byte = self.number(1, what)
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value
        return refuse(start, f"{what} is longer than four bytes")


def read_smf(content: bytes) -> File:
    """The whole file."""
    chunks = list(chunks_of(content))
    if not chunks or chunks[0][0] != b"MThd":
        refuse(0, "the file does not begin with MThd")
    header = read_header(chunks[0][1])
    tracks = []
    for kind, body in chunks[1:]:
        if kind == b"MThd":
            refuse(body.at - 8, "a second MThd")
        if kind == b"MTrk":
            tracks.append(read_track(body))
    if len(tracks) != header.ntrks:
        refuse(10, f"the header says {header.ntrks} tracks, there are {len(tracks)}")
    if header.format == 1:
        check_tempo_map_stands_first(tracks)
    return File(header, tuple(tracks))


def chunks_of(content: bytes) -> Iterator[tuple[bytes, Bytes]]:
    """Each chunk's type and body; nothing may be left over."""
    file = Bytes(content, 0, len(content))
    while file.at < file.end:
        start = file.at
        kind = file.take(4, "a chunk's type")
        if not all(0x20 <= byte < 0x7F for byte in kind):
            refuse(start, f"{kind!r} is no chunk type")
        length = file.number(4, "a chunk's length")
        body = file.at
        file.take(length, f"the chunk {kind.decode()}")
        yield kind, Bytes(content, body, file.at)


def read_header(body: Bytes) -> Header:
    start = body.at
    if body.end - start < 6:
        refuse(start - 4, "the header is shorter than six bytes")
    header = Header(*(body.number(2, "the header") for _ in range(3)))
    if header.format > 2:
        refuse(start, f"format {header.format}")
    if header.format == 0 and header.ntrks != 1:
        refuse(start + 2, "format 0 has exactly one track")
    if header.ntrks == 0:
        refuse(start + 2, "no tracks")
    check_division(header.division, start + 4)
    return header


def check_division(division: int, offset: int) -> None:
    if division == 0:
        refuse(offset, "no ticks in a quarter")
    if division & 0x8000 and ((division >> 8) - 256 not in FRAME_RATES or division & 0xFF == 0):
        refuse(offset, f"division {division:04X} is no SMPTE time")


def read_track(body: Bytes) -> Track:
    events: list[Event] = []
    tick, running = 0, None
    while body.at < body.end:
        if events and events[-1].meta == END_OF_TRACK:
            refuse(body.at, "bytes after the end of track")
        tick += body.variable("a delta time")
        event = read_event(body, tick, running)
        running = event.status if event.kind == "channel" else None
        events.append(event)
    if not events or events[-1].meta != END_OF_TRACK:
        refuse(body.at, "the track has no end of track")
    return Track(tuple(events))


def read_event(body: Bytes, tick: int, running: int | None) -> Event:
    start = body.at
    status = body.number(1, "an event")
    if status < 0x80:
        if running is None:
            refuse(start, f"data byte {status:02X} where a status byte is due")
        body.at = start
        return read_channel(body, start, tick, running)
    if status < 0xF0:
        return read_channel(body, start, tick, status)
    if status == 0xFF:
        return read_meta(body, start, tick)
    if status in (0xF0, 0xF7):
        return read_sysex(body, start, tick, status)
    return refuse(start, f"status {status:02X} may not stand in a file")


def read_channel(body: Bytes, start: int, tick: int, status: int) -> Event:
    first = body.at
    data = body.take(1 if status & 0xF0 in ONE_DATA_BYTE else 2, "a channel message")
    for index, byte in enumerate(data):
        if byte > 0x7F:
            refuse(first + index, f"data byte {byte:02X} is over 7F")
    return Event(start, tick, "channel", status, data, body.content[start : body.at])


def read_meta(body: Bytes, start: int, tick: int) -> Event:
    meta = body.number(1, "a meta event's type")
    if meta > 0x7F:
        refuse(start + 1, f"meta type {meta:02X} is over 7F")
    data = body.take(body.variable("a meta event's length"), "a meta event")
    if len(data) != FIXED_LENGTHS.get(meta, len(data)):
        refuse(start, f"meta {meta:02X} has {FIXED_LENGTHS[meta]} bytes, not {len(data)}")
    if meta in (SEQUENCE_NUMBER, SMPTE_OFFSET) and tick:
        refuse(start, f"meta {meta:02X} after time 0")
    if meta == TEMPO and not any(data):
        refuse(start, "a tempo of no time")
    return Event(start, tick, "meta", 0xFF, data, body.content[start : body.at], meta)


def read_sysex(body: Bytes, start: int, tick: int, status: int) -> Event:
    data = body.take(body.variable("a sysex event's length"), "a sysex event")
    first = body.at - len(data)
    # F7 may carry anything: it escapes bytes, or goes on with a message sent in packets.
    plain = data.removesuffix(b"\xf7") if status == 0xF0 else b""
    for index, byte in enumerate(plain):
        if byte > 0x7F:
            refuse(first + index, f"data byte {byte:02X} is over 7F")
    return Event(start, tick, "sysex", status, data, body.content[start : body.at])


def check_tempo_map_stands_first(tracks: list[Track]) -> None:
    """In format 1 tempo, meter and SMPTE offset are in the first track only."""
    for track in tracks[1:]:
        for event in track.events:
            if event.meta in (TEMPO, METER, SMPTE_OFFSET):
                refuse(event.offset, f"meta {event.meta:02X} outside the first track")
