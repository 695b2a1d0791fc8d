"""Writing a performance as a Standard MIDI File, through mido.

Format 0 holds all in one track; format 1 has a tempo track first. The same performance gives the same bytes.
Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association RP-001).
"""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault
from drumgen.midi import events

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.midi.events import Event, Tracks
    from drumgen.performance import Performance

LARGEST_BYTES = 64 << 20
_BYTES_A_HIT = 8


def render_midi(performance: Performance, *, tracks: Tracks = "one") -> bytes:
    """The bytes of the file. Raises DrumgenError where it would break a limit of the kit, or be over 64 MiB."""
    import mido

    _check_before(performance)
    file = mido.MidiFile(type=0 if tracks == "one" else 1, ticks_per_beat=performance.ppq, charset="utf-8")
    channel = performance.kit.channel - 1
    file.tracks = [_track(track.events, channel) for track in events.make_tracks(performance, tracks)]
    out = BytesIO()
    file.save(file=out)
    content = out.getvalue()
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
        raise DrumgenError(Fault("a MIDI file of at most 64 MiB", got=f"about {size >> 20} MiB"))


def _limit(performance: Performance, key: str, rule: str, got: str) -> DrumgenError:
    return DrumgenError(Fault(rule, got=got, path=("kits", performance.kit.name, "limits", key)))


def _track(row: Iterable[Event], channel: int) -> Any:  # noqa: ANN401 - mido has no types
    """A mido track: each different message is made and checked once, and copied to where it stands."""
    from mido import MidiTrack

    track, now = MidiTrack(), 0
    models: dict[tuple[int, int, int, str], Any] = {}
    for event in row:
        saying = event[1:]
        model = models.get(saying)
        if model is None:
            model = models[saying] = _message(event, channel)
        message = model.copy()
        vars(message)["time"] = event.tick - now
        now = event.tick
        track.append(message)
    return track


def _message(event: Event, channel: int) -> Any:  # noqa: ANN401 - as above
    from mido import Message, MetaMessage

    _, rank, first, second, text = event
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
