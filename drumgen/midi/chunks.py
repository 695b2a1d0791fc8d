"""Chunks: the bytes that a MIDI file is put together from: its chunks, its numbers of variable length, its statuses.

Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association RP-001), MIDI 1.0 (status bytes, controller 4).
"""

from __future__ import annotations

LARGEST_BYTES = 64 << 20
"""Of a file that is read or written."""

LARGEST_DELTA = (1 << 28) - 1
"""The most ticks that a variable-length quantity of four bytes says."""

NOTE_OFF, NOTE_ON, AFTERTOUCH, CONTROL, PROGRAM = 0x80, 0x90, 0xA0, 0xB0, 0xC0
"""Channel messages, by the upper half of their status byte."""

SYSTEM, META = 0xF0, 0xFF
"""From the first on a status is of no channel; the last stands before a meta event."""

PEDAL_CONTROLLER = 4
"""The foot controller, on which modules send the hi-hat's pedal (*common practice*)."""


def chunk(kind: bytes, body: bytes | bytearray) -> bytes:
    """A chunk: its four letters, its length, its content."""
    return kind + len(body).to_bytes(4, "big") + body


def header(*words: int) -> bytes:
    """The header chunk of a file; ``words`` are its format, the number of its tracks, its division."""
    return chunk(b"MThd", b"".join(word.to_bytes(2, "big") for word in words))


def variable(number: int) -> bytes:
    """A variable-length quantity, from 0 to `LARGEST_DELTA`: seven bits a byte, the most significant first.

    >>> variable(0x7F).hex(), variable(0x80).hex(), variable(LARGEST_DELTA).hex()
    ('7f', '8100', 'ffffff7f')
    """
    row = [number & 0x7F]
    while number := number >> 7:
        row.append(0x80 | number & 0x7F)
    return bytes(reversed(row))
