"""The fields of a phrase file whose text is a language of its own, as pydantic types.

Each is read strictly from its text into the frozen value of the trade that it means; what is wrong keeps its span.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema

from drumgen.errors import DrumgenError, Fault, Path, nearest, printable
from drumgen.feel import parse_ratio
from drumgen.levels import parse_hairpin
from drumgen.meter import parse_meter
from drumgen.sticking import parse_sticking
from drumgen.subdivision import SUBDIVISIONS
from drumgen.tempo import FASTEST, SLOWEST, Tempo, parse_tempo

if TYPE_CHECKING:
    from collections.abc import Callable


LONGEST_TEXT = 20_000
"""Of a text in a language of its own, such as a sticking: a hundred times what a bar can hold, in characters."""


def shown(value: object) -> str:
    """A value of a TOML file as a message quotes it, cut to a readable length."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = printable(value[:61])
        return f'"{text}"' if len(text) < 61 else f'"{text[:60]}…"'
    if isinstance(value, (dict, list, tuple)):
        kind = "table" if isinstance(value, dict) else "list"
        return f"a {kind}" if value else f"an empty {kind}"
    text = str(value) if not isinstance(value, int) or abs(value) < 10**30 else "a very large number"
    return text if len(text) < 61 else f"{text[:60]}…"


def text_of(value: object, rule: str) -> str:
    """``value`` if it is a text, else a fault that says what was expected."""
    if not isinstance(value, str):
        raise DrumgenError(Fault(rule, got=shown(value)))
    if len(value) > LONGEST_TEXT:
        raise DrumgenError(Fault(f"a text of at most {LONGEST_TEXT} characters", got=str(len(value))))
    return value


def _reader(parse: Callable[[str], object], rule: str) -> PlainValidator:
    return PlainValidator(lambda value: parse(text_of(value, rule)))


def text_schema(description: str, *examples: str) -> WithJsonSchema:
    """What an editor is told of a field that is a text."""
    return WithJsonSchema({"type": "string", "description": description, "examples": list(examples)})


StickingField = Annotated[
    Any,
    _reader(parse_sticking, 'a sticking in quotes, such as "RLRR LRLL"'),
    text_schema("Which hand plays each stroke: R L B K H - with > ( ) l r z", "RLRR LRLL", ">lR L (RL)"),
]
MeterField = Annotated[
    Any,
    _reader(parse_meter, 'a meter in quotes, such as "4/4" or "7/8 2+2+3"'),
    text_schema("The meter", "4/4", "6/8 in 2", "7/8 2+2+3"),
]
HairpinField = Annotated[
    Any,
    _reader(parse_hairpin, 'a dynamic mark in quotes, such as "f" or "mp to f"'),
    text_schema("One dynamic mark, or a swell between two", "mp to f"),
]


_STEADY_TEMPO = 'a tempo that stays, such as 92 or "eighth 192"'
_ANY_TEMPO = f'a tempo from {SLOWEST} to {FASTEST}, such as 92, "eighth 192" or "152 to 120"'


def read_tempo(value: object, *, rule: str = _ANY_TEMPO) -> Tempo:
    """A tempo from a number or a text, else a fault by ``rule``; a float is read by its shortest decimal form."""
    if isinstance(value, str):
        return parse_tempo(text_of(value, rule))
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise DrumgenError(Fault(rule, got=shown(value)))
    if not SLOWEST <= value <= FASTEST:
        raise DrumgenError(Fault(f"a tempo from {SLOWEST} to {FASTEST} beats a minute", got=shown(value)))
    number = Fraction(str(value))
    return Tempo(number, number)


def read_steady_tempo(value: object) -> Tempo:
    """A tempo of all that is played, which stays: that of a phrase, of its practice, or of a book's phrase."""
    tempo = value if isinstance(value, Tempo) else read_tempo(value, rule=_STEADY_TEMPO)
    if not tempo.steady:
        raise DrumgenError(Fault("a steady tempo, as only a bar's own may change through it", got=shown(value)))
    return tempo


def _tempo_schema(description: str, *examples: str) -> WithJsonSchema:
    """What an editor is told of a tempo."""
    ways = [{"type": "number", "minimum": SLOWEST, "maximum": FASTEST}, {"type": "string"}]
    return WithJsonSchema({"description": description, "anyOf": ways, "examples": [92, "eighth 192", *examples]})


BarTempoField = Annotated[
    Any,
    PlainValidator(read_tempo),
    _tempo_schema("Beats a minute in the meter's beat, or in a note value, or changing through the bar", "152 to 120"),
]
SteadyTempoField = Annotated[
    Any,
    PlainValidator(read_steady_tempo),
    _tempo_schema("Beats a minute in the meter's beat, or in a note value, the same throughout"),
]


def read_subdivision(value: object) -> tuple[str, ...]:
    """One subdivision, or a list of one a beat."""
    names = [value] if isinstance(value, str) else value
    if not isinstance(names, list) or not names:
        raise DrumgenError(Fault('a subdivision such as "sixteenths", or a list of one a beat', got=shown(value)))
    for index, name in enumerate(names):
        if name not in SUBDIVISIONS:
            hint = _subdivision_hint(name) if isinstance(name, str) else ""
            path: Path = (index,) if isinstance(value, list) else ()
            raise DrumgenError(Fault(f"one of {', '.join(SUBDIVISIONS)}", got=shown(name), nearest=hint, path=path))
    return tuple(names)


def _subdivision_hint(name: str) -> str:
    """The subdivision nearest to a word; figures such as 16ths are note values."""
    figure = name[: len(name) - len(name.lstrip("0123456789"))]
    return nearest(_BY_FIGURE.get(figure, name.lower()), SUBDIVISIONS)


_BY_FIGURE = {"4": "quarters", "8": "eighths", "16": "sixteenths", "32": "thirty-seconds"}

_SUBDIVISION_SCHEMA = {"type": "string", "enum": list(SUBDIVISIONS)}
SubdivisionField = Annotated[
    Any,
    PlainValidator(read_subdivision),
    WithJsonSchema({"anyOf": [_SUBDIVISION_SCHEMA, {"type": "array", "items": _SUBDIVISION_SCHEMA, "minItems": 1}]}),
]


@dataclass(frozen=True, slots=True)
class Chained:
    """One entry of the order of bars: a bar's name and how often it is played."""

    name: str
    times: int = 1

    def __str__(self) -> str:
        return f"{self.name} x{self.times}" if self.times > 1 or _SAYS_HOW_OFTEN.search(self.name) else self.name


_SAYS_HOW_OFTEN = re.compile(r"\S x[0-9]+$", re.ASCII)


def read_chained(value: object) -> Chained:
    """``chained := name ["x" number]``."""
    text = text_of(value, 'a bar\'s name, such as "verse" or "verse x3"')
    name, _, number = text.rpartition(" x")
    if name and number.isascii() and number.isdecimal():
        if not 1 <= int(number[:7]) <= 100_000 or len(number) > 6:
            span = (len(text) - len(number), len(text))
            raise DrumgenError(Fault("a number of times from 1 to 100000", got=shown(number), text=text, span=span))
        return Chained(name.strip(), int(number))
    if not text.strip():
        raise DrumgenError(Fault("a bar's name", got=shown(text)))
    return Chained(text.strip())


ChainedField = Annotated[
    Any,
    PlainValidator(read_chained),
    text_schema("A bar's name and how often it is played", "verse x3", "turn"),
]


@dataclass(frozen=True, slots=True)
class Beats:
    """The beats of a part, both in, counted from 1; ``written`` is what stands in the file."""

    first: int
    last: int
    written: str = field(compare=False)

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"


def read_beats(value: object) -> Beats:
    """``beats := number ["-" number]``."""
    text = text_of(value, 'beats in quotes, such as "3" or "3-4"')
    first, dash, last = (piece.strip() for piece in text.partition("-"))
    numbers = (first, last if dash else first)
    if not all(piece.isascii() and piece.isdecimal() and len(piece) < 4 for piece in numbers):
        raise DrumgenError(Fault('beats such as "3" or "3-4"', got=shown(text)))
    if not 1 <= int(numbers[0]) <= int(numbers[1]):
        raise DrumgenError(Fault("beats from low to high, the first 1", got=shown(text)))
    return Beats(int(numbers[0]), int(numbers[1]), text)


BeatsField = Annotated[Any, PlainValidator(read_beats), text_schema("The beats a part lies over", "3-4")]


def _ratio(value: object) -> tuple[int, int]:
    return parse_ratio(text_of(value, 'a ratio in quotes, such as "2:1"'))


RatioField = Annotated[
    Any, PlainValidator(_ratio), text_schema("Of a pair, long to short, in whole numbers", "2:1", "3:2")
]


def listed(value: object) -> object:
    """A TOML array as a tuple, so that strict validation takes it."""
    return tuple(value) if isinstance(value, list) else value


Listed = BeforeValidator(listed)
