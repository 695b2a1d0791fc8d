"""The MIDI test files that music21 ships, read end to end: every channel of each, as mido reads it too.

They are general test files, not of drums; a channel is read as if its notes were a kit's.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import mido
import music21
import pytest

from drumgen.errors import DrumgenError
from drumgen.midi.read import Reading, read_take
from drumgen.spec.loading import load_kit
from drumgen.study.transcribe import transcribe

FILES = sorted(Path(music21.__file__).parent.rglob("*.mid"))


def midos(path: Path) -> dict[int, list[tuple[int, int, int]]]:
    """Tick, key and velocity of every note-on, by channel as people count."""
    found: dict[int, list[tuple[int, int, int]]] = {}
    for track in mido.MidiFile(path).tracks:
        tick = 0
        for message in track:
            tick += message.time
            if message.type == "note_on" and message.velocity:
                found.setdefault(message.channel + 1, []).append((tick, message.note, message.velocity))
    return {channel: sorted(row) for channel, row in found.items()}


def test_there_are_some() -> None:
    assert len(FILES) >= 20


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_channel_is_read_as_mido_reads_it(path: Path) -> None:
    kit = load_kit("general-midi")
    expected = midos(path)
    for channel, hits in expected.items():
        take = read_take(path.read_bytes(), kit=kit, reading=Reading(channel=channel))
        assert sorted((hit.tick, hit.key, hit.velocity) for hit in take.hits) == hits
        others = Counter({other: len(row) for other, row in expected.items() if other != channel})
        assert Counter(dict(take.other_channels)) == others
        try:
            found = transcribe(take)
        except DrumgenError as error:
            assert "strokes of the kit" in str(error)  # noqa: PT017 - either is right
        else:
            assert sum(len(note.hits) for note in found.notes) <= len(take.hits)
