"""From notes to a phrase file: what its tables say. Bars that are alike are one bar, and the phrase is their order.

Made to be read by a person and played back: each hand's usual voice is its main one, other voices stand by their
counts; accents and ghost notes stand in the sticking; a sticking that repeats inside its bar is written once.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.counts import spoken
from drumgen.errors import DrumgenError, fail
from drumgen.feel import Swing, swung_pairs
from drumgen.note_values import GRAINS_PER_QUARTER, TEMPO_UNITS, UNIT_NAMES
from drumgen.sticking import OTHER_HAND, Sign, Sticking
from drumgen.subdivision import places_in
from drumgen.tempo import FASTEST, SLOWEST, us_per_quarter

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.kit import Kit
    from drumgen.meter import Meter
    from drumgen.sticking import SignLimb
    from drumgen.study.transcribe_notes import Note

Table = dict[str, Any]


class BarNotes(NamedTuple):
    """One bar: its meter, the subdivision of each beat, its tempo, and its notes in order."""

    meter: Meter
    names: tuple[str, ...]
    us_per_quarter: int
    notes: tuple[Note, ...]

    @property
    def alike(self) -> tuple[object, ...]:
        """What bars have in common that are written as one."""
        notes = ((*note[1:10],) for note in self.notes)
        return (self.meter, self.names, self.us_per_quarter, *notes)


def bar_names(bars: Sequence[BarNotes]) -> list[str]:
    """The name of every bar, from a on: those alike have the same."""
    known: dict[tuple[object, ...], str] = {}
    return [known.setdefault(bar.alike, _letters(len(known))) for bar in bars]


def _letters(number: int) -> str:
    """The name of the bar with a number from 0: a to z, then aa."""
    name = ""
    number += 1
    while number:
        number, letter = divmod(number - 1, 26)
        name = chr(ord("a") + letter) + name
    return name


def phrase_table(bars: Sequence[BarNotes], names: Sequence[str], kit: Kit, kit_name: str, head: Table) -> Table:
    """What the phrase file says; ``head`` is said at its top: a title, the feel, the dynamics."""
    first = bars[0]
    swing = head.get("feel", {}).get("swing")
    runs = [(name, len(list(run))) for name, run in groupby(names)]
    table: Table = {"tempo": tempo_words(first.us_per_quarter, first.meter), "meter": str(first.meter), "kit": kit_name}
    table["phrase"] = [f"{name} x{times}" if times > 1 else name for name, times in runs]
    table["bars"] = {}
    for bar, name in zip(bars, names, strict=True):
        if name not in table["bars"]:
            table["bars"][name] = _bar_table(bar, first, kit)
            if swing is not None and not can_swing(swing, bar.meter):
                table["bars"][name]["feel"] = {"swing": {**swing, "ratio": "1:1"}}
    return {**head, **table}


def can_swing(swing: Table, meter: Meter) -> bool:
    """Whether a meter has beats that a swing's pairs fit into."""
    try:
        return bool(swung_pairs(Swing(swing["of"], 2, 1), meter))
    except DrumgenError:
        return False


def tempo_words(us: int, meter: Meter) -> float | int | str:
    """A tempo in the meter's beat, or in its lower value where the beats differ, as few decimals as say it exactly."""
    unit = meter.tempo_grains or meter.unit_grains
    units = [unit, *(grains for grains in sorted(TEMPO_UNITS.values()) if grains != unit)]
    for grains in units:
        number = _number(us, Fraction(GRAINS_PER_QUARTER, grains))
        if SLOWEST <= number <= FASTEST:
            plain = int(number) if number == int(number) else number
            return plain if grains == meter.tempo_grains else f"{UNIT_NAMES[grains]} {plain}"
    raise fail(f"a tempo from {SLOWEST} to {FASTEST} beats a minute", got=f"{60_000_000 / us:.3g} quarters a minute")


def _number(us: int, to_unit: Fraction) -> float:
    exact = Fraction(60_000_000, us) * to_unit
    for decimals in range(3):
        number = Fraction(round(exact * 10**decimals), 10**decimals)
        if number and us_per_quarter(number / to_unit) == us:
            return float(number)
    return round(float(exact), 3)


def _bar_table(bar: BarNotes, first: BarNotes, kit: Kit) -> Table:
    table: Table = {}
    if bar.meter != first.meter:
        table["meter"] = str(bar.meter)
    if bar.us_per_quarter != first.us_per_quarter or bar.meter != first.meter:
        table["tempo"] = tempo_words(bar.us_per_quarter, bar.meter)
    hands = [note for note in bar.notes if note.limb in OTHER_HAND]
    signs = _signs(bar, hands)
    feet = _feet(bar)
    if hands or any("." in text for text in feet.values()) or not bar.notes:
        table["sticking"] = str(_shortest(signs))
        names = tuple(dict.fromkeys(bar.names))
        table["subdivision"] = names[0] if len(names) == 1 else list(bar.names)
    table |= _uneven_levels(bar, hands)
    maps = _hand_maps(bar, hands, kit)
    if maps:
        table["hands"] = maps
    how = _grace_voice(hands, maps, kit)
    if how != "drum":
        table["grace_voice"] = how
    if how == "split":
        table["hands"] = _with_graces(bar, hands, maps, kit)
    if feet:
        table["feet"] = feet
    return table


def _signs(bar: BarNotes, hands: Sequence[Note]) -> list[Sign]:
    """One sign for every place of the bar."""
    by_place: dict[tuple[int, int], list[Note]] = {}
    for note in hands:
        by_place.setdefault((note.beat, note.slot), []).append(note)
    return [
        _sign(by_place.get((number, slot), []))
        for number, (beat, name) in enumerate(zip(bar.meter.beats, bar.names, strict=True))
        for slot in range(places_in(name, beat.grains))
    ]


def _sign(notes: Sequence[Note]) -> Sign:
    if not notes:
        return Sign("-")
    level = notes[0].level if len({note.level for note in notes}) == 1 else "normal"
    if len(notes) > 1:
        return Sign("B", level, 0, any(note.buzz for note in notes))
    limb: SignLimb = "R" if notes[0].limb == "R" else "L"
    return Sign(limb, level, notes[0].grace, notes[0].buzz)


def _shortest(signs: Sequence[Sign]) -> Sticking:
    """The sticking without its repetitions."""
    for size in range(1, len(signs)):
        if len(signs) % size == 0 and all(sign == signs[index % size] for index, sign in enumerate(signs)):
            return Sticking(tuple(signs[:size]))
    return Sticking(tuple(signs))


def place_text(bar: BarNotes, note: Note) -> str:
    """A place as it is written: by its count where that has a name, else as a place of its beat."""
    name = spoken(note.place, meter=bar.meter)
    return name if " " not in name else f"{note.beat + 1}.{note.slot + 1}"


def _places(bar: BarNotes, notes: Iterable[Note]) -> str:
    return " ".join(dict.fromkeys(place_text(bar, note) for note in notes))


def _uneven_levels(bar: BarNotes, hands: Sequence[Note]) -> Table:
    """Accents and ghost notes of one hand where both strike at once, which a sticking cannot say."""
    table: Table = {}
    by_place: dict[int, list[Note]] = {}
    for note in hands:
        by_place.setdefault(note.place, []).append(note)
    for key, level in (("accents", "accent"), ("ghosts", "ghost")):
        lines: dict[str, list[Note]] = {}
        for notes in by_place.values():
            if len({note.level for note in notes}) > 1:
                for note in notes:
                    if note.level == level:
                        lines.setdefault(note.limb, []).append(note)
        if lines:
            table[key] = {limb: _places(bar, notes) for limb, notes in sorted(lines.items(), reverse=True)}
    return table


def _hand_maps(bar: BarNotes, hands: Sequence[Note], kit: Kit) -> Table:
    """Where each hand goes: its usual voice, and others by their counts; the home voice alone need not be said."""
    maps: Table = {}
    for limb in ("R", "L"):
        own = [note for note in hands if note.limb == limb]
        if not own:
            continue
        (main, _), *others = Counter(note.voice for note in own).most_common()
        if others:
            counts = {_places(bar, (note for note in own if note.voice == voice)): voice for voice, _ in others}
            maps[limb] = {"main": main, **counts}
        elif main != kit.home:
            maps[limb] = main
    return maps


def _main_of(maps: Table, limb: str, kit: Kit) -> str:
    found = maps.get(limb, kit.home)
    return found if isinstance(found, str) else str(found["main"])


def _grace_voice(hands: Sequence[Note], maps: Table, kit: Kit) -> str:
    """How the voices of grace notes are told: the first way that fits all of them."""
    graced = [note for note in hands if note.grace]

    def usual(note: Note) -> str:
        return note.voice if kit.voice(note.voice).drum else _main_of(maps, OTHER_HAND[note.limb], kit)

    if all(note.grace_voice == usual(note) for note in graced):
        return "drum"
    return "main" if all(note.grace_voice == note.voice for note in graced) else "split"


def _with_graces(bar: BarNotes, hands: Sequence[Note], maps: Table, kit: Kit) -> Table:
    """The hands' maps with the voices of grace notes by their counts."""
    out = dict(maps)
    for note in hands:
        limb = OTHER_HAND[note.limb]
        if note.grace and note.grace_voice != _main_of(out, limb, kit):
            own = out.get(limb, kit.home)
            own = {"main": own} if isinstance(own, str) else dict(own)
            own[place_text(bar, note)] = note.grace_voice
            out[limb] = own
    return out


def _feet(bar: BarNotes) -> dict[str, str]:
    """The feet by voice: their places with their signs."""
    lines: dict[str, list[str]] = {}
    for note in bar.notes:
        if note.limb not in OTHER_HAND:
            text = place_text(bar, note)
            text = f">{text}" if note.level == "accent" else f"({text})" if note.level == "ghost" else text
            lines.setdefault(note.voice, []).append(text)
    return {voice: " ".join(texts) for voice, texts in lines.items()}
