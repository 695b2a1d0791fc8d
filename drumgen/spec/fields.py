"""The fields of a phrase file whose text is a language of its own, as pydantic types.

Each is read strictly from its text into the frozen value of the trade that it means; what is wrong keeps its span.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema

from drumgen.bar import FOLLOWS, Follow
from drumgen.counts import Places, parse_places
from drumgen.errors import DrumgenError, Fault, Path, nearest
from drumgen.feel import parse_ratio
from drumgen.levels import parse_hairpin
from drumgen.meter import parse_meter
from drumgen.orchestration import HandMap
from drumgen.sticking import parse_sticking
from drumgen.subdivision import SUBDIVISIONS
from drumgen.tempo import FASTEST, SLOWEST, Tempo, parse_tempo

if TYPE_CHECKING:
    from collections.abc import Callable

EVERY = ("stroke", "beat", "group", "bar")
HAND_RULES = ("main", "accent", "ghost", "around", "every")
LIMBS = ("R", "L", "K", "H")


def shown(value: object) -> str:
    """A value of a TOML file as a message quotes it, cut to a readable length."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in value[:61])
        return f'"{text}"' if len(text) < 61 else f'"{text[:60]}…"'
    if isinstance(value, (dict, list, tuple)):
        return "a table" if isinstance(value, dict) else "a list"
    text = str(value) if not isinstance(value, int) or abs(value) < 10**30 else "a very large number"
    return text if len(text) < 61 else f"{text[:60]}…"


def text_of(value: object, rule: str) -> str:
    """``value`` if it is a text, else a fault that says what was expected."""
    if not isinstance(value, str):
        raise DrumgenError(Fault(rule, got=shown(value)))
    return value


def _reader(parse: Callable[[str], object], rule: str) -> PlainValidator:
    return PlainValidator(lambda value: parse(text_of(value, rule)))


def _text_schema(description: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": description, "examples": list(examples)})


StickingField = Annotated[
    Any,
    _reader(parse_sticking, 'a sticking in quotes, such as "RLRR LRLL"'),
    _text_schema("Which hand plays each stroke: R L B K H - with > ( ) l r z", "RLRR LRLL", ">lR L (RL)"),
]
MeterField = Annotated[
    Any,
    _reader(parse_meter, 'a meter in quotes, such as "4/4" or "7/8 2+2+3"'),
    _text_schema("The meter", "4/4", "6/8 in 2", "7/8 2+2+3"),
]
HairpinField = Annotated[
    Any,
    _reader(parse_hairpin, 'a dynamic mark in quotes, such as "f" or "mp to f"'),
    _text_schema("One dynamic mark, or a swell between two", "mp to f"),
]


def read_tempo(value: object) -> Tempo:
    """A tempo from a number or a text; a float is read by its shortest decimal form."""
    rule = f'a tempo from {SLOWEST} to {FASTEST}, such as 92, "eighth 192" or "152 to 120"'
    if isinstance(value, str):
        return parse_tempo(value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise DrumgenError(Fault(rule, got=shown(value)))
    if not SLOWEST <= value <= FASTEST:
        raise DrumgenError(Fault(f"a tempo from {SLOWEST} to {FASTEST} beats a minute", got=shown(value)))
    number = Fraction(str(value))
    return Tempo(number, number)


TempoField = Annotated[
    Any,
    PlainValidator(read_tempo),
    WithJsonSchema(
        {
            "description": "Beats a minute in the meter's beat, or in a note value, or changing through the bar",
            "anyOf": [{"type": "number", "minimum": SLOWEST, "maximum": FASTEST}, {"type": "string"}],
            "examples": [92, "eighth 192", "152 to 120"],
        }
    ),
]


def read_subdivision(value: object) -> tuple[str, ...]:
    """One subdivision, or a list of one a beat."""
    names = [value] if isinstance(value, str) else value
    if not isinstance(names, list) or not names:
        raise DrumgenError(Fault('a subdivision such as "sixteenths", or a list of one a beat', got=shown(value)))
    for index, name in enumerate(names):
        if name not in SUBDIVISIONS:
            hint = nearest(name, SUBDIVISIONS) if isinstance(name, str) else ""
            path: Path = (index,) if isinstance(value, list) else ()
            raise DrumgenError(Fault(f"one of {', '.join(SUBDIVISIONS)}", got=shown(name), nearest=hint, path=path))
    return tuple(names)


_SUBDIVISION_SCHEMA = {"type": "string", "enum": list(SUBDIVISIONS)}
SubdivisionField = Annotated[
    Any,
    PlainValidator(read_subdivision),
    WithJsonSchema({"anyOf": [_SUBDIVISION_SCHEMA, {"type": "array", "items": _SUBDIVISION_SCHEMA, "minItems": 1}]}),
]

LevelLines = tuple[tuple[str, Places], ...]
"""Written accents or ghosts: (limb, places), the limb empty where the line speaks of both hands."""


def read_levels(value: object) -> LevelLines:
    """Accents or ghosts: a text for both hands, or a table by limb."""
    if isinstance(value, str):
        return (("", parse_places(value, signs=False)),)
    if not isinstance(value, dict):
        raise DrumgenError(Fault('counts in quotes, such as "2 4", or a table by limb', got=shown(value)))
    lines: list[tuple[str, Places]] = []
    faults: list[Fault] = []
    for limb, text in value.items():
        if limb not in LIMBS:
            faults.append(Fault(f"a limb of {', '.join(LIMBS)}", got=shown(limb), path=(limb,)))
            continue
        try:
            lines.append((limb, parse_places(text_of(text, 'counts in quotes, such as "2 4"'), signs=False)))
        except DrumgenError as error:
            faults += [fault.under(limb) for fault in error.faults]
    if faults:
        raise DrumgenError(*faults)
    return tuple(lines)


LevelsField = Annotated[
    Any,
    PlainValidator(read_levels),
    WithJsonSchema(
        {
            "description": "Counts, for both hands or by limb",
            "anyOf": [
                {"type": "string"},
                {
                    "type": "object",
                    "properties": {limb: {"type": "string"} for limb in LIMBS},
                    "additionalProperties": False,
                },
            ],
            "examples": ["2 4", {"L": "all"}],
        }
    ),
]


def read_hand(value: object) -> HandMap:
    """A hand's map: a voice, or a table of main, accent, ghost, around, every and counts."""
    if isinstance(value, str):
        return HandMap(main=_voice(value))
    if not isinstance(value, dict):
        raise DrumgenError(Fault('a voice, or a table such as { main = "snare" }', got=shown(value)))
    faults: list[Fault] = []
    given: dict[str, Any] = {}
    counts: list[tuple[Places, str]] = []
    for key, entry in value.items():
        try:
            if key in HAND_RULES:
                given[key] = _hand_rule(key, entry)
            else:
                counts.append((_count_key(key), _voice(entry)))
        except DrumgenError as error:
            faults += [fault.under(key) for fault in error.faults]
    if "every" in given and "around" not in value:
        faults.append(Fault('an "around" for "every" to speak of', got="none", path=("every",)))
    if faults:
        raise DrumgenError(*faults)
    return HandMap(**given, counts=tuple(counts))


def _hand_rule(key: str, entry: object) -> object:
    if key == "every":
        if entry not in EVERY:
            hint = nearest(entry, EVERY) if isinstance(entry, str) else ""
            raise DrumgenError(Fault(f"one of {', '.join(EVERY)}", got=shown(entry), nearest=hint))
        return entry
    if key != "around":
        return _voice(entry)
    if not isinstance(entry, list) or not entry:
        raise DrumgenError(Fault('a list of voices, such as ["high-tom", "floor-tom"]', got=shown(entry)))
    return tuple(_voice(name) for name in entry)


def _voice(value: object) -> str:
    return text_of(value, "a voice in quotes") or _no_voice()


def _no_voice() -> str:
    raise DrumgenError(Fault("a voice", got='""'))


def _count_key(key: str) -> Places:
    try:
        places = parse_places(key, signs=False)
    except DrumgenError as error:
        hint = nearest(key, HAND_RULES)
        rule = f"{', '.join(HAND_RULES)} or counts"
        raise DrumgenError(Fault(rule, got=shown(key), nearest=hint) if hint else error.faults[0]) from None
    if not places.wheres:
        raise DrumgenError(Fault("counts", got=shown(key)))
    return places


_VOICE_SCHEMA = {"type": "string", "minLength": 1}
HandField = Annotated[
    Any,
    PlainValidator(read_hand),
    WithJsonSchema(
        {
            "description": "A voice, or rules: counts win over accent and ghost, these over around, that over main",
            "anyOf": [
                _VOICE_SCHEMA,
                {
                    "type": "object",
                    "properties": {
                        **dict.fromkeys(("main", "accent", "ghost"), _VOICE_SCHEMA),
                        "around": {"type": "array", "items": _VOICE_SCHEMA, "minItems": 1},
                        "every": {"enum": list(EVERY)},
                    },
                    "additionalProperties": _VOICE_SCHEMA,
                },
            ],
            "examples": ["hihat", {"main": "snare", "4& 4a": "floor-tom"}],
        }
    ),
]

FootRule = Places | Follow
"""A foot's written line; places without any remove what is inherited."""


def read_foot(value: object) -> FootRule:
    """A foot's line: places with signs, or which strokes of the hands it follows; "" or "none" for silence."""
    text = text_of(value, 'counts in quotes, such as "1 2& >3 (4&)"')
    words = " ".join(text.split())
    for follow in FOLLOWS:
        if words == follow:
            return follow
    if words == "none":
        return Places()
    try:
        return parse_places(text, signs=True)
    except DrumgenError as error:
        hint = nearest(words, (*FOLLOWS, "none"))
        if hint:
            raise DrumgenError(
                Fault(f"counts, or {', '.join(FOLLOWS)} or none", got=shown(text), nearest=hint)
            ) from None
        raise DrumgenError(*error.faults) from None


FootField = Annotated[
    Any,
    PlainValidator(read_foot),
    _text_schema("Counts with signs, or with accents, with R, with L, gaps, none", "1 2& >3 (4&)", "with accents"),
]


@dataclass(frozen=True, slots=True)
class Chained:
    """One entry of the order of bars: a bar's name and how often it is played."""

    name: str
    times: int = 1

    def __str__(self) -> str:
        return f"{self.name} x{self.times}" if self.times > 1 else self.name


def read_chained(value: object) -> Chained:
    """``chained := name ["x" number]``."""
    text = text_of(value, 'a bar\'s name, such as "verse" or "verse x3"')
    name, _, number = text.rpartition(" x")
    if name and number.isascii() and number.isdecimal():
        if not 1 <= int(number[:7]) <= 100_000 or len(number) > 6:
            raise DrumgenError(Fault("a number of times from 1 to 100000", got=shown(number), text=text))
        return Chained(name.strip(), int(number))
    if not text.strip():
        raise DrumgenError(Fault("a bar's name", got=shown(text)))
    return Chained(text.strip())


ChainedField = Annotated[
    Any,
    PlainValidator(read_chained),
    _text_schema("A bar's name and how often it is played", "verse x3", "turn"),
]


def read_beats(value: object) -> tuple[int, int]:
    """The beats of a part, ``beats := number ["-" number]``, as written (from 1)."""
    text = text_of(value, 'beats in quotes, such as "3" or "3-4"')
    first, dash, last = (piece.strip() for piece in text.partition("-"))
    numbers = (first, last if dash else first)
    if not all(piece.isascii() and piece.isdecimal() and len(piece) < 4 for piece in numbers):
        raise DrumgenError(Fault('beats such as "3" or "3-4"', got=shown(text)))
    if not 1 <= int(numbers[0]) <= int(numbers[1]):
        raise DrumgenError(Fault("beats from low to high, the first 1", got=shown(text)))
    return int(numbers[0]), int(numbers[1])


BeatsField = Annotated[Any, PlainValidator(read_beats), _text_schema("The beats a part lies over", "3-4")]


def _ratio(value: object) -> tuple[int, int]:
    return parse_ratio(text_of(value, 'a ratio in quotes, such as "2:1"'))


RatioField = Annotated[
    Any, PlainValidator(_ratio), _text_schema("Of a pair, long to short, in whole numbers", "2:1", "3:2")
]


def listed(value: object) -> object:
    """A TOML array as a tuple, so that strict validation takes it."""
    return tuple(value) if isinstance(value, list) else value


Listed = BeforeValidator(listed)
