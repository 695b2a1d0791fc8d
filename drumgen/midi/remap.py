"""Remapping: a MIDI file moved from one kit to another, stroke by stroke; everything else stays as it is, to the tick.

The hi-hat's openness goes both ways: from keys to the pedal (controller 4, put just before the stroke) and back; where
both kits have a pedal its way is followed in the other's values. A key that the first kit has no voice for, or whose
voice the second lacks, is written through and listed. Two strokes that come to one key on one tick are one, the louder.
Notes of one key that overlapped before may do so after; nothing is made shorter.
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from typing import TYPE_CHECKING, NamedTuple

from drumgen.errors import DrumgenError
from drumgen.midi.chunks import (
    AFTERTOUCH,
    CONTROL,
    LARGEST_DELTA,
    META,
    NOTE_OFF,
    NOTE_ON,
    PEDAL_CONTROLLER,
    PROGRAM,
    SYSTEM,
    chunk,
    header,
    variable,
)
from drumgen.midi.pedal import under_pedal
from drumgen.midi.scan import scan

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.kit import Kit, Voice
    from drumgen.midi.track import Event
    from drumgen.take import Oddity


class Remapped(NamedTuple):
    """The new file; how many strokes went from each voice to which; what was written through, by its key and why.

    ``other_channels`` are (channel as people count, notes), left as they are.
    """

    content: bytes
    moved: dict[tuple[str, str], int]
    through: dict[tuple[int, str], int]
    joined: int
    pedals_dropped: int
    other_channels: tuple[tuple[int, int], ...]
    oddities: tuple[Oddity, ...]


def remap(content: bytes, *, source: Kit, target: Kit, channel: int | None = None) -> Remapped:
    """The MIDI file of ``content``, which was made for the kit ``source``, for the kit ``target``.

    ``channel`` is where its drums are, if not on the source's. Raises DrumgenError where it is no MIDI file.
    """
    scanned = scan(content)
    mapper = _Mapper(source, target, (channel or source.channel) - 1)
    tracks = [mapper.track(track) for track in scanned.tracks]
    head = header(scanned.format, len(tracks), scanned.division)
    whole = b"".join([head, *(chunk(b"MTrk", _encoded(track)) for track in tracks)])
    return Remapped(
        content=whole,
        moved=dict(mapper.moved),
        through=dict(sorted(mapper.through.items())),
        joined=mapper.joined,
        pedals_dropped=mapper.pedals_dropped,
        other_channels=tuple(sorted(mapper.others.items())),
        oddities=scanned.oddities,
    )


class _Mapper:
    """Two kits, and where the notes that sound have gone."""

    def __init__(self, source: Kit, target: Kit, channel: int) -> None:
        self.source, self.target, self.channel = source, target, channel
        self.by_key: dict[int, list[Voice]] = defaultdict(list)
        for voice in source.voices.values():
            self.by_key[voice.key].append(voice)
        self.takes_pedal = any(voice.pedal is not None for voice in target.voices.values())
        self.gives_pedal = any(voice.pedal is not None for voice in source.voices.values())
        self.ways = _ways(source, target)
        self.moved: Counter[tuple[str, str]] = Counter()
        self.through: Counter[tuple[int, str]] = Counter()
        self.others: Counter[int] = Counter()
        self.joined = 0
        self.pedals_dropped = 0
        self.pedal: int | None = None
        self.written_pedal: int | None = None

    def track(self, events: Iterable[Event]) -> list[Event]:
        """One track, moved."""
        self.pedal = self.written_pedal = None
        sounding: dict[int, deque[int | None]] = defaultdict(deque)
        struck: dict[tuple[int, int], int] = {}
        out: list[Event] = []
        for event in events:
            kind, channel = event.status & 0xF0, event.status & 0x0F
            if event.status >= SYSTEM or channel != self.channel:
                out.append(event)
                if kind == NOTE_ON and event.data[1]:
                    self.others[channel + 1] += 1
            elif kind == NOTE_ON and event.data[1]:
                sounding[event.data[0]].append(self._strike(event, out, struck))
            elif kind in (NOTE_OFF, NOTE_ON):
                self._release(event, out, sounding)
            elif kind == CONTROL and event.data[0] == PEDAL_CONTROLLER:
                self._press(event, out)
            else:
                self._other(event, kind, out, sounding)
        return out

    def _to(self, event: Event, kind: int, data: bytes) -> Event:
        return event._replace(status=kind | self.target.channel - 1, data=data)

    def _strike(self, event: Event, out: list[Event], struck: dict[tuple[int, int], int]) -> int | None:
        """Write a stroke; the key it has gone to, or None where it is one with another."""
        key, velocity = event.data
        voice = self._voice(key)
        to = self._target(key, voice)
        if to is not None and to.pedal is not None and not self._is_so(to):
            out.append(self._to(event, CONTROL, bytes([PEDAL_CONTROLLER, to.pedal])))
            self.written_pedal = to.pedal
        new_key = key if to is None else to.key
        known = struck.get((event.tick, new_key))
        if known is not None:
            self.joined += 1
            if velocity > out[known].data[1]:
                out[known] = self._to(event, NOTE_ON, bytes([new_key, velocity]))
            return None
        struck[event.tick, new_key] = len(out)
        out.append(self._to(event, NOTE_ON, bytes([new_key, velocity])))
        return new_key

    def _is_so(self, voice: Voice) -> bool:
        """Whether the pedal, as it was last written, already means that voice and no other of its key."""
        if self.written_pedal is None:
            return False
        at = self.written_pedal
        rivals = [each for each in self.target.voices.values() if each.key == voice.key]
        return under_pedal(rivals, at).pedal == voice.pedal

    def _voice(self, key: int) -> Voice | None:
        voices = self.by_key.get(key)
        return under_pedal(voices, self.pedal) if voices else None

    def _target(self, key: int, voice: Voice | None) -> Voice | None:
        if voice is None:
            self.through[key, f"the kit {self.source.name} has no voice for it"] += 1
            return None
        try:
            found = self.target.voice(voice.name)
        except DrumgenError:
            self.through[key, f"the kit {self.target.name} has no {voice.name}"] += 1
            return None
        self.moved[voice.name, found.name] += 1
        return found

    @staticmethod
    def _moved_key(key: int, sounding: dict[int, deque[int | None]]) -> int | None:
        return sounding[key][-1] if sounding[key] else key

    def _release(self, event: Event, out: list[Event], sounding: dict[int, deque[int | None]]) -> None:
        """A note-off goes where its note has gone; one that ends nothing stays as it is."""
        key, velocity = event.data
        new_key = sounding[key].popleft() if sounding[key] else key
        if new_key is not None:
            out.append(self._to(event, event.status & 0xF0, bytes([new_key, velocity])))

    def _press(self, event: Event, out: list[Event]) -> None:
        """The pedal: kept where neither kit says what it means; in the other's values where both do; else left out."""
        self.pedal = event.data[1]
        if self.gives_pedal != self.takes_pedal:
            self.pedals_dropped += 1
            return
        self.written_pedal = _along(self.pedal, self.ways) if self.ways else self.pedal
        out.append(self._to(event, CONTROL, bytes([PEDAL_CONTROLLER, self.written_pedal])))

    def _other(self, event: Event, kind: int, out: list[Event], sounding: dict[int, deque[int | None]]) -> None:
        data = event.data
        if kind == AFTERTOUCH:
            key = self._moved_key(data[0], sounding)
            data = bytes([data[0] if key is None else key, data[1]])
        elif kind == PROGRAM and self.target.program is not None:
            data = bytes([self.target.program])
        out.append(self._to(event, kind, data))


def _ways(source: Kit, target: Kit) -> list[tuple[int, int]]:
    """The pedal's values of the voices that both kits have one for, in order."""
    found = {}
    for name, voice in source.voices.items():
        other = target.voices.get(name)
        if voice.pedal is not None and other is not None and other.pedal is not None:
            found[voice.pedal] = other.pedal
    return sorted(found.items())


def _along(value: int, ways: list[tuple[int, int]]) -> int:
    """The value of one pedal in those of another: evenly between the values that both have."""
    lower = max((way for way in ways if way[0] <= value), default=ways[0])
    upper = min((way for way in ways if way[0] >= value), default=ways[-1])
    if lower[0] == upper[0]:
        return lower[1]
    return lower[1] + (upper[1] - lower[1]) * (value - lower[0]) // (upper[0] - lower[0])


def _encoded(events: Sequence[Event]) -> bytes:
    """A track's bytes, with running status where nothing comes between."""
    body, now, running = bytearray(), 0, 0
    for tick, _, status, data in events:
        body += variable(min(tick - now, LARGEST_DELTA))
        now = tick
        if status == META:
            body += bytes([status, data[0]]) + variable(len(data) - 1) + data[1:]
        elif status >= SYSTEM:
            body += bytes([status]) + variable(len(data)) + data
        else:
            body += data if status == running else bytes([status]) + data
        running = status if status < SYSTEM else 0
    return bytes(body)
