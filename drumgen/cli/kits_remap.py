"""``drumgen kits remap``: a MIDI file moved from one kit to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.saying import remark, say
from drumgen.cli.takes import ChannelOption, checked_channel, in_file, midi_bytes, out_file

if TYPE_CHECKING:
    from drumgen.midi.remap import Remapped


def command(
    take: Annotated[str, typer.Argument(metavar="IN.mid", help="The MIDI file to move.")],
    source: Annotated[str, typer.Option("--from", metavar="KIT", help="The kit it was made for.")],
    target: Annotated[str, typer.Option("--to", metavar="KIT", help="The kit it is moved to.")],
    output: Annotated[str, typer.Option("--output", "-o", metavar="OUT.mid", help="The MIDI file to write.")],
    channel: ChannelOption = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over a file that is there.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Move a MIDI file from one kit to another, stroke by stroke.

    The hi-hat's openness goes both ways, from notes to the pedal (controller 4) and back. Timing, tempo, meter and
    markers stay to the tick; notes without a voice are written through and listed.
    """
    from drumgen.midi.remap import remap  # noqa: PLC0415 - commands import late
    from drumgen.saving import save  # noqa: PLC0415 - as above
    from drumgen.spec.loading import load_kit  # noqa: PLC0415 - as above

    one, other = load_kit(source), load_kit(target)
    path = out_file(output, suffix=".mid", overwrite=overwrite)
    content = midi_bytes(take)
    with in_file(take):
        remapped = remap(content, source=one, target=other, channel=checked_channel(channel))
    remark(*(f"{take}: {oddity}" for oddity in remapped.oddities), *_remarks(remapped))
    save(path, remapped.content)
    moved = sum(remapped.moved.values())
    say(f"wrote {path}: {moved} stroke{'s' * (moved != 1)} of {one.name} moved to {other.name}")
    for (voice, to), times in remapped.moved.items():
        say(f"  {voice}{f' as {to}' if to != voice else ''} ({times})")


def _remarks(remapped: Remapped) -> list[str]:
    lines = [f"note {key} ({times}) written through: {why}" for (key, why), times in remapped.through.items()]
    if remapped.joined:
        strokes = f"{remapped.joined} stroke{'s' * (remapped.joined != 1)}"
        lines.append(f"{strokes} left out that came to one note and moment with another; the louder is kept")
    if remapped.pedals_dropped:
        moves = f"{remapped.pedals_dropped} move{'s' * (remapped.pedals_dropped != 1)}"
        lines.append(f"{moves} of the hi-hat pedal left out: only one of the kits has them")
    return lines
