"""Words for limbs, voices, lengths and moments, as a teacher says them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.counts import spoken
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sticking import LIMB_NAMES
from drumgen.study.demands import in_a_row

if TYPE_CHECKING:
    from drumgen.study.demands import Demand
    from drumgen.study.moments import Moment, Moments

_LENGTHS: tuple[tuple[int, str], ...] = (
    (GRAINS_PER_QUARTER * 4, "whole note"),
    (GRAINS_PER_QUARTER * 2, "half"),
    (GRAINS_PER_QUARTER, "quarter"),
    (GRAINS_PER_QUARTER // 2, "eighth"),
    (GRAINS_PER_QUARTER // 3, "eighth of a triplet"),
    (GRAINS_PER_QUARTER // 4, "sixteenth"),
    (GRAINS_PER_QUARTER // 5, "note of a quintuplet"),
    (GRAINS_PER_QUARTER // 6, "sixteenth of a triplet"),
    (GRAINS_PER_QUARTER // 7, "note of a septuplet"),
    (GRAINS_PER_QUARTER // 8, "thirty-second"),
)
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def limb_words(limb: str) -> str:
    """The limb's name: ``right hand``."""
    return LIMB_NAMES[limb]


def voice_words(name: str) -> str:
    """A voice's name with spaces: ``floor tom``, ``hi-hat open``."""
    return name.replace("hihat", "hi-hat", 1) if name == "hihat" else name.replace("-", " ").replace("hihat", "hi-hat")


def length_words(grains: int) -> str:
    """A length in note values: ``one sixteenth``, ``three eighths``; else in quarters.

    >>> length_words(2520), length_words(7560), length_words(1000)
    ('one sixteenth', 'three sixteenths', '0.099 quarters')
    """
    for unit, word in _LENGTHS:
        times, rest = divmod(grains, unit)
        if not rest and 0 < times < len(_NUMBERS):
            head, of, tail = word.partition(" of ")
            return f"{_NUMBERS[times]} {head}{'s' if times > 1 else ''}{of}{tail}"
    return f"{grains / GRAINS_PER_QUARTER:.3f} quarters"


def count_words(moment: Moment, moments: Moments) -> str:
    """The count of a moment, such as ``2a``."""
    return spoken(moment.place, meter=moments.played[moment.span].span.meter)


def gap_words(first: Moment, second: Moment, moments: Moments) -> str:
    """The written length between two moments, in words."""
    return length_words(moments.grains_between(first, second))


def demand_words(demand: Demand, moments: Moments) -> str:
    """The moment that asks most: ``left hand, bar 4, from floor tom on 2a to snare on 3, 62 cm in one sixteenth``."""
    first, second = demand.first, demand.second
    span = moments.played[first.span].span
    begin, end = count_words(first, moments), count_words(second, moments)
    number = moments.played[second.span].span.number
    if number != span.number:
        end = f"{end} of bar {number}"
    gap = gap_words(first, second, moments)
    one, other = voice_words(first.voice.name), voice_words(second.voice.name)
    head = f"{limb_words(second.limb)}, bar {span.number}"
    if in_a_row(demand, moments) and demand.middle is not None:
        middle = count_words(demand.middle, moments)
        return f"{head}, {one}, three in a row on {begin}, {middle} and {end}"
    if demand.middle is not None:
        pairs = ((first, demand.middle), (demand.middle, second))
        wide = max(pairs, key=lambda pair: round(pair[1].at_s - pair[0].at_s, 9))
        return f"{head}, {one} again and again from {begin}, {gap_words(*wide, moments)} apart"
    target = f"a grace note on {other} before {end}" if second.grace else f"{other} on {end}"
    source = f"the grace note on {one} before {begin}" if first.grace else f"{one} on {begin}"
    if demand.need.asked == "move":
        return f"{head}, from {source} to {target}, {demand.need.reach_cm:.0f} cm in {gap}"
    if demand.need.asked == "rebound":
        return f"{head}, two in a row, {source} and {target}, {gap}"
    return f"{head}, full strokes, {source} and {target}, {gap}"
