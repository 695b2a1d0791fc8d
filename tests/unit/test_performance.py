"""When a tick is, exactly."""

import pytest
from drum_room import performed

from drumgen.performance import Clock, TempoChange


def test_a_clock_adds_up_its_tempos() -> None:
    clock = Clock([TempoChange(0, 500_000), TempoChange(960, 250_000), TempoChange(1920, 1_000_000)])
    seconds = [clock.parts(tick) / 960_000_000 * 1000 for tick in (0, 480, 960, 1440, 1920, 2880)]
    assert [round(ms * 1000) for ms in seconds] == [0, 250_000, 500_000, 625_000, 750_000, 1_750_000]


def test_the_length_of_a_performance() -> None:
    done = performed('tempo = 100\nphrase = ["a x10"]\n[bars.a]\nsticking = "R"\n')
    assert done.seconds == pytest.approx(24.0)
    assert done.end_tick == 10 * 3840
