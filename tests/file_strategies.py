"""Strategies that build the types of the language, and phrase files that say anything a phrase file can say.

Phrases that also mean something on a kit are made in ``phrase_strategies``.
"""

from fractions import Fraction
from typing import Any, TypeVar

from hypothesis import strategies as st

from drumgen.bar import FOLLOWS
from drumgen.counts import PARTS, Places, Where
from drumgen.levels import MARKS, Hairpin, Level
from drumgen.meter import LOWER_NUMBERS, Meter
from drumgen.note_values import TEMPO_UNITS
from drumgen.orchestration import EVERY, HandMap
from drumgen.spec.fields import Chained, read_beats
from drumgen.spec.kit_file import KitFile, LimitsTable, VoiceTable
from drumgen.spec.limb_fields import LevelLines
from drumgen.spec.phrase_file import (
    BarTable,
    DynamicsTable,
    FeelTable,
    HandsTable,
    LayerTable,
    PartTable,
    PhraseFile,
    PracticeTable,
    SwingTable,
    Table,
)
from drumgen.sticking import LIMBS, Sign, Sticking
from drumgen.subdivision import SUBDIVISIONS
from drumgen.tempo import FASTEST, SLOWEST, Tempo
from drumgen.trade.rudiments import RUDIMENTS
from drumgen.trade.staff import STAFF_PLACES

AnyTable = TypeVar("AnyTable", bound=Table)

LEVELS: tuple[Level, ...] = ("normal", "accent", "ghost")
TEXTS = st.text(max_size=12)
NAMES = st.sampled_from(["a", "verse", "turn 2", "x3", "crescendo x2", "終わり"]) | st.text(min_size=1, max_size=6)
VOICES = st.sampled_from([*STAFF_PLACES, "gong drum"])


def said(model: type[AnyTable], **values: Any) -> AnyTable:  # noqa: ANN401 - any value of a file
    """A table that says those of the values that are not None."""
    return model.model_construct(**{key: value for key, value in values.items() if value is not None})


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A value, or None where nothing is said."""
    return st.none() | strategy


def signs() -> st.SearchStrategy[Sign]:
    """Every sign of a sticking."""
    levels, grace = st.sampled_from(LEVELS), st.integers(0, 2)
    return st.one_of(
        st.builds(Sign, st.sampled_from(["R", "L"]), levels),
        st.builds(Sign, st.sampled_from(["R", "L"]), levels, grace, st.booleans()),
        st.builds(Sign, st.just("B"), levels, buzz=st.booleans()),
        st.builds(Sign, st.sampled_from(["K", "H"]), levels),
        st.just(Sign("-")),
    )


def stickings(min_size: int = 1, max_size: int = 16) -> st.SearchStrategy[Sticking]:
    """Stickings of any signs, rests alone among them."""
    return st.lists(signs(), min_size=min_size, max_size=max_size).map(lambda row: Sticking(tuple(row)))


@st.composite
def meters(draw: st.DrawFn) -> Meter:
    """Every meter: simple, compound, grouped, counted by the felt beat."""
    lower = draw(st.sampled_from(LOWER_NUMBERS))
    groups = draw(st.just([]) | st.lists(st.integers(1, 5), min_size=2, max_size=6))
    meter = Meter(sum(groups) or draw(st.integers(1, 32)), lower, tuple(groups))
    by_units = {beat.grains for beat in meter.beats} == {meter.unit_grains}
    return Meter(meter.upper, lower, meter.groups, felt=not by_units and draw(st.booleans()))


def numbers(lowest: int = SLOWEST, highest: int = FASTEST) -> st.SearchStrategy[Fraction]:
    """Numbers of a tempo: whole, or with at most three decimals."""
    thousandths = st.integers(lowest * 1000, highest * 1000).map(lambda number: Fraction(number, 1000))
    return st.integers(lowest, highest).map(Fraction) | thousandths


@st.composite
def tempos(draw: st.DrawFn) -> Tempo:
    """Every tempo: bare, in a note value, changing; a bare steady one of any float."""
    start = draw(numbers() | st.floats(SLOWEST, FASTEST).map(lambda number: Fraction(str(number))))
    if (start * 1000).denominator > 1 or draw(st.booleans()):
        return Tempo(start, start)
    return Tempo(start, draw(st.just(start) | numbers()), draw(st.sampled_from(["", *TEMPO_UNITS])))


def steady_tempos() -> st.SearchStrategy[Tempo]:
    """Every tempo that stays, as all but a bar's own does."""
    return tempos().filter(lambda tempo: tempo.steady)


def wheres(levels: tuple[Level, ...] = LEVELS) -> st.SearchStrategy[Where]:
    """Every form of a written place."""
    number, level = st.integers(1, 40), st.sampled_from(levels)
    return st.one_of(
        st.builds(Where, st.just("count"), number, st.sampled_from(["", *PARTS]), level=level),
        st.builds(Where, st.just("slot"), number, slot=st.integers(1, 12), level=level),
        st.builds(Where, st.sampled_from(["count*", "slot*", "every"]), number, level=level),
        st.builds(Where, st.just("each"), part=st.sampled_from(PARTS), level=level),
        st.builds(Where, st.just("all"), level=level),
    )


def places(*, with_signs: bool, min_size: int = 0) -> st.SearchStrategy[Places]:
    """Written lists of places; with signs, accents and ghosts among them."""
    row = st.lists(wheres(LEVELS if with_signs else ("normal",)), min_size=min_size, max_size=5)
    return row.map(lambda found: Places(tuple(found)))


def level_lines() -> st.SearchStrategy[LevelLines]:
    """Accents or ghosts: for both hands, or by limb."""
    both = places(with_signs=False).map(lambda found: (("", found),))
    by_limb = st.dictionaries(st.sampled_from(LIMBS), places(with_signs=False)).map(lambda rows: tuple(rows.items()))
    return both | by_limb


def hand_maps(
    voices: st.SearchStrategy[str] = VOICES, counts: st.SearchStrategy[Places] | None = None
) -> st.SearchStrategy[HandMap]:
    """Maps of a hand: a voice alone, or rules; ``every`` stands only beside an ``around``."""
    counts = places(with_signs=False, min_size=1) if counts is None else counts
    none, rows = st.just(()), st.lists(voices, min_size=1, max_size=4).map(tuple)
    by_counts = st.lists(st.tuples(counts, voices), max_size=2).map(tuple)
    single = st.just("") | voices
    return st.one_of(
        voices.map(HandMap),
        st.builds(HandMap, single, single, single, none, st.just("stroke"), by_counts),
        st.builds(HandMap, single, single, single, rows, st.sampled_from(EVERY), by_counts),
    )


HAIRPINS = st.builds(Hairpin, st.sampled_from([*MARKS]), st.sampled_from([*MARKS]))
RATIOS = st.tuples(st.integers(1, 9), st.integers(1, 9)).map(lambda pair: (max(pair), min(pair)))
HANDED = st.sampled_from(["right", "left"])
FEET = st.dictionaries(VOICES, places(with_signs=True) | st.sampled_from(FOLLOWS), max_size=3)
HANDS = st.builds(lambda right, left: said(HandsTable, R=right, L=left), maybe(hand_maps()), maybe(hand_maps()))


@st.composite
def feels(draw: st.DrawFn) -> FeelTable:
    """``[feel]`` tables."""
    swing = draw(maybe(st.builds(SwingTable.model_construct, of=st.sampled_from(["eighths"]), ratio=RATIOS)))
    small = maybe(st.integers(5, 50))
    keys = ("spread_ms", "seed", "flam_ms", "drag_ms", "buzz_ms")
    return said(FeelTable, swing=swing, **{key: draw(small) for key in keys})


DYNAMICS = st.builds(
    lambda **values: said(DynamicsTable, **values),
    **{key: maybe(st.integers(1, 127)) for key in ("accent", "normal", "ghost", "grace")},
)


@st.composite
def practices(draw: st.DrawFn) -> PracticeTable:
    """``[practice]`` tables."""
    return said(
        PracticeTable,
        tempo=draw(maybe(steady_tempos())),
        times=draw(maybe(st.integers(1, 10_000))),
        bars=draw(maybe(NAMES)),
        only=draw(maybe(NAMES)),
        limbs=draw(maybe(NAMES)),
        mute=draw(maybe(st.lists(VOICES, max_size=2).map(tuple))),
        count_in=draw(maybe(st.integers(0, 8))),
        loop=draw(maybe(st.booleans())),
        click=draw(maybe(NAMES)),
        click_voices=draw(maybe(NAMES)),
        click_level=draw(maybe(st.integers(1, 127))),
        click_side=draw(maybe(st.sampled_from(["both", "left", "right"]))),
        only_click=draw(maybe(st.booleans())),
        ladder=draw(maybe(NAMES)),
        rungs=draw(maybe(st.sampled_from(["together", "apart"]))),
        gap=draw(maybe(NAMES)),
        answer=draw(maybe(st.integers(0, 64))),
        rest=draw(maybe(NAMES)),
    )


LAYER_FIELDS: dict[str, st.SearchStrategy[Any]] = {
    "sticking": stickings(),
    "rudiment": st.sampled_from([rudiment.name for rudiment in RUDIMENTS]) | NAMES,
    "lead": st.sampled_from(["R", "L"]),
    "start": st.integers(1, 1000),
    "across": st.sampled_from(["restart", "carry", "once"]),
    "subdivision": st.lists(st.sampled_from(SUBDIVISIONS), min_size=1, max_size=4).map(tuple),
    "accents": level_lines(),
    "ghosts": level_lines(),
    "hands": HANDS,
    "feet": FEET,
    "grace_voice": st.sampled_from(["drum", "main", "split"]),
}


@st.composite
def layers(draw: st.DrawFn, /, model: type[LayerTable], **more: st.SearchStrategy[Any]) -> LayerTable:
    """A table that says some of the keys a bar and a part share, and what more is given."""
    keys = draw(st.sets(st.sampled_from([*LAYER_FIELDS])))
    values = {key: draw(strategy) for key, strategy in LAYER_FIELDS.items() if key in keys}
    return said(model, **values, **{key: draw(strategy) for key, strategy in more.items()})


BEATS = (
    st.tuples(st.integers(1, 999), st.integers(1, 999)).map(sorted).map(lambda pair: read_beats("{}-{}".format(*pair)))
)
BARS = layers(
    BarTable,
    role=maybe(st.sampled_from(["groove", "fill", "pickup"])),
    like=maybe(NAMES),
    note=maybe(TEXTS),
    meter=maybe(meters()),
    tempo=maybe(tempos()),
    handed=maybe(HANDED),
    landing=maybe(st.lists(VOICES, max_size=3).map(tuple)),
    dynamics=maybe(HAIRPINS),
    feel=maybe(feels()),
    parts=maybe(st.lists(layers(PartTable, beats=BEATS), max_size=2).map(tuple)),
)
CHAINED = st.builds(Chained, NAMES.map(str.strip).filter(bool), st.integers(1, 3) | st.integers(1, 100_000))


CENTIMETRES = st.floats(-500, 500) | st.integers(-500, 500).map(float)
SOUNDING = st.builds(
    lambda note, **values: said(VoiceTable, note=note, **values),
    st.integers(0, 127),
    played_by=maybe(st.sampled_from(["hands", "kick foot", "hi-hat foot"])),
    kind=maybe(st.sampled_from(["drum", "metal"])),
    at=maybe(st.tuples(CENTIMETRES, CENTIMETRES)),
    width=maybe(st.floats(0, 200, exclude_min=True)),
    staff=maybe(st.sampled_from(["C5", "G3", "A6"])),
    notehead=maybe(st.sampled_from(["normal", "x", "circle-x", "diamond", "triangle", "slashed"])),
    choke=maybe(NAMES),
    velocity=maybe(st.integers(-60, 60)),
    pedal=maybe(st.integers(0, 127)),
)
INSTEAD = st.builds(lambda name: said(VoiceTable, instead=name), NAMES)
LIMITS = st.builds(
    lambda **values: said(LimitsTable, **values),
    ppq=maybe(st.integers(1, 32_767)),
    name_length=maybe(st.integers(1, 255)),
    name_characters=maybe(NAMES),
    text_characters=maybe(st.sampled_from(["any", "ascii"])),
    longest_s=maybe(st.integers(1, 86_400)),
    largest_kib=maybe(st.integers(1, 65_536)),
    notes_only=maybe(st.booleans()),
)


def kit_files() -> st.SearchStrategy[KitFile]:
    """Files that say anything a kit file can say."""
    return st.builds(
        lambda **values: said(KitFile, **values),
        title=maybe(TEXTS),
        channel=maybe(st.integers(1, 16)),
        program=maybe(st.integers(0, 127)),
        hand=maybe(HANDED),
        click=maybe(NAMES),
        click_accent=maybe(NAMES),
        limits=maybe(LIMITS),
        voices=st.dictionaries(VOICES | NAMES, SOUNDING | INSTEAD, min_size=1, max_size=4),
    )


@st.composite
def phrase_files(draw: st.DrawFn) -> PhraseFile:
    """Files that say anything a phrase file can say, whether or not it means something."""
    return said(
        PhraseFile,
        title=draw(maybe(TEXTS)),
        note=draw(maybe(TEXTS)),
        tempo=draw(maybe(steady_tempos())),
        meter=draw(maybe(meters())),
        kit=draw(maybe(NAMES)),
        handed=draw(maybe(HANDED)),
        phrase=tuple(draw(st.lists(CHAINED, min_size=1, max_size=4))),
        landing=draw(maybe(st.lists(VOICES, max_size=3).map(tuple))),
        feel=draw(maybe(feels())),
        dynamics=draw(maybe(DYNAMICS)),
        practice=draw(maybe(practices())),
        bars=draw(st.dictionaries(NAMES, BARS, min_size=1, max_size=2)),
    )
