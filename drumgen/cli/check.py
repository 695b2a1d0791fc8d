"""``drumgen check``: what is wrong or odd in phrases, what they hold, and whether two hands and two feet can do it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer

from drumgen.amounts import amount
from drumgen.cli.boundary import FOUND
from drumgen.cli.options import Asked, skill_of, with_options
from drumgen.cli.phrases import open_phrase
from drumgen.cli.practising import practice_of
from drumgen.cli.saying import remark, say

if TYPE_CHECKING:
    from drumgen.phrase import Phrase
    from drumgen.study.top_tempo import TopTempo


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    asked: Asked,
    skill: Annotated[str, typer.Option("--for", metavar="WHOM", help="For a learner, a player or record.")] = "player",
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON, for programs.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Say what is wrong or odd in phrases, and up to what tempo they can be played.

    All faults of all files are named in one go (exit 2). Of a phrase without faults: its remarks, its length, when
    each sticking comes round, which bars are linear (no two limbs at once), the accents of each limb; then the top
    tempo, limb by limb, with the moment that sets it, and what a drummer would stumble over. The top tempo is a ranking
    of difficulty from the distances on the kit, not a measurement of anybody. Exit 1 where a phrase's own tempo is over
    its top tempo.
    """
    from drumgen.errors import DrumgenError  # noqa: PLC0415 - commands import late
    from drumgen.survey import survey  # noqa: PLC0415 - as above

    skill = skill_of(skill)
    faults: list[DrumgenError] = []
    reports: list[dict[str, Any]] = []
    too_fast = False
    for text in phrases:
        try:
            phrase = open_phrase(text, asked)
            seconds, bars, report = _study(phrase, asked, skill)
        except DrumgenError as error:
            faults.append(error)
            continue
        too_fast |= not report.playable
        if as_json:
            length = {"bars": bars, "seconds": round(seconds, 3)}
            reports.append({**report.plain(), **length, "survey": [bar.plain for bar in survey(phrase)]})
        else:
            _tell(phrase, bars, seconds, report)
    if as_json and not faults:
        say(json.dumps(reports, indent=2, ensure_ascii=True))
    if faults:
        raise DrumgenError(*(fault for error in faults for fault in error.faults))
    if too_fast:
        raise typer.Exit(FOUND)


def _study(phrase: Phrase, asked: Asked, skill: Any) -> tuple[float, int, TopTempo]:  # noqa: ANN401 - as `skill_of` has it
    """The length of what is played, in seconds and bars, and the report on it: once through, without a ladder."""
    from drumgen.performing import outline  # noqa: PLC0415 - as above
    from drumgen.plan import arrange  # noqa: PLC0415 - as above
    from drumgen.practice import Practice  # noqa: PLC0415 - as above
    from drumgen.study.top_tempo import top_tempo  # noqa: PLC0415 - as above

    practice = practice_of(phrase, asked)
    played = outline(arrange(phrase, practice))
    remark(*phrase.remarks, *played.remarks)
    once = Practice(tempo=practice.tempo, bars=practice.bars, only=practice.only, loop=practice.loop)
    report = top_tempo(arrange(phrase, once), skill=skill)
    return played.seconds, len(played.markers) - 1, report


def _tell(phrase: Phrase, bars: int, seconds: float, report: TopTempo) -> None:
    from drumgen.study.top_tempo import CAUTION  # noqa: PLC0415 - as above
    from drumgen.survey import survey  # noqa: PLC0415 - as above

    say(f"{phrase.title}: {amount(bars, 'bar')}, {seconds:.1f} s")
    for bar in survey(phrase):
        say(f"  {bar}")
    say(f"  {'at record speed' if report.skill == 'record' else f'for a {report.skill}'}: {report.verdict}")
    for limb in report.limbs:
        say(f"    {limb}")
    if report.tightest is not None:
        say(f"    sets it: {report.tightest.words}")
    for concern in report.concerns:
        say(f"    mind: {concern}")
    if not report.playable:
        say(f"    {CAUTION}")
