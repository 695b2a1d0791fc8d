"""Refusing: where no orchestration at all can be played, whatever the voices; and why."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.study.demands import demands, factor, is_enough
from drumgen.study.top_tempo import shown_tempo, top_tempo
from drumgen.trade.limits import HAND_REPEATED

if TYPE_CHECKING:
    from collections.abc import Callable

    from drumgen.phrase import Phrase
    from drumgen.study.moments import Moment, Moments
    from drumgen.study.wish import Wish


def hopeless(moments: Moments, is_varied: Callable[[Moment], bool], wish: Wish) -> bool:
    """Whether something cannot be played wherever the varied strokes go.

    That is: a hand or the hi-hat foot where nothing is varied; or three strokes of one hand with less than a full
    stroke's time before the second and before the third (a move needs no less, and no two rebounds follow each other).
    """
    for limb in ("R", "L", "H"):
        row = moments.by_limb[limb]
        for demand in demands(row, skill=wish.skill):
            touched = any(map(is_varied, (demand.first, demand.middle or demand.first, demand.second)))
            if not demand.is_met and (limb == "H" or not touched):
                return True
        full_ms = HAND_REPEATED.at(wish.skill)
        tight = [not is_enough(factor(first, second, full_ms)) for first, second in pairwise(row)]
        if limb != "H" and any(one and other for one, other in pairwise(tight)):
            return True
    return False


def nothing_found(phrase: Phrase, wish: Wish, names: tuple[str, ...], *, tried: int | None = None) -> DrumgenError:
    """Why nothing was found: the moment that asks most of what is written; ``tried`` where not all could be tried."""
    report = top_tempo(arrange(phrase, Practice(tempo=wish.tempo)), skill=wish.skill)
    words = report.tightest.words if report.tightest and not report.playable else "what has to stay leaves nothing"
    bars = ", ".join(f'"{name}"' for name in names)
    rule = f"an orchestration of {bars} that a {wish.skill} can play at {shown_tempo(report.tempo)}"
    found = "none" if tried is None else f"none of {tried} combinations tried"
    return DrumgenError(Fault(rule, got=f"{found} ({words})"))
