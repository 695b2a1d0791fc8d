"""The grain: every subdivision that is promised is whole."""

import pytest

from drumgen.note_values import GRAINS_PER_QUARTER, GRAINS_PER_WHOLE, NOTE_VALUES, TEMPO_UNITS, UNIT_NAMES


@pytest.mark.parametrize("parts", [2**5, 3**2, 5, 7, 4, 3, 6, 8, 12])
def test_a_quarter_divides_exactly(parts: int) -> None:
    assert GRAINS_PER_QUARTER % parts == 0


def test_note_values_halve_from_the_whole() -> None:
    assert list(NOTE_VALUES.values()) == [GRAINS_PER_WHOLE // 2**n for n in range(6)]
    assert NOTE_VALUES["quarter"] == GRAINS_PER_QUARTER == 10_080


def test_a_dot_adds_half() -> None:
    assert TEMPO_UNITS["dotted quarter"] == 15_120
    assert TEMPO_UNITS["dotted eighth"] == 7_560
    assert len(TEMPO_UNITS) == 12


def test_each_length_has_one_name() -> None:
    assert len(UNIT_NAMES) == len(TEMPO_UNITS)
    assert UNIT_NAMES[15_120] == "dotted quarter"
