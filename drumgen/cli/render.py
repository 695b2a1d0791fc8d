"""``drumgen render``: phrases to files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.options import Asked, with_options
from drumgen.cli.phrases import open_phrase, plans_of, remark

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.midi.events import Tracks
    from drumgen.performance import Performance
    from drumgen.phrase import Phrase


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    output: Annotated[
        list[str],
        typer.Option("--output", "-o", metavar="OUT", help="A file to write; .mid alone takes the phrase's name."),
    ],
    asked: Asked,
    tracks: Annotated[
        str, typer.Option(metavar="WAY", help="MIDI tracks: one (format 0), or one for each of the voices or limbs.")
    ] = "one",
    ppq: Annotated[
        int | None, typer.Option(metavar="N", help="Ticks to the quarter note; else 960, or 10080 where needed.")
    ] = None,
    watch: Annotated[bool, typer.Option("--watch", help="Write again whenever a phrase file is saved.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Write phrases to files.

    A PHRASE is a phrase file, a rudiment's name, or a sticking. drumgen render slipway.toml -o slipway.mid
    """
    request = _Request(phrases, output, asked, tracks, ppq)
    if watch:
        from drumgen.cli.watching import watch_files  # noqa: PLC0415 - only here

        watch_files(phrases, request.write)
    else:
        request.write()


class _Request:
    """What one command line asks to be written."""

    def __init__(self, phrases: list[str], outputs: list[str], asked: Asked, tracks: str, ppq: int | None) -> None:
        self.phrases, self.outputs, self.asked, self.tracks, self.ppq = phrases, outputs, asked, tracks, ppq

    def write(self) -> None:
        """Write every file, all together or none."""
        from drumgen.midi.write import render_midi  # noqa: PLC0415 - commands import late
        from drumgen.perform import perform  # noqa: PLC0415 - as above
        from drumgen.render import check_distinct, check_name, out_path, save_together, writer_of  # noqa: PLC0415

        tracks = track_way(self.tracks)
        opened = [open_phrase(text, self.asked) for text in self.phrases]
        paths = [[out_path(wanted, name=phrase.name) for wanted in self.outputs] for phrase in opened]
        check_distinct(path for row in paths for path in row)
        files: dict[Path, bytes] = {}
        said: list[str] = []
        for phrase, row in zip(opened, paths, strict=True):
            remark(*phrase.remarks)
            for ending, plan in plans_of(phrase, self.asked):
                performance = perform(plan, ppq=checked_ppq(self.ppq))
                remark(*performance.remarks)
                for path in (each.with_stem(each.stem + ending) for each in row):
                    check_name(path, phrase.kit)
                    files[path] = render_midi(performance, tracks=tracks)
                    said.append(f"wrote {path}: {summary(performance, phrase)}")
        save_together({path: writer_of(content) for path, content in files.items()})
        print("\n".join(said))


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


def summary(performance: Performance, phrase: Phrase) -> str:
    """What was written, in a few words."""
    bars = len(performance.markers) - 1
    seconds = f"{performance.seconds:.1f} s"
    words = f"{bars} bar{'s' if bars != 1 else ''}, {len(performance.hits)} strokes, {seconds}"
    return f"{words}, kit {phrase.kit.name}{', a loop' if performance.loop else ''}"
