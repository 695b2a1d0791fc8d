"""Counts and places as they are written, and where they stand in a bar.

| written | is |
|---|---|
| ``2`` | count 2 |
| ``2e 2& 2a`` | the quarters of count 2 (over eighths and shorter only ``2&``, its half) |
| ``2t 2l`` | the thirds of a simple count ("trip", "let"); in a meter counted ``in n`` also ``2& 2a`` |
| ``2&t 2&l`` | sextuplet places after the & |
| ``2.3`` | third place of beat 2 in the hands' subdivision |
| ``2*`` · ``2.*`` | every place of count 2 · of beat 2 |
| ``*&`` ``*e`` ``*a`` ``*t`` ``*l`` | that place of every count |
| ``all`` · ``every 3`` | every stroke · every third place |

Places are grains from the bar's start. Syllables of counting aloud: *common practice*, no standard is known.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from math import gcd
from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from drumgen.levels import Level
    from drumgen.meter import Beat, Meter

PARTS = ("e", "&", "a", "t", "l", "&t", "&l")


class Slot(NamedTuple):
    """One place of the hands' subdivision: its start and length, its beat (from 0), and whether it is straight."""

    start: int
    grains: int
    beat: int
    straight: bool


@dataclass(frozen=True, slots=True)
class Where:
    """One written place: ``number`` is the count or beat, or the n of "every n"; ``level`` is its sign."""

    form: Literal["count", "slot", "count*", "slot*", "each", "all", "every"]
    number: int = 0
    part: str = ""
    slot: int = 0
    level: Level = "normal"
    span: tuple[int, int] = (0, 0)

    def __str__(self) -> str:
        plain = {
            "count": f"{self.number}{self.part}",
            "slot": f"{self.number}.{self.slot}",
            "count*": f"{self.number}*",
            "slot*": f"{self.number}.*",
            "each": f"*{self.part}",
            "all": "all",
            "every": f"every {self.number}",
        }[self.form]
        return f">{plain}" if self.level == "accent" else f"({plain})" if self.level == "ghost" else plain

    @property
    def starred(self) -> bool:
        """Whether it names many places at once, and is never remarked on where some are silent."""
        return self.form not in ("count", "slot")


@dataclass(frozen=True, slots=True)
class Places:
    """A written list of places.

    >>> str(parse_places("1  2& >3 (4& 4a)", signs=True))
    '1 2& >3 (4&) (4a)'
    """

    wheres: tuple[Where, ...] = ()
    text: str = ""

    def __str__(self) -> str:
        return " ".join(map(str, self.wheres))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Places) and str(self) == str(other)

    def __hash__(self) -> int:
        return hash(str(self))


_TOKEN = re.compile(
    r"(?P<every>every\s+(?P<n>\d{1,4}))|(?P<all>all)|(?P<beat>\d{1,4})\.(?:(?P<slots>\*)|(?P<slot>\d{1,4}))"
    r"|(?P<whole>\d{1,4})\*|(?P<count>\d{1,4})(?P<part>&t|&l|[e&atl])?|\*(?P<each>&t|&l|[e&atl])",
    re.ASCII,
)
_FORMS = "a count such as 2, 2&, 2.3, 2*, *&, all or every 3"


def parse_places(text: str, *, signs: bool) -> Places:
    """The places written in ``text``; with ``signs`` an accent ``>`` or ghost brackets may stand around them.

    ``places := { [">"] place | "(" place { place } ")" }``, the forms of a place as in the module's head.
    """
    wheres: list[Where] = []
    at, ghost_from, level_next = 0, -1, False
    while at < len(text):
        char = text[at]
        if char.isspace() and not level_next:
            at += 1
        elif signs and char == "(" and ghost_from < 0 and not level_next:
            ghost_from, at = at, at + 1
        elif signs and char == ")" and ghost_from >= 0 and not level_next:
            ghost_from, at = -1, at + 1
        elif signs and char == ">" and ghost_from < 0 and not level_next:
            level_next, at = True, at + 1
        else:
            where = _read_where(text, at, "accent" if level_next else "ghost" if ghost_from >= 0 else "normal")
            wheres.append(where)
            at, level_next = where.span[1], False
    if ghost_from >= 0 or level_next:
        rule = 'a ")" after the ghost notes' if ghost_from >= 0 else "a count after the accent"
        raise DrumgenError(Fault(rule, got="the end", text=text, span=(len(text), len(text))))
    return Places(tuple(wheres), text)


def _read_where(text: str, at: int, level: Level) -> Where:
    match = _TOKEN.match(text, at)
    end = match.end() if match else at
    if match is None or (end < len(text) and not (text[end].isspace() or text[end] in "()>")):
        word = re.match(r"[^\s()>]*", text[at:])
        got = word.group() if word and word.group() else text[at]
        raise DrumgenError(Fault(_FORMS, got=f'"{got}"', text=text, span=(at, at + len(got))))
    span = match.span()
    if match["every"]:
        if int(match["n"]) == 0:
            raise DrumgenError(Fault("a number from 1 after every", got="0", text=text, span=span))
        return Where("every", int(match["n"]), level=level, span=span)
    if match["all"]:
        return Where("all", level=level, span=span)
    if match["beat"]:
        form: Literal["slot*", "slot"] = "slot*" if match["slots"] else "slot"
        return Where(form, int(match["beat"]), slot=int(match["slot"] or 0), level=level, span=span)
    if match["whole"]:
        return Where("count*", int(match["whole"]), level=level, span=span)
    if match["each"]:
        return Where("each", part=match["each"], level=level, span=span)
    return Where("count", int(match["count"]), match["part"] or "", level=level, span=span)


def find(where: Where, *, meter: Meter, slots: tuple[Slot, ...], counter: int = 0, text: str = "") -> tuple[int, ...]:
    """The places that a written place names, as grains from the bar's start.

    ``slots`` are the hands' places in order; ``counter`` is how many places went by before this bar (for ``every``).
    Raises DrumgenError, listing what the meter has, where it has no such count.
    """
    match where.form:
        case "all":
            return tuple(slot.start for slot in slots)
        case "every":
            return tuple(slot.start for i, slot in enumerate(slots, start=counter) if i % where.number == 0)
        case "each":
            found = tuple(count.start + count.parts[where.part] for count in meter.counts if where.part in count.parts)
            if not found:
                raise _unknown(where, meter, text)
            return found
        case "slot" | "slot*":
            return _find_slot(where, meter.beats, slots, text)
        case _:
            return _find_count(where, meter, slots, text)


def _find_count(where: Where, meter: Meter, slots: tuple[Slot, ...], text: str) -> tuple[int, ...]:
    if not 1 <= where.number <= len(meter.counts):
        raise _unknown(where, meter, text)
    count = meter.counts[where.number - 1]
    if where.form == "count*":
        return tuple(slot.start for slot in slots if count.start <= slot.start < count.start + count.grains)
    if where.part not in count.parts:
        raise _unknown(where, meter, text)
    return (count.start + count.parts[where.part],)


def _find_slot(where: Where, beats: tuple[Beat, ...], slots: tuple[Slot, ...], text: str) -> tuple[int, ...]:
    if not 1 <= where.number <= len(beats):
        rule = f"a beat from 1 to {len(beats)}"
        raise DrumgenError(Fault(rule, got=f'"{where}"', text=text, span=where.span))
    of_beat = [slot.start for slot in slots if slot.beat == where.number - 1]
    if where.form == "slot*":
        return tuple(of_beat)
    if not 1 <= where.slot <= len(of_beat):
        rule = f"a place of beat {where.number}, {where.number}.1 to {where.number}.{len(of_beat)}"
        raise DrumgenError(Fault(rule, got=f'"{where}"', text=text, span=where.span))
    return (of_beat[where.slot - 1],)


def _unknown(where: Where, meter: Meter, text: str) -> DrumgenError:
    rule = f"a count of {meter} ({described(meter)})"
    return DrumgenError(Fault(rule, got=f'"{where}"', text=text, span=where.span if text else None))


@lru_cache(maxsize=64)
def described(meter: Meter) -> str:
    """The counts that a meter has, in words: ``1 to 4, each with e & a t l &t &l``."""
    counts = meter.counts
    kinds = {" ".join(part for part in PARTS if part in count.parts) for count in counts}
    numbers = f"1 to {len(counts)}" if len(counts) > 1 else "1"
    if len(kinds) == 1:
        parts = kinds.pop()
        return f"{numbers}, each with {parts}" if parts else numbers
    each = (f"{i} {' '.join(p for p in PARTS if p in c.parts)}".strip() for i, c in enumerate(counts, start=1))
    return f"{numbers}: " + "; ".join(each)


def spoken(place: int, *, meter: Meter) -> str:
    """What is said on a place of the bar where it has a name of its own, such as ``2&``; else its count and grains.

    Used wherever a stroke is named to a person.
    """
    for number, count in enumerate(meter.counts, start=1):
        if count.start <= place < count.start + count.grains:
            for part, grains in count.parts.items():
                if count.start + grains == place:
                    return f"{number}{part}"
            above, below = place - count.start, count.grains
            divisor = gcd(above, below)
            return f"{number} and {above // divisor}/{below // divisor}"
    return "the bar line"
