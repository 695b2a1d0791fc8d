"""``drumgen show``: the bars of a phrase as text, under the spoken counts."""

from __future__ import annotations

from typing import Annotated

import typer

from drumgen.cli.options import Asked, checked_width, with_options
from drumgen.cli.phrases import open_phrase
from drumgen.cli.practising import plan_of
from drumgen.cli.saying import remark, say


@with_options
def command(
    phrase: Annotated[str, typer.Argument(metavar="PHRASE", help="A phrase file, a sticking or a rudiment.")],
    asked: Asked,
    width: Annotated[int, typer.Option(metavar="N", help="Characters to a line, at least 40.")] = 80,
) -> None:
    """Show a phrase's bars as text.

    Under the spoken counts stands the sticking, then one row a limb with its voices in words: >snare is an accent,
    (snare) a ghost note. Bars that follow one another and are played alike are shown once.
    """
    from drumgen.bar_text import plan_lines, tempo_text  # noqa: PLC0415 - commands import late

    checked_width(width)
    opened = open_phrase(phrase, asked)
    plan = plan_of(opened, asked)
    remark(*opened.remarks, *plan.remarks)
    say(opened.title)
    say(f"{plan.spans[0].meter}, {tempo_text(plan.spans[0])}, kit {opened.kit.name}")
    if opened.note:
        say(opened.note)
    say("", *plan_lines(plan, width=width))
