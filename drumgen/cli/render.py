"""``drumgen render``: phrases to files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.options import Asked, SoundFontOption, with_options

if TYPE_CHECKING:
    from drumgen.midi.events import Tracks
    from drumgen.sheet.printing import Paper

PAPERS: tuple[Paper, ...] = ("A4", "Letter")
RATES = (44_100, 48_000)


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    output: Annotated[
        list[str],
        typer.Option(
            "--output",
            "-o",
            metavar="OUT",
            help="A file, written over where it is there; .mid alone takes the phrase's name.",
        ),
    ],
    asked: Asked,
    tracks: Annotated[
        str, typer.Option(metavar="WAY", help="MIDI tracks: one (format 0), or one for each of the voices or limbs.")
    ] = "one",
    ppq: Annotated[
        int | None, typer.Option(metavar="N", help="MIDI ticks to the quarter note; else 960, or 10080 where needed.")
    ] = None,
    soundfont: SoundFontOption = None,
    rate: Annotated[int, typer.Option(metavar="HZ", help="Frames a second of audio: 44100 or 48000.")] = 44_100,
    steady: Annotated[bool, typer.Option("--steady", help="In audio, let repeated strokes be exactly alike.")] = False,  # noqa: FBT002 - a flag
    paper: Annotated[str, typer.Option(metavar="SIZE", help="The paper of sheets: A4 or Letter.")] = "A4",
    counts: Annotated[bool, typer.Option("--counts", help="On paper, what is said on each place.")] = False,  # noqa: FBT002 - a flag
    without: Annotated[
        str | None, typer.Option(metavar="sticking", help="On paper, leave the sticking out, to be filled in.")
    ] = None,
    watch: Annotated[bool, typer.Option("--watch", help="Write again whenever a phrase file is saved.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Write phrases to files: MIDI, audio, sheets, an audition page.

    By the ending: .mid; .wav .flac .ogg .mp3; .pdf .png .svg .musicxml; .html.

    A PHRASE is a phrase file, a rudiment's name, or a sticking. drumgen render slipway.toml -o slipway.mid
    Several phrases stand on one sheet or page: drumgen render slipway.toml towpath.toml -o sheet.pdf
    """
    from drumgen.cli.outputs import write_outputs  # noqa: PLC0415 - commands import late
    from drumgen.composing import Settings  # noqa: PLC0415 - as above
    from drumgen.sheet.printing import Printing  # noqa: PLC0415 - as above

    settings = Settings(
        tracks=track_way(tracks),
        ppq=checked_ppq(ppq),
        soundfont=Path(soundfont) if soundfont is not None else None,
        rate=checked_rate(rate),
        vary=not steady,
        printing=Printing(checked_paper(paper), sticking=_has_sticking(without), counts=counts),
    )
    if watch:
        from drumgen.cli.watching import watch_files  # noqa: PLC0415 - only here

        watch_files(phrases, lambda: write_outputs(phrases, output, asked, settings))
    else:
        write_outputs(phrases, output, asked, settings)


def track_way(text: str) -> Tracks:
    """The way of ``--tracks``. Raises DrumgenError where it is none."""
    from drumgen.errors import DrumgenError, Fault, nearest  # noqa: PLC0415 - as above
    from drumgen.midi.events import TRACK_WAYS  # noqa: PLC0415 - as above

    for way in TRACK_WAYS:
        if text == way:
            return way
    hint = nearest(text, TRACK_WAYS)
    raise DrumgenError(Fault(f"--tracks of {', '.join(TRACK_WAYS)}", got=f'"{text}"', nearest=hint))


def checked_ppq(ppq: int | None) -> int | None:
    """The ticks of ``--ppq`` within what a file can say. Raises DrumgenError."""
    from drumgen.errors import DrumgenError, Fault  # noqa: PLC0415 - as above
    from drumgen.ticks import MOST_PPQ  # noqa: PLC0415 - as above

    if ppq is not None and not 1 <= ppq <= MOST_PPQ:
        raise DrumgenError(Fault(f"--ppq from 1 to {MOST_PPQ}", got=str(ppq)))
    return ppq


def checked_rate(rate: int) -> int:
    """The rate of ``--rate``. Raises DrumgenError for another than 44 100 or 48 000."""
    from drumgen.errors import fail  # noqa: PLC0415 - as above

    if rate not in RATES:
        raise fail(f"--rate of {' or '.join(map(str, RATES))}", got=str(rate))
    return rate


def checked_paper(paper: str) -> Paper:
    """The size of ``--paper``. Raises DrumgenError for another than A4 or Letter."""
    from drumgen.errors import fail, nearest  # noqa: PLC0415 - as above

    for size in PAPERS:
        if paper.casefold() == size.casefold():
            return size
    raise fail(f"--paper of {' or '.join(PAPERS)}", got=f'"{paper}"', nearest=nearest(paper, PAPERS))


def _has_sticking(without: str | None) -> bool:
    from drumgen.errors import fail  # noqa: PLC0415 - as above

    if without not in (None, "sticking"):
        raise fail("--without sticking", got=f'"{without}"')
    return without is None
