"""A transcription as text: its bars under the spoken counts, the sticking, and under it how sure each hand is.

Bars that are alike are shown once. How sure: hundredths, the mean of all playings of that bar; 50 is not known at all.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.bar_text import column_lines, struck_text
from drumgen.counts import Slot
from drumgen.sticking import LIMB_NAMES, OTHER_HAND
from drumgen.subdivision import places_in
from drumgen.syllables import said

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.bar_text import Column
    from drumgen.study.transcribe import Transcription
    from drumgen.study.transcribe_file import BarNotes
    from drumgen.study.transcribe_notes import Note
    from drumgen.study.transcribe_rudiments import Found

_LEAST_SURE = 0.75
SURE_TEMPO = 0.25
"""A guess so much better than any other was right whenever it was measured; below, about every second."""


def transcription_lines(found: Transcription, *, width: int = 80) -> list[str]:
    """The whole as lines: what was made out of it, the bars, the rudiments."""
    lines = [*_head_lines(found), ""]
    by_name: dict[str, list[int]] = defaultdict(list)
    for index, name in enumerate(found.names):
        by_name[name].append(index)
    for name, indexes in by_name.items():
        lines.append(f"{_bar_numbers(indexes)}: {name}")
        lines += [f"  {line}".rstrip() for line in _bar_lines([found.bars[index] for index in indexes], width - 2)]
        lines.append("")
    lines += _rudiment_lines(found)
    return lines


def _head_lines(found: Transcription) -> Iterator[str]:
    first = found.bars[0]
    tempo = found.table["tempo"]
    yield f"{found.table['title']}: {amount(len(found.bars), 'bar')}, {first.meter}, tempo {tempo}"
    if found.tempo is not None:
        words = "sure" if found.tempo.sure > SURE_TEMPO else "not sure"
        yield f"tempo guessed from the strokes, {words}: {found.tempo.beats:.0f}, else {found.tempo.other:.0f}"
    if found.swing is not None:
        yield f"swung {found.swing.of}, {found.swing.long}:{found.swing.short}"
    yield f"strokes {found.spread_ms:.0f} ms from their places (standard deviation)"
    hands = [note for note in found.notes if note.limb in OTHER_HAND]
    if hands:
        sure = sum(note.sure for note in hands) / len(hands)
        open_ = sum(note.sure < _LEAST_SURE for note in hands)
        strokes = f"{open_} of {amount(len(hands), 'stroke')} {'is' if open_ == 1 else 'are'}"
        yield f"hands {100 * sure:.0f} in 100 sure on the whole; {strokes} less than 75 sure"


def _bar_numbers(indexes: Sequence[int]) -> str:
    """The numbers of some bars, runs of them joined: ``bars 1-3, 5``."""
    runs: list[list[int]] = []
    for index in indexes:
        if runs and runs[-1][1] == index - 1:
            runs[-1][1] = index
        else:
            runs.append([index, index])
    texts = [f"{one + 1}-{last + 1}" if last > one else str(one + 1) for one, last in runs]
    return f"bar{'s' * (len(indexes) > 1)} {', '.join(texts)}"


def _bar_lines(bars: Sequence[BarNotes], width: int) -> list[str]:
    """One bar: blocks of rows no wider than ``width`` characters, broken between beats."""
    columns = _columns(bars)
    rows = [row for row in ("count", "sticking", "sure", *LIMB_NAMES.values()) if any(row in c for _, c in columns)]
    return column_lines(columns, rows, width=width)


def _columns(bars: Sequence[BarNotes]) -> list[tuple[int, Column]]:
    """One column a place of the grid, with the number of its beat."""
    bar = bars[0]
    slots = tuple(_slots(bar))
    columns: dict[int, Column] = {slot.start: {} for slot in slots}
    for note in bar.notes:
        column = columns[note.place]
        label = LIMB_NAMES[note.limb]
        struck = struck_text(note.voice, level=note.level, grace=note.grace, buzz=note.buzz)
        column[label] = "+".join(filter(None, (column.get(label), struck)))
        if note.limb in OTHER_HAND:
            column["sticking"] = _letters(column.get("sticking", ""), note)
            column["sure"] = f"{100 * _sure(bars, note):.0f}"
    for place, column in columns.items():
        column["count"] = said(place, meter=bar.meter, slots=slots)
    beats = {slot.start: slot.beat for slot in slots}
    return [(beats[place], columns[place]) for place in sorted(columns)]


def _slots(bar: BarNotes) -> Iterator[Slot]:
    for number, (beat, name) in enumerate(zip(bar.meter.beats, bar.names, strict=True)):
        places = places_in(name, beat.grains)
        for index in range(places):
            grains = beat.grains // places
            yield Slot(beat.start + index * grains, grains, number, straight=True)


def _letters(known: str, note: Note) -> str:
    grace = OTHER_HAND[note.limb].lower() * note.grace
    return f"{known}{grace}{note.limb}{'z' * note.buzz}"


def _sure(bars: Sequence[BarNotes], note: Note) -> float:
    alike = [each.sure for bar in bars for each in bar.notes if (each.place, each.limb) == (note.place, note.limb)]
    return sum(alike) / len(alike)


def _rudiment_lines(found: Transcription) -> Iterator[str]:
    """The rudiments, each with the bars it is in; the same one in the same way is told once."""
    kinds: dict[tuple[str, str, int, bool], list[Found]] = defaultdict(list)
    for each in found.rudiments:
        kinds[each.name, each.lead, each.start, each.in_rhythm].append(each)
    order = Counter({kind: sum(each.strokes for each in runs) for kind, runs in kinds.items()})
    for (name, lead, start, in_rhythm), _ in order.most_common():
        runs = kinds[name, lead, start, in_rhythm]
        bars = sorted({bar for each in runs for bar in range(each.first_bar, each.last_bar + 1)})
        begins = "" if start == 1 else f", begun with its stroke {start}"
        rhythm = "" if in_rhythm else ", its sticking evenly"
        yield f"{name} from the {'right' if lead == 'R' else 'left'} hand{begins}{rhythm}: {_bar_numbers(bars)}"
