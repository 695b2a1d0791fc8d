"""Scanning a MIDI file: its tracks of events, as far as they can be made out, with every oddity and its byte.

One tolerant reader for whatever programs and pads write. Of the file as a whole (of its tracks see `track`) are
forgiven, each with one remark a kind: wrong lengths and counts, junk before, between and after the chunks, a RIFF
wrapper. What cannot be placed in time at all is refused in one line. Memory follows the bytes that are there, never the
sizes that are claimed. Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association RP-001).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.errors import DrumgenError, Fault
from drumgen.midi.chunks import LARGEST_BYTES
from drumgen.midi.containers import find_header
from drumgen.midi.oddities import Oddities
from drumgen.midi.track import TrackReader

if TYPE_CHECKING:
    from drumgen.midi.track import Event
    from drumgen.take import Oddity

_HEADER_BYTES = 6


@dataclass(frozen=True, slots=True)
class Scanned:
    """A file: ``division`` as its sixteen bits stand; the events of each track end with its end of track."""

    format: int
    division: int
    tracks: tuple[tuple[Event, ...], ...]
    oddities: tuple[Oddity, ...]


def scan(content: bytes) -> Scanned:
    """The events of a MIDI file. Raises DrumgenError where it is none, is over 64 MiB, or has no time."""
    if len(content) > LARGEST_BYTES:
        raise DrumgenError(Fault("a MIDI file of at most 64 MiB", got=f"{len(content) >> 20} MiB"))
    oddities = Oddities()
    start, end = find_header(content, oddities.add)
    return _Scanner(content, start, end, oddities).scan()


class _Scanner:
    """One file while it is being scanned, from its header to ``end``."""

    def __init__(self, content: bytes, start: int, end: int, oddities: Oddities) -> None:
        self.content, self.start, self.end, self.oddities = content, start, end, oddities

    def scan(self) -> Scanned:
        form, number, division, at = self._header()
        tracks: list[tuple[Event, ...]] = []
        while at < self.end:
            kind, claimed = self.content[at : at + 4], int.from_bytes(self.content[at + 4 : at + 8], "big")
            if kind == b"MTrk":
                events, at = TrackReader(self.content, at + 8, at + 8 + claimed, self.end, self.oddities).read()
                tracks.append(events)
            else:
                at = self._skip_chunk(at, kind, claimed)
        if number != len(tracks):
            words = f"the header says {amount(number, 'track')}, of which there {_are(len(tracks))}"
            self.oddities.add(words, self.start + 10)
        if not tracks:
            raise DrumgenError(Fault("a MIDI file with a track", got="none"))
        return Scanned(form, division, tuple(tracks), self.oddities.all)

    def _header(self) -> tuple[int, int, int, int]:
        at = self.start + 8
        claimed = int.from_bytes(self.content[self.start + 4 : at], "big")
        words = self.content[at : min(at + _HEADER_BYTES, self.end)]
        if len(words) < _HEADER_BYTES:
            raise DrumgenError(Fault(f"byte {self.start}: expected a MIDI file's header of 6 bytes, got {len(words)}"))
        form, number, division = (int.from_bytes(words[i : i + 2], "big") for i in (0, 2, 4))
        if form > 2:
            self.oddities.add(f"format {form} is none of 0, 1, 2, read as 1", at)
        body = at + claimed
        six = self.content[at + _HEADER_BYTES :][:4] == b"MTrk"
        if claimed < _HEADER_BYTES or body > self.end or (six and claimed != _HEADER_BYTES):
            self.oddities.add(f"the header's length says {claimed}, read as 6", self.start + 4)
            body = at + _HEADER_BYTES
        _check_division(division, at + 4)
        return min(form, 1) if form != 2 else 2, number, division, body

    def _skip_chunk(self, at: int, kind: bytes, claimed: int) -> int:
        """Past what is no track: an unknown chunk, which is to be skipped, or bytes that are no chunk at all."""
        is_chunk = len(kind) == 4 and kind.isascii() and kind.decode("ascii", "replace").isprintable()
        if is_chunk and at + 8 + claimed <= self.end:
            self.oddities.add(f'an unknown chunk "{kind.decode()}" skipped', at)
            return at + 8 + claimed
        found = self.content.find(b"MTrk", at + 1, self.end)
        upto = found if found >= 0 else self.end
        self.oddities.add(f"{amount(upto - at, 'extra byte')} ignored", at)
        return upto


def _are(number: int) -> str:
    return f"is {number}" if number == 1 else f"are {number}"


def _check_division(division: int, offset: int) -> None:
    if division == 0 or (division & 0x8000 and not division & 0xFF):
        raise DrumgenError(Fault(f"byte {offset}: expected ticks to the quarter note or to a frame, got none"))
