"""``drumgen rudiments``: the forty, or some of them."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[WORD...]", help="Words of the name or the family, such as flam.")
    ] = None,
) -> None:
    """List the forty rudiments, or find some of them.

    Each with its number, its name, its sticking from the right and from the left hand, whether it changes hands, and
    its rhythm. Any name can stand where a PHRASE is asked for, and in a phrase file: rudiment = "flam tap".
    """
    from drumgen.errors import fail  # noqa: PLC0415 - commands import late
    from drumgen.sticking import parse_sticking  # noqa: PLC0415 - as above
    from drumgen.trade.rudiments import search_rudiments  # noqa: PLC0415 - as above

    found = search_rudiments(" ".join(words or []))
    if not found:
        raise fail("words of a rudiment's name or family", got=f'"{" ".join(words or [])}"')
    family = ""
    for rudiment in found:
        heading = f"{rudiment.family} rudiments" + (f", {rudiment.group}" if rudiment.group else "")
        if heading != family:
            print(f"{'' if not family else chr(10)}{heading}")
            family = heading
        right = parse_sticking(rudiment.sticking)
        leads = "changes hands" if rudiment.alternates else "keeps its hand"
        print(f"  {rudiment.number:2d} {rudiment.name}: {right}   {right.mirrored()}")
        print(f"     {rudiment.rhythm}; {leads}")
