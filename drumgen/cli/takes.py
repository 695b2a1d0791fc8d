"""What a TAKE on the command line is: a MIDI file that somebody played, and how it is read."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.saying import remark
from drumgen.errors import DrumgenError, fail

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.kit import Kit
    from drumgen.take import Take

MOST_DEBOUNCE_MS = 100.0

ChannelOption = Annotated[
    int | None, typer.Option("--channel", metavar="N", help="The drums' MIDI channel, 1 to 16; else the kit's.")
]
PedalOption = Annotated[
    str | None,
    typer.Option(
        "--pedal",
        metavar="VALUES",
        help='What the hi-hat pedal sends: "closed 127, open 0", or "closed 127, half 90, open 30".',
    ),
]
DebounceOption = Annotated[
    float, typer.Option("--debounce", metavar="MS", help="Leave out a stroke so soon after another of its note.")
]
StrictOption = Annotated[bool, typer.Option("--strict", help="Refuse a file that breaks the MIDI file format.")]


def open_take(
    path: str,
    *,
    kit: Kit,
    channel: int | None = None,
    pedal: str | None = None,
    debounce_ms: float = 0.0,
    strict: bool = False,
    meter_known: bool = False,
    only_notes: bool = False,
) -> Take:
    """The take of a file, its oddities told as remarks; with ``only_notes`` only those of the bytes.

    Raises DrumgenError where it cannot be read.
    """
    from drumgen.midi.pedal import parse_pedal  # noqa: PLC0415 - commands import late
    from drumgen.midi.read import Reading, read_take  # noqa: PLC0415 - as above

    reading = Reading(
        channel=checked_channel(channel),
        pedal=parse_pedal(pedal) if pedal is not None else None,
        debounce_ms=_checked_debounce(debounce_ms),
        strict=strict,
        meter_known=meter_known,
    )
    content = midi_bytes(path)
    with in_file(path):
        take = read_take(content, kit=kit, reading=reading)
    told = (oddity for oddity in take.oddities if oddity.byte is not None or not only_notes)
    remark(*(f"{path}: {oddity}" for oddity in told))
    return take


def midi_bytes(path: str) -> bytes:
    """The bytes of a MIDI file; one over 64 MiB is refused before it is read. Raises DrumgenError."""
    from drumgen.midi.chunks import LARGEST_BYTES  # noqa: PLC0415 - as above
    from drumgen.spec.loading import load_bytes  # noqa: PLC0415 - as above

    found = Path(path)
    if found.is_file() and found.stat().st_size > LARGEST_BYTES:
        raise fail("a MIDI file of at most 64 MiB", got=f"{found.stat().st_size >> 20} MiB")
    return load_bytes(found)


def checked_channel(channel: int | None) -> int | None:
    """The channel of ``--channel``. Raises DrumgenError where there is none such."""
    if channel is not None and not 1 <= channel <= 16:
        raise fail("--channel from 1 to 16", got=str(channel))
    return channel


def _checked_debounce(debounce_ms: float) -> float:
    if not 0 <= debounce_ms <= MOST_DEBOUNCE_MS:
        raise fail(f"--debounce from 0 to {MOST_DEBOUNCE_MS:g} milliseconds", got=f"{debounce_ms:g}")
    return debounce_ms


@contextmanager
def in_file(path: str) -> Iterator[None]:
    """Let what is wrong inside name the file."""
    try:
        yield
    except DrumgenError as error:
        raise DrumgenError(*(replace(fault, file=fault.file or path) for fault in error.faults)) from None
