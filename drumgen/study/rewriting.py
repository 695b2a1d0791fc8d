"""Rewriting: a phrase file with other hands and feet in some of its bars, every other bar as it was.

Bars that are ``like`` a changed one say themselves what they had from it before.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from drumgen.counts import Places, Where
from drumgen.orchestration import HandMap
from drumgen.spec.inheriting import chain_of, hands_said, inherit
from drumgen.spec.phrase_file import HandsTable
from drumgen.study.feet import AS_WRITTEN, NO_FOOT, rule_of_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from drumgen.kit import Kit
    from drumgen.spec.inheriting import Said
    from drumgen.spec.phrase_file import BarTable, PhraseFile
    from drumgen.study.material import BarMaterial

_NEUTRAL: dict[str, Any] = {"note": "", "accents": (("", Places()),), "start": 1}


@dataclass(frozen=True, slots=True)
class Change:
    """What one bar says anew: its hands as the file writes them, the rule of its kick, and other keys."""

    hands: dict[str, HandMap]
    foot: str | None = AS_WRITTEN
    values: tuple[tuple[str, Any], ...] = ()


def rewritten(file: PhraseFile, kit: Kit, changes: Mapping[str, Change], *, note: str) -> PhraseFile:
    """The file with these changes, and a note of its own."""
    said = {name: inherit(file, chain_of(file, name)[0]) for name in file.bars}
    result = file.model_copy(update={"note": note})
    for name in sorted(file.bars, key=lambda each: len(chain_of(file, each)[0])):
        change = changes.get(name, Change({}))
        table = _changed(result, name, said[name], change, kit)
        result = result.model_copy(update={"bars": {**result.bars, name: table}})
    return result


def _changed(file: PhraseFile, name: str, before: Said, change: Change, kit: Kit) -> BarTable:
    """One bar that says what it should wherever it would have something else from the bars it is like."""
    table = file.bars[name]
    now = inherit(file, chain_of(file, name)[0])
    values = {**{key: before.get(key) for key in now.values}, **dict(change.values)}
    update: dict[str, Any] = {}
    for key, value in values.items():
        if now.get(key) != value and not (value is None and now.get(key) == _NEUTRAL.get(key)):
            update[key] = _NEUTRAL[key] if value is None else value
    hands = {limb: change.hands.get(limb) or before.hands.get(limb) or HandMap(main=kit.home) for limb in ("R", "L")}
    told = {limb: hand for limb, hand in hands.items() if (now.hands.get(limb) or HandMap(main=kit.home)) != hand}
    if told:
        update["hands"] = HandsTable.model_construct(**{**hands_said(table), **told})
    feet = _feet(before.feet, change.foot, kit)
    lines = {voice: feet.get(voice, Places()) for voice in {**now.feet, **feet}}
    lines = {voice: rule for voice, rule in lines.items() if now.feet.get(voice, Places()) != rule}
    if lines:
        update["feet"] = {**(table.feet or {}), **lines}
    return table.model_copy(update=update)


def _feet(before: Mapping[str, Any], rule: str | None, kit: Kit) -> dict[str, Any]:
    """The lines of the feet with the kick under a rule."""
    if rule is AS_WRITTEN:
        return dict(before)
    others = {voice: line for voice, line in before.items() if kit.voice(voice).limb != "kick foot"}
    return others if rule == NO_FOOT else {**others, kit.foot_voice("K"): rule_of_line(rule)}


def map_by_counts(material: BarMaterial, hand: str, names: Iterable[str]) -> HandMap:
    """The map of a hand that says on which counts it leaves its main voice; ``names`` are of all choices.

    Choices that a part of the bar orchestrates itself are not its business.
    """
    voices = list(names)
    own = [i for i, choice in enumerate(material.choices) if choice.limb == hand and choice.of_bar]
    if not own:
        return HandMap()
    main = Counter(voices[i] for i in own).most_common(1)[0][0]
    by_voice: dict[str, list[int]] = {}
    for i in own:
        if voices[i] != main:
            by_voice.setdefault(voices[i], []).append(material.choices[i].place)
    places = [material.choices[i].place for i in own]
    lines = tuple((Places(_wheres(material, found, places)), voice) for voice, found in by_voice.items())
    return HandMap(main=main, counts=lines)


def _wheres(material: BarMaterial, found: list[int], places: list[int]) -> tuple[Where, ...]:
    """The written places of some strokes; a count all of whose strokes are among them is written whole."""
    wheres: list[Where] = []
    for number, count in enumerate(material.bar.meter.counts, start=1):
        inside = [place for place in places if count.start <= place < count.start + count.grains]
        if len(inside) > 1 and set(inside) <= set(found):
            wheres.append(Where("count*", number))
        else:
            wheres += [_where(material, place) for place in inside if place in found]
    return tuple(wheres)


def _where(material: BarMaterial, place: int) -> Where:
    for number, count in enumerate(material.bar.meter.counts, start=1):
        part = next((name for name, grains in count.parts.items() if count.start + grains == place), None)
        if part is not None:
            return Where("count", number, part)
    slot = next(slot for slot in material.shown[0].laid.slots if slot.start == place)
    of_beat = [each.start for each in material.shown[0].laid.slots if each.beat == slot.beat]
    return Where("slot", slot.beat + 1, slot=of_beat.index(place) + 1)
