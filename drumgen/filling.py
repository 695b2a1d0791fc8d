"""Filling: which sign of a sticking stands in which place of a bar.

A sticking shorter than its bar repeats; carried over the bar line it goes on where it stopped.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from drumgen.counts import Slot
from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.orchestration import Around
from drumgen.subdivision import BINARY_GRAINS, is_straight, places_in

if TYPE_CHECKING:
    from drumgen.bar import Bar, Layer
    from drumgen.meter import Beat, Meter
    from drumgen.sticking import Sign, Sticking


Carried = tuple[int, int, int, int, int, tuple[tuple[str, int, object], ...]]
"""What a progress has come to, as a value; made and read by ``Progress`` alone."""

NOTHING_CARRIED: Carried = (0, 0, 0, 0, 0, ())


class Progress:
    """How far a sticking has come: what is carried over a bar line."""

    def __init__(self) -> None:
        self.sign = 0
        self.wait_grains = 0
        self.slots = 0
        self.strokes = 0
        self.bars = 0
        self.around: dict[str, Around] = defaultdict(Around)

    @property
    def carried(self) -> Carried:
        """How far it has come, as a value."""
        around = tuple((limb, found.index, found.unit) for limb, found in sorted(self.around.items()))
        return self.sign, self.wait_grains, self.slots, self.strokes, self.bars, around

    @classmethod
    def after(cls, carried: Carried) -> Progress:
        """The progress that has come so far."""
        progress = cls()
        progress.sign, progress.wait_grains, progress.slots, progress.strokes, progress.bars, around = carried
        for limb, index, unit in around:
            progress.around[limb].index, progress.around[limb].unit = index, unit
        return progress


def come_round(carried: Carried, *, signs: int, places: int) -> Carried:
    """The same to what comes after, in low numbers, so that what has come round is known again.

    The sticking comes round every ``signs``, what is counted in places every ``places``. Where a hand is on its way
    around its voices nothing is changed: it may stay on its last, and its strokes, beats and bars go on.
    """
    sign, wait_grains, slots, _, _, around = carried
    if any(unit is not None for _, _, unit in around):
        return carried
    return sign % signs, wait_grains, slots % places, 0, 0, ()


class Given(NamedTuple):
    """One sign in its slot: ``turn`` is how often the sticking has come round; ``part`` is -1 for the bar itself."""

    slot: Slot
    sign: Sign
    turn: int
    part: int


def fill(
    layer: Layer, *, meter: Meter, first: int, last: int, part: int, progress: Progress
) -> tuple[list[Slot], list[Given]]:
    """The slots of the beats ``first`` to ``last`` (from 0, both in), and the signs that stand in them.

    Raises DrumgenError where the sticking or its rhythm is longer than these beats and is not carried.
    """
    if layer.sticking is not None and layer.sticking.rhythm:
        filled = _fill_rhythm(layer, layer.sticking, meter.beats[first : last + 1], first, progress, whole=part < 0)
    else:
        filled = _fill_even(layer, meter.beats[first : last + 1], first, progress, whole=part < 0)
    slots, signs = filled
    progress.slots += len(slots)
    return slots, [Given(slot, sign, turn, part) for slot, (sign, turn) in zip(slots, signs, strict=False)]


def with_parts(bar: Bar, slots: list[Slot], given: list[Given]) -> tuple[list[Slot], list[Given]]:
    """The slots and signs of a bar with its parts laid over them, in order.

    Raises DrumgenError as ``fill``, under the part that is at fault.
    """
    own = {beat for part in bar.parts if part.own for beat in range(part.first, part.last + 1)}
    slots = [slot for slot in slots if slot.beat not in own]
    given = [each._replace(part=part_at(bar, each.slot.beat)) for each in given if each.slot.beat not in own]
    for index, part in enumerate(bar.parts):
        if part.own:
            try:
                more_slots, more = fill(
                    part.layer, meter=bar.meter, first=part.first, last=part.last, part=index, progress=Progress()
                )
            except DrumgenError as error:
                raise DrumgenError(*(fault.under("parts", index) for fault in error.faults)) from None
            slots += more_slots
            given += more
    return sorted(slots), sorted(given, key=lambda each: each.slot.start)


def part_at(bar: Bar, beat: int) -> int:
    """The index of the part that lies over a beat, -1 where none does."""
    return next((i for i, part in enumerate(bar.parts) if part.first <= beat <= part.last), -1)


_Filled = tuple[list[Slot], list[tuple["Sign", int]]]


def _fill_even(layer: Layer, beats: tuple[Beat, ...], first: int, progress: Progress, *, whole: bool) -> _Filled:
    slots: list[Slot] = []
    for index, beat in enumerate(beats, start=first):
        name = layer.subdivision[index]
        number = places_in(name, beat.grains)
        grains, straight = beat.grains // number, is_straight(name, beat.grains)
        slots.extend([Slot(beat.start + i * grains, grains, index, straight) for i in range(number)])
    if layer.sticking is None:
        return slots, []
    signs, start = layer.sticking.signs, progress.sign
    size = len(signs)
    if size > len(slots) and layer.across != "carry":
        rule = f"at most {len(slots)} places" + (', or across = "carry"' if whole else "")
        raise DrumgenError(Fault(rule, got=str(size), path=("sticking",)))
    progress.sign += len(slots)
    end = start + (min(size, len(slots)) if layer.across == "once" else len(slots))
    return slots, [(signs[number % size], number // size) for number in range(start, end)]


def _fill_rhythm(
    layer: Layer, sticking: Sticking, beats: tuple[Beat, ...], first: int, progress: Progress, *, whole: bool
) -> _Filled:
    """As ``_fill_even``, for a sticking with its own rhythm; what crosses the bar line is the next bar's wait."""
    start, end = beats[0].start, beats[-1].start + beats[-1].grains
    if sum(sticking.rhythm) > end - start and layer.across != "carry":
        ways = ', a subdivision beside it, or across = "carry"' if whole else ", or a subdivision beside it"
        rule = f"a rhythm of at most {_quarters(end - start)}{ways}"
        raise DrumgenError(Fault(rule, got=_quarters(sum(sticking.rhythm)), path=("rudiment",)))
    slots: list[Slot] = []
    signs: list[tuple[Sign, int]] = []
    place, number, size = start + progress.wait_grains, progress.sign, len(sticking.signs)
    while place < end and not (layer.across == "once" and number >= size):
        grains = sticking.rhythm[number % size]
        index = next(i for i, beat in enumerate(beats) if place < beat.start + beat.grains)
        straight = (place - beats[index].start) % BINARY_GRAINS == 0 and grains % BINARY_GRAINS == 0
        slots.append(Slot(place, min(grains, end - place), first + index, straight))
        signs.append((sticking.signs[number % size], number // size))
        place += grains
        number += 1
    progress.wait_grains, progress.sign = max(0, place - end), number
    return slots, signs


def _quarters(grains: int) -> str:
    return f"{grains / GRAINS_PER_QUARTER:g} quarters"
