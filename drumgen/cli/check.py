"""``drumgen check``: what is wrong or odd in phrases, and what they hold."""

from __future__ import annotations

from typing import Annotated

import typer

from drumgen.cli.options import Asked, with_options
from drumgen.cli.phrases import open_phrase, plan_of, remark, say


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    asked: Asked,
) -> None:
    """Say what is wrong or odd in phrases, and what they hold.

    All faults of all files are named in one go (exit 2). Of a phrase without faults: its remarks, its length, when
    each sticking comes round, which bars are linear (no two limbs at once), and the accents of each limb.
    """
    from drumgen.errors import DrumgenError  # noqa: PLC0415 - commands import late
    from drumgen.perform import perform  # noqa: PLC0415 - as above
    from drumgen.survey import survey  # noqa: PLC0415 - as above

    faults: list[DrumgenError] = []
    for text in phrases:
        try:
            phrase = open_phrase(text, asked)
            performance = perform(plan_of(phrase, asked))
        except DrumgenError as error:
            faults.append(error)
            continue
        remark(*phrase.remarks, *performance.remarks)
        number = len(performance.markers) - 1
        say(f"{phrase.title}: {number} bar{'s' if number != 1 else ''}, {performance.seconds:.1f} s")
        for bar in survey(phrase):
            say(f"  {bar}")
    if faults:
        raise DrumgenError(*(fault for error in faults for fault in error.faults))
