"""``drumgen kits``: the kits, or the voices of one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.saying import say

if TYPE_CHECKING:
    from drumgen.kit import Kit, Voice


def command(
    kit: Annotated[
        str | None, typer.Argument(metavar="[KIT]", help="A shipped kit, or the path of a kit file.")
    ] = None,
) -> None:
    """List the kits, or the voices of one.

    Of each voice: its MIDI note, what plays it, and its place on the plan in centimetres, to the player's right and
    away from the player.

    drumgen kits learn CAPTURE.mid -o KIT.toml makes a kit file from strokes on your own pads; drumgen kits remap IN.mid
    --from A --to B -o OUT.mid moves a MIDI file to another kit. Each has its own --help.
    """
    from drumgen.spec.loading import load_kit, shipped_kits  # noqa: PLC0415 - commands import late

    if kit is None:
        for name in shipped_kits():
            found = load_kit(name)
            say(f"{name}: {found.title}, {len(found.voices)} voices, {found.hand}-handed")
        return
    found = load_kit(kit)
    say(f"{found.title}: channel {found.channel}{_program(found)}, {found.hand}-handed")
    for voice in found.voices.values():
        say(f"  {_voice_line(voice)}")
    for name, other in found.instead.items():
        say(f"  {name.ljust(14)}     played on {other}")
    for line in _limit_lines(found):
        say(f"  {line}")


def _program(kit: Kit) -> str:
    return "" if kit.program is None else f", program {kit.program}"


def _voice_line(voice: Voice) -> str:
    pedal = "" if voice.pedal is None else f", pedal {voice.pedal}"
    louder = "" if not voice.velocity else f", velocity {voice.velocity:+d}"
    choke = f", chokes {voice.choke}" if voice.choke else ""
    place = f"at {voice.x_cm:g}, {voice.y_cm:g}, {voice.width_cm:g} cm wide"
    kind = "drum" if voice.drum else "metal"
    return f"{voice.name.ljust(14)} {voice.key:3d} {voice.limb}, {kind}, {place}{choke}{louder}{pedal}"


def _limit_lines(kit: Kit) -> list[str]:
    limits = kit.limits
    lines = {
        "ticks to the quarter note": limits.ppq,
        "longest file name": limits.name_length,
        "characters of a file name": limits.name_characters or None,
        "characters inside": limits.text_characters if limits.text_characters != "any" else None,
        "longest file, seconds": limits.longest_s,
        "largest file, KiB": limits.largest_kib,
        "only notes": "yes" if limits.notes_only else None,
    }
    return [f"limit: {words} {value}" for words, value in lines.items() if value is not None]
