"""Plans: a phrase arranged for playing — its rounds, count-in, clicks, landings and loop — in whole grains.

``arrange`` decides what sounds how often; it knows no milliseconds and no ticks.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from drumgen.clicks import ClickSound
from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.phrase import MOST_BARS
from drumgen.rounds import Rounds
from drumgen.sticking import LIMBS

if TYPE_CHECKING:
    from drumgen.bar import Bar
    from drumgen.kit import Kit
    from drumgen.phrase import Phrase
    from drumgen.practice import Practice
    from drumgen.spans import Span
    from drumgen.sticking import Limb


@dataclass(frozen=True, slots=True)
class Plan:
    """What is played: spans one after the other, with some limbs and voices silent; ``remarks`` say what was added."""

    phrase: Phrase
    spans: tuple[Span, ...]
    loop: bool = False
    silent_limbs: frozenset[Limb] = frozenset()
    silent_voices: frozenset[str] = frozenset()
    click_sound: ClickSound = field(default_factory=ClickSound)
    remarks: tuple[str, ...] = ()

    @property
    def grains(self) -> int:
        """The length of the whole."""
        last = self.spans[-1]
        return last.start + last.meter.grains

    @property
    def least_s(self) -> Fraction:
        """How many seconds it lasts at least: exactly so many, unless a tempo changes through a bar."""
        alike = Counter((span.meter.grains, max(span.quarters)) for span in self.spans)
        quarters_s = sum(number * grains / fastest for (grains, fastest), number in alike.items())
        return 60 * Fraction(quarters_s) / GRAINS_PER_QUARTER


def arrange(phrase: Phrase, practice: Practice | None = None) -> Plan:
    """The plan of a phrase under practice options (its own, unless others are given).

    Raises DrumgenError where the options ask for bars, limbs or voices that the phrase does not have.
    """
    practice = practice or phrase.practice
    rounds = Rounds(phrase, practice, _chosen(phrase, practice))
    spans = tuple(rounds.spans())
    heard = () if practice.only_click else practice.limbs or LIMBS
    silent = frozenset(limb for limb in LIMBS if limb not in heard)
    voices = frozenset(phrase.kit.voice(name).name for name in practice.mute)
    sound = _click_sound(phrase.kit, practice.click_sound)
    return Plan(phrase, spans, practice.loop, silent, voices, sound, tuple(rounds.remarks))


def _click_sound(kit: Kit, sound: ClickSound) -> ClickSound:
    """The click's sound with the kit's own voices where none are named. Raises DrumgenError for one it lacks."""
    plain, marked = sound.plain or kit.click, sound.marked or kit.click_accent
    return replace(sound, plain=kit.voice(plain).name, marked=kit.voice(marked).name)


def _chosen(phrase: Phrase, practice: Practice) -> list[tuple[int, Bar]]:
    """The bars that are played, with their numbers."""
    numbered = [(number, phrase.bars[name]) for number, name in enumerate(phrase.order, start=phrase.first_number)]
    if practice.bars:
        highest = numbered[-1][0]
        for first, last in practice.bars:
            if not phrase.first_number <= first <= last <= highest:
                rule = f"bars from {phrase.first_number} to {highest}"
                raise DrumgenError(Fault(rule, got=f"{first}-{last}" if first != last else str(first), path=("bars",)))
        numbered = [(n, bar) for n, bar in numbered if any(first <= n <= last for first, last in practice.bars)]
    if practice.only:
        known = {bar.name for _, bar in numbered} | {bar.role for _, bar in numbered}
        if practice.only not in known:
            hint = nearest(practice.only, known)
            rule = f"the name or role of a bar that is played ({', '.join(sorted(known))})"
            raise DrumgenError(Fault(rule, got=f'"{practice.only}"', nearest=hint, path=("only",)))
        numbered = [(n, bar) for n, bar in numbered if practice.only in (bar.name, bar.role)]
    total = practice.times * len(numbered) * max(1, len(practice.rungs)) * (2 if practice.answer else 1)
    if total > MOST_BARS:
        raise DrumgenError(Fault(f"at most {MOST_BARS} bars", got=str(total), path=("times",)))
    return numbered
