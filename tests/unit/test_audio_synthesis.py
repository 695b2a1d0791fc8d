"""One stroke does what its zone says; every figure is measured in the frames. Source: SoundFont standard 2.04."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from audio_fonts import (
    INSTANT_ATTACK,
    RATE,
    RESTING_DB,
    cents_between,
    decibels,
    frequency,
    impulse,
    level_db,
    one_zone,
    sine,
    stroke,
)
from soundfont_writer import Font, Recording, Region, range_amount, write_font

from drumgen.audio.modulators import Modulator, amounts_added
from drumgen.audio.soundfont import read_soundfont
from drumgen.audio.synthesis import exclusive_class, loudest_alike
from drumgen.errors import DrumgenError

TONE = Recording(sine(441, 1.0))
CYCLE = Recording(sine(441, 1.0), loop=(0, 44100))


def peak_db(key: int, velocity: int, *generators: tuple[int, int]) -> float:
    frames = stroke(one_zone(CYCLE, (54, 1), (37, 0), (56, 0), *generators), key=key, velocity=velocity)
    return level_db(frames[RATE : 2 * RATE, 0])


def test_a_sample_without_a_loop_ends_where_it_ends() -> None:
    assert len(stroke(one_zone(TONE))) == pytest.approx(RATE, abs=60)
    assert len(stroke(one_zone(TONE, (54, 2)))) == pytest.approx(RATE, abs=60)


@pytest.mark.parametrize("mode", [1, 3])
def test_a_loop_goes_on_without_a_seam_until_twelve_seconds(mode: int) -> None:
    frames = stroke(one_zone(Recording(sine(441, 0.5), loop=(1000, 1100)), (54, mode)))
    assert len(frames) == pytest.approx(12 * RATE, abs=100)
    steady = frames[RATE : 2 * RATE, 0]
    assert frequency(steady) == pytest.approx(441, abs=0.01)
    angle = 2 * np.pi * 441 / RATE * np.arange(len(steady))
    wave = np.stack((np.sin(angle), np.cos(angle)))
    rest = steady - (wave @ steady) @ wave * 2 / len(steady)
    assert level_db(rest) - level_db(steady) < -60
    assert np.abs(frames[-1]).max() < 0.01


def test_loop_points_are_moved_by_their_generators() -> None:
    values = (*sine(441, 0.5), *sine(882, 0.5), *sine(441, 0.5))
    recording = Recording(values, loop=(0, 22050))
    frames = stroke(one_zone(recording, (54, 1), (2, 22050 - 32768), (45, 1), (3, 22050), (50, 0)))
    assert frequency(frames[2 * RATE : 3 * RATE]) == pytest.approx(882, abs=0.1)


def test_start_and_end_are_moved_by_their_generators() -> None:
    values = (*sine(441, 1.0), *sine(882, 1.0))
    frames = stroke(one_zone(Recording(values), (0, 44100 - 32768), (4, 1), (1, -22050)))
    assert len(frames) == pytest.approx(RATE // 2, abs=60)
    assert frequency(frames) == pytest.approx(882, abs=0.5)


@pytest.mark.parametrize(
    ("generators", "recording", "key", "cents"),
    [
        ((), {}, 72, 1200),
        ((), {}, 48, -1200),
        ((), {"root": 67}, 60, -700),
        ((), {"root": 255}, 60, 0),
        (((58, 62),), {"root": 20}, 60, -200),
        (((56, 50),), {}, 72, 600),
        (((56, 0),), {}, 99, 0),
        (((51, -3), (52, 25)), {}, 60, -275),
        ((), {"correction": -40}, 60, -40),
        (((46, 65),), {}, 60, 500),
    ],
)
@pytest.mark.parametrize("rate", [44100, 48000])
def test_pitch(
    generators: tuple[tuple[int, int], ...], recording: dict[str, int], key: int, cents: int, rate: int
) -> None:
    font = one_zone(Recording(sine(441, 2.0), **recording), *generators)  # type: ignore[arg-type]
    frames = stroke(font, key=key, rate=rate)
    assert cents_between(frequency(frames[: rate * 9 // 10], rate=rate), 441) == pytest.approx(cents, abs=0.2)


def test_the_rate_of_the_recording_is_not_the_rate_of_the_file() -> None:
    for rate in (22050, 32000, 96000):
        frames = stroke(one_zone(Recording(sine(441, 1.0, rate=rate), rate=rate)))
        assert frequency(frames[: RATE // 2]) == pytest.approx(441, abs=0.05)


def test_reading_between_samples_is_clean_up_to_15_khz() -> None:
    for hertz in (1000, 8000, 15000):
        frames = stroke(one_zone(Recording(sine(hertz, 1.0, rate=48000), rate=48000)))[RATE // 4 : RATE // 2, 0]
        angle = 2 * np.pi * hertz / RATE * np.arange(len(frames))
        wave = np.stack((np.sin(angle), np.cos(angle)))
        rest = frames - np.linalg.lstsq(wave.T, frames, rcond=None)[0] @ wave
        assert level_db(rest) - level_db(frames) < -66, hertz


def test_what_would_fold_back_is_taken_out() -> None:
    frames = stroke(one_zone(Recording(sine(15000, 1.0))), key=72)
    whole = stroke(one_zone(Recording(sine(7000, 1.0))), key=72)
    assert level_db(frames[1000:20000]) - level_db(whole[1000:20000]) < -30


@pytest.mark.parametrize(("centibels", "lower_db"), [(0, 0), (250, 10), (100, 4)])
def test_an_attenuation_counts_four_tenths_of_what_is_written(centibels: int, lower_db: float) -> None:
    assert peak_db(60, 127) - peak_db(60, 127, (48, centibels)) == pytest.approx(lower_db, abs=0.01)


@pytest.mark.parametrize("velocity", [1, 36, 64, 82, 112, 127])
def test_velocity_falls_as_the_square_of_its_part_of_127(velocity: int) -> None:
    lower = peak_db(60, 127) - peak_db(60, velocity)
    assert lower == pytest.approx(40 * math.log10(127 / velocity), abs=0.05)


def test_a_zone_can_force_its_velocity() -> None:
    assert peak_db(60, 20, (47, 127)) == pytest.approx(peak_db(60, 127), abs=0.001)


def test_each_velocity_sounds_its_own_range() -> None:
    low, high = Recording(sine(441, 0.5)), Recording(sine(882, 0.5))
    zones = (Region(((44, range_amount(0, 80)),), 0), Region(((44, range_amount(81, 127)),), 1))
    font = read_soundfont(write_font(Font((low, high), (zones,))), name="x")
    assert frequency(stroke(font, velocity=80)) == pytest.approx(441, abs=0.5)
    assert frequency(stroke(font, velocity=81)) == pytest.approx(882, abs=0.5)


def test_a_velocity_is_served_by_the_loudest_that_is_alike() -> None:
    def served(velocity: int, *zones: Region) -> tuple[int, float]:
        font = read_soundfont(write_font(Font((CYCLE, TONE), (zones,))), name="x")
        return loudest_alike(font, program=0, key=60, velocity=velocity)

    low, high = Region(((44, range_amount(0, 80)),), 0), Region(((44, range_amount(60, 127)),), 1)
    for velocity, zone, top in ((40, low, 80), (90, high, 127)):
        found, lower_db = served(velocity, zone)
        assert found == top
        assert lower_db == pytest.approx(-40 * math.log10(top / velocity), abs=0.01)
    assert served(70, low, high)[0] == 80
    assert served(50, low, high) == (50, 0.0)  # the other zone joins in before 80
    brighter = Region((), 0, ((0x0002, 8, 100, 0, 0),))
    assert served(50, brighter) == (50, 0.0)
    uneven = Region((), 1, ((0x0502, 48, 100, 0, 0),))
    assert served(50, Region(), uneven) == (50, 0.0)
    assert served(50, Region(((43, range_amount(0, 9)),))) == (50, 0.0)


def test_a_key_without_a_zone_is_no_frames() -> None:
    font = one_zone(TONE, (43, range_amount(60, 60)))
    assert stroke(font, key=61).shape == (0, 2)
    assert exclusive_class(font, program=0, key=61, velocity=9) is None
    assert exclusive_class(font, program=0, key=60, velocity=9) == 0


def test_silence_is_no_frames() -> None:
    assert stroke(one_zone(Recording((0,) * 500))).shape == (0, 2)
    assert stroke(one_zone(TONE, (33, 5000))).shape == (0, 2)


def test_the_exclusive_class_is_read() -> None:
    assert exclusive_class(one_zone(TONE, (57, 3)), program=0, key=60, velocity=9) == 3


@pytest.mark.parametrize(("pan", "left", "right"), [(-500, 0, None), (500, None, 0), (0, -3.01, -3.01)])
def test_pan_keeps_the_power(pan: int, left: float | None, right: float | None) -> None:
    frames = stroke(one_zone(TONE, (17, pan)))
    reference = decibels(0.5) + RESTING_DB
    for channel, expected in enumerate((left, right)):
        height = decibels(float(np.abs(frames[:, channel]).max()))
        if expected is None:
            assert height == -math.inf
        else:
            assert height - reference == pytest.approx(expected, abs=0.05)


def test_a_stereo_pair_is_two_zones_panned_apart() -> None:
    pair = (Recording(sine(441, 0.5), kind=4), Recording(sine(882, 0.3), kind=2))
    zones = (Region(((17, -500),), 0), Region(((17, 500),), 1))
    frames = stroke(read_soundfont(write_font(Font(pair, (zones,))), name="x"))
    assert frequency(frames[:, 0]) == pytest.approx(441, abs=0.5)
    assert frequency(frames[:10000, 1]) == pytest.approx(882, abs=0.5)
    assert not frames[13300:, 1].any()


def test_the_volume_envelope_takes_its_steps() -> None:
    steps = ((33, -2400), (34, -2400), (35, -2400), (36, 0), (37, 400))
    frames = stroke(one_zone(CYCLE, (54, 1), *steps))[:, 0]
    at = {
        second: level_db(frames[round(second * RATE) : round(second * RATE) + 1000]) for second in (0.6, 0.85, 1.05, 3)
    }
    assert not frames[: RATE // 4].any()
    assert decibels(float(np.abs(frames[round(0.374 * RATE) : round(0.376 * RATE)]).max())) - decibels(
        0.5 * math.sqrt(0.5)
    ) - RESTING_DB == pytest.approx(-6, abs=0.3)
    assert at[0.6] - at[0.85] == pytest.approx(100 * (0.85 + 0.0113 - 0.75), abs=0.6)
    assert at[0.6] - at[1.05] == pytest.approx(31.1, abs=0.6)
    assert at[0.6] - at[3] == pytest.approx(40, abs=0.1)


def test_hold_and_decay_follow_the_key() -> None:
    base = one_zone(CYCLE, (54, 1), (56, 0), (36, 0), (37, 1000), (35, 0), (39, 100), (40, 100))
    lengths = {key: len(stroke(base, key=key)) / RATE for key in (48, 60, 72)}
    assert lengths[60] == pytest.approx(1 + 0.72, abs=0.02)
    assert lengths[48] == pytest.approx(2 + 1.44, abs=0.02)
    assert lengths[72] == pytest.approx(0.5 + 0.36, abs=0.02)


def test_a_stroke_ends_seventy_two_decibels_down() -> None:
    frames = stroke(one_zone(CYCLE, (54, 1), (36, 1200), (37, 1000)))
    assert len(frames) / RATE == pytest.approx(2 * 0.72, abs=0.01)
    assert decibels(float(np.abs(frames[-200:]).max())) - decibels(float(np.abs(frames).max())) == pytest.approx(
        -72, abs=1
    )


def response_db(hertz: list[float], *generators: tuple[int, int], rate: int = RATE) -> list[float]:
    """How a filter lets frequencies through, from the spectrum of an impulse."""
    recording = Recording(impulse(100, 60000), rate=rate)
    frames = stroke(one_zone(recording, INSTANT_ATTACK, (36, 7000), *generators), rate=rate)[:, 0]
    flat = stroke(one_zone(recording, INSTANT_ATTACK, (36, 7000)), rate=rate)[:, 0]
    size = 1 << 16
    ratio = np.abs(np.fft.rfft(frames, size)) / np.abs(np.fft.rfft(flat, size))
    return [decibels(float(ratio[round(value * size / rate)])) for value in hertz]


@pytest.mark.parametrize("rate", [44100, 48000])
@pytest.mark.parametrize("cents", [6900, 8100, 10500])
def test_the_filter_is_three_decibels_down_at_its_cut_off_and_falls_by_twelve_an_octave(cents: int, rate: int) -> None:
    cutoff = 440 * 2 ** ((cents - 6900) / 1200)
    low, at, far = response_db([cutoff / 20, cutoff, cutoff * 4], (8, cents), rate=rate)
    assert low == pytest.approx(0, abs=0.2)
    assert at == pytest.approx(-3, abs=0.3)
    assert far < -22


def test_resonance_rises_at_the_cut_off_and_lowers_the_rest_by_half() -> None:
    low, at = response_db([100, 1760], (8, 9300), (9, 200))
    assert low == pytest.approx(-10, abs=0.2)
    assert at - low == pytest.approx(20 - 3, abs=0.3)


def test_a_moving_cut_off_is_where_the_modulation_envelope_puts_it() -> None:
    rng = np.random.default_rng(5)
    noise = tuple(int(value) for value in rng.integers(-12000, 12000, 2 * RATE))
    moving = one_zone(Recording(noise), (8, 7000), (11, 4000), (28, 1200), (29, 1000))
    frames = stroke(moving)[:, 0]
    for second, cents in ((0.2, 10600), (1.0, 9000), (1.8, 7400)):
        still = stroke(one_zone(Recording(noise), (8, cents)))[:, 0]
        part = slice(round((second - 0.05) * RATE), round((second + 0.05) * RATE))
        assert level_db(frames[part]) - level_db(still[part]) == pytest.approx(0, abs=0.7), second


def test_an_envelope_and_two_oscillators_move_the_pitch() -> None:
    risen = stroke(one_zone(Recording(sine(441, 3.0)), (7, 1200)))
    assert frequency(risen[:RATE]) == pytest.approx(882, abs=0.5)
    for target, delay, speed in ((5, 21, 22), (6, 23, 24)):
        # A quarter of 0.05 Hz after a delay of one second: the triangle stands at 0.4 after two more seconds.
        slow = 6900 + 1200 * math.log2(0.05 / 440)
        moved = stroke(one_zone(Recording(sine(441, 6.0)), (target, 600), (delay, 0), (speed, round(slow))))
        assert frequency(moved[: RATE * 9 // 10]) == pytest.approx(441, abs=0.2)
        late = frequency(moved[round(2.9 * RATE) : round(3.1 * RATE)])
        assert cents_between(late, 441) == pytest.approx(600 * 4 * 0.05 * 2, abs=8)


def test_an_oscillator_moves_volume_and_cut_off() -> None:
    slow = round(6900 + 1200 * math.log2(0.05 / 440))
    swell = stroke(one_zone(Recording(sine(441, 6.0), loop=(0, 44100)), (54, 1), (13, 100), (22, slow)))
    before, after = (level_db(swell[round(at * RATE) : round((at + 0.02) * RATE)]) for at in (0.0, 4.99))
    assert after - before == pytest.approx(10, abs=0.3)
    rng = np.random.default_rng(6)
    noise = Recording(tuple(int(value) for value in rng.integers(-9000, 9000, 5 * RATE)))
    darker = stroke(one_zone(noise, (8, 9000), (10, -2400), (22, slow)))
    first, last = (level_db(darker[round(at * RATE) : round((at + 0.2) * RATE)]) for at in (0.0, 4.5))
    assert first - last > 4


def test_twenty_four_bits_are_finer_than_sixteen() -> None:
    wave = 3.3 * np.sin(2 * np.pi * 441 / RATE * np.arange(RATE))
    whole = np.rint(wave * 256).astype(int)
    values, low = tuple(int(value) >> 8 for value in whole), bytes(int(value) & 255 for value in whole)
    deep = Recording(values, low_bytes=low)
    font = one_zone(deep)
    assert np.abs(font.frames(font.sample(0)) - wave / 32768).max() < 1 / 2**23
    shallow = one_zone(Recording(tuple(int(value) for value in np.rint(wave))))
    assert np.abs(shallow.frames(shallow.sample(0)) - wave / 32768).max() > 1 / 2**17


def vorbis(seconds: float, *, channels: int = 1) -> bytes:
    import soundfile

    file = io.BytesIO()
    tone = np.array(sine(441, seconds)) / 32768
    soundfile.write(file, np.stack([tone] * channels, axis=1), RATE, format="OGG", subtype="VORBIS")
    return file.getvalue()


def test_a_vorbis_sample_sounds_as_its_pcm_and_loops_from_its_own_beginning() -> None:
    tones = (Recording(vorbis=vorbis(0.3), kind=0x11), Recording(vorbis=vorbis(1.0), loop=(2000, 2100), kind=0x11))
    font = read_soundfont(write_font(Font(tones, ((Region(((54, 1),), 1),),))), name="x.sf3")
    frames = stroke(font)
    assert frequency(frames[RATE : 2 * RATE]) == pytest.approx(441, abs=0.01)
    whole = stroke(one_zone(Recording(sine(441, 1.0))))
    part = slice(1000, 2000)
    assert np.corrcoef(frames[part, 0], whole[part, 0])[0, 1] > 0.999
    assert level_db(frames[part]) - level_db(whole[part]) == pytest.approx(0, abs=0.2)


@pytest.mark.parametrize("stream", [b"no vorbis at all, but long enough to be looked at", None])
def test_a_broken_vorbis_sample_is_refused(stream: bytes | None) -> None:
    body = stream or vorbis(0.2)[:900]
    font = one_zone(Recording(name="pop", vorbis=body, kind=0x11))
    with pytest.raises(DrumgenError, match="damaged: the sample pop is"):
        stroke(font)


def test_modulators_move_generators_by_velocity_key_and_resting_controllers() -> None:
    key_up = Modulator(0x0003, 52, 127)
    volume = Modulator(0x0087, 48, 127)
    assert amounts_added((key_up, volume), key=50, velocity=9) == {52: 50.0, 48: 100.0}
    assert amounts_added((Modulator(0x0103, 52, 127),), key=50, velocity=9) == {52: 77.0}
    assert amounts_added((Modulator(0, 52, 33),), key=50, velocity=9) == {52: 33.0}
    assert amounts_added((Modulator(0, 52, -33, transform=2),), key=50, velocity=9) == {52: 33.0}
    assert amounts_added((Modulator(0x0002, 52, 127, scale=0x0003),), key=127, velocity=64) == {52: 64.0}
    assert amounts_added((Modulator(0x0202, 52, 100),), key=1, velocity=32) == {52: -50.0}
    assert amounts_added((Modulator(0x028A, 17, 1000), Modulator(0x020E, 52, 99)), key=1, velocity=1) == {17: 0, 52: 0}


def test_the_curves_of_modulators() -> None:
    def added(source: int, velocity: int) -> float:
        return amounts_added((Modulator(source, 48, 960),), key=60, velocity=velocity)[48]

    assert added(0x0502, 127) == 0
    assert added(0x0502, 64) == pytest.approx(400 * math.log10(127 / 64), abs=0.01)
    assert added(0x0402, 127) == 960
    assert added(0x0802, 127) == pytest.approx(960)
    assert added(0x0802, 64) == pytest.approx(960 + 400 * math.log10(64 / 127), abs=0.01)
    assert amounts_added((Modulator(0x0802, 48, 960),), key=0, velocity=0)[48] == 0
    assert [added(0x0C02, velocity) for velocity in (63, 64)] == [0, 960]


def test_linked_modulators_and_the_default_velocity_to_cut_off_are_left_out() -> None:
    link, cutoff = Modulator(0x0002, 0x8001, 9), Modulator(0x0102, 8, -2400)
    assert amounts_added((link, cutoff), key=1, velocity=1) == {}


def test_a_fonts_own_modulator_replaces_the_default_and_the_presets_is_added() -> None:
    off = one_zone(CYCLE, (54, 1), modulators=((0x0502, 48, 0, 0, 0),))
    assert level_db(stroke(off, velocity=20)) == pytest.approx(level_db(stroke(off, velocity=127)), abs=0.01)
    both = one_zone(CYCLE, (54, 1), modulators=((0x0002, 99, 10, 0, 0), (0, 48, 50, 0, 0), (0, 48, 100, 0, 0)))
    plain = one_zone(CYCLE, (54, 1))
    assert level_db(stroke(plain)) - level_db(stroke(both)) == pytest.approx(10, abs=0.05)
