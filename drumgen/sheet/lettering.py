"""Lettering: the sticking, and what is said on each place, put to the notes they belong to.

The letters of a grace note are its own hand's; a landing's hands have the letter of their limb. Counts stand on every
note and rest of the upper line, and on those notes of the lower that stand alone, with room for a word.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sheet.lines import HANDS
from drumgen.syllables import said

if TYPE_CHECKING:
    from drumgen.sheet.score import Event, Line
    from drumgen.strokes import Played


_ROOM = GRAINS_PER_QUARTER // 5
"""So far from the counts of the upper line there is room for one of the lower."""


def lettered(lines: tuple[Line, ...], played: Played) -> tuple[Line, ...]:
    """The lines of a measure with letters and counts."""
    letters = _letters(played)
    counted = [event.place for event in lines[0].events]
    out = []
    for line in lines:
        events = []
        for event in line.events:
            text = letters.pop(event.place, "") if _takes(event, letters) else ""
            alone = event.struck and all(abs(place - event.place) >= _ROOM for place in counted)
            says = not event.whole_bar and (line is lines[0] or alone)
            events.append(replace(event, letters=text, count=_count(event.place, played) if says else ""))
        out.append(replace(line, events=tuple(events)))
    return tuple(out)


def _count(place: int, played: Played) -> str:
    """What is said on a place; nothing where there is no word for it."""
    word = said(place, meter=played.span.meter, slots=played.laid.slots)
    return "" if word == "." else word


def _letters(played: Played) -> dict[int, str]:
    """The main letter of each place: R, L, B, K or H."""
    letters = {place: _main(text) for place, text in played.laid.letters}
    hands: dict[int, set[str]] = {}
    for stroke in played.laid.strokes:
        if stroke.limb in HANDS:
            hands.setdefault(stroke.place, set()).add(stroke.limb)
    for place, limbs in hands.items():
        if letters.get(place, "") in ("", *HANDS):
            letters[place] = "B" if len(limbs) == 2 else limbs.copy().pop()
    return letters


def _main(text: str) -> str:
    """The letter of a sign without its grace notes and bounces.

    >>> [_main(text) for text in ("R", "llR", "Lz", "K")]
    ['R', 'R', 'L', 'K']
    """
    return "".join(char for char in text if char.isupper())


def _takes(event: Event, letters: dict[int, str]) -> bool:
    """Whether the letter of its place belongs to this note: a hand's to a hand, a foot's to a foot."""
    wanted = letters.get(event.place, "")
    limbs = {one.limb for one in event.struck}
    return wanted in limbs or (wanted == "B" and bool(limbs & set(HANDS)))
