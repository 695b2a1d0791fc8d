"""``drumgen kits remap``: a MIDI file moved from one kit to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.amounts import amount
from drumgen.cli.options import out_file
from drumgen.cli.saying import remark, say
from drumgen.cli.takes import ChannelOption, checked_channel, in_file, midi_bytes

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
    drums = checked_channel(channel) or one.channel
    with in_file(take):
        remapped = remap(content, source=one, target=other, channel=drums)
    remark(*(f"{take}: {oddity}" for oddity in remapped.oddities), *_remarks(remapped, drums))
    save(path, remapped.content)
    moved = amount(sum(remapped.moved.values()), "stroke")
    say(f"wrote {path}: {moved} of {one.name} moved to {other.name}")
    for (voice, to), times in remapped.moved.items():
        say(f"  {voice}{f' as {to}' if to != voice else ''} ({times})")


def _remarks(remapped: Remapped, channel: int) -> list[str]:
    lines = [] if remapped.moved or remapped.through else [_none_on(channel, dict(remapped.other_channels))]
    lines += [f"note {key} ({times}) written through: {why}" for (key, why), times in remapped.through.items()]
    if remapped.joined:
        strokes = amount(remapped.joined, "stroke")
        lines.append(f"{strokes} left out that came to one note and moment with another; the louder is kept")
    if remapped.pedals_dropped:
        moves = amount(remapped.pedals_dropped, "move")
        lines.append(f"{moves} of the hi-hat pedal left out: only one of the kits has them")
    return lines


def _none_on(channel: int, others: dict[int, int]) -> str:
    """That there was nothing to move, and the channels where there is, by how many notes they have."""
    if not others:
        return f"no notes on channel {channel}"
    listed = ", ".join(f"channel {other} ({notes})" for other, notes in others.items())
    return f"no notes on channel {channel}, but on {listed}; --channel {max(others, key=others.__getitem__)} moves them"
