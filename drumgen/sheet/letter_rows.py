"""Letter rows: the letters of the sticking and the counts, in rows under the notes and rests of one line of music.

Verovio sets the letters and counts of notes, each at its note's left; they are moved to the middle under their heads.
The letters of grace notes and the counts of rests, which it leaves out, are added in the same rows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.sheet.ink import Mark, Run, Words
from drumgen.sheet.text_width import width

if TYPE_CHECKING:
    from collections.abc import Sequence

LETTER = 378.0
"""The size of the letters under the notes, grace notes' small letters too, in verovio's units."""

_DROP = 90.0
"""How much lower letters stand where dynamics are over them, which verovio sets too close."""

_THIN = 40
"""Between a grace note's letter and that of its stroke."""


class _Missing(NamedTuple):
    """What is to be written under the middle of a grace note (a letter) or of a rest (a count)."""

    middle: float
    text: str
    is_count: bool


class LetterRows:
    """The rows of one line of music while it is being inked; lower where dynamics stand over them."""

    def __init__(self, *, under_dynamics: bool) -> None:
        self.drop = _DROP if under_dynamics else 0.0
        self._set: list[Words] = []
        self._missing: list[_Missing] = []

    def add(self, middle: float, y: float, runs: Sequence[Run]) -> Words:
        """A letter or count of verovio's in its row, in the middle under its head."""
        letter = Words(middle, y + self.drop, LETTER, tuple(runs), "middle")
        self._set.append(letter)
        return letter

    def leave(self, middle: float, text: str, *, is_count: bool) -> None:
        """Remember what verovio left out: the letter of a grace note, or the count of a rest."""
        self._missing.append(_Missing(middle, text, is_count))

    def completed(self) -> list[Mark]:
        """The letters of grace notes in the first row of letters, the counts of rests in the last.

        A grace note's letter stands close to that of its stroke, never by that of the stroke before.
        """
        if not self._set:
            return []
        heights = [letter.y for letter in self._set]
        first, last = min(heights), max(heights)
        row = [letter for letter in self._set if letter.y == first]
        more: list[Mark] = []
        for middle, text, is_count in sorted(self._missing, reverse=True):
            one = Words(middle, last if is_count else first, LETTER, (Run(text),), "middle")
            more.append(one if is_count else _drawn_near(one, row))
        return more


def _drawn_near(letter: Words, row: list[Words]) -> Words:
    """A grace note's letter moved to the right as far as the letter after it lets it, and put in its row."""
    after = min((each for each in row if each.x > letter.x), key=lambda each: each.x, default=None)
    if after is not None:
        close = after.x - (width(after) + width(letter)) / 2 - _THIN
        letter = letter._replace(x=max(letter.x, close))
    row.append(letter)
    return letter


def is_letter(mark: Mark) -> bool:
    """Whether a mark is a letter or count under a note or rest."""
    return isinstance(mark, Words) and mark.size == LETTER and mark.anchor == "middle"
