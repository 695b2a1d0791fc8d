"""The fills of a lesson: of one beat, of two, of a bar, and the phrases that lead to them and back.

The bar-long fills are the best that `vary` finds on the lesson's own groove: playable at its tempo by whom it is for.
"""

from __future__ import annotations

import tomllib
from math import inf
from typing import TYPE_CHECKING, NamedTuple

from drumgen.errors import DrumgenError
from drumgen.plan import arrange
from drumgen.study.lesson_draft import draft
from drumgen.study.lesson_ground import Bars, Ground, Table, counted
from drumgen.study.lesson_steps import Step, groove_bar, toms_of
from drumgen.study.top_tempo import top_tempo
from drumgen.study.vary import vary
from drumgen.study.wish import Wish

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.kit import Kit
    from drumgen.tempo import Tempo
    from drumgen.trade.limits import Skill

LANDING = {"landing": ["crash", "kick"]}
_WANTED, _READ = 2, 12
_FEWEST_VOICES = 3


class Orchestration(NamedTuple):
    """A bar-long fill: what its bar says of hands and feet, and that in words."""

    keys: Table
    words: str


def fill_orchestrations(
    ground: Ground, kit: Kit, *, skill: Skill, tempo: Tempo, head: Table
) -> tuple[Orchestration, ...]:
    """Two bar-long fills: the cheapest that speak with three voices or more, else the cheapest; else beat by beat."""
    bars = {"groove": groove_bar(ground), "fill": _bar_fill(ground, Orchestration({"hands": {"R": "snare"}}, ""))}
    table = {**head, **LANDING, "tempo": str(tempo), "phrase": ["groove x3", "fill"], "bars": bars}
    words = "one hand walks down the toms, a drum a beat"
    plain = Orchestration({"hands": {"R": {"around": [*toms_of(kit)], "every": "beat"}}}, words)
    wish = Wish(number=_READ, skill=skill, voices=("snare", *toms_of(kit)), bars=("fill",))
    try:
        found = vary(draft(table, kit).file, kit, wish).found
    except DrumgenError:
        return (plain, plain)
    rich = [each for each in found if len(set(each.voices["fill"])) >= _FEWEST_VOICES]
    best = [*rich, *(each for each in found if each not in rich)]
    made = [Orchestration(_orchestrated(each.text), _small(each.words)) for each in best]
    return tuple([*made, plain, plain][:_WANTED])


def _small(words: str) -> str:
    """A sentence as it stands inside another."""
    return words[:1].lower() + words[1:].rstrip(".")


def _orchestrated(text: str) -> Table:
    bar = tomllib.loads(text)["bars"]["fill"]
    return {key: bar[key] for key in ("hands", "feet") if key in bar}


def _head(ground: Ground) -> Table:
    return {"meter": ground.setting.meter}


def _part_fill(ground: Ground, beats: int, hands: Table) -> Table:
    """A bar of the groove whose last beats are a fill."""
    last = len(ground.beats)
    first = last - beats + 1
    accents = [count for count in ground.struck() if count in ground.beats[first - 1 :]]
    part: Table = {
        "beats": str(last) if beats == 1 else f"{first}-{last}",
        "accents": counted(tuple(accents)),
        "ghosts": "",
        "hands": hands,
    }
    if "K" not in ground.material.limbs():
        part["feet"] = {"kick": counted(ground.beats[first - 1 :])}
    return {"role": "fill", "like": "groove", "parts": [part]}


def _bar_fill(ground: Ground, orchestration: Orchestration) -> Table:
    feet = {} if "K" in ground.material.limbs() else {"feet": {"kick": counted(ground.beats)}}
    accents = {"accents": counted(ground.struck()), "ghosts": ""}
    return {"role": "fill", "like": "groove", **accents, **feet, **orchestration.keys}


WHY = {
    "fill-of-a-beat": "one beat is enough to turn a page, and too short to be afraid of.",
    "fill-of-two-beats": "half the bar is still groove: it carries the fill.",
    "fill-of-a-bar": "the hands know the way already; of the fills that were tried it moves best.",
}


def _phrase(ground: Ground, bars: Bars, order: Sequence[str]) -> tuple[Bars, tuple[str, ...]]:
    """A phrase of these bars, then a bar for the landing to ring, then all of it with the other lead."""
    others = {name: [*ground.other_lead(name)] for name in bars}
    mirrored = [one.replace(name, others[name][0]) for one in order for name in [one.split(" x")[0]] if others[name]]
    rows = {key: bar for name in bars for key, bar in ground.other_lead(name).items()}
    return {**bars, **rows, **(ground.change if rows else {})}, ground.parted(order, mirrored)


_AROUND = ["high-tom", "floor-tom"]
_FLOOR = {"R": "floor-tom", "L": "snare"}
_ACCENTS = {"R": {"main": "snare", "accent": "floor-tom"}, "L": {"main": "snare", "accent": "high-tom"}}
SHORT_FILLS: dict[int, tuple[Table, ...]] = {
    1: (
        {"R": {"around": _AROUND, "every": "stroke"}, "L": "snare"},
        {"R": "floor-tom", "L": "high-tom"},
        _ACCENTS,
        _FLOOR,
    ),
    2: (
        {"R": {"around": _AROUND, "every": "beat"}, "L": {"around": _AROUND, "every": "beat"}},
        {"R": {"around": _AROUND, "every": "beat"}, "L": "snare"},
        _ACCENTS,
        _FLOOR,
    ),
}
"""Hands of a fill of so many beats, those that go farther first."""


def _short_fill(ground: Ground, kit: Kit, beats: int, skill: Skill, *, free: float) -> Table:
    """The first short fill that holds a groove of this top tempo back by no more than an eighth; else the easiest."""
    fills = [_part_fill(ground, beats, hands) for hands in SHORT_FILLS[beats]]
    tops = [_top(ground, kit, fill, skill) for fill in fills]
    good = (fill for fill, top in zip(fills, tops, strict=True) if top >= free * 7 / 8)
    return next(good, fills[max(range(len(fills)), key=lambda number: (tops[number], -number))])


def _top(ground: Ground, kit: Kit, fill: Table, skill: Skill) -> float:
    bars, order = _phrase(ground, {"groove": groove_bar(ground), "fill": fill}, ("groove", "fill"))
    unit = f"{ground.setting.unit} " if ground.setting.unit else ""
    table = {**_head(ground), **LANDING, "tempo": f"{unit}100", "phrase": list(order), "bars": bars}
    return top_tempo(arrange(draft(table, kit).phrase), skill=skill).top or inf


def fill_steps(ground: Ground, kit: Kit, made: tuple[Orchestration, ...], *, skill: Skill) -> Iterator[Step]:
    """The pages of fills, and the last page."""
    groove = groove_bar(ground)
    free = _top(ground, kit, groove, skill)
    one, two = (_short_fill(ground, kit, beats, skill, free=free) for beats in (1, 2))
    whole, words = _bar_fill(ground, made[0]), f"the whole fourth bar: {made[0].words}"
    pages = (
        ("fill-of-a-beat", "A fill of one beat", one, "the last beat of the fourth bar leaves the groove"),
        ("fill-of-two-beats", "A fill of two beats", two, "the last two beats leave the groove"),
        ("fill-of-a-bar", "A fill of a bar", whole, words),
    )
    for name, heading, fill, aim in pages:
        bars, order = _phrase(ground, {"groove": groove, "fill": fill}, ("groove x3", "fill"))
        yield Step(
            name, heading,
            f"three bars of groove, then {aim}; the crash falls on the next 1.",
            "the first bar after the fill: is it as fast as the one before?",
            "after four clean rounds in which the crash was with the click.",
            WHY[name],
            ground, bars, order, weight=2, rank={"fill-of-a-bar": 0}.get(name, 1), extra=LANDING,
        )  # fmt: skip
    tables = {"groove": groove, "turn": one, "fill": _bar_fill(ground, made[1])}
    bars, order = _phrase(ground, tables, ("groove x3", "turn", "groove x3", "fill"))
    yield Step(
        "eight-bars", "Eight bars",
        f"groove, a short fill, groove, a long one: {made[1].words}.",
        "where the phrase breathes: the short fill asks, the long one answers.",
        "when you know the eighth bar is coming without counting bars.",
        "songs move in eights; a fill that comes one bar too early is not a fill.",
        ground, bars, order, weight=3, rank=2, extra=LANDING,
    )  # fmt: skip
    yield Step(
        "at-the-songs-tempo", "At the tempo of a song",
        "the eight bars with a click that leaves: two bars with it, two bars alone.",
        "the click when it comes back: is it on your beat, before it or after?",
        "when it comes back and you smile: four rounds.",
        "a band has no click; the time is yours.",
        ground, bars, order, weight=3, rank=0, goal=True, extra=LANDING,
    )  # fmt: skip
