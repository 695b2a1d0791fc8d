"""One track of a MIDI file: its events, as far as they can be made out, with every oddity and the byte it stands on.

Forgiven, each with one remark a kind: running status after a meta or sysex event (the standard cancels it, most readers
carry on), stray real-time and system bytes, data bytes over 127 (read as 127), wrong lengths, a missing end of track.
Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association RP-001), MIDI 1.0 (status bytes).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.midi.chunks import LARGEST_DELTA, META

if TYPE_CHECKING:
    from drumgen.midi.oddities import Oddities

END_OF_TRACK = 0x2F
CANNOT_BE_READ = "what follows cannot be read"
_ONE_DATA_BYTE = (0xC0, 0xD0)
_SYSTEM_DATA = {0xF1: 1, 0xF2: 2, 0xF3: 1}
_PLAIN_BYTES = 5


class Event(NamedTuple):
    """One event: ``data`` is what follows its status; of a meta event its type byte and content."""

    tick: int
    offset: int
    status: int
    data: bytes


class TrackReader:
    """One track while it is being read.

    Of the file's ``content`` it begins at ``start``, after its chunk's head; ``claimed`` is where its length says that
    it ends, ``file_end`` where the file does.
    """

    def __init__(self, content: bytes, start: int, claimed: int, file_end: int, oddities: Oddities) -> None:
        self.content, self.oddities = content, oddities
        self.at, self.end, self.claimed = start, min(file_end, claimed), claimed
        self.start, self.file_end = start, file_end
        self.began = start
        self.tick = 0
        self.running = 0
        self.lapsed = False
        self.ended = False
        self.events: list[Event] = []

    def read(self) -> tuple[tuple[Event, ...], int]:
        """The events, and where the next chunk is to be looked for."""
        if self.claimed > self.file_end:
            there = self.file_end - self.start
            self.oddities.add(f"a track's length says {self.claimed - self.start}, {there} are left", self.start - 4)
        elif not self._chunk_follows(self.claimed):
            self.end = self.file_end
        try:
            while self.at < self.end and not self.ended:
                self._plain_messages()
                self._event()
        except IndexError:
            self.oddities.add("the file is cut off inside an event", self.began)
            self.at = self.end
        if not self.ended:
            self.oddities.add("a track without an end of track", self.at)
            self.events.append(Event(self.tick, self.at, META, bytes([END_OF_TRACK])))
        return tuple(self.events), self._next_chunk()

    def _chunk_follows(self, at: int) -> bool:
        return at == self.file_end or self.content[at : at + 4] == b"MTrk" or self._ends_before(at)

    def _ends_before(self, at: int) -> bool:
        return self.content[at - 3 : at] == b"\xff\x2f\x00"

    def _next_chunk(self) -> int:
        if self.at == self.claimed or self.claimed > self.file_end:
            return self.at
        if self.at > self.claimed:
            self.oddities.add("a track longer than its length says, read to its end of track", self.start - 4)
            return self.at
        early = self.content.find(b"MTrk", self.at, self.claimed + 3)
        upto = early if early >= 0 else self.claimed
        what = "a track's length reaches into the next" if early >= 0 else "bytes after an end of track skipped"
        self.oddities.add(what, self.at)
        return upto

    def _plain_messages(self) -> None:
        """Channel messages as they should be, the bulk of every file, up to the first event that is anything else."""
        content, append, at, tick, running = self.content, self.events.append, self.at, self.tick, self.running
        while at < self.end - _PLAIN_BYTES:
            delta, start = content[at], at + 1
            if delta > 0x7F:
                if content[start] > 0x7F:
                    break
                delta, start = (delta & 0x7F) << 7 | content[start], start + 1
            status, body = content[start], start + 1
            if status < 0x80:
                status, body = running, start
            if not 0x80 <= status < 0xF0 or (self.lapsed and body == start):
                break
            after = body + (1 if 0xC0 <= status < 0xE0 else 2)
            data = content[body:after]
            if not data.isascii():
                break
            tick += delta
            append(Event(tick, start, status, data))
            at, running, self.lapsed = after, status, False
        self.at, self.tick, self.running = at, tick, running

    def _event(self) -> None:
        self.tick += self._variable("a delta time")
        self.began = start = self.at
        status = self.content[start]
        if status < 0x80:
            self._running(start)
        elif status < 0xF0:
            self.at += 1
            self.running, self.lapsed = status, False
            self._channel(start, status)
        elif status == META:
            self._meta(start)
        elif status in (0xF0, 0xF7):
            self._sysex(start, status)
        else:
            kind = "real-time" if status >= 0xF8 else "system"
            self.oddities.add(f"a stray {kind} byte {status:02X} skipped", start, kind=f"stray {kind}")
            self.at += 1 + _SYSTEM_DATA.get(status, 0)

    def _running(self, start: int) -> None:
        if not self.running:
            self.oddities.add("data bytes without a status byte skipped", start)
            self.at += 2 if self.content[start + 1] < 0x80 else 1
            return
        if self.lapsed:
            words = "running status goes on after a meta or sysex event, which ends it; read on"
            self.oddities.add(words, start)
            self.lapsed = False
        self._channel(start, self.running)

    def _channel(self, start: int, status: int) -> None:
        count = 1 if status & 0xF0 in _ONE_DATA_BYTE else 2
        data = self.content[self.at : self.at + count]
        self.at += count
        if len(data) < count or self.at > self.end:
            raise IndexError
        if not data.isascii():
            self.at -= count
            data = bytes(self._data_byte() for _ in range(count))
        self.events.append(Event(self.tick, start, status, data))

    def _data_byte(self) -> int:
        """One data byte; stray real-time bytes before it are skipped, one over 127 is read as 127."""
        while 0xF8 <= self.content[self.at] < META:
            self.oddities.add(f"a stray real-time byte {self.content[self.at]:02X} skipped", self.at, kind="stray")
            self.at += 1
        byte = self.content[self.at]
        if byte > 0x7F:
            self.oddities.add(f"a data byte {byte:02X} over 7F, read as 127", self.at, kind="over")
        self.at += 1
        return min(byte, 0x7F)

    def _meta(self, start: int) -> None:
        kind = self.content[start + 1]
        self.at = start + 2
        length = self._variable("a meta event's length")
        if self.at + length > self.end:
            self._cut(start, f"a meta event says {length} bytes, {self.end - self.at} are left")
            return
        body = self._take(length)
        if kind > 0x7F:
            self.oddities.add(f"a meta event of type {kind:02X}, which is over 7F, skipped", start)
        else:
            self.events.append(Event(self.tick, start, META, bytes([kind]) + body))
            self.ended = kind == END_OF_TRACK
        self.lapsed = True

    def _sysex(self, start: int, status: int) -> None:
        self.at = start + 1
        length = self._variable("a sysex event's length")
        if self.at + length > self.end:
            closing = self.content.find(b"\xf7", start, self.end)
            if closing < 0:
                self._cut(start, f"a sysex event says {length} bytes, {self.end - self.at} are left")
                return
            self.oddities.add("a sysex event with a wrong length, skipped up to its F7", start)
            self.at = closing + 1
        else:
            self.events.append(Event(self.tick, start, status, self._take(length)))
        self.lapsed = True

    def _cut(self, start: int, words: str) -> None:
        """What follows cannot be made out: the track ends here."""
        self.oddities.add(f"{words}; {CANNOT_BE_READ}", start)
        self.at = self.end

    def _take(self, length: int) -> bytes:
        self.at += length
        return self.content[self.at - length : self.at]

    def _variable(self, what: str) -> int:
        """A variable-length quantity: seven bits a byte, at most four bytes; a longer one is read as the largest."""
        start, value = self.at, 0
        while (byte := self.content[self.at]) > 0x7F:
            value = value << 7 | byte & 0x7F
            self.at += 1
            if self.at - start > 9:
                break
        else:
            value = value << 7 | byte
            self.at += 1
        if self.at - start > 4:
            self.oddities.add(f"{what} of more than four bytes", start)
        return min(value, LARGEST_DELTA)
