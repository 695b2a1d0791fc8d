"""Strategies of whole phrases that mean something on the general-midi kit: no faults, and they can be performed.

Remarks are not faults: a written count on which its limb plays nothing may be among them.
"""

from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

from file_strategies import DYNAMICS, HAIRPINS, HANDED, LEVELS, RATIOS, hand_maps, maybe, numbers, said, signs
from hypothesis import strategies as st

from drumgen.bar import FOLLOWS
from drumgen.counts import PARTS, Places, Where, parse_places
from drumgen.errors import DrumgenError
from drumgen.feel import Swing, swung_pairs
from drumgen.kit import Kit
from drumgen.meter import Meter, parse_meter
from drumgen.note_values import UNIT_NAMES
from drumgen.phrase import Phrase
from drumgen.practice import Practice
from drumgen.spec.fields import Chained, read_beats
from drumgen.spec.layering import Overrides, rudiment_sticking
from drumgen.spec.loading import shipped_kit
from drumgen.spec.phrase_file import BarTable, FeelTable, HandsTable, PartTable, PhraseFile, SwingTable
from drumgen.spec.resolving import Resolver
from drumgen.sticking import Sign, Sticking
from drumgen.subdivision import SUBDIVISIONS, places_in
from drumgen.tempo import Tempo
from drumgen.trade.rudiments import RUDIMENTS

COMMON = ("4/4", "3/4", "2/4", "5/4 3+2", "2/2", "6/8", "6/8 in 2", "9/8", "12/8 in 4", "7/8 2+2+3", "8/8 3+3+2", "5/8")
METERS = tuple(map(parse_meter, COMMON))
LANDINGS = st.sampled_from([(), ("crash",), ("crash", "kick"), ("crash", "china", "kick", "hihat-foot")])
LEADS = st.sampled_from(["R", "L"])
ACROSS = st.sampled_from(["restart", "restart", "carry", "once"])
EVEN_RUDIMENTS = {rudiment.name: rudiment_sticking(rudiment.name) for rudiment in RUDIMENTS}
Said = dict[str, Any]


def general_midi() -> Kit:
    """The kit that the phrases are for."""
    return shipped_kit("general-midi")


def hand_voices() -> tuple[str, ...]:
    """What hands play on that kit, and one name that it plays on another."""
    kit = general_midi()
    clicks = (kit.click, kit.click_accent)
    return (*(name for name, voice in kit.voices.items() if voice.limb == "hands" and name not in clicks), "pad")


@lru_cache(maxsize=64)
def fitting(meter: Meter) -> tuple[str, ...]:
    """The subdivisions that fit every beat of a meter."""
    return tuple(name for name in SUBDIVISIONS if all(places_in(name, beat.grains) for beat in meter.beats))


def spread_out(meter: Meter, names: tuple[str, ...], first: int, last: int) -> list[int]:
    """How many places each of some beats has; one name is for all of them."""
    beats = meter.beats[first : last + 1]
    each = names if len(names) == len(beats) else names * len(beats)
    return [places_in(name, beat.grains) for name, beat in zip(each, beats, strict=True)]


@st.composite
def strokes_that_fit(draw: st.DrawFn, meter: Meter, first: int, last: int, *, part: bool) -> Said:
    """A sticking or rudiment with its subdivision that fits the beats ``first`` to ``last``, or is carried.

    For a bar it may also be a rudiment in its own rhythm, which has no subdivision beside it.
    """
    across = draw(maybe(ACROSS if not part else st.sampled_from(["restart", "once"])))
    carried = across == "carry"
    beats = meter.beats[first : last + 1]
    if not part and draw(st.integers(0, 5)) == 0:
        length = sum(beat.grains for beat in beats)
        named = [name for name, row in EVEN_RUDIMENTS.items() if carried or sum(row.rhythm) <= length]
        if named:
            return _begun(draw, {"across": across}, rudiment=draw(st.sampled_from(named)))
    known = st.sampled_from(fitting(meter))
    names = draw(st.tuples(known) | st.tuples(*[known] * len(beats)))
    room = sum(spread_out(meter, names, first, last))
    values = {"across": across, "subdivision": names}
    named = [name for name, row in EVEN_RUDIMENTS.items() if carried or len(row.signs) <= room]
    if named and draw(st.integers(0, 5)) == 0:
        return _begun(draw, values, rudiment=draw(st.sampled_from(named)))
    return _begun(draw, values, sticking=draw(played(13 if carried else min(room, 16))))


def played(longest: int) -> st.SearchStrategy[Sticking]:
    """Stickings with at least one stroke."""
    rows = st.lists(signs(), min_size=1, max_size=longest)
    return rows.map(lambda row: Sticking(tuple(row) if any(s.limb != "-" for s in row) else (Sign("R"), *row[1:])))


def _begun(draw: st.DrawFn, values: Said, **sound: Any) -> Said:  # noqa: ANN401 - a sticking or a rudiment's name
    """The sound with a stroke to begin with, and a lead."""
    row = sound.get("sticking") or EVEN_RUDIMENTS[sound["rudiment"]]
    return {**values, **sound, "start": draw(maybe(st.integers(1, row.strokes))), "lead": draw(maybe(LEADS))}


@lru_cache(maxsize=64)
def known_wheres(meter: Meter) -> tuple[Where, ...]:
    """The written places that a meter has, whatever the hands play."""
    counts = [*enumerate(meter.counts, start=1)]
    parts = [part for part in PARTS if any(part in count.parts for count in meter.counts)]
    return (
        *(Where("count", number, part) for number, count in counts for part in count.parts),
        *(Where("count*", number) for number, _ in counts),
        *(Where("slot*", number + 1) for number in range(len(meter.beats))),
        *(Where("each", part=part) for part in parts),
        *(Where("every", number) for number in (1, 2, 3, 5)),
        Where("all"),
    )


@lru_cache(maxsize=512)
def known_places(
    meter: Meter, slots: tuple[int, ...] = (), *, with_signs: bool = False, min_size: int = 0
) -> st.SearchStrategy[Places]:
    """Written places that the meter has; with ``slots`` places to each beat, those of the subdivision too."""
    known = [*known_wheres(meter)]
    known += [Where("slot", beat, slot=i + 1) for beat, size in enumerate(slots, start=1) for i in range(size)]
    levels = LEVELS if with_signs else LEVELS[:1]
    texts = [str(replace(where, level=level)) for where in known for level in levels]
    rows = st.lists(st.sampled_from(texts), min_size=min_size, max_size=4)
    return rows.map(lambda row: parse_places(" ".join(row), signs=with_signs))


@lru_cache(maxsize=512)
def limbs(meter: Meter, slots: tuple[int, ...] = ()) -> st.SearchStrategy[Said]:
    """What a bar or part says of levels, hands and feet."""
    lines = known_places(meter, slots)
    levels = lines.map(lambda row: (("", row),)) | st.tuples(st.tuples(st.sampled_from("RLKH"), lines))
    hand = maybe(hand_maps(st.sampled_from(hand_voices()), known_places(meter, slots, min_size=1)))
    foot = known_places(meter, slots, with_signs=True) | st.sampled_from(FOLLOWS)
    return st.fixed_dictionaries(
        {
            "accents": maybe(levels),
            "ghosts": maybe(levels),
            "hands": maybe(st.builds(_hands, hand, hand)),
            "feet": maybe(st.dictionaries(st.sampled_from(["kick", "hihat-foot"]), foot, max_size=2)),
            "grace_voice": maybe(st.sampled_from(["drum", "main", "split"])),
        }
    )


def _hands(right: object, left: object) -> HandsTable:
    return said(HandsTable, R=right, L=left)


@st.composite
def parts(draw: st.DrawFn, meter: Meter) -> tuple[PartTable, ...]:
    """Parts that do not overlap, in any order."""
    edges = sorted(draw(st.sets(st.integers(0, len(meter.beats)), min_size=2, max_size=3)))
    made = []
    for first, end in pairwise(edges):
        sound = draw(strokes_that_fit(meter, first, end - 1, part=True)) if draw(st.booleans()) else {}
        made.append(said(PartTable, beats=read_beats(f"{first + 1}-{end}"), **sound, **draw(limbs(meter))))
    return tuple(draw(st.permutations(made)))


def usable_swings(meters: list[Meter]) -> list[str]:
    """What can be swung in every one of some meters."""
    return [of for of in ("eighths", "sixteenths") if all(_swings(of, meter) for meter in meters)]


def _swings(of: Any, meter: Meter) -> bool:  # noqa: ANN401 - of eighths or sixteenths
    try:
        return bool(swung_pairs(Swing(of, 2, 1), meter))
    except DrumgenError:
        return False


@st.composite
def usable_feels(draw: st.DrawFn, meters: list[Meter]) -> FeelTable:
    """``[feel]`` tables for bars of these meters."""
    known = [said(SwingTable, of=of, ratio=draw(RATIOS)) for of in usable_swings(meters)]
    swing = draw(st.sampled_from([None, *known]))
    return said(
        FeelTable,
        swing=swing,
        spread_ms=draw(maybe(st.integers(0, 20))),
        seed=draw(maybe(st.integers(0, 2**32 - 1))),
        flam_ms=draw(maybe(st.integers(1, 60))),
        drag_ms=draw(maybe(st.integers(1, 60))),
        buzz_ms=draw(maybe(st.integers(5, 60))),
    )


@st.composite
def usable_tempos(draw: st.DrawFn, meter: Meter, *, ramp: bool = False) -> Tempo:
    """Tempos that a meter can have, from 30 to 300."""
    start = draw(numbers(30, 300))
    end = draw(numbers(30, 300)) if ramp and draw(st.booleans()) else start
    units = [UNIT_NAMES[meter.tempo_grains], ""] if meter.tempo_grains else ["eighth", "quarter"]
    return Tempo(start, end, draw(st.sampled_from(units)))


@st.composite
def bars(draw: st.DrawFn, default: Meter, role: str) -> tuple[BarTable, Meter]:
    """One bar that is like no other, and its meter."""
    own = draw(st.sampled_from(METERS)) if draw(st.integers(0, 3)) == 0 else None
    meter = own or default
    last = len(meter.beats) - 1
    sound = draw(strokes_that_fit(meter, 0, last, part=False)) if draw(st.integers(0, 9)) else {}
    names, parted = sound.get("subdivision"), draw(st.integers(0, 2)) == 0
    slots = tuple(spread_out(meter, names, 0, last)) if names and not parted else ()
    more = {
        "role": role if role != "groove" or draw(st.booleans()) else None,
        "meter": own,
        "tempo": draw(usable_tempos(meter, ramp=True)) if draw(st.integers(0, 4)) == 0 else None,
        "handed": draw(maybe(HANDED)),
        "landing": draw(maybe(LANDINGS)),
        "dynamics": draw(maybe(HAIRPINS)),
        "feel": draw(maybe(usable_feels([meter]))) if draw(st.booleans()) else None,
        "parts": draw(parts(meter)) if parted else None,
    }
    return said(BarTable, **sound, **draw(limbs(meter, slots)), **more), meter


@st.composite
def bars_like(draw: st.DrawFn, name: str, base: BarTable, meter: Meter, role: str) -> BarTable:
    """A bar like another, with other hands and feet, and perhaps another sticking in the same places."""
    names, sound = base.subdivision, {}
    if names and base.across != "carry" and draw(st.booleans()):
        room = sum(spread_out(meter, names, 0, len(meter.beats) - 1))
        sticking = draw(played(min(room, 16)))
        sound = {"sticking": sticking, "start": draw(st.integers(1, sticking.strokes))}
    return said(BarTable, like=name, role=role, **sound, **draw(limbs(meter)), dynamics=draw(maybe(HAIRPINS)))


@st.composite
def pickups(draw: st.DrawFn, meter: Meter) -> BarTable:
    """A pickup: rests, and strokes up to the bar line."""
    names = (draw(st.sampled_from(fitting(meter))),)
    room = sum(spread_out(meter, names, 0, len(meter.beats) - 1))
    row = draw(played(max(1, room // 2))).signs
    sticking = Sticking((Sign("-"),) * (room - len(row)) + row)
    return said(BarTable, role="pickup", sticking=sticking, subdivision=names, dynamics=draw(maybe(HAIRPINS)))


@st.composite
def valid_phrases(draw: st.DrawFn, *, most_bars: int = 3, feel: bool = True) -> PhraseFile:
    """Phrase files that resolve on the general-midi kit without faults: a few different bars, perhaps a pickup.

    Without ``feel`` every stroke stands on its written place.
    """
    meter = draw(st.sampled_from(METERS))
    made: dict[str, BarTable] = {}
    meters = [meter]
    for number in range(draw(st.integers(1, most_bars))):
        role = draw(st.sampled_from(["groove", "fill"]))
        if number and draw(st.integers(0, 2)) == 0:
            made["b"] = draw(bars_like("a", made["a"], meters[1], role))
            break
        made["acdefghijk"[number]], used = draw(bars(meter, role))
        meters.append(used)
    order = [Chained(draw(st.sampled_from([*made])), draw(st.sampled_from([1, 1, 2, 4]))) for _ in made]
    if draw(st.integers(0, 3)) == 0:
        made["up"] = draw(pickups(meter))
        order.insert(0, Chained("up"))
    if not feel:
        made = {name: said(BarTable, **(bar.said() | {"feel": None})) for name, bar in made.items()}
    return said(
        PhraseFile,
        title=draw(maybe(st.sampled_from(["Weir", "水門の歌"]))),
        tempo=draw(usable_tempos(meter) if not meter.tempo_grains else maybe(usable_tempos(meter))),
        meter=meter,
        handed=draw(maybe(HANDED)),
        phrase=tuple(order),
        landing=draw(maybe(LANDINGS)),
        feel=draw(maybe(usable_feels(meters))) if feel else None,
        dynamics=draw(maybe(DYNAMICS)),
        bars=made,
    )


def phrase_of(file: PhraseFile) -> Phrase:
    """What a file means on the general-midi kit; an AssertionError with the faults where it has any."""
    resolver = Resolver(file, general_midi(), Overrides())
    phrase = resolver.phrase("generated")
    assert phrase is not None, "\n".join(map(str, resolver.gathering.faults))
    return phrase


def phrases(*, most_bars: int = 3, feel: bool = True) -> st.SearchStrategy[Phrase]:
    """Phrases on the general-midi kit."""
    return valid_phrases(most_bars=most_bars, feel=feel).map(phrase_of)


def ways_to_practise(*, loop: bool | None = None) -> st.SearchStrategy[Practice]:
    """Options of practice that any phrase can be played with; ``loop`` fixes whether it is a loop."""
    passes = st.integers(1, 3)
    looped = st.builds(Practice, times=passes, loop=st.just(True))  # noqa: FBT003 - a strategy's value
    plain = st.builds(Practice, times=passes, count_in=st.integers(0, 2))
    return looped | plain if loop is None else looped if loop else plain
