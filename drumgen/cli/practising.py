"""How the phrases of a command line are practised: the options that say so, and the plans that they make."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from drumgen.cli.options import choice
from drumgen.cli.saying import remark
from drumgen.errors import DrumgenError, Fault
from drumgen.levels import LOUDEST

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from drumgen.cli.options import Asked
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.practice import Practice

Made = TypeVar("Made")

PRACTICE_OPTIONS = (
    *("times", "bars", "only", "limbs", "mute", "count_in", "loop", "click", "click_voices", "click_level"),
    *("click_side", "only_click", "ladder", "rungs", "gap", "answer", "rest"),
)
"""The shared options that say how a phrase is practised, by the names of its [practice] table."""


def practice_said(asked: Asked) -> dict[str, Any]:
    """The practice options that the command line gives, by their names."""
    return {key: value for key in PRACTICE_OPTIONS if (value := getattr(asked, key)) not in (None, [])}


def practice_of(phrase: Phrase, asked: Asked) -> Practice:
    """The practice options of the command line, which win over the phrase file's own."""
    from drumgen.practice import Practice  # noqa: PLC0415 - commands import late
    from drumgen.spec.practising import with_options  # noqa: PLC0415 - as above
    from drumgen.tempo import parse_tempo  # noqa: PLC0415 - as above

    choice(asked.click_side, "click-side", "left", "right", "both")
    choice(asked.rungs, "rungs", "together", "apart")
    if asked.click_level is not None and not 1 <= asked.click_level <= LOUDEST:
        raise DrumgenError(Fault(f"--click-level from 1 to {LOUDEST}", got=str(asked.click_level)))
    said = practice_said(asked)
    if asked.tempo is not None:
        said["tempo"] = _of_option("tempo", partial(parse_tempo, asked.tempo, ramp=False))
    if asked.mute:
        said["mute"] = tuple(asked.mute)
        for voice in asked.mute:
            _of_option("mute", partial(phrase.kit.voice, voice))
    return with_options(Practice() if asked.plain else phrase.practice, said)


def _of_option(option: str, make: Callable[[], Made]) -> Made:
    """What ``make`` gives; its faults are those of an option."""
    try:
        return make()
    except DrumgenError as error:
        raise DrumgenError(*(fault.under(option) for fault in error.faults)) from None


def remark_on_page(asked: Asked) -> None:
    """Say what an option asks for that a page does not begin with."""
    if asked.times == 1 and asked.ladder is None:
        remark('a page plays round and round at first: for --times 1 choose "once" on it')


def remark_on_paper(phrases: Sequence[Phrase], asked: Asked) -> None:
    """Say what options ask for that a sheet does not show."""
    from drumgen.tempo import parse_tempo  # noqa: PLC0415 - as above

    said = [key.replace("_", "-") for key in practice_said(asked)]
    if asked.tempo is not None and any(phrase.tempo != parse_tempo(asked.tempo, ramp=False) for phrase in phrases):
        said.append("tempo")
    if said:
        names = ", ".join(f"--{key}" for key in said)
        remark(f"a sheet shows the phrase as it is written; only for what sounds, and for pages: {names}")


def plan_of(phrase: Phrase, asked: Asked) -> Plan:
    """The plan of a phrase under the command line's practice options."""
    from drumgen.plan import arrange  # noqa: PLC0415 - as above

    return arrange(phrase, practice_of(phrase, asked))


def plans_of(phrase: Phrase, asked: Asked) -> list[tuple[str, Plan]]:
    """The plans of a phrase with what each adds to a file's name: one, or with rungs apart one a rung."""
    from drumgen.plan import arrange  # noqa: PLC0415 - as above

    practice = practice_of(phrase, asked)
    if not practice.rungs_apart:
        return [("", arrange(phrase, practice))]
    whole = replace(practice, rungs=(), rungs_apart=False)
    return [(f"-{tempo}".replace(" ", "-"), arrange(phrase, replace(whole, tempo=tempo))) for tempo in practice.rungs]
