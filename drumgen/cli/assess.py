"""``drumgen assess``: a take compared with its phrase."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.boundary import FOUND
from drumgen.cli.options import Asked, out_file, with_options
from drumgen.cli.phrases import open_phrase
from drumgen.cli.practising import practice_of
from drumgen.cli.saying import remark, say
from drumgen.cli.takes import ChannelOption, DebounceOption, PedalOption, StrictOption, in_file, open_take
from drumgen.errors import fail

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.study.assess import Assessment
    from drumgen.take import Take

LARGEST_WINDOW_MS = 250.0
MOST_TIMES = 1000


@with_options
def command(
    phrase: Annotated[str, typer.Argument(metavar="PHRASE", help="A phrase file, a sticking or a rudiment.")],
    take: Annotated[str, typer.Argument(metavar="TAKE.mid", help="A MIDI file of it, as it was played.")],
    asked: Asked,
    played_at: Annotated[
        str | None,
        typer.Option(
            "--played-at", metavar="TEMPO", help="The tempo it was played in, such as a click's; else estimated."
        ),
    ] = None,
    start: Annotated[
        float | None, typer.Option("--start", metavar="S", help="The second of the take it starts on; else estimated.")
    ] = None,
    window: Annotated[float, typer.Option(metavar="MS", help="How far off a stroke may be to count.")] = 100.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,  # noqa: FBT002 - a flag
    picture: Annotated[
        str | None,
        typer.Option(
            "--picture",
            metavar="FILE",
            help="Write the engraved bars with each stroke's milliseconds: .svg, .pdf, .png.",
        ),
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over a picture that is there.")] = False,  # noqa: FBT002 - a flag
    channel: ChannelOption = None,
    pedal: PedalOption = None,
    debounce: DebounceOption = 0.0,
    strict: StrictOption = False,  # noqa: FBT002 - a flag
) -> None:
    """Compare a take with the phrase: timing, dynamics, what was missed, added or on another voice.

    Early and late are against the player's own pulse, unless --played-at and --start say the click's. Exit code 1 where
    something was missed, added or on another voice.
    """
    import json  # noqa: PLC0415 - commands import late

    from drumgen.performing import perform  # noqa: PLC0415 - as above
    from drumgen.study.assess import assess  # noqa: PLC0415 - as above
    from drumgen.study.assess_values import plain  # noqa: PLC0415 - as above
    from drumgen.study.assess_words import assessment_lines  # noqa: PLC0415 - as above

    if not 1 <= window <= LARGEST_WINDOW_MS:
        raise fail(f"--window from 1 to {LARGEST_WINDOW_MS:g} milliseconds", got=f"{window:g}")
    if start is not None and not 0 <= start <= 86_400:
        raise fail("--start from 0 seconds to a day", got=f"{start:g}")
    if phrase.lower().endswith((".mid", ".midi")) and take.lower().endswith(".toml"):
        raise fail("the phrase first and then the take", got=f'"{phrase}" "{take}"')
    path = _picture_path(picture, overwrite=overwrite)
    opened = open_phrase(phrase, asked)
    remark(*opened.remarks)
    read = open_take(take, kit=opened.kit, channel=channel, pedal=pedal, debounce_ms=debounce, strict=strict,
                     meter_known=True)  # fmt: skip
    stretch = _stretch(opened, played_at)
    plan = _plan(opened, asked, read, stretch)
    with in_file(take):
        found = assess(plan, perform(plan), read, stretch=stretch, start_s=start, window_s=window / 1000)
    if as_json:
        print(json.dumps(plain(found), indent=1))
    else:
        say(f"{opened.title}: {take}")
        say(*assessment_lines(found))
    if path is not None:
        _save_picture(path, opened, found)
    if not found.clean:
        raise typer.Exit(FOUND)


def _picture_path(picture: str | None, *, overwrite: bool) -> Path | None:
    from pathlib import Path  # noqa: PLC0415 - as above

    from drumgen.assessment_picture import SUFFIXES  # noqa: PLC0415 - as above

    if picture is None:
        return None
    suffix = Path(picture).suffix.lower()
    if suffix not in SUFFIXES:
        raise fail("a picture ending in .svg, .pdf or .png", got=f'"{picture}"')
    return out_file(picture, suffix=suffix, overwrite=overwrite)


def _save_picture(path: Path, phrase: Phrase, found: Assessment) -> None:
    from drumgen.assessment_picture import render_picture  # noqa: PLC0415 - as above
    from drumgen.saving import save  # noqa: PLC0415 - as above

    save(path, render_picture(phrase, found, suffix=path.suffix.lower()))
    remark(f"wrote {path}")


def _plan(phrase: Phrase, asked: Asked, take: Take, stretch: float | None) -> Plan:
    """What the phrase is as it was played: as often as the take goes through it, unless the options say how."""
    from dataclasses import replace  # noqa: PLC0415 - as above

    from drumgen.performing import perform  # noqa: PLC0415 - as above
    from drumgen.plan import arrange  # noqa: PLC0415 - as above
    from drumgen.study.assess_turns import times_through  # noqa: PLC0415 - as above

    practice = practice_of(phrase, asked)
    said = practice.loop or practice.rungs or practice.count_in or practice.rest or practice.answer
    if said or asked.times is not None:
        return arrange(phrase, practice)
    looped = arrange(phrase, replace(practice, loop=True, times=1))
    times = times_through(looped, perform(looped), take, stretch=stretch)
    return arrange(phrase, replace(practice, times=max(practice.times, min(times, MOST_TIMES))))


def _stretch(phrase: Phrase, played_at: str | None) -> float | None:
    from drumgen.tempo import parse_tempo  # noqa: PLC0415 - as above

    if played_at is None:
        return None
    meter = phrase.meter
    own = parse_tempo(played_at, ramp=False).quarters(meter)[0]
    return float(phrase.tempo.quarters(meter)[0] / own)
