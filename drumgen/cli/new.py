"""``drumgen new``: a phrase file from a sticking or a rudiment."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from drumgen.cli.options import Asked, choice, with_options
from drumgen.cli.phrases import kit_beside, phrase_of, sketch_table, valid_sketch
from drumgen.cli.practising import practice_of, practice_said
from drumgen.cli.saying import remark, say


@with_options
def command(
    sticking: Annotated[str, typer.Argument(metavar="STICKING", help="A sticking, or a rudiment's name.")],
    asked: Asked,
    output: Annotated[
        str | None, typer.Option("--output", "-o", metavar="FILE", help="The phrase file to write; else it is printed.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over a file that is there.")] = False,  # noqa: FBT002 - a flag
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="Its title.")] = None,
    accents: Annotated[str | None, typer.Option(metavar="COUNTS", help='Accented counts, such as "2 4".')] = None,
    ghosts: Annotated[str | None, typer.Option(metavar="COUNTS", help="Counts of ghost notes.")] = None,
    kick: Annotated[
        str | None, typer.Option(metavar="COUNTS", help='The kick: counts such as "1 3", or "with accents".')
    ] = None,
    fill: Annotated[bool, typer.Option("--fill", help="Add a fill bar of the same sticking around the toms.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Write a phrase file from a sticking or a rudiment, to be edited.

    drumgen new "RLRR LRLL" --hands hihat/snare --accents "2 4" --kick "1 3" -o groove.toml
    """
    from drumgen.errors import fail  # noqa: PLC0415 - commands import late
    from drumgen.saving import check_free, save  # noqa: PLC0415 - as above
    from drumgen.spec.writing import render_phrase_file  # noqa: PLC0415 - as above

    path = Path(output) if output is not None else None
    table = sketch_table(sticking, asked)
    _add_lines(table, {"accents": accents, "ghosts": ghosts}, kick, title, fill=fill)
    _add_options(table, asked)
    if asked.kit is not None and path is not None:
        table["kit"] = kit_beside(asked.kit, path.parent)
    file = valid_sketch(table)
    remark(*phrase_of(file, "phrase", asked).remarks)
    text = render_phrase_file(file)
    if path is None:
        sys.stdout.write(text)
        return
    if path.suffix.lower() != ".toml":
        raise fail("a phrase file ending in .toml", got=f'"{output}"')
    check_free(path, overwrite=overwrite)
    save(path, text.encode())
    say(f"wrote {path}")


def _add_lines(
    table: dict[str, Any], levels: dict[str, str | None], kick: str | None, title: str | None, *, fill: bool
) -> None:
    """What the options add to the file."""
    name = next(iter(table["bars"]))
    bar = table["bars"][name]
    bar.update({key: text for key, text in levels.items() if text is not None})
    if kick is not None:
        bar["feet"] = {"kick": kick}
    if title is not None:
        table["title"] = title
    if fill:
        around = {"around": ["high-tom", "mid-tom", "floor-tom"], "every": "beat"}
        table["bars"]["fill"] = {"role": "fill", "like": name, "hands": {"R": around, "L": "snare"}}
        table["phrase"] = [f"{name} x3", "fill"]


def _add_options(table: dict[str, Any], asked: Asked) -> None:
    """The lead hand, the player's hand and the practice options, checked as they are where a phrase is played."""
    from drumgen.plan import arrange  # noqa: PLC0415 - commands import late

    if choice(asked.lead, "lead", "R", "L"):
        next(iter(table["bars"].values()))["lead"] = asked.lead
    if choice(asked.handed, "handed", "right", "left"):
        table["handed"] = asked.handed
    said = practice_said(asked)
    if said:
        phrase = phrase_of(valid_sketch(table), "phrase", asked)
        arrange(phrase, practice_of(phrase, asked))
        table["practice"] = {key.replace("_", "-"): value for key, value in said.items()}
