"""Bars as text: under the spoken counts the sticking, then one row a limb with its voices in words.

``>snare`` is an accent, ``(snare)`` a ghost note; ``flam``, ``drag`` and ``buzz`` stand behind the voice. Lines break
between beats, and within a beat only where it is wider than the line.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

from drumgen.note_values import GRAINS_PER_QUARTER, UNIT_NAMES
from drumgen.sticking import LIMB_NAMES
from drumgen.strokes import strokes
from drumgen.syllables import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.levels import Level
    from drumgen.plan import Plan
    from drumgen.spans import Span
    from drumgen.strokes import Played

_LABEL_WIDTH = 12
_GRACES = ("", " flam", " drag")

Column = dict[str, str]


def plan_lines(plan: Plan, *, width: int = 80) -> list[str]:
    """Every bar of a plan; bars that follow one another and are played alike are shown once, with their numbers."""
    lines: list[str] = []
    previous: Span | None = None
    written: dict[tuple[object, ...], list[str]] = {}
    for _, group in groupby(strokes(plan), key=_looks):
        run = list(group)
        span, laid = run[0]
        lines += ["", _heading(run, previous)]
        if span.kind == "bar" and span.bar is not None and span.bar.note:
            lines.append(f"  {span.bar.note}")
        key = (span.meter, span.clicks, laid)
        if key not in written:  # in a sticking that is carried the same bars come again, not one after the other
            written[key] = [f"  {line}".rstrip() for line in bar_lines(run[0], plan, width=width - 2)]
        lines += written[key]
        previous = run[-1].span
    return lines[1:]


def _looks(played: Played) -> tuple[object, ...]:
    """What makes two bars look alike."""
    span, laid = played
    return (span.label, span.meter, span.quarters, span.clicks, laid.strokes, laid.letters)


def _heading(run: Sequence[Played], previous: Span | None) -> str:
    """The numbers of the bars, their role and name, and what is new in meter and tempo."""
    span = run[0].span
    numbers = [played.span.number for played in run]
    times = f" ({len(run)} times)" if len(run) > 1 else ""
    if span.kind not in ("bar", "landing"):
        heading = f"{'an empty bar' if span.kind == 'empty' else span.label}{times}"
    elif numbers == list(range(numbers[0], numbers[0] + len(numbers))):
        spread = f"bars {numbers[0]}-{numbers[-1]}" if len(numbers) > 1 else f"bar {numbers[0]}"
        heading = f"{spread}: {span.label}"
    else:
        heading = f"bar {numbers[0]}: {span.label}{times}"
    news = []
    if previous is not None and previous.meter != span.meter:
        news.append(str(span.meter))
    if span.quarters[0] != span.quarters[1] or (previous is not None and previous.quarters[1] != span.quarters[0]):
        news.append(tempo_text(span))
    if span.bar is not None and span.bar.dynamics is not None and span.kind == "bar":
        news.append(str(span.bar.dynamics))
    return ", ".join([heading, *news])


def tempo_text(span: Span) -> str:
    """The tempo of a bar in the meter's own beat, or its lower value where the beats differ."""
    unit = span.meter.click_grains
    first, last = (quarters * Fraction(GRAINS_PER_QUARTER, unit) for quarters in span.quarters)
    changing = f" to {float(last):.4g}" if last != first else ""
    return f"{UNIT_NAMES[unit]} {float(first):.4g}{changing}"


def bar_lines(played: Played, plan: Plan, *, width: int) -> list[str]:
    """One bar: blocks of rows no wider than ``width`` characters."""
    columns = _columns(played, plan)
    if not columns:
        return ["(silence)"]
    rows = ["count", "sticking", *LIMB_NAMES.values(), "click"]
    rows = [row for row in rows if any(column.get(row) for _, column in columns)]
    return column_lines(columns, rows, width=width)


def _columns(played: Played, plan: Plan) -> list[tuple[int, Column]]:
    """One column a place that is counted or played, with the number of its beat."""
    span, laid = played
    places: dict[int, Column] = {slot.start: {} for slot in laid.slots}
    for stroke in laid.strokes:
        if stroke.limb in plan.silent_limbs or plan.phrase.kit.voice(stroke.voice).name in plan.silent_voices:
            continue
        column = places.setdefault(stroke.place, {})
        label = LIMB_NAMES[stroke.limb]
        struck = struck_text(stroke.voice, level=stroke.level, grace=stroke.grace, buzz=stroke.buzz)
        column[label] = "+".join(filter(None, (column.get(label), struck)))
    for place, text in laid.letters:
        places[place]["sticking"] = text
    for click in span.clicks:
        places.setdefault(click.place, {})["click"] = ">click" if click.accented else "click"
    for place, column in places.items():
        column["count"] = said(place, meter=span.meter, slots=laid.slots)
    return [(span.meter.beat_at(place), places[place]) for place in sorted(places)]


def struck_text(voice: str, *, level: Level, grace: int, buzz: bool) -> str:
    """One stroke in words.

    >>> struck_text("snare", level="accent", grace=1, buzz=False)
    '>snare flam'
    """
    words = f"{voice}{_GRACES[grace]}{' buzz' if buzz else ''}"
    return f">{words}" if level == "accent" else f"({words})" if level == "ghost" else words


def column_lines(columns: Sequence[tuple[int, Column]], rows: Sequence[str], *, width: int) -> list[str]:
    """The rows of columns, each with the number of its beat, in blocks no wider than ``width`` characters.

    Blocks are parted by an empty line. A row stands in a block only where it says something; the counts always.
    """
    lines: list[str] = []
    for index, block in enumerate(_blocks(columns, width - _LABEL_WIDTH)):
        if index:
            lines.append("")
        for row in rows:
            cells = "".join([each.column.get(row, "").ljust(each.width) for each in block])
            if row == "count" or cells.strip():
                lines.append(f"{row.ljust(_LABEL_WIDTH)}{cells}".rstrip())
    return lines


class _Wide(NamedTuple):
    """A column with its width, and with the length of its longest word, which is its width where a line ends."""

    width: int
    length: int
    column: Column


def _wide(column: Column) -> _Wide:
    length = max(map(len, column.values()))
    return _Wide(max(3, length) + 1, length, column)


def _blocks(columns: Sequence[tuple[int, Column]], width: int) -> Iterable[list[_Wide]]:
    """The columns in blocks that fit, broken between beats where that is possible."""
    wide = [(beat, _wide(column)) for beat, column in columns]
    beats = [[each for _, each in group] for _, group in groupby(wide, key=itemgetter(0))]
    block: list[_Wide] = []
    for beat in beats:
        if block and _length([*block, *beat]) > width:
            yield block
            block = []
        for each in beat:
            if block and _length([*block, each]) > width:
                yield block
                block = []
            block.append(each)
    yield block


def _length(block: Sequence[_Wide]) -> int:
    """The length of the lines of a block, without the blanks behind their last words."""
    return sum(each.width for each in block[:-1]) + block[-1].length
