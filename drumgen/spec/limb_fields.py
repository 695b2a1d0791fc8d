"""The fields of a phrase file that speak of limbs: accents and ghosts, hands and feet, as pydantic types.

Each is read strictly from its text into the frozen value of the trade that it means; what is wrong keeps its span.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Annotated, Any

from pydantic import PlainValidator, WithJsonSchema

from drumgen.bar import FOLLOWS, Follow
from drumgen.counts import Places, parse_places
from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.orchestration import EVERY, HandMap
from drumgen.spec.fields import LONGEST_TEXT, shown, text_of, text_schema
from drumgen.sticking import LIMBS

HAND_RULES = ("main", "accent", "ghost", "around", "every")


def read_places(text: str, *, signs: bool) -> Places:
    """Counts; where commas, words or signs stand between them that are not read, without these is the hint."""
    try:
        return parse_places(text_of(text, "counts in quotes"), signs=signs)
    except DrumgenError as error:
        if len(text) > LONGEST_TEXT:
            raise
        plain = re.sub(r",|\band\b", " ", text).replace("+", "&")
        plain = " ".join((plain if signs else re.sub(r"[()>]", " ", plain)).split())
        if plain == " ".join(text.split()) or not _is_read(plain, signs=signs):
            raise
        hint = f'nearest: "{plain}"'
        raise DrumgenError(*(replace(fault, nearest=hint) for fault in error.faults)) from None


def _is_read(text: str, *, signs: bool) -> bool:
    try:
        return bool(parse_places(text, signs=signs).wheres)
    except DrumgenError:
        return False


LevelLines = tuple[tuple[str, Places], ...]
"""Written accents or ghosts: (limb, places), the limb empty where the line speaks of both hands."""


def read_levels(value: object) -> LevelLines:
    """Accents or ghosts: a text for both hands, or a table by limb."""
    if isinstance(value, str):
        return (("", read_places(value, signs=False)),)
    if not isinstance(value, dict):
        raise DrumgenError(Fault('counts in quotes, such as "2 4", or a table by limb', got=shown(value)))
    lines: list[tuple[str, Places]] = []
    faults: list[Fault] = []
    for limb, text in value.items():
        if limb not in LIMBS:
            faults.append(Fault(f"a limb of {', '.join(LIMBS)}", got=shown(limb), path=(limb,)))
            continue
        try:
            lines.append((limb, read_places(text_of(text, 'counts in quotes, such as "2 4"'), signs=False)))
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
        places = read_places(key, signs=False)
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
        return read_places(text, signs=True)
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
    text_schema("Counts with signs, or with accents, with R, with L, gaps, none", "1 2& >3 (4&)", "with accents"),
]
