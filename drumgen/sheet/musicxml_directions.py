"""MusicXML directions: words, tempos, swing, dynamics and hairpins as ``direction`` elements."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.note_values import UNIT_NAMES
from drumgen.sheet.directions import (
    Changing,
    Loud,
    Named,
    Sped,
    Swung,
    Told,
    Wedge,
    changing_words,
    has_swing,
    swing_words,
)
from drumgen.sheet.numerals import number
from drumgen.sheet.xml import node

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from drumgen.feel import Swing
    from drumgen.sheet.directions import Direction

_BEAT_UNITS = {"sixteenth": "16th", "thirty-second": "32nd"}
_SWING_TYPES = {"eighths": "eighth", "sixteenths": "16th"}


def direction_node(direction: Direction) -> Element:
    """One direction."""
    match direction:
        case Named(name, role, times):
            return _above(*_name_words(name, role, times))
        case Sped(mark, sounds):
            metronome = node("metronome", *_beat_unit(mark.unit_grains), node("per-minute", number(mark.per_minute)))
            return _with_sound(_above(metronome), node("sound", tempo=number(sounds)))
        case Swung(swing):
            words = node("words", swing_words(swing), font_weight="bold", halign="left")
            return _with_sound(_above(words), node("sound", _swing(swing)))
        case Loud() | Wedge():
            return _below(_loudness(direction))
        case Changing() | Told():
            return _above(node("words", _text(direction), font_style="italic"))


def _loudness(direction: Loud | Wedge) -> Element:
    if isinstance(direction, Loud):
        return node("dynamics", node(direction.mark))
    return node("wedge", type_=direction.kind, number=1)


def _text(direction: Changing | Told) -> str:
    return direction.text if isinstance(direction, Told) else changing_words(direction.mark)


def _name_words(name: str, role: str, times: int) -> list[Element]:
    parts = [
        (name, {"font_weight": "bold"}),
        (role, {"font_style": "italic"}),
        (f"{times} times" if times > 1 else "", {"font_style": "italic"}),
    ]
    said = [(text, style) for text, style in parts if text]
    return [node("words", f"{', ' if index else ''}{text}", **style) for index, (text, style) in enumerate(said)]


def _above(*content: Element) -> Element:
    return node("direction", node("direction-type", *content), placement="above")


def _below(content: Element) -> Element:
    return node("direction", node("direction-type", content), placement="below")


def _with_sound(direction: Element, sound: Element) -> Element:
    direction.append(sound)
    return direction


def _beat_unit(grains: int) -> list[Element]:
    *dotted, name = UNIT_NAMES[grains].split(" ")
    return [node("beat-unit", _BEAT_UNITS.get(name, name)), *(node("beat-unit-dot") for _ in dotted)]


def _swing(swing: Swing) -> Element:
    if not has_swing(swing):
        return node("swing", node("straight"))
    parts = node("first", str(swing.long)), node("second", str(swing.short))
    return node("swing", *parts, node("swing-type", _SWING_TYPES[swing.of]))
