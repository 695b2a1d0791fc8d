"""Practice options as the page begins with them: what a phrase's file or the command line asked for, in plain values.

Tempos are in the phrase's own unit. The page has no more than it can show: bars are one range, a rest comes after
every so many rounds, and a ladder goes up or down by even steps.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.practice import ALL_LIMBS

if TYPE_CHECKING:
    from fractions import Fraction

    from drumgen.phrase import Phrase
    from drumgen.practice import Practice
    from drumgen.tempo import Tempo


def practice_table(phrase: Phrase, practice: Practice) -> dict[str, Any]:
    """The options of a phrase, in values that JSON can hold."""
    numbers = _bars(phrase, practice)
    heard = () if practice.only_click else practice.limbs or ALL_LIMBS
    gap, rest = practice.gap or (1, 0), practice.rest or (0, 1)
    return {
        "tempo": None if practice.tempo is None else _in_unit(practice.tempo, phrase),
        "times": practice.times if practice.times > 1 else 0,
        "first": min(numbers, default=None),
        "last": max(numbers, default=None),
        "silentLimbs": [limb for limb in ALL_LIMBS if limb not in heard],
        "silentVoices": [phrase.kit.voice(name).name for name in practice.mute],
        "countIn": practice.count_in,
        "click": practice.click or "",
        "gapOn": gap[0],
        "gapOff": gap[1],
        "answer": practice.answer,
        "rest": rest[0],
        "restAfter": rest[1],
        "ladder": _ladder(phrase, practice) if practice.rungs else None,
    }


def _bars(phrase: Phrase, practice: Practice) -> list[int]:
    """The numbers of the bars asked for, from the first to the last; none where all are."""
    numbered = [(number, phrase.bars[name]) for number, name in enumerate(phrase.order, start=phrase.first_number)]
    wanted = [
        number
        for number, bar in numbered
        if (not practice.bars or any(first <= number <= last for first, last in practice.bars))
        and (not practice.only or practice.only in (bar.name, bar.role))
    ]
    return [] if len(wanted) == len(numbered) else wanted


def _ladder(phrase: Phrase, practice: Practice) -> dict[str, Any]:
    rungs = [_in_unit(tempo, phrase) for tempo in practice.rungs]
    step = abs(rungs[1] - rungs[0]) if len(rungs) > 1 else 5
    return {"times": practice.times, "from": rungs[0], "to": rungs[-1], "by": step}


def _in_unit(tempo: Tempo, phrase: Phrase) -> float:
    """A tempo in the phrase's own unit."""
    own = phrase.tempo.unit_grains(phrase.meter)
    if not tempo.unit:
        return float(tempo.start)
    quarters: Fraction = tempo.quarters(phrase.meter)[0]
    return float(quarters * GRAINS_PER_QUARTER / own)
