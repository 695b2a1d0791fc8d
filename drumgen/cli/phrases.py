"""What a PHRASE on the command line is: a phrase file, a rudiment's name, or a sticking."""

from __future__ import annotations

import os
from dataclasses import replace
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drumgen.cli.options import choice
from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.cli.options import Asked
    from drumgen.phrase import Phrase
    from drumgen.spec.layering import Overrides
    from drumgen.spec.phrase_file import PhraseFile

MOST_ROUND_BARS = 16
"""A sticking that comes round later than this is played for so many bars."""


def open_phrase(text: str, asked: Asked) -> Phrase:
    """The phrase that an argument names. Raises DrumgenError with what it could be."""
    from drumgen.spec.layering import Overrides  # noqa: PLC0415 - commands import late
    from drumgen.spec.loading import load_phrase  # noqa: PLC0415 - as above

    overrides = Overrides(choice(asked.lead, "lead", "R", "L"), choice(asked.handed, "handed", "right", "left"))
    if is_phrase_file(text):
        refuse_for_file(asked)
        return load_phrase(text, kit=asked.kit, overrides=overrides).phrase
    return phrase_of(sketch(text, asked), text, asked, overrides)


def is_phrase_file(text: str) -> bool:
    """Whether an argument is meant as a phrase file, there or not."""
    return text.lower().endswith(".toml") or is_file(text)


def is_file(text: str) -> bool:
    """Whether a file of this name is there, or a pipe; a sticking may be longer than any name."""
    try:
        return Path(text).exists() and not Path(text).is_dir()
    except (OSError, ValueError):
        return False


def phrase_of(file: PhraseFile, name: str, asked: Asked, overrides: Overrides | None = None) -> Phrase:
    """The phrase of a file that was made here rather than read."""
    from drumgen.spec.loading import DEFAULT_KIT, load_kit  # noqa: PLC0415 - as above
    from drumgen.spec.resolving import resolved  # noqa: PLC0415 - as above

    kit = load_kit(asked.kit or file.kit or DEFAULT_KIT)
    try:
        return resolved(file, kit, name=name, overrides=overrides)
    except DrumgenError as error:
        raise _of_options(error.faults) from None


def sketch(text: str, asked: Asked) -> PhraseFile:
    """The phrase file of a sticking or a rudiment: one bar, or as many as it takes to come round."""
    return valid_sketch(sketch_table(text, asked))


def valid_sketch(table: dict[str, Any]) -> PhraseFile:
    """The phrase file of a table that was made here; its faults speak of options, not of lines."""
    from drumgen.spec.phrase_file import PhraseFile  # noqa: PLC0415 - as above
    from drumgen.spec.validation import valid  # noqa: PLC0415 - as above

    try:
        return valid(PhraseFile, table)
    except DrumgenError as error:
        raise _of_options(error.faults) from None


def sketch_table(text: str, asked: Asked) -> dict[str, Any]:
    """What the phrase file of a sticking or a rudiment says."""
    from drumgen.coming_round import round_bars  # noqa: PLC0415 - as above

    bar = _what(text)
    name = bar.get("rudiment", "sticking")
    if asked.subdivision is not None:
        names = [word.strip() for word in asked.subdivision.split(",")]
        bar["subdivision"] = names if len(names) > 1 else names[0]
    if asked.hands is not None:
        bar["hands"] = _hands(asked.hands)
    bar["across"] = "carry" if asked.across is None else asked.across
    table: dict[str, Any] = {"title": bar.get("rudiment", " ".join(text.split()))[:200], "phrase": [name]}
    for key in ("meter", "kit"):
        if getattr(asked, key) is not None:
            table[key] = getattr(asked, key)
    if asked.tempo is not None:
        table["tempo"] = asked.tempo
    table["bars"] = {name: bar}
    only = phrase_of(valid_sketch(table), name, asked).bars[name]
    number = min(ceil(round_bars(only.layer, only.meter) or 1), MOST_ROUND_BARS)
    if asked.across is None and number == 1:
        del bar["across"]
    elif asked.across is None:
        table["phrase"] = [f"{name} x{number}"]
    return table


def _what(text: str) -> dict[str, Any]:
    """The sticking or rudiment that a text is, as a bar's keys."""
    from drumgen.trade.rudiments import Rudiment, rudiment_or_sticking  # noqa: PLC0415 - as above

    found = rudiment_or_sticking(text, rule="a phrase file, a rudiment's name or a sticking")
    return {"rudiment": str(found)} if isinstance(found, Rudiment) else {"sticking": text}


def _hands(text: str) -> dict[str, str]:
    right, slash, left = (part.strip() for part in text.partition("/"))
    if not right or (slash and not left):
        raise DrumgenError(Fault("the voices of the right and left hand, such as hihat/snare", got=f'"{text}"'))
    return {"R": right, "L": left if slash else right}


def _of_options(faults: Iterable[Fault]) -> DrumgenError:
    """The faults of a table that was made here, by the options that it was made of."""
    return DrumgenError(*(replace(fault, path=_option_path(fault.path)) for fault in faults))


def _option_path(path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    path = path[2:] if path[:1] == ("bars",) else path
    return path[:-1] if path[-1:] == ("main",) else path


def kit_from(kit: str, folder: Path) -> str:
    """A kit as a file in the folder names it: a kit file by its way from there, links followed."""
    from drumgen.spec.loading import is_kit_file  # noqa: PLC0415 - as above

    if not is_kit_file(kit):
        return kit
    there = Path(os.path.realpath(Path(kit).parent), Path(kit).name)
    try:
        return Path(os.path.relpath(there, os.path.realpath(folder))).as_posix()
    except ValueError:  # on another drive
        return there.as_posix()


def kit_beside(kit: str, folder: Path) -> str:
    """A kit that was typed, as a file in the folder names it; what is typed whole stays so."""
    return kit if Path(kit).is_absolute() else kit_from(kit, folder)


def refuse_for_file(asked: Asked) -> None:
    """Raises DrumgenError where options of a sticking are given beside a phrase file."""
    for option in ("hands", "subdivision", "meter", "across"):
        if getattr(asked, option) is not None:
            rule = f"--{option} only with a sticking or a rudiment: a phrase file says it itself"
            raise DrumgenError(Fault(rule))
