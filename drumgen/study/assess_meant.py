"""What is meant: the strokes of a phrase that a take is held against, with their seconds, as far as it was begun."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.counts import spoken
from drumgen.performance import Clock
from drumgen.strokes import strokes

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.kit import Kit
    from drumgen.levels import Level
    from drumgen.performance import Hit, Performance
    from drumgen.plan import Plan
    from drumgen.study.arrays import Numbers
    from drumgen.study.assess_aligning import Alignment
    from drumgen.take import Take

WINDOW_S = 0.1
BROKEN_OFF = 0.25
"""A last time through of which at least so much is missing was broken off."""


class Meant(NamedTuple):
    """One stroke of the phrase: when (seconds of the phrase), its bar, the count it is on, limb, voice, level, kind."""

    at_s: float
    turn: int
    bar: int
    span: int
    place: int
    on: str
    limb: str
    voice: str
    level: Level
    kind: str


def meant_strokes(plan: Plan, performance: Performance) -> list[Meant]:
    """The strokes and grace notes of a plan, in order of time; the bounces of a buzz are left to the player."""
    played = strokes(plan)
    levels: dict[tuple[int, int, str, str], Level] = {
        (index, each.place, each.limb, plan.phrase.kit.voice(each.voice).name): each.level
        for index, (_, laid) in enumerate(played)
        for each in laid.strokes
    }
    clock, scale = Clock(performance.tempos), performance.ppq * 1_000_000
    out = []
    for hit in performance.hits:
        if hit.kind not in ("stroke", "grace"):
            continue
        span = plan.spans[hit.span]
        place = hit.place - span.start
        level = levels.get((hit.span, place, hit.limb, hit.voice), "normal")
        count = spoken(place, meter=span.meter)
        at_s = clock.parts(hit.tick) / scale
        out.append(
            Meant(at_s, span.pass_number, span.number, hit.span, place, count, hit.limb, hit.voice, level, hit.kind)
        )
    return sorted(out, key=lambda each: each.at_s)


def without_click(take: Take, kit: Kit, meant: Iterable[Meant]) -> list[tuple[float, Hit]]:
    """The hits of a take with their seconds, without those on the notes of the click, unless strokes are meant there.

    A kit may play a voice of its own on a note of the click, so that the two cannot be told apart.
    """
    clicks = {kit.voice(voice).key for voice in (kit.click, kit.click_accent)}
    clicks -= {kit.voice(each.voice).key for each in meant}
    return [(at_s, hit) for at_s, hit in zip(take.seconds(), take.hits, strict=True) if hit.key not in clicks]


def seconds_by_voice(rows: Iterable[tuple[float, str]]) -> dict[str, Numbers]:
    """The seconds of strokes by voice, in order."""
    found: dict[str, list[float]] = defaultdict(list)
    for at_s, voice in rows:
        found[voice].append(at_s)
    return {voice: np.sort(np.array(times)) for voice, times in found.items()}


def begun(once: Sequence[Meant], alignment: Alignment, last_s: float) -> list[Meant]:
    """The strokes without the rest of a last time through that was broken off well before its end."""
    turns = once[-1].turn + 1
    end_s = (last_s - alignment.start_s) / alignment.stretch
    length_s = (once[-1].at_s - once[0].at_s) / turns
    if turns == 1 or once[-1].at_s - end_s < BROKEN_OFF * length_s:
        return [*once]
    return [each for each in once if each.turn < turns - 1 or each.at_s <= end_s + WINDOW_S / 2]
