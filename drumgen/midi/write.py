"""Writing a performance as a Standard MIDI File.

Format 0 holds all in one track; format 1 has a tempo track first. The same performance gives the same bytes.
Every different message is made, checked and encoded by mido, once; the chunks, delta times and running status around
them are written here, which is quicker than mido's own loop over every message of a file.
Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association RP-001).
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault
from drumgen.midi import events
from drumgen.midi.chunks import LARGEST_BYTES, LARGEST_DELTA, SYSTEM, chunk, header, variable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.midi.events import RankedEvent, Tracks
    from drumgen.performance import Performance

_BYTES_A_HIT = 8


def render_midi(performance: Performance, *, tracks: Tracks = "one") -> bytes:
    """The bytes of the file. Raises DrumgenError where it would break a limit of the kit, or be over 64 MiB."""
    _check_before(performance)
    channel = performance.kit.channel - 1
    chunks = [_track(row, channel) for row in events.make_tracks(performance, tracks)]
    head = header(0 if tracks == "one" else 1, len(chunks), performance.ppq)
    content = b"".join([head, *chunks])
    if len(content) > LARGEST_BYTES:
        raise _too_large(len(content))
    limit = performance.kit.limits.largest_kib
    if limit is not None and len(content) > limit * 1024:
        raise _limit(performance, "largest_kib", f"at most {limit} KiB", f"{-(-len(content) // 1024)} KiB")
    return content


def _check_before(performance: Performance) -> None:
    longest = performance.kit.limits.longest_s
    if longest is not None and performance.seconds > longest:
        raise _limit(performance, "longest_s", f"at most {longest} s", f"{performance.seconds:.1f} s")
    size = len(performance.hits) * _BYTES_A_HIT
    if size > LARGEST_BYTES:
        raise _too_large(size)


def _too_large(size: int) -> DrumgenError:
    return DrumgenError(Fault("a MIDI file of at most 64 MiB", got=f"about {-(-size >> 20)} MiB"))


def _limit(performance: Performance, key: str, rule: str, got: str) -> DrumgenError:
    return DrumgenError(Fault(rule, got=got, path=("kits", performance.kit.name, "limits", key)))


def _track(row: Iterable[RankedEvent], channel: int) -> bytes:
    """A track's chunk. A channel message leaves out its status where the one before had the same (running status)."""
    body, now, running = bytearray(), 0, 0
    for event in row:
        message = _encoded(channel, *event[1:])
        body += _delta(event.tick - now)
        now, status = event.tick, message[0]
        body += message[1:] if status == running else message
        running = status if status < SYSTEM else 0
    return chunk(b"MTrk", body)


@lru_cache(maxsize=4096)
def _delta(ticks: int) -> bytes:
    """A delta time as a variable-length quantity.

    Raises DrumgenError where it needs more than the four bytes that there are, ValueError for fewer than none.
    """
    if ticks < 0:
        raise ValueError(f"{ticks} ticks between two events")
    if ticks > LARGEST_DELTA:
        rule = f"at most {LARGEST_DELTA} ticks between two events of a track"
        raise DrumgenError(Fault(rule, got=str(ticks)))
    return variable(ticks)


@lru_cache(maxsize=16_384)
def _encoded(channel: int, rank: int, first: int, second: int, text: str) -> bytes:
    """The bytes of what an event says, without its delta time."""
    from mido.midifiles.meta import meta_charset

    with meta_charset("utf-8"):
        return bytes(message_of(channel, rank, first, second, text).bytes())


def message_of(channel: int, rank: int, first: int, second: int, text: str) -> Any:  # noqa: ANN401, PLR0911 - mido has no types; one message a rank
    """What an event says, as a message of mido's."""
    from mido import Message, MetaMessage

    match rank:
        case events.ON:
            return Message("note_on", channel=channel, note=first, velocity=second)
        case events.OFF:
            return Message("note_off", channel=channel, note=first, velocity=second)
        case events.NAME:
            return MetaMessage("track_name", name=text)
        case events.MARKER | events.LETTERS:
            return MetaMessage("marker" if rank == events.MARKER else "lyrics", text=text)
        case events.METER:
            meter = {"numerator": first >> 8, "denominator": first & 0xFF, "clocks_per_click": second}
            return MetaMessage("time_signature", **meter)
        case events.TEMPO:
            return MetaMessage("set_tempo", tempo=first)
        case events.PROGRAM:
            return Message("program_change", channel=channel, program=first)
        case events.PEDAL:
            return Message("control_change", channel=channel, control=first, value=second)
        case _:
            return MetaMessage("end_of_track")
