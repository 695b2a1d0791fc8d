"""``drumgen book``: every file of a folder of phrases."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from drumgen.amounts import amount
from drumgen.cli.options import SoundFontOption  # noqa: TC001 - typer reads it

if TYPE_CHECKING:
    from drumgen.binding.bound import Bound

MOST_WORKERS = 1024


def command(
    book: Annotated[str, typer.Argument(metavar="FOLDER|book.toml", help="A folder of phrase files, or a book file.")],
    output: Annotated[str, typer.Option("--output", "-o", metavar="OUT", help="The folder to write into.")],
    jobs: Annotated[
        int | None, typer.Option(metavar="N", help="How many files are made at a time; else one a core.")
    ] = None,
    on: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Let the workers of this Dask scheduler make them.")
    ] = None,
    soundfont: SoundFontOption = None,
    again: Annotated[bool, typer.Option("--again", help="Make everything again, changed or not.")] = False,  # noqa: FBT002 - a flag
    overwrite: Annotated[  # noqa: FBT002 - a flag
        bool, typer.Option("--overwrite", help="Write over files that no earlier run made, or that were altered since.")
    ] = False,
) -> int:
    """Make every file of a folder of phrases: a course, or a set list.

    Of each phrase MIDI, a play-along and a sheet; of all one sheet, one audition page and an index. A file book.toml
    names the phrases in order with headings, notes, tempos and what is made of each. What has not changed since the
    last run is not made again.

    drumgen book course -o course/out
    """
    from drumgen.errors import fail  # noqa: PLC0415 - commands import late

    if not book:
        raise fail("a folder of phrase files, or a book file", got='""')
    if not output:
        raise fail("a folder", got='""')
    if jobs is not None and not 1 <= jobs <= MOST_WORKERS:
        raise fail(f"--jobs from 1 to {MOST_WORKERS}", got=str(jobs))
    if jobs is not None and on is not None:
        raise fail("--jobs or --on, not both: a cluster has workers of its own")
    return make_all(book, output, soundfont=soundfont, workers=jobs or -1, on=on, again=again, overwrite=overwrite)


def make_all(book: str, output: str, **said: Any) -> int:  # noqa: ANN401 - how a book is bound
    """Make what is out of date of a book, say what was done, and give the exit code."""
    from drumgen.binding.bind import Binding, bind_book  # noqa: PLC0415 - as above
    from drumgen.cli.progress import shown_progress  # noqa: PLC0415 - as above
    from drumgen.spec.book_loading import load_book  # noqa: PLC0415 - as above

    read = load_book(book)
    with shown_progress(words="files") as progress:
        bound = bind_book(read, Path(output), binding=Binding(progress=progress, **said))
    return _tell(bound, read.title, output)


def _tell(bound: Bound, title: str, output: str) -> int:
    """Say what became of the book, and give the exit code."""
    from drumgen.cli.boundary import ALL_BUT_BROKEN, BAD_INPUT, DONE  # noqa: PLC0415 - as above
    from drumgen.cli.outputs import caution  # noqa: PLC0415 - as above
    from drumgen.cli.saying import remark, say, tell  # noqa: PLC0415 - as above

    remark(*bound.remarks)
    if bound.seconds is not None:
        caution(bound.seconds)
    faults = bound.all_faults
    if faults:
        tell(*faults)
    say(f"{title}: {summary(bound)}, in {output}")
    return DONE if not faults else ALL_BUT_BROKEN if bound.there else BAD_INPUT


def summary(bound: Bound) -> str:
    """How many files were made, and what else became of them, in a few words."""
    others = (
        (len(bound.unchanged), "unchanged"),
        (len(bound.renamed), "renamed"),
        (len(bound.removed), "removed"),
        (len(bound.altered), "altered and left"),
    )
    words = [f"made {amount(len(bound.made), 'file')}"]
    words += [f"{number} {word}" for number, word in others if number]
    if bound.faults:
        words.append(f"{amount(bound.broken, 'phrase')} broken")
    return ", ".join(words)
