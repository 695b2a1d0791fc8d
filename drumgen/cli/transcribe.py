"""``drumgen transcribe``: a phrase file with the likely sticking of a take."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.options import checked_width, choice, out_file
from drumgen.cli.phrases import kit_beside
from drumgen.cli.saying import remark, say
from drumgen.cli.takes import ChannelOption, DebounceOption, PedalOption, StrictOption, in_file, open_take

if TYPE_CHECKING:
    from drumgen.study.transcribe import Transcribing, Transcription


def command(
    take: Annotated[str, typer.Argument(metavar="TAKE.mid", help="A MIDI file that somebody played.")],
    output: Annotated[
        str | None, typer.Option("--output", "-o", metavar="FILE", help="The phrase file to write.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over a file that is there.")] = False,  # noqa: FBT002 - a flag
    kit: Annotated[str, typer.Option(metavar="KIT", help="The kit it was played on.")] = "general-midi",
    tempo: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPO", help="The tempo it was played in, or guess, from the first stroke on; else the file's."
        ),
    ] = None,
    meter: Annotated[
        str | None, typer.Option(metavar="METER", help="Its meter, with its groups; else the file's.")
    ] = None,
    lead: Annotated[
        str | None, typer.Option(metavar="HAND", help="The hand that leads, R or L; else the kit's.")
    ] = None,
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="The phrase's title; else the file's.")] = None,
    channel: ChannelOption = None,
    pedal: PedalOption = None,
    debounce: DebounceOption = 0.0,
    strict: StrictOption = False,  # noqa: FBT002 - a flag
    width: Annotated[int, typer.Option(metavar="N", help="Characters to a line, at least 40.")] = 80,
) -> None:
    """Work out who played what: subdivisions, hands, feet, levels and rudiments.

    Under the sticking stands how sure each hand is, in hundredths: 50 is not known at all. The phrase file plays the
    take's strokes again, each on its place. drumgen transcribe take.mid -o take.toml
    """
    from drumgen.saving import save  # noqa: PLC0415 - commands import late
    from drumgen.spec.loading import load_kit  # noqa: PLC0415 - as above
    from drumgen.study.transcribe import transcribe  # noqa: PLC0415 - as above
    from drumgen.study.transcribe_text import transcription_lines  # noqa: PLC0415 - as above

    checked_width(width)
    path = out_file(output, suffix=".toml", overwrite=overwrite) if output is not None else None
    how = _how(kit, tempo, meter, lead, title)
    read = open_take(take, kit=load_kit(kit), channel=channel, pedal=pedal, debounce_ms=debounce, strict=strict,
                     meter_known=meter is not None)  # fmt: skip
    with in_file(take):
        found = transcribe(read, how)
    text = found.text
    remark(*found.remarks)
    if path is not None:  # first of all: whoever reads what is printed may stop reading
        beside = kit_beside(kit, path.parent)
        save(path, (text if beside == kit else _written(found, beside)).encode())
    say("\n".join(transcription_lines(found, width=width)).rstrip())
    say(f"wrote {path}" if path is not None else f"\n{text.rstrip()}")


def _written(found: Transcription, kit: str) -> str:
    """The phrase file, with the kit as it is called from the file's own folder."""
    from drumgen.spec.phrase_file import PhraseFile  # noqa: PLC0415 - as above
    from drumgen.spec.validation import valid  # noqa: PLC0415 - as above
    from drumgen.spec.writing import render_phrase_file  # noqa: PLC0415 - as above

    return render_phrase_file(valid(PhraseFile, {**found.table, "kit": kit}))


def _how(kit: str, tempo: str | None, meter: str | None, lead: str | None, title: str | None) -> Transcribing:
    from drumgen.meter import parse_meter  # noqa: PLC0415 - as above
    from drumgen.study.transcribe import Transcribing  # noqa: PLC0415 - as above
    from drumgen.tempo import parse_tempo  # noqa: PLC0415 - as above

    guessed = tempo is not None and tempo.strip() == "guess"
    return Transcribing(
        lead=choice(lead, "lead", "R", "L"),
        tempo=None if tempo is None or guessed else parse_tempo(tempo, ramp=False),
        meter=None if meter is None else parse_meter(meter),
        guessed=guessed,
        title=title or "",
        kit_name=kit,
    )
