"""What is measured against: the same events, built with mido's ordinary constructors and saved.

Events are rows of (delta, kind, values), taken from a file of the product, so that both write the same bytes.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

EventRow = tuple[int, str, tuple[Any, ...]]
FileRows = tuple[int, int, tuple[tuple[EventRow, ...], ...]]
"""Format, ticks to the quarter, and the rows of each track."""


def rows_of(content: bytes) -> FileRows:
    """The rows of a MIDI file."""
    import mido

    file = mido.MidiFile(file=BytesIO(content), charset="utf-8")
    tracks = tuple(tuple(_row(message) for message in track) for track in file.tracks)
    return file.type, file.ticks_per_beat, tracks


def _row(message: Any) -> EventRow:  # noqa: ANN401 - mido has no types
    values = tuple(value for name, value in vars(message).items() if name not in ("type", "time", "channel"))
    return message.time, message.type, values


def built(rows: FileRows) -> Any:  # noqa: ANN401 - mido has no types
    """The file of the rows, as anyone writes one with mido."""
    from mido import Message, MetaMessage, MidiFile, MidiTrack

    kind, ppq, tracks = rows
    file = MidiFile(type=kind, ticks_per_beat=ppq, charset="utf-8")
    for row in tracks:
        track = MidiTrack()
        file.tracks.append(track)
        for delta, name, values in row:
            if name == "note_on" or name == "note_off":  # noqa: PLR1714 - the quickest way to ask
                track.append(Message(name, channel=9, note=values[0], velocity=values[1], time=delta))
            elif name == "lyrics" or name == "marker":  # noqa: PLR1714 - as above
                track.append(MetaMessage(name, text=values[0], time=delta))
            elif name == "track_name":
                track.append(MetaMessage("track_name", name=values[0], time=delta))
            elif name == "set_tempo":
                track.append(MetaMessage("set_tempo", tempo=values[0], time=delta))
            elif name == "time_signature":
                upper, lower, clocks, thirty_seconds = values
                track.append(
                    MetaMessage(
                        "time_signature",
                        numerator=upper,
                        denominator=lower,
                        clocks_per_click=clocks,
                        notated_32nd_notes_per_beat=thirty_seconds,
                        time=delta,
                    )
                )
            else:
                track.append(MetaMessage("end_of_track", time=delta))
    return file


def saved(rows: FileRows) -> bytes:
    """The bytes of the rows' file."""
    out = BytesIO()
    built(rows).save(file=out)
    return out.getvalue()
