"""What a PHRASE on the command line is: a phrase file, a rudiment's name, or a sticking; and how it is practised."""

from __future__ import annotations

import sys
from dataclasses import replace
from functools import partial
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO, TypeVar

from drumgen.errors import DrumgenError, Fault, nearest, printable
from drumgen.levels import LOUDEST

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from drumgen.cli.options import Asked
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.practice import Practice
    from drumgen.spec.phrase_file import PhraseFile

Made = TypeVar("Made")

MOST_ROUND_BARS = 16
"""A sticking that comes round later than this is played for so many bars."""


def open_phrase(text: str, asked: Asked) -> Phrase:
    """The phrase that an argument names. Raises DrumgenError with what it could be."""
    from drumgen.spec.layering import Overrides  # noqa: PLC0415 - commands import late
    from drumgen.spec.loading import load_phrase  # noqa: PLC0415 - as above

    overrides = Overrides(choice(asked.lead, "lead", "R", "L"), choice(asked.handed, "handed", "right", "left"))
    if text.lower().endswith(".toml") or is_file(text):
        refuse_for_file(asked)
        return load_phrase(text, kit=asked.kit, overrides=overrides).phrase
    return phrase_of(sketch(text, asked), text, asked, overrides)


def is_file(text: str) -> bool:
    """Whether a file of this name is there; a sticking may be longer than any name."""
    try:
        return Path(text).is_file()
    except (OSError, ValueError):
        return False


def phrase_of(file: PhraseFile, name: str, asked: Asked, overrides: Any = None) -> Phrase:  # noqa: ANN401
    """The phrase of a file that was made here rather than read."""
    from drumgen.spec.layering import Overrides  # noqa: PLC0415 - as above
    from drumgen.spec.loading import DEFAULT_KIT, load_kit  # noqa: PLC0415 - as above
    from drumgen.spec.resolving import Resolver  # noqa: PLC0415 - as above

    resolver = Resolver(file, load_kit(asked.kit or file.kit or DEFAULT_KIT), overrides or Overrides())
    phrase = resolver.phrase(name)
    if phrase is None:
        faults = resolver.gathering.faults
        raise DrumgenError(*(replace(fault, path=_option_path(fault.path)) for fault in faults))
    return phrase


def sketch(text: str, asked: Asked) -> PhraseFile:
    """The phrase file of a sticking or a rudiment: one bar, or as many as it takes to come round."""
    return validated_sketch(sketch_table(text, asked))


def validated_sketch(table: dict[str, Any]) -> PhraseFile:
    """The phrase file of a table that was made here; its faults speak of options, not of lines."""
    from drumgen.spec.phrase_file import PhraseFile  # noqa: PLC0415 - as above
    from drumgen.spec.validation import validated  # noqa: PLC0415 - as above

    file, faults = validated(PhraseFile, table)
    if file is None or faults:
        raise DrumgenError(*(replace(fault, path=_option_path(fault.path)) for fault in faults))
    return file


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
    bar["across"] = asked.across or "carry"
    table: dict[str, Any] = {"title": bar.get("rudiment", " ".join(text.split()))[:200], "phrase": [name]}
    for key in ("meter", "kit"):
        if getattr(asked, key) is not None:
            table[key] = getattr(asked, key)
    if asked.tempo is not None:
        table["tempo"] = asked.tempo
    table["bars"] = {name: bar}
    only = phrase_of(validated_sketch(table), name, asked).bars[name]
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


def _option_path(path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    path = path[2:] if path[:1] == ("bars",) else path
    return path[:-1] if path[-1:] == ("main",) else path


def choice(value: str | None, option: str, *known: str) -> Any:  # noqa: ANN401 - one of the known words
    """A value of an option that knows so many words. Raises DrumgenError for another."""
    if value is not None and value not in known:
        raise DrumgenError(
            Fault(f"--{option} of {' or '.join(known)}", got=f'"{value}"', nearest=nearest(value, known))
        )
    return value


def skill_of(word: str) -> Any:  # noqa: ANN401 - one of the known ones
    """Whom it is for, as ``--for`` says. Raises DrumgenError for other words."""
    from drumgen.errors import fail, nearest  # noqa: PLC0415 - as above
    from drumgen.study.reach import SKILLS  # noqa: PLC0415 - as above

    if word not in SKILLS:
        raise fail(f"--for {', '.join(SKILLS[:-1])} or {SKILLS[-1]}", got=f'"{word}"', nearest=nearest(word, SKILLS))
    return word


def refuse_for_file(asked: Asked) -> None:
    """Raises DrumgenError where options of a sticking are given beside a phrase file."""
    for option in ("hands", "subdivision", "meter", "across"):
        if getattr(asked, option) is not None:
            rule = f"--{option} only with a sticking or a rudiment: a phrase file says it itself"
            raise DrumgenError(Fault(rule))


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
    from drumgen.practice import Practice  # noqa: PLC0415 - as above
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


def remark(*texts: object) -> None:
    """Say something that is no fault, on standard error."""
    for text in texts:
        say(f"remark: {text}", file=sys.stderr)


def say(*texts: object, file: TextIO | None = None) -> None:
    """Print lines of a result, without what could steer a terminal: a title may hold anything."""
    for line in (line for text in texts for line in str(text).split("\n")):
        print(printable(line), file=file)
