"""Laws of what is printed, for any phrase."""

from collections import defaultdict
from fractions import Fraction
from xml.etree import ElementTree as ET

from hypothesis import given, settings
from hypothesis import strategies as st
from musicxml_schema import faults
from sheet_reading import expected, read_by_music21, read_by_verovio
from strategies import UNHURRIED, phrases

from drumgen.meter import Meter
from drumgen.note_values import GRAINS_PER_WHOLE
from drumgen.phrase import Phrase
from drumgen.sheet.cells import WHOLE, Cell, cells_of, writing_beats
from drumgen.sheet.line_breaks import MOST_ON_A_LINE, line_starts
from drumgen.sheet.musicxml import render_musicxml
from drumgen.sheet.printing import Printing
from drumgen.sheet.rendering import render_svg
from drumgen.sheet.score import Line, Measure
from drumgen.sheet.values import VALUE_NAMES, spell
from drumgen.sheet.writing import write_score

FEW = settings(UNHURRIED, max_examples=25)


@FEW
@given(phrases())
def test_what_is_printed_is_what_is_played(phrase: Phrase) -> None:
    text = render_musicxml(phrase)
    assert faults(text) == []
    by_music21 = read_by_music21(text)
    assert by_music21 == expected(phrase, by_music21.lengths)
    assert read_by_verovio(text) == by_music21


@FEW
@given(phrases())
def test_every_reference_of_a_sheet_resolves_and_nothing_leaves_the_page(phrase: Phrase) -> None:
    for page in render_svg(phrase, printing=Printing(counts=True)):
        root = ET.fromstring(page)  # noqa: S314 - it was made here
        ids = [each.attrib["id"] for each in root.iter() if "id" in each.attrib]
        assert len(ids) == len(set(ids))
        uses = {
            each.attrib["{http://www.w3.org/1999/xlink}href"][1:] for each in root.iter() if each.tag.endswith("use")
        }
        assert uses <= set(ids)
        numbers = [abs(float(each.get("y", "0"))) for each in root.iter() if each.tag.endswith(("text", "circle"))]
        assert max(numbers, default=0) < 30_000  # verovio's own units would be far off the page


@UNHURRIED
@given(phrases())
def test_lines_add_up_to_their_measure_and_no_note_crosses_a_beat(phrase: Phrase) -> None:
    for measure in write_score(phrase).measures:
        for line in measure.lines:
            assert sum(event.grains for event in line.events) == measure.grains
            assert [event.place for event in line.events] == list(_starts(line, measure))
            for beat in writing_beats(measure.meter):
                end = beat.start + beat.grains
                inside = [event for event in line.events if event.struck and beat.start <= event.place < end]
                assert all(event.place + event.grains <= end for event in inside)


def _starts(line: Line, measure: Measure) -> list[int]:
    starts, at = [], measure.start
    for event in line.events:
        starts.append(at)
        at += event.grains
    return starts


@UNHURRIED
@given(phrases())
def test_tuplets_are_whole(phrase: Phrase) -> None:
    for measure in write_score(phrase).measures:
        for line in measure.lines:
            inside: list[Fraction] = []
            for event in line.events:
                if event.actual == event.normal:
                    assert not inside
                    continue
                assert (event.tuplet == "start") == (not inside)
                written = {name: value for value, name in VALUE_NAMES.items()}[event.value]
                value = Fraction(written * GRAINS_PER_WHOLE, WHOLE) * (3 if event.dots else 2) / 2
                inside.append(value * event.normal / event.actual)
                assert inside[-1] == event.grains
                if event.tuplet == "stop":
                    assert sum(inside) in {cell.grains for cell in _cells(measure.meter, line)}
                    inside = []
            assert not inside


def _cells(meter: Meter, line: Line) -> list[Cell]:
    return cells_of(meter, [event.place for event in line.events if event.struck])


@UNHURRIED
@given(phrases())
def test_beams_begin_and_end(phrase: Phrase) -> None:
    for measure in write_score(phrase).measures:
        for line in measure.lines:
            is_open: dict[int, bool] = defaultdict(bool)
            for event in line.events:
                for level, word in enumerate(event.beams):
                    assert is_open[level] == (word in ("continue", "end"))
                    is_open[level] = word in ("begin", "continue")
            assert not any(is_open.values())


@given(st.data())
def test_any_places_of_a_beat_are_spelled_exactly(data: st.DataObject) -> None:
    meter = data.draw(st.sampled_from([Meter(4, 4), Meter(6, 8), Meter(2, 2), Meter(7, 8, (2, 2, 3)), Meter(5, 8)]))
    divisor = data.draw(st.sampled_from([2, 3, 4, 5, 6, 7, 8, 9, 12, 15, 28, 35, 60, 84]))
    grid = 10_080 // divisor
    onsets = data.draw(st.sets(st.integers(0, meter.grains // grid - 1).map(lambda index: index * grid)))
    spelled = spell(meter, onsets)
    assert [each.place for each in spelled if not each.rest] == sorted(onsets)
    assert sum(each.grains for each in spelled) == meter.grains
    assert all(each.value in VALUE_NAMES for each in spelled)


@given(st.lists(st.floats(10, 120), min_size=1, max_size=30), st.floats(100, 200))
def test_lines_hold_every_measure_in_order(widths: list[float], room: float) -> None:
    starts = line_starts(widths, first=10, later=5, room=room)
    assert starts[0] == 0
    assert list(starts) == sorted(set(starts))
    for start, end in zip(starts, [*starts[1:], len(widths)], strict=True):
        assert 1 <= end - start <= MOST_ON_A_LINE
        assert end - start == 1 or sum(widths[start:end]) + (5 if start else 10) <= room * 1.1 + 1e-9
