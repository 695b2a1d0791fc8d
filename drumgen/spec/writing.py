"""Writing: a phrase, a kit or a book back as the file a person would have written.

Reading what was written gives an equal value. What a file says and what it leaves unsaid stay apart: only what is said
is written. Comments are not kept. A value that no file can say (a sticking with a rhythm of its own, a tempo that is
not a decimal number) is a TypeError.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError
from drumgen.feel import parse_ratio
from drumgen.levels import parse_hairpin
from drumgen.meter import parse_meter
from drumgen.orchestration import HandMap
from drumgen.spec.fields import Chained, read_beats, read_chained, read_tempo
from drumgen.spec.limb_fields import read_foot, read_hand, read_levels
from drumgen.spec.phrase_file import HandsTable, Table
from drumgen.spec.toml_writing import render_document, render_key
from drumgen.sticking import parse_sticking

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from drumgen.spec.book_file import BookFile, SharedTable
    from drumgen.spec.kit_file import KitFile
    from drumgen.spec.limb_fields import FootRule, LevelLines
    from drumgen.spec.phrase_file import BarTable, PhraseFile
    from drumgen.spec.toml_writing import Entry, Plain
    from drumgen.tempo import Tempo

KEY_ORDER = (
    *("title", "beats", "role", "like", "tempo", "meter", "kit", "handed", "phrase"),
    *("sticking", "rudiment", "lead", "start", "subdivision", "across", "accents", "ghosts", "hands", "feet"),
    *("grace_voice", "dynamics", "landing", "feel", "note"),
)
"""The keys of a phrase file, of a bar and of a part, in the order they are written."""

BOOK_ORDER = (
    *("title", "file", "heading", "note", "make", "together", "audio", "paper"),
    *("kit", "handed", "lead", "tempo", "ladder", "times", "count_in", "click"),
)
"""The keys of a book file and of its phrases, in the order they are written."""

_DOTTED = ("accents", "ghosts", "hands", "feet", "feel")


def render_phrase_file(file: PhraseFile) -> str:
    """The text of a phrase file, its tables in the order [feel], [dynamics], [practice], then the bars."""
    return render_document(_phrase_tables(file))


def _phrase_tables(file: PhraseFile) -> Iterator[tuple[str, list[Entry]]]:
    apart = ("feel", "dynamics", "practice")
    yield "", _entries(file, without=(*apart, "bars"))
    for name in apart:
        table: Table | None = getattr(file, name)
        if table is not None:
            yield f"[{name}]", _entries(table)
    for name, bar in file.bars.items():
        yield from _bar_tables(name, bar)


def _bar_tables(name: str, bar: BarTable) -> Iterator[tuple[str, list[Entry]]]:
    parts = bar.parts or ()
    yield f"[{render_key(('bars', name))}]", _entries(bar, without=("parts",) if parts else ())
    for part in parts:
        yield f"[[{render_key(('bars', name, 'parts'))}]]", _entries(part)


def render_kit_file(file: KitFile) -> str:
    """The text of a kit file, a table for each voice."""
    return render_document(_kit_tables(file))


def _kit_tables(file: KitFile) -> Iterator[tuple[str, list[Entry]]]:
    yield "", _entries(file, without=("limits", "voices"))
    if file.limits is not None:
        yield "[limits]", _entries(file.limits)
    for name, voice in file.voices.items():
        yield f"[{render_key(('voices', name))}]", _entries(voice)


def render_book_file(file: BookFile) -> str:
    """The text of a book file, a table for each phrase."""
    return render_document(_book_tables(file))


def _book_tables(file: BookFile) -> Iterator[tuple[str, list[Entry]]]:
    yield "", _book_entries(file, without=("phrases",))
    for entry in file.phrases or ():
        yield "[[phrases]]", _book_entries(entry)


def _book_entries(table: SharedTable, *, without: tuple[str, ...] = ()) -> list[Entry]:
    """What a table of a book says; a note of several lines as their list."""
    said = _entries(table, without=without, order=BOOK_ORDER)
    return [(key, _lines(value) if key == ("note",) else value) for key, value in said]


def _lines(note: Plain) -> Plain:
    lines: list[Plain] = [*str(note).split("\n")]
    return lines if len(lines) > 1 else note


def _entries(table: Table, *, without: tuple[str, ...] = (), order: tuple[str, ...] = KEY_ORDER) -> list[Entry]:
    """What a table says, as keys and plain values; the limbs of hands and feet under keys of two steps."""
    entries: list[Entry] = []
    for key, value in _said(table, without=without, order=order).items():
        if key in _DOTTED and isinstance(value, dict) and value:
            entries += [((key, inner), entry) for inner, entry in value.items()]
        else:
            entries.append(((key,), value))
    return entries


def _said(table: Table, *, without: tuple[str, ...] = (), order: tuple[str, ...] = KEY_ORDER) -> dict[str, Plain]:
    """What a table says, as plain values by the keys of a file, in the order they are written."""
    fields, said = type(table).model_fields, table.said()
    ordered = sorted(said, key=lambda name: order.index(name) if name in order else len(order))
    return {fields[name].alias or name: _plain(name, said[name]) for name in ordered if name not in without}


def _plain(name: str, value: Any) -> Plain:  # noqa: ANN401 - any value of a file
    if isinstance(value, Table):
        return _hands(value) if isinstance(value, HandsTable) else _said(value)
    return _WRITTEN[name](value) if name in _WRITTEN else _listed(value)


def _listed(value: Any) -> Plain:  # noqa: ANN401 - what TOML has of its own
    return list(value) if isinstance(value, tuple) else value


def _same(written: Plain, value: object, read: Callable[[Any], object]) -> Plain:
    """What is written, if reading it gives the value; a TypeError if it does not."""
    try:
        found = read(written)
    except DrumgenError:
        found = None
    if found != value:
        raise TypeError(f"{value!r} cannot be said in a file")
    return written


def _as_text(parse: Callable[[str], object]) -> Callable[[Any], Plain]:
    return lambda value: _same(str(value), value, parse)


def _tempo(tempo: Tempo) -> Plain:
    text = str(tempo)
    if not tempo.steady or tempo.unit:
        return _same(text, tempo, read_tempo)
    return _same(float(tempo.start), tempo, read_tempo)


def _subdivision(names: tuple[str, ...]) -> Plain:
    return names[0] if len(names) == 1 else list(names)


def _levels(lines: LevelLines) -> Plain:
    if len(lines) == 1 and not lines[0][0]:
        return _same(str(lines[0][1]), lines, read_levels)
    return _same({limb: str(places) for limb, places in lines}, lines, read_levels)


def _hands(table: HandsTable) -> Plain:
    return {limb: _hand(hand) for limb, hand in (("R", table.R), ("L", table.L)) if hand is not None}


def _hand(hand: HandMap) -> Plain:
    if hand == HandMap(main=hand.main) and hand.main:
        return hand.main
    rules: dict[str, Plain] = {rule: getattr(hand, rule) for rule in ("main", "accent", "ghost") if getattr(hand, rule)}
    if hand.around:
        rules["around"] = list(hand.around)
    if hand.every != "stroke":
        rules["every"] = hand.every
    for places, voice in hand.counts:
        key = str(places)
        while key in rules:  # the same counts once more: the first of them is the one that is played
            key += " "
        rules[key] = voice
    return _same(rules, hand, read_hand)


def _feet(feet: dict[str, FootRule]) -> Plain:
    return {voice: _same(str(rule) or "none", rule, read_foot) for voice, rule in feet.items()}


def _chained(entry: Chained) -> Plain:
    return _same(str(entry), entry, read_chained)


_WRITTEN: dict[str, Callable[[Any], Plain]] = {
    "sticking": _as_text(parse_sticking),
    "meter": _as_text(parse_meter),
    "dynamics": _as_text(parse_hairpin),
    "ratio": lambda ratio: _same("{}:{}".format(*ratio), ratio, parse_ratio),
    "tempo": _tempo,
    "subdivision": _subdivision,
    "accents": _levels,
    "ghosts": _levels,
    "feet": _feet,
    "phrase": lambda entries: [_chained(entry) for entry in entries],
    "beats": _as_text(read_beats),
}
