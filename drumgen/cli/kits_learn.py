"""``drumgen kits learn``: a kit file from strokes on one pad after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.options import names_in, out_file
from drumgen.cli.saying import remark, say
from drumgen.cli.takes import ChannelOption, open_take
from drumgen.errors import DrumgenError, Fault, fail

if TYPE_CHECKING:
    from drumgen.kit import Kit
    from drumgen.study.learn import Learned


def command(
    capture: Annotated[
        str | None, typer.Argument(metavar="[CAPTURE.mid]", help="What was struck; without it the order is printed.")
    ] = None,
    output: Annotated[
        str | None,
        typer.Option("--output", "-o", metavar="KIT.toml", help="The kit file to write; else it is printed."),
    ] = None,
    order: Annotated[
        str | None, typer.Option(metavar="VOICES", help='The voices in the order struck: "kick, snare, hihat".')
    ] = None,
    note: Annotated[
        list[str] | None, typer.Option(metavar="VOICE=N", help="Of a voice that sent several notes, the one to take.")
    ] = None,
    same: Annotated[
        list[str] | None, typer.Option(metavar="VOICE=OTHER", help="A voice that is played on another's pad.")
    ] = None,
    base: Annotated[str, typer.Option(metavar="KIT", help="The kit that is laid out alike.")] = "five-piece",
    pause: Annotated[float, typer.Option(metavar="S", help="The shortest pause between two voices.")] = 1.5,
    channel: ChannelOption = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over a file that is there.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Make a kit file from strokes on your own pads.

    Record a MIDI file: strike the voices in the order that this command prints, each four times or so, from soft to
    loud, and wait two seconds before the next. For the hi-hat strike it closed, half open and open, then with the foot.
    What can be understood in two ways is asked back, and nothing is written until it is answered.
    """
    from drumgen.spec.loading import load_kit  # noqa: PLC0415 - commands import late
    from drumgen.study.learn import ORDER, learn  # noqa: PLC0415 - as above

    laid_out = load_kit(base)
    voices = list(names_in(order, "order") or _of_kit(ORDER, laid_out))
    if capture is None:
        say("strike each of these some four times, from soft to loud, with two seconds between voices:")
        say(*(f"  {number:2d} {voice}" for number, voice in enumerate(voices, start=1)))
        return
    if not 0.2 <= pause <= 60:
        raise fail("--pause from 0.2 to 60 seconds", got=f"{pause:g}")
    path = out_file(output, suffix=".toml", overwrite=overwrite) if output is not None else None
    take = open_take(capture, kit=laid_out, channel=channel, only_notes=True)
    notes = {voice: _number(voice, text) for voice, text in _pairs(note, "note").items()}
    learned = learn(take, order=voices, base=laid_out, notes=notes, same=_pairs(same, "same"), pause_s=pause)
    if learned.questions:
        raise DrumgenError(*(Fault(question, file=capture) for question in learned.questions))
    remark(*learned.remarks)
    text = _kit_text(learned)
    say(*learned.pads)
    if path is None:
        say("", text.rstrip("\n"))
        return
    from drumgen.saving import save  # noqa: PLC0415 - as above

    save(path, text.encode())
    say(f"wrote {path}")


def _of_kit(order: tuple[str, ...], kit: Kit) -> tuple[str, ...]:
    return tuple(voice for voice in order if voice in kit.voices)


def _pairs(texts: list[str] | None, option: str) -> dict[str, str]:
    pairs = {}
    for text in texts or []:
        left, equals, right = (part.strip() for part in text.partition("="))
        if not left or not equals or not right:
            raise fail(f"--{option} with a voice, = and its answer", got=f'"{text}"')
        pairs[left] = right
    return pairs


def _number(voice: str, text: str) -> int:
    if not (text.isascii() and text.isdecimal() and int(text[:4]) <= 127):
        raise fail(f"--note {voice}= and a note from 0 to 127", got=f'"{text}"')
    return int(text)


def _kit_text(learned: Learned) -> str:
    """The kit file, with the velocities that were heard as comments."""
    from drumgen.spec.kit_file import KitFile  # noqa: PLC0415 - as above
    from drumgen.spec.loading import read_kit  # noqa: PLC0415 - as above
    from drumgen.spec.validation import valid  # noqa: PLC0415 - as above
    from drumgen.spec.writing import render_kit_file  # noqa: PLC0415 - as above

    written = render_kit_file(valid(KitFile, learned.table))
    heard = "".join(f"# {pad}\n" for pad in learned.pads)
    text = f"# Learned from strokes on the pads; what was heard:\n{heard}{written}"
    read_kit(text, name="learned", file="the learned kit")
    return text
