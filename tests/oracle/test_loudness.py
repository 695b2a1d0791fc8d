"""Loudness beside pyloudnorm and beside the test signals of EBU Tech 3341.

pyloudnorm reads ITU-R BS.1770-4 independently of us; its filter class "DeMan" is the one that matches the figures
printed in the recommendation. The signals are cases 1, 3 and 4 of EBU Tech 3341 (sines of 1000 Hz in both channels;
the levels and the tolerance of 0.1 LU are from memory of that document).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from audio_fonts import render

from drumgen.audio.loudness import CONTEXT_FRAMES, LoudnessMeter, highpass, shelf, weighted_energy
from drumgen.audio.shots import choose_sound
from drumgen.audio.soundfont import built_in_soundfont, open_soundfont
from drumgen.audio.strikes import Bar, Strike


def metered(frames: np.ndarray, *, rate: int, blocks: int, gain_db: float = 0.0) -> float:
    meter = LoudnessMeter(rate)
    before = np.zeros((CONTEXT_FRAMES, 2), dtype=np.float32)
    for block in np.array_split(frames.astype(np.float32), blocks):
        meter.add(weighted_energy(block, before, rate=rate), len(block))
        before = np.concatenate((before, block))[-CONTEXT_FRAMES:]
    return meter.loudness_lufs(gain_db=gain_db)


def tones(*steps: tuple[float, float], rate: int) -> np.ndarray:
    """Sines of 1000 Hz in both channels, each with its level in dBFS and its seconds."""
    parts = [10 ** (level / 20) * np.sin(2 * np.pi * 1000 / rate * np.arange(round(s * rate))) for level, s in steps]
    return np.stack([np.concatenate(parts)] * 2, axis=1)


def test_the_filters_at_48_khz_are_the_tables_of_the_recommendation() -> None:
    above, below = shelf(48000)
    assert above == pytest.approx((1.53512485958697, -2.69169618940638, 1.19839281085285), abs=1e-9)
    assert below == pytest.approx((1.0, -1.69065929318241, 0.73248077421585), abs=1e-9)
    above, below = highpass(48000)
    assert above == (1.0, -2.0, 1.0)
    assert below == pytest.approx((1.0, -1.99004745483398, 0.99007225036621), abs=1e-9)


@pytest.mark.parametrize("rate", [44100, 48000])
@pytest.mark.parametrize(
    ("steps", "lufs"),
    [
        (((-23.0, 20.0),), -23.0),
        (((-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)), -23.0),
        (((-72.0, 10.0), (-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0), (-72.0, 10.0)), -23.0),
    ],
)
def test_the_signals_of_ebu_tech_3341(steps: tuple[tuple[float, float], ...], lufs: float, rate: int) -> None:
    assert metered(tones(*steps, rate=rate), rate=rate, blocks=7) == pytest.approx(lufs, abs=0.1)


@pytest.mark.parametrize("rate", [44100, 48000])
@pytest.mark.parametrize("blocks", [1, 2, 13, 97])
def test_bursts_of_noise_measure_as_in_pyloudnorm_however_they_are_cut(rate: int, blocks: int) -> None:
    import pyloudnorm

    rng = np.random.default_rng(11)
    frames = rng.normal(size=(7 * rate + 1234, 2)) * np.geomspace(0.2, 0.001, 7 * rate + 1234)[:, None]
    frames[: rate // 2] = 0
    frames[3 * rate : 5 * rate] *= np.sin(np.arange(2 * rate) / 400)[:, None]
    oracle = pyloudnorm.Meter(rate, filter_class="DeMan").integrated_loudness(frames)
    assert metered(frames, rate=rate, blocks=blocks) == pytest.approx(oracle, abs=0.02)
    louder = pyloudnorm.Meter(rate, filter_class="DeMan").integrated_loudness(frames * 2)
    assert metered(frames, rate=rate, blocks=blocks, gain_db=20 * math.log10(2)) == pytest.approx(louder, abs=0.02)


def test_silence_and_what_is_shorter_than_a_gate_have_no_loudness() -> None:
    assert metered(np.zeros((44100, 2)), rate=44100, blocks=3) == -math.inf
    assert metered(np.ones((4410 * 3, 2)), rate=44100, blocks=1) == -math.inf


def test_a_rendered_track_measures_as_pyloudnorm_measures_its_file() -> None:
    import pyloudnorm

    groove = tuple(Strike(250 * place, (36, 42, 38, 42, 36, 46, 38, 49)[place], 70 + 7 * place) for place in range(8))
    bars = [Bar(2000 * number, groove) for number in range(6)]
    sound = choose_sound(open_soundfont(built_in_soundfont()))
    track, frames = render(bars, end=12_000, clock=1000, sound=sound)
    oracle = pyloudnorm.Meter(44100, filter_class="DeMan").integrated_loudness(frames.astype(np.float64))
    assert track.loudness_lufs == pytest.approx(oracle, abs=0.05)
