"""Practice options as the page begins with them: what a phrase's file or the command line asked for, in plain values.

Tempos are in the phrase's own unit. Bars are a range, of which ``numbers`` are some where they are not all; a loop goes
round and round; a ladder goes up or down by even steps, its rungs in one page.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.sticking import LIMBS

if TYPE_CHECKING:
    from fractions import Fraction

    from drumgen.phrase import Phrase
    from drumgen.tempo import Tempo


def practice_table(phrase: Phrase, practice: Practice) -> dict[str, Any]:
    """The options of a phrase, in values that JSON can hold.

    Raises DrumgenError where they ask for bars, limbs or voices that the phrase does not have.
    """
    every = _bars(phrase, Practice())
    numbers = _bars(phrase, practice)
    row = [number for number in every if numbers[0] <= number <= numbers[-1]]
    heard = () if practice.only_click else practice.limbs or LIMBS
    gap, rest = practice.gap or (1, 0), practice.rest or (0, 1)
    return {
        "tempo": None if practice.tempo is None else _in_unit(practice.tempo, phrase),
        "times": practice.times if practice.times > 1 and not practice.loop else 0,
        "first": None if numbers == every else numbers[0],
        "last": None if numbers == every else numbers[-1],
        "numbers": None if numbers == row else numbers,
        "silentLimbs": [limb for limb in LIMBS if limb not in heard],
        "silentVoices": [phrase.kit.voice(name).name for name in practice.mute],
        "countIn": practice.count_in,
        "click": practice.click or "",
        "clickSide": practice.click_sound.side,
        "gapOn": gap[0],
        "gapOff": gap[1],
        "answer": practice.answer,
        "rest": rest[0],
        "restAfter": rest[1],
        "ladder": _ladder(phrase, practice) if practice.rungs else None,
    }


def _bars(phrase: Phrase, practice: Practice) -> list[int]:
    """The numbers of the bars that are played, in order."""
    once = replace(practice, times=1, rungs=practice.rungs[:1], count_in=0, gap=None, answer=0, rest=None)
    return [span.number for span in arrange(phrase, once).spans if span.kind == "bar"]


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
