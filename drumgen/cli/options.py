"""Options that several commands share, declared once: what a phrase is read as, and how it is practised.

A command takes them as one value: ``@with_options`` gives it the parameters, and passes them on together.
"""

from __future__ import annotations

import inspect
from copy import copy
from dataclasses import dataclass, fields
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_args

import typer

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


def _refuse_empty(**said: str | None) -> None:
    """Raises DrumgenError where a name is given that is empty, as it is in a file: it is not as if none were given."""
    from drumgen.errors import DrumgenError, Fault  # noqa: PLC0415 - commands import late

    empty = [key for key, text in said.items() if text == ""]
    if empty:
        raise DrumgenError(*(Fault("a text that is not empty", got='""', path=(key,)) for key in empty))


def _checked_soundfont(name: str | None) -> str | None:
    _refuse_empty(soundfont=name)
    return name


SoundFontOption = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help="The SoundFont (SF2, SF3) of what sounds; else DRUMGEN_SOUNDFONT or the usual one.",
        callback=_checked_soundfont,
    ),
]
"""``--soundfont``, of the commands that make sound."""

NARROWEST, WIDEST = 40, 500


def checked_width(width: int) -> int:
    """The characters to a line of ``--width``. Raises DrumgenError for fewer than 40 or more than 500."""
    from drumgen.errors import fail  # noqa: PLC0415 - as above

    if not NARROWEST <= width <= WIDEST:
        raise fail(f"--width from {NARROWEST} to {WIDEST}", got=str(width))
    return width


def choice(value: str | None, option: str, *known: str) -> Any:  # noqa: ANN401 - one of the known words
    """A value of an option that knows so many words. Raises DrumgenError for another."""
    from drumgen.errors import fail, nearest  # noqa: PLC0415 - as above

    if value is not None and value not in known:
        raise fail(f"--{option} of {' or '.join(known)}", got=f'"{value}"', nearest=nearest(value, known))
    return value


def skill_of(word: str) -> Any:  # noqa: ANN401 - one of the known ones
    """Whom it is for, as ``--for`` says. Raises DrumgenError for other words."""
    from drumgen.errors import fail, nearest  # noqa: PLC0415 - as above
    from drumgen.study.reach import SKILLS  # noqa: PLC0415 - as above

    if word not in SKILLS:
        raise fail(f"--for {', '.join(SKILLS[:-1])} or {SKILLS[-1]}", got=f'"{word}"', nearest=nearest(word, SKILLS))
    return word


def names_in(text: str | None, option: str) -> tuple[str, ...]:
    """The names that an option lists, with commas between; none where it is not given.

    Raises DrumgenError where it is given and names nothing.
    """
    from drumgen.errors import fail  # noqa: PLC0415 - as above

    if text is None:
        return ()
    names = tuple(word.strip() for word in text.split(",") if word.strip())
    if not names:
        raise fail("at least one name", got=f'"{text}"', path=(option,))
    return names


def _option(name: str, help_text: str, metavar: str = "") -> Any:  # noqa: ANN401 - typer's own value
    return typer.Option(f"--{name}", metavar=metavar or None, help=help_text, show_default=False)


@dataclass(frozen=True, slots=True)
class Asked:
    """What the shared options say; None or nothing where they say nothing."""

    kit: Annotated[str | None, _option("kit", "Play it on another kit: a shipped one, or a kit file.", "KIT")] = None
    lead: Annotated[str | None, _option("lead", "Begin every bar's sticking with this hand: R or L.", "HAND")] = None
    handed: Annotated[str | None, _option("handed", "Play it right- or left-handed.", "HAND")] = None
    hands: Annotated[
        str | None,
        _option("hands", "For a sticking or rudiment: the right and the left hand's voice, hihat/snare.", "R/L"),
    ] = None
    subdivision: Annotated[
        str | None, _option("subdivision", "For a sticking or rudiment: sixteenths, triplets…", "NAME")
    ] = None
    meter: Annotated[str | None, _option("meter", "For a sticking or rudiment: 4/4, 7/8 2+2+3…", "METER")] = None
    across: Annotated[
        str | None, _option("across", "For a sticking or rudiment: restart, carry or once at the bar line.", "HOW")
    ] = None
    tempo: Annotated[
        str | None, _option("tempo", "Another tempo: 120, or with its note value, eighth 180.", "TEMPO")
    ] = None
    times: Annotated[int | None, _option("times", "Play the phrase this often.", "N")] = None
    bars: Annotated[str | None, _option("bars", "Only these bars: 4, 4-5, 1-2,7.", "BARS")] = None
    only: Annotated[str | None, _option("only", "Only the bars of this name or role, such as fill.", "WORD")] = None
    limbs: Annotated[
        str | None, _option("limbs", "Let only these be heard: hands, feet, right hand, R, K…", "LIMBS")
    ] = None
    mute: Annotated[list[str] | None, _option("mute", "Silence a voice; may be given again.", "VOICE")] = None
    count_in: Annotated[int | None, _option("count-in", "Count this many bars in.", "BARS")] = None
    loop: Annotated[bool | None, _option("loop", "Exactly the bars, to be looped; grace notes wrap round.")] = None
    click: Annotated[
        str | None,
        _option("click", "Click on quarters, eighths, off-beats, 2 and 4, beats, or first (of the bar).", "WHERE"),
    ] = None
    click_voices: Annotated[
        str | None, _option("click-voices", "The plain and the marked click, such as cowbell/woodblock.", "VOICES")
    ] = None
    click_level: Annotated[int | None, _option("click-level", "The click's velocity, 1 to 127.", "N")] = None
    click_side: Annotated[
        str | None, _option("click-side", "In audio, the click in one ear: left, right or both.", "SIDE")
    ] = None
    only_click: Annotated[bool | None, _option("only-click", "Let only the click be heard.")] = None
    ladder: Annotated[
        str | None, _option("ladder", 'A ladder of tempos, each --times through: "60 to 120 by 5".', "LADDER")
    ] = None
    rungs: Annotated[
        str | None, _option("rungs", "The ladder in one file (together), or a file a rung (apart).", "HOW")
    ] = None
    gap: Annotated[str | None, _option("gap", 'A gap in the click, in bars: "2 on 2 off".', "GAP")] = None
    answer: Annotated[
        int | None, _option("answer", "So many bars played, then as many of click only for the player.", "BARS")
    ] = None
    rest: Annotated[str | None, _option("rest", 'Bars of rest after so many times through: "1 after 10".', "REST")] = (
        None
    )
    plain: Annotated[bool, _option("plain", "Leave the phrase file's own [practice] options aside.")] = False


def refuse_no_folder(name: str | None) -> None:
    """Raises DrumgenError where the folder to write into is none: an empty name, or something else is there."""
    from drumgen.errors import fail  # noqa: PLC0415 - as above

    if name is not None and (not name or (Path(name).exists() and not Path(name).is_dir())):
        raise fail("a folder", got=f'"{name}"')


def out_file(output: str, *, suffix: str, overwrite: bool) -> Path:
    """The path of ``-o``. Raises DrumgenError where it has another suffix, or stands there already."""
    from drumgen.errors import fail  # noqa: PLC0415 - as above
    from drumgen.saving import check_free  # noqa: PLC0415 - as above

    path = Path(output)
    if path.suffix.lower() != suffix:
        raise fail(f"an output ending in {suffix}", got=f'"{output}"')
    check_free(path, overwrite=overwrite)
    return path


def with_options(command: Callable[..., None], *, told: Mapping[str, str | None] | None = None) -> Callable[..., None]:
    """A command whose parameter ``asked`` is filled from the shared options.

    ``told`` is what the help says of some of them here; of None, which the command refuses, nothing.
    """
    told = told or {}
    shared = {each.name: each for each in fields(Asked)}
    hints = inspect.get_annotations(Asked, eval_str=True)
    own = inspect.signature(command, eval_str=True)

    @wraps(command)
    def run(**given: Any) -> None:  # noqa: ANN401 - whatever the options are
        asked = Asked(**{name: given.pop(name) for name in shared})
        _refuse_empty(kit=asked.kit, only=asked.only)
        command(asked=asked, **given)

    kept = [parameter for parameter in own.parameters.values() if parameter.name != "asked"]
    added = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=each.default, annotation=hint)
        for name, each in shared.items()
        for hint in (_retold(hints[name], told[name]) if name in told else hints[name],)
    ]
    run.__signature__ = inspect.Signature([*kept, *added])  # type: ignore[attr-defined]
    run.__annotations__ = {parameter.name: parameter.annotation for parameter in (*kept, *added)}
    return run


def _retold(hint: Any, words: str | None) -> Any:  # noqa: ANN401 - an annotation
    """An option with other words in the help, or none."""
    kind, option = get_args(hint)
    own = copy(option)
    own.help, own.hidden = words, words is None
    return Annotated[kind, own]
