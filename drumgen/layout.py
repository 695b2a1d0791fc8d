"""Laying out: from a bar as it is described to the strokes the limbs are told to make. Whole grains only.

Strokes of one place stand in the order right hand, left hand, bass-drum foot, hi-hat foot.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from drumgen.counts import Slot, Where, find
from drumgen.errors import DrumgenError, Fault
from drumgen.filling import NOTHING_CARRIED, Carried, Given, Progress, fill, part_at, with_parts
from drumgen.levels import louder
from drumgen.orchestration import Around, Unit, around_voice, choose_voice
from drumgen.sticking import HANDS_OF, OTHER_HAND
from drumgen.subdivision import BINARY_GRAINS

if TYPE_CHECKING:
    from drumgen.bar import Bar, FootLine, Layer, LevelLine, Part
    from drumgen.counts import Places
    from drumgen.errors import Path
    from drumgen.kit import Kit
    from drumgen.levels import Level
    from drumgen.orchestration import HandMap
    from drumgen.sticking import Limb, Sign

LIMB_ORDER: dict[str, int] = {"R": 0, "L": 1, "K": 2, "H": 3}


@dataclass(frozen=True, slots=True)
class Stroke:
    """What a limb is told to do: its place (grains from the bar's start), the length of its slot, and how it strikes.

    ``straight`` strokes are moved by swing. ``grace`` notes are played by the other hand, on ``grace_voice``.
    """

    place: int
    grains: int
    limb: Limb
    voice: str
    level: Level = "normal"
    straight: bool = True
    grace: int = 0
    grace_voice: str = ""
    buzz: bool = False


@dataclass(frozen=True, slots=True)
class Laid:
    """A bar laid out: its strokes in order, the letters of its sticking by place, and the written places in vain."""

    strokes: tuple[Stroke, ...]
    letters: tuple[tuple[int, str], ...] = ()
    slots: tuple[Slot, ...] = ()
    unused: frozenset[tuple[Path, Where]] = frozenset()


def lay_out(bar: Bar, kit: Kit, progress: Progress | None = None) -> Laid:
    """The strokes of a bar; ``progress`` is what is carried into it, and is moved on.

    Raises DrumgenError, all faults at once, where a sticking is longer than its bar or a count is not of the meter.
    """
    progress = progress or Progress()
    counter = progress.slots
    last = len(bar.meter.beats) - 1
    slots, given = fill(bar.layer, meter=bar.meter, first=0, last=last, part=-1, progress=progress)
    if bar.parts:
        slots, given = with_parts(bar, slots, given)
    laid = _Laying(bar, kit, tuple(slots), counter).lay(given, progress)
    progress.bars += 1
    return laid


@lru_cache(maxsize=1024)
def lay_out_after(bar: Bar, kit: Kit, carried: Carried) -> tuple[Laid, Carried]:
    """The strokes of a bar into which something is carried, and what is carried on; worked out once for each."""
    progress = Progress.after(carried)
    return lay_out(bar, kit, progress), progress.carried


def lay_out_fresh(bar: Bar, kit: Kit) -> Laid:
    """The strokes of a bar into which nothing is carried."""
    return lay_out_after(bar, kit, NOTHING_CARRIED)[0]


def _written(lines: tuple[LevelLine, ...]) -> list[tuple[Path, Places]]:
    return [(line.path, line.places) for line in lines]


def _of_part(part: int) -> Path:
    return ("parts", part) if part >= 0 else ()


class _Rules(NamedTuple):
    """What a layer says of single places: the accents and ghosts of each limb, the exceptions of each hand."""

    accents: dict[str, set[int]]
    ghosts: dict[str, set[int]]
    exceptions: dict[str, dict[int, str]]

    def level(self, place: int, limb: str, written: Level) -> Level:
        if written == "accent" or place in self.accents[limb]:
            return "accent"
        return "ghost" if written == "ghost" or place in self.ghosts[limb] else "normal"


class _Laying:
    """One bar while it is being laid out."""

    def __init__(self, bar: Bar, kit: Kit, slots: tuple[Slot, ...], counter: int) -> None:
        self.bar, self.kit, self.slots, self.counter = bar, kit, slots, counter
        self.by_place = {slot.start: slot for slot in slots}
        self.played: dict[str, set[int]] = {limb: set() for limb in LIMB_ORDER}
        self.around_of_parts: dict[str, Around] = defaultdict(Around)
        self.unused: set[tuple[Path, Where]] = set()
        self.grace_only: dict[tuple[int, str, int], set[tuple[Path, Where]]] = defaultdict(set)
        self.faults: list[Fault] = []

    def lay(self, given: list[Given], progress: Progress) -> Laid:
        for each in given:
            for limb in HANDS_OF[each.sign.limb]:
                self.played[limb].add(each.slot.start)
        parts: tuple[Part, ...] = self.bar.parts
        rules = [self._rules(part.layer, index) for index, part in enumerate(parts)]
        rules.append(self._rules(self.bar.layer, -1))
        strokes: list[Stroke] = []
        for each in given:
            layer = self.bar.layer if each.part < 0 else parts[each.part].layer
            for limb in HANDS_OF[each.sign.limb]:
                progress.strokes += 1
                strokes.append(self._stroke(each, limb, layer, rules[each.part], progress))
        strokes += self._feet(self.bar.layer, -1, strokes)
        for index, part in enumerate(parts):
            strokes += self._feet(part.layer, index, strokes)
        if self.faults:
            raise DrumgenError(*self.faults)
        letters = tuple((each.slot.start, self._letters(each.sign)) for each in given if each.sign.limb != "-")
        return Laid(_in_order(strokes, mirrored=self.bar.mirrored), letters, self.slots, frozenset(self.unused))

    def _letters(self, sign: Sign) -> str:
        return sign.mirrored().bare if self.bar.mirrored else sign.bare

    def _places(self, places: Places, path: Path, *, own: bool) -> list[tuple[Where, tuple[int, ...]]]:
        """What each written place names; what a part only has from its bar (not its ``own``) is that bar's fault."""
        found = []
        for where in places.wheres:
            try:
                spot = find(where, meter=self.bar.meter, slots=self.slots, counter=self.counter, text=places.text)
            except DrumgenError as error:
                self.faults += [fault.under(*path) for fault in error.faults if own]
            else:
                found.append((where, spot))
        return found

    def _rules(self, layer: Layer, part: int) -> _Rules:
        exceptions: dict[str, dict[int, str]] = {}
        for limb, hand in layer.hands.items():
            voices = exceptions[limb] = {}
            own = part < 0 or hand != self.bar.layer.hands[limb]
            for places, voice in hand.counts:
                for place in self._spots(("hands", limb, places.text), (limb,), places, part, own=own):
                    voices.setdefault(place, voice)
        levels = ((layer.accents, self.bar.layer.accents), (layer.ghosts, self.bar.layer.ghosts))
        accents, ghosts = (
            self._by_limb(lines, part, own=part < 0 or _written(lines) != _written(bars)) for lines, bars in levels
        )
        return _Rules(accents, ghosts, exceptions)

    def _by_limb(self, lines: tuple[LevelLine, ...], part: int, *, own: bool) -> dict[str, set[int]]:
        by_limb: dict[str, set[int]] = {limb: set() for limb in LIMB_ORDER}
        for line in lines:
            spots = self._spots(line.path, line.limbs, line.places, part, own=own)
            for limb in line.limbs:
                by_limb[limb] |= spots
        return by_limb

    def _spots(self, path: Path, limbs: tuple[str, ...], places: Places, part: int, *, own: bool) -> set[int]:
        """The places written for some limbs, noting those on which none of them plays."""
        spots: set[int] = set()
        path = _of_part(part) + path
        for where, found in self._places(places, path, own=own):
            inside = [place for place in found if part < 0 or self._part_of(place) == part]
            if own and not where.starred and not any(place in self.played[limb] for place in inside for limb in limbs):
                self.unused.add((path, where))
                for limb, place in product(limbs if "hands" in path else (), inside):
                    self.grace_only[part, limb, place].add((path, where))
            spots.update(found)
        return spots

    def _stroke(self, each: Given, limb: Limb, layer: Layer, rules: _Rules, progress: Progress) -> Stroke:
        place, grains, _, straight = each.slot
        sign = each.sign
        level = rules.level(place, limb, sign.level)
        if limb in ("K", "H"):
            return Stroke(place, grains, limb, self.kit.foot_voice(limb), level, straight)
        hand = layer.hands[limb]
        voice = choose_voice(
            hand,
            level=level,
            on_count=rules.exceptions[limb].get(place),
            come_around=lambda: self._come_around(each, limb, hand, progress),
            home=self.kit.home,
        )
        grace_voice = self._grace_voice(each, OTHER_HAND[limb], layer, rules, progress, voice) if sign.grace else ""
        return Stroke(place, grains, limb, voice, level, straight, sign.grace, grace_voice, sign.buzz)

    def _come_around(self, each: Given, limb: Limb, hand: HandMap, progress: Progress) -> int:
        return self._around(limb, each.part, progress).step(self._unit(each, progress).of(hand.every))

    def _unit(self, each: Given, progress: Progress) -> Unit:
        meter = self.bar.meter
        beat = progress.bars * len(meter.beats) + each.slot.beat
        own = each.part >= 0 and self.bar.parts[each.part].own
        turn = (each.part, progress.bars, each.turn) if own else (each.turn,)
        return Unit(progress.strokes, beat, (beat,) if meter.groups else turn, progress.bars)

    def _around(self, limb: Limb, part: int, progress: Progress) -> Around:
        """How far a hand has come around: under a part that leaves its map as it is, it goes on."""
        own = self.bar.layer.hands[limb]
        if part < 0 or self.bar.parts[part].layer.hands[limb] == own:
            return progress.around[limb]
        return self.around_of_parts[f"{limb}{part}"]

    def _grace_voice(self, each: Given, hand: Limb, layer: Layer, rules: _Rules, progress: Progress, main: str) -> str:
        """The voice of a stroke's grace notes: its own, or what the other hand would play there."""
        if layer.grace_voice == "main" or (layer.grace_voice == "drum" and self.kit.voice(main).drum):
            return main
        own = layer.hands[hand]
        part = -1 if own == self.bar.layer.hands[hand] else each.part
        self.unused -= self.grace_only[part, hand, each.slot.start]
        index = max(0, self._around(hand, each.part, progress).index)
        around = around_voice(own, index) if own.around else ""
        return rules.exceptions[hand].get(each.slot.start) or around or own.main or self.kit.home

    def _feet(self, layer: Layer, part: int, hands: list[Stroke]) -> list[Stroke]:
        """The strokes of a layer's feet, in the beats where that layer speaks."""
        strokes: list[Stroke] = []
        for line in layer.feet:
            path = _of_part(part) + line.path
            own = part < 0 or (line.path, line.rule) not in [(other.path, other.rule) for other in self.bar.layer.feet]
            for where, found in self._foot_places(line, hands, path, own=own):
                inside = [place for place in found if self._part_of(place) == part]
                if part >= 0 and own and not inside and where is not None and not where.starred:
                    self.unused.add((path, where))
                level = where.level if where else "normal"
                strokes += [self._foot_stroke(line, place, level) for place in inside]
        return strokes

    def _foot_places(
        self, line: FootLine, hands: list[Stroke], path: Path, *, own: bool
    ) -> list[tuple[Where | None, tuple[int, ...]]]:
        struck = [stroke for stroke in hands if stroke.limb in ("R", "L")]
        match line.rule:
            case "with accents":
                return [(None, tuple(stroke.place for stroke in struck if stroke.level == "accent"))]
            case "with R":
                return [(None, tuple(stroke.place for stroke in struck if stroke.limb == "R"))]
            case "with L":
                return [(None, tuple(stroke.place for stroke in struck if stroke.limb == "L"))]
            case "gaps":
                busy = {stroke.place for stroke in struck}
                return [(None, tuple(slot.start for slot in self.slots if slot.start not in busy))]
            case places:
                return [*self._places(places, path, own=own)]

    def _foot_stroke(self, line: FootLine, place: int, level: Level) -> Stroke:
        slot = self.by_place.get(place)
        if slot is not None:
            return Stroke(place, slot.grains, line.limb, line.voice, level, slot.straight)
        start = self.bar.meter.beats[self.bar.meter.beat_at(place)].start
        return Stroke(place, BINARY_GRAINS, line.limb, line.voice, level, (place - start) % BINARY_GRAINS == 0)

    def _part_of(self, place: int) -> int:
        return part_at(self.bar, self.bar.meter.beat_at(place)) if self.bar.parts else -1


def _in_order(strokes: list[Stroke], *, mirrored: bool) -> tuple[Stroke, ...]:
    """Strokes sorted; two of one limb on one voice and place are one, the louder; hands exchanged for a left-hander."""
    merged: dict[tuple[int, str, str], Stroke] = {}
    for stroke in strokes:
        key = (stroke.place, stroke.limb, stroke.voice)
        twin = merged.get(key)
        merged[key] = stroke if twin is None else replace(twin, level=louder(twin.level, stroke.level))
    kept = list(merged.values())
    if mirrored:
        kept = [replace(stroke, limb=OTHER_HAND.get(stroke.limb, stroke.limb)) for stroke in kept]
    return tuple(sorted(kept, key=lambda stroke: (stroke.place, LIMB_ORDER[stroke.limb], stroke.voice)))
