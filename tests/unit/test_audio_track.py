"""Tracks: onsets to the sample, chokes in decibels, loops and their seams, levels, formats, bounds."""

from __future__ import annotations

import io
import math
import subprocess
import sys
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from audio_fonts import (
    CLICK_KEY,
    CLOSED_KEY,
    CRASH_KEY,
    FOOT_KEY,
    RATE,
    TONE_KEY,
    decibels,
    kit_font,
    kit_sound,
    level_db,
    render,
    sine,
)
from soundfont_writer import Font, Recording, Region, write_font

from drumgen.audio import drawing, mix, shots
from drumgen.audio.drawing import Drawer, mix_integers
from drumgen.audio.encode import Encoder, check_length, format_of
from drumgen.audio.mix import Blocks
from drumgen.audio.ringing import Ringing
from drumgen.audio.shots import VARIANTS, Shot, Shots, choose_sound, reference_gain_db, render_shot
from drumgen.audio.soundfont import built_in_soundfont, open_soundfont, read_soundfont
from drumgen.audio.strikes import Bar, Strike, frame_in_bar, place_bars
from drumgen.audio.track import render_track
from drumgen.errors import DrumgenError

if TYPE_CHECKING:
    from numpy.typing import NDArray

MILLI = 1000
PPQ = 960


def click(at: int, **more: float) -> Strike:
    return Strike(at, CLICK_KEY, 127, vary=False, **more)  # type: ignore[arg-type]


def steady_bars(bpm: int, bars: int, *, places: tuple[int, ...]) -> tuple[list[Bar], int, int, list[Fraction]]:
    """Bars of 4/4, their end and clock, and the exact time of each click in seconds."""
    tempo_us = round(60_000_000 / bpm)
    whole = 4 * PPQ * tempo_us
    strikes = tuple(click(place * tempo_us) for place in places)
    clock = PPQ * 1_000_000
    exact = [Fraction(bar * whole + strike.at, clock) for bar in range(bars) for strike in strikes]
    return [Bar(bar * whole, strikes) for bar in range(bars)], bars * whole, clock, exact


def onsets(frames: NDArray[np.float32]) -> NDArray[np.int64]:
    """Where a click of one frame stands: a frame over half the greatest, higher than both its neighbours."""
    height = np.abs(frames).max(axis=1)
    height = np.concatenate((np.zeros(1), height, np.zeros(1)))
    top = (height[1:-1] > height.max() / 2) & (height[1:-1] > height[:-2]) & (height[1:-1] >= height[2:])
    return np.flatnonzero(top)


@pytest.mark.parametrize("rate", [44100, 48000])
@pytest.mark.parametrize(("bpm", "bars"), [(40, 101), (97, 244), (240, 602)])
def test_every_onset_is_within_one_sample_of_its_time_also_after_ten_minutes(bpm: int, bars: int, rate: int) -> None:
    sixteenths, triplets = tuple(range(0, 3840, 240)), (80, 160, 1000)
    music, end, clock, exact = steady_bars(bpm, bars, places=tuple(sorted(sixteenths + triplets)))
    assert exact[-1] > 600
    track, frames = render(music, end=end, clock=clock, sound=kit_sound(rate=rate))
    found = onsets(frames)
    assert len(found) == len(exact)
    off = max(abs(int(frame) - time * rate) for frame, time in zip(found, exact, strict=True))
    assert off <= Fraction(3, 4)
    assert abs(track.frames - Fraction(end, clock) * rate) <= 1


def test_bars_that_are_not_the_same_length_do_not_drift() -> None:
    music, at, exact = [], 0, []
    for number in range(500):
        inside = (0, 333_333 + number, 700_001)
        music.append(Bar(at, tuple(click(place) for place in inside)))
        exact += [Fraction(at + place, 1_000_000) for place in inside]
        at += 1_000_003 + 7 * number
    _, frames = render(music, end=at, clock=1_000_000, sound=kit_sound())
    found = onsets(frames)
    assert len(found) == len(exact)
    assert max(abs(int(frame) - time * RATE) for frame, time in zip(found, exact, strict=True)) <= Fraction(3, 4)


def test_a_first_bar_may_begin_late_and_a_track_may_be_silent() -> None:
    track, frames = render([Bar(500, (click(0),))], end=1000, clock=MILLI, sound=kit_sound())
    assert onsets(frames).tolist() == [22050]
    track, frames = render([], end=1000, clock=MILLI, sound=kit_sound())
    assert (track.frames, len(frames), track.loudness_lufs) == (RATE, RATE, -math.inf)
    assert not frames.any()
    assert render([], end=0, clock=MILLI, sound=kit_sound(), loop=True)[0].frames == 0


def struck(*strikes: tuple[int, int], seconds: int = 3, choke: int | None = 1) -> NDArray[np.float32]:
    """Key and millisecond of each strike; the hats are group 1, the crash none."""
    bar = Bar(0, tuple(Strike(at, key, 127, choke=0 if key == CRASH_KEY else choke) for at, key in strikes))
    return render([bar], end=seconds * MILLI, clock=MILLI, sound=kit_sound())[1]


def after(frames: NDArray[np.float32], milliseconds: int) -> float:
    """The level over the ten milliseconds that begin then, in dBFS."""
    start = milliseconds * RATE // 1000
    return level_db(frames[start : start + RATE // 100])


@pytest.mark.parametrize("key", [CLOSED_KEY, FOOT_KEY])
def test_a_closed_hat_and_the_pedal_end_an_open_one(key: int) -> None:
    bar = Bar(0, (Strike(0, TONE_KEY, 127, choke=1), Strike(500, key, 1, choke=1)))
    _, frames = render([bar], end=3000, clock=MILLI, sound=kit_sound())
    open_db = after(frames, 480)
    assert after(frames, 480) - after(frames, 300) == pytest.approx(-100 * 0.18 / 2 ** (4000 / 1200), abs=0.1)
    assert open_db - after(frames, 560) >= 20
    assert open_db - after(frames, 530) == pytest.approx(0.5 * 35 + 100 * 0.05 / 2 ** (4000 / 1200), abs=0.5)
    assert open_db - after(frames, 700) > 60


def test_an_open_hat_rings_on_under_another_open_one_and_a_crash_is_never_cut() -> None:
    for key in (TONE_KEY, CRASH_KEY):
        alone = after(struck((0, key)), 600)
        again = struck((0, key), (499, key))  # 220 whole cycles later, so that the two add up
        assert after(again, 600) > alone
    crash = after(struck((0, CRASH_KEY)), 600)
    assert after(struck((0, CRASH_KEY), (500, CLICK_KEY)), 600) == pytest.approx(crash, abs=0.1)
    bar = Bar(0, (Strike(0, CRASH_KEY, 127, choke=0), Strike(500, CLOSED_KEY, 1, choke=1)))
    _, frames = render([bar], end=3000, clock=MILLI, sound=kit_sound())
    assert after(frames, 600) == pytest.approx(crash, abs=0.2)


def test_strikes_on_one_frame_never_choke_each_other() -> None:
    together = struck((0, CLOSED_KEY), (0, TONE_KEY))
    assert after(together, 300) - after(struck((0, TONE_KEY)), 300) == pytest.approx(6, abs=0.1)


def test_without_a_group_the_fonts_own_class_chokes() -> None:
    tone = Recording(sine(441, 1.0, level=0.1), loop=(0, 44100))
    zones = tuple(
        Region(((43, key | key << 8), (54, 1), (56, 0), (57, kind)), 0) for key, kind in ((60, 4), (61, 4), (62, 5))
    )
    sound = choose_sound(read_soundfont(write_font(Font((tone,), (zones,))), name="x"), seed=None)

    def rest(key: int, choke: int | None) -> float:
        strikes = (Strike(0, 60, 127), Strike(500, key, 1, choke=choke))
        return after(render([Bar(0, strikes)], end=1000, clock=MILLI, sound=sound)[1], 700)

    assert rest(61, None) < rest(62, None) - 60
    assert rest(61, 0) == pytest.approx(rest(62, None), abs=0.01)
    assert rest(61, 4) == pytest.approx(rest(62, None), abs=0.01)


def test_the_built_in_open_hat_is_choked_and_its_crashes_overlap() -> None:
    sound = choose_sound(open_soundfont(built_in_soundfont()), seed=None)

    def played(*strikes: tuple[int, int, int]) -> NDArray[np.float32]:
        bar = Bar(0, tuple(Strike(at, key, velocity) for at, key, velocity in strikes))
        return render([bar], end=3000, clock=MILLI, sound=sound)[1]

    closed = played((500, 42, 30))
    alone, choked = played((0, 46, 100)), played((0, 46, 100), (500, 42, 30)) - closed
    part = slice(round(0.56 * RATE), round(0.57 * RATE))
    assert level_db(alone[part]) - level_db(choked[part]) >= 20
    one, two = played((0, 49, 100)), played((0, 49, 100), (125, 49, 100))
    assert np.abs(two[round(0.125 * RATE) - 50 : round(0.125 * RATE) - 1]).max() > 0
    late = played((125, 49, 100))
    first = slice(3 * RATE)
    assert np.abs(one[first] + late[first] - two[first]).max() <= 2 / 32768


def loop_bars() -> list[Bar]:
    """Two bars whose last stroke rings over the end, choked by the first one of the next round."""
    first = (Strike(0, CLOSED_KEY, 60, choke=1), Strike(300, CRASH_KEY, 80, choke=0), Strike(500, 36, 127))
    second = (Strike(0, 38, 127), Strike(700, TONE_KEY, 110, choke=1), Strike(900, CLICK_KEY, 127))
    return [Bar(0, first), Bar(1000, second)]


@pytest.mark.parametrize("clock", [1000, 997])
def test_a_loop_is_exact_to_the_sample_and_is_what_a_long_song_settles_to(clock: int) -> None:
    sound = kit_sound(seed=3)
    track, frames = render(loop_bars(), end=2000, clock=clock, sound=sound, loop=True)
    assert track.frames == len(frames) == round(2000 * RATE / clock)
    if clock == 1000:
        song = [Bar(2000 * turn + bar.at, bar.strikes) for turn in range(12) for bar in loop_bars()]
        other, whole = render(song, end=24_000, clock=clock, sound=sound)
        settled = whole[9 * len(frames) : 10 * len(frames)] * 10 ** ((track.gain_db - other.gain_db) / 20)
        assert np.abs(settled - frames).max() <= 2 / 32768


def test_the_seam_of_a_loop_is_no_louder_than_the_rest() -> None:
    bars = [Bar(0, (Strike(0, TONE_KEY, 100, choke=0), Strike(250, CRASH_KEY, 60, choke=0)))]
    _, frames = render(bars, end=503, clock=MILLI, sound=kit_sound(), loop=True)
    twice = np.concatenate((frames, frames))
    steps = np.abs(np.diff(twice, axis=0)).max(axis=1)
    seam = len(frames)
    rest = np.delete(steps, np.arange(seam - 64, seam + 64))
    assert steps[seam - 32 : seam].max() <= rest.max()
    blocks = np.square(twice[seam - 4410 : seam + 4410]).reshape(-1, 441, 2).mean(axis=(1, 2))
    everywhere = np.square(twice[: len(twice) // 441 * 441]).reshape(-1, 441, 2).mean(axis=(1, 2))
    assert decibels(float(np.sqrt(blocks.max()))) <= decibels(float(np.sqrt(everywhere.max()))) + 0.1


def test_a_song_rings_out_to_minus_72_and_twelve_seconds_at_most() -> None:
    track, frames = render([Bar(0, (Strike(0, CRASH_KEY, 127, choke=0),))], end=500, clock=MILLI, sound=kit_sound())
    assert RATE < track.frames < 13 * RATE
    assert decibels(float(np.abs(frames[-500:]).max())) == pytest.approx(-72, abs=2)
    tone = Recording(sine(441, 0.5, level=0.9), loop=(0, 22050))
    endless = read_soundfont(write_font(Font((tone,), ((Region(((54, 1), (56, 0))),),))), name="x")
    bars = [Bar(0, (Strike(450, 36, 127), Strike(460, 36, 127)))]
    track, frames = render(bars, end=500, clock=MILLI, sound=choose_sound(endless))
    assert len(frames) == track.frames <= 500 * RATE // 1000 + 12 * RATE
    assert track.frames > 12 * RATE


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".mp3"])
def test_no_format_passes_its_peak_and_the_length_is_kept(suffix: str) -> None:
    bars = [Bar(0, tuple(Strike(0, key, 127, choke=0) for key in (36, 38, CLICK_KEY, CRASH_KEY, TONE_KEY, 36)))]
    track, frames = render(bars, end=1000, clock=MILLI, sound=kit_sound(), suffix=suffix)
    limit = -1.0 if suffix in {".wav", ".flac"} else -3.0
    assert track.peak_db == pytest.approx(limit, abs=0.001)
    assert any(line.startswith("turned down by ") for line in track.remarks)
    height = decibels(float(np.abs(frames).max()))
    assert height <= (limit + 0.001 if limit == -1.0 else 0)
    assert abs(len(frames) - track.frames) <= (0 if suffix != ".mp3" else 4000)


def test_a_quiet_track_keeps_the_fixed_gain_and_a_lossy_one_is_two_decibels_lower() -> None:
    bars = [Bar(0, (Strike(0, 36, 60),))]
    quiet, _ = render(bars, end=1000, clock=MILLI, sound=kit_sound())
    lossy, _ = render(bars, end=1000, clock=MILLI, sound=kit_sound(), suffix=".ogg")
    louder, _ = render([Bar(0, (Strike(0, 36, 70),))], end=1000, clock=MILLI, sound=kit_sound())
    assert quiet.gain_db == louder.gain_db == reference_gain_db(Shots(kit_sound()))
    assert lossy.gain_db == pytest.approx(quiet.gain_db - 2)
    assert quiet.remarks == lossy.remarks == ()


def test_wav_and_flac_of_one_track_are_the_same_bytes_every_time_and_hold_the_same_frames() -> None:
    bars = loop_bars()
    files = []
    for suffix in (".wav", ".wav", ".flac", ".flac"):
        file = io.BytesIO()
        render_track(bars, end=2000, clock=MILLI, sound=kit_sound(seed=0), file=file, suffix=suffix)
        files.append(file.getvalue())
    assert files[0] == files[1]
    assert files[2] == files[3]
    wav, flac = (
        render(bars, end=2000, clock=MILLI, sound=kit_sound(seed=0), suffix=suffix)[1] for suffix in (".wav", ".flac")
    )
    assert np.array_equal(wav, flac)


def test_an_mp3_loop_says_that_it_has_a_gap() -> None:
    track, _ = render(loop_bars(), end=2000, clock=MILLI, sound=kit_sound(), suffix=".mp3", loop=True)
    assert track.remarks == ("an MP3 begins and ends with a little silence: use .wav, .flac or .ogg for a loop",)


@pytest.mark.parametrize("loop", [False, True])
def test_a_click_on_one_side_and_the_drums_softer_there(loop: bool) -> None:  # noqa: FBT001 - pytest gives it
    bars = [Bar(0, (click(0, side=-1.0), Strike(500, 38, 127, side=0.7, vary=False)))]
    _, frames = render(bars, end=1000, clock=MILLI, sound=kit_sound(), loop=loop)
    at_click, at_drum = frames[:10], frames[22050:22060]
    assert not at_click[:, 1].any()
    assert np.abs(at_click[:, 0]).max() > 0.1
    soft, full = (float(np.abs(at_drum[:, ear]).max()) for ear in (0, 1))
    assert decibels(soft / full) == pytest.approx(decibels(0.3 / (0.3 + 0.7 * math.sqrt(2))), abs=0.05)


def test_a_strike_can_be_softer() -> None:
    _, frames = render([Bar(0, (click(0), click(500, gain_db=-6.0)))], end=1000, clock=MILLI, sound=kit_sound())
    assert decibels(float(np.abs(frames[22050]).max() / np.abs(frames[0]).max())) == pytest.approx(-6, abs=0.01)


def repeated(seed: int | None, *, velocity: int = 90) -> list[Shot]:
    strikes = tuple(Strike(100 * place, 38, velocity) for place in range(8))
    drawer = Drawer(Shots(kit_sound(seed=seed)), clock=MILLI)
    return [
        drawn.shot
        for bar in place_bars([Bar(0, strikes), Bar(800, strikes)], end=1600, clock=MILLI, rate=RATE)
        for drawn in drawer.draw(bar)
    ]


def test_repeated_strokes_vary_by_seed_never_the_same_twice_in_a_row_and_can_be_plain() -> None:
    assert {shot.variant for shot in repeated(None)} == {0}
    for seed in range(20):
        drawn = repeated(seed)
        assert drawn == repeated(seed)
        for bar in (drawn[:8], drawn[8:]):
            assert all(one.variant != other.variant for one, other in pairwise(bar))
    assert len({tuple(repeated(seed)) for seed in range(20)}) > 10
    assert all(not strike.vary for strike in (click(0),))
    drawer = Drawer(Shots(kit_sound(seed=1)), clock=MILLI)
    [plain] = place_bars([Bar(0, (click(0), click(10), click(20)))], end=100, clock=MILLI, rate=RATE)
    assert {strike.shot.variant for strike in drawer.draw(plain)} == {0}


def test_variants_differ_a_little_and_begin_on_the_same_frame() -> None:
    sound = choose_sound(open_soundfont(built_in_soundfont()))
    plain = render_shot(sound, Shot(38, 90))
    for variant in range(1, len(VARIANTS)):
        other = render_shot(sound, Shot(38, 90, variant))
        length = min(len(plain), len(other))
        assert abs(level_db(other[:length]) - level_db(plain[:length])) < 0.7
        likeness = np.corrcoef(plain[:2000, 0], other[:2000, 0])[0, 1]
        assert 0.9 < likeness < 0.99999
        assert int(np.flatnonzero(np.abs(other[:, 0]) > 1e-4)[0]) == int(np.flatnonzero(np.abs(plain[:, 0]) > 1e-4)[0])


def test_the_hash_is_the_same_on_every_machine() -> None:
    assert [mix_integers(), mix_integers(0), mix_integers(1, 2, 3)] == [2165871905, 1818284774, 1983302263]


def test_a_kit_without_the_usual_keys_keeps_its_own_level() -> None:
    font = read_soundfont(write_font(Font((Recording(sine(441, 0.2)),), ((Region(((43, 80 | 80 << 8),)),),))), name="x")
    assert reference_gain_db(Shots(choose_sound(font))) == 0


def test_the_ring_of_a_stroke_in_seconds() -> None:
    click, crash = (len(render_shot(kit_sound(), Shot(key, 100))) / 44_100 for key in (CLICK_KEY, CRASH_KEY))
    assert click < 0.001
    assert crash == pytest.approx(0.72 * 2 ** (4000 / 1200), abs=0.05)


def test_a_missing_kit_and_missing_keys_are_remarked() -> None:
    sound = choose_sound(kit_font(), program=40)
    bars = [Bar(0, (Strike(0, 36, 100), Strike(10, 90, 100), Strike(20, 90, 100)))]
    track, _ = render(bars, end=500, clock=MILLI, sound=sound)
    assert track.remarks == (
        'kit.sf2 has no drum kit 40; its kit 0, "invented kit", sounds instead',
        "kit.sf2 has no sound for key 90: 2 strokes are silent",
    )


@pytest.mark.parametrize(
    ("key", "gain_db", "message"),
    [(90, 0.0, "gives none for the keys 90"), (36, -90.0, "gives none for the keys of this track")],
)
def test_strokes_without_sound_are_an_error_that_names_the_font(key: int, gain_db: float, message: str) -> None:
    bars = [Bar(0, (Strike(0, key, 100, gain_db=gain_db),))]
    with pytest.raises(DrumgenError) as caught:
        render(bars, end=500, clock=MILLI, sound=kit_sound())
    assert str(caught.value) == f"kit.sf2: the track has strokes and no sound: the SoundFont {message}"


def test_one_soft_stroke_in_much_silence_is_sound() -> None:
    bars = [Bar(0, (Strike(0, 36, 20),)), *(Bar(2000 * number) for number in range(1, 300))]
    track, _ = render(bars, end=600_000, clock=MILLI, sound=kit_sound())
    assert track.peak_db > -60


def test_bounds_are_refused_before_work_starts() -> None:
    def refused(*, end: int = 1000, suffix: str = ".wav", rate: int = RATE) -> str:
        with pytest.raises(DrumgenError) as caught:
            render([Bar(0, (click(0),))], end=end, clock=MILLI, sound=kit_sound(rate=rate), suffix=suffix)
        return str(caught.value)

    assert refused(end=7 * 24 * 3600 * MILLI) == "expected at most 24 hours of audio, got 168.0 hours"
    assert refused(end=8 * 3600 * MILLI) == "expected a WAV of at most 6.8 hours, got 8.0 hours (write .flac instead)"
    assert refused(suffix=".aiff") == "expected one of .wav, .flac, .ogg, .mp3, got .aiff"
    assert refused(suffix="") == "expected one of .wav, .flac, .ogg, .mp3, got no suffix"
    assert refused(rate=96000) == "expected a rate of 44100 or 48000 Hz, got 96000 Hz"
    check_length(format_of(".FLAC"), 10**12, rate=RATE)


@pytest.mark.parametrize(
    ("bars", "message"),
    [
        ([Bar(0, (click(0),)), Bar(-1)], "^bar 1 begins before the one before it$"),
        ([Bar(10), Bar(5)], "^bar 1 begins before the one before it$"),
        ([Bar(2000)], "^the track ends before its last bar begins$"),
        ([Bar(0, (click(-1),))], "^bar 0 has a strike outside it$"),
        ([Bar(0, (click(1000),))], "^bar 0 has a strike outside it$"),
        ([Bar(0, (click(100), click(50), click(100)))], "^bar 0: a strike at 50 comes after one at 100$"),
        ([Bar(0, (Strike(0, 128, 1),))], r"^bar 0: Strike\(at=0, key=128, .*\) is out of range$"),
        ([Bar(0, (Strike(0, 1, 0),))], r"^bar 0: Strike\(at=0, key=1, velocity=0, .*\) is out of range$"),
        ([Bar(0, (Strike(0, 1, 1, side=1.5),))], r"^bar 0: Strike\(.* side=1\.5, .*\) is out of range$"),
    ],
)
def test_bars_out_of_order_or_range_are_the_callers_mistake(bars: list[Bar], message: str) -> None:
    with pytest.raises(TypeError, match=message):
        render(bars, end=1000, clock=MILLI, sound=kit_sound())


def test_bars_must_be_readable_again() -> None:
    with pytest.raises(TypeError, match="give a sequence"):
        render_track(iter([Bar(0)]), end=9, clock=9, sound=kit_sound(), file=io.BytesIO(), suffix=".wav")


def test_progress_rises_to_the_whole() -> None:
    told: list[tuple[int, int]] = []
    bars = [Bar(1000 * number, (Strike(0, CRASH_KEY, 100, choke=0),)) for number in range(5)]
    render_track(
        bars, end=5000, clock=MILLI, sound=kit_sound(), file=io.BytesIO(), suffix=".flac",
        progress=lambda done, total: told.append((done, total)),
    )  # fmt: skip
    shares = [done / total for done, total in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1
    assert len(told) > 10


def test_alike_bars_are_mixed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = 0
    whole = mix.mix_score

    def counted(*given: object, **named: object) -> object:
        nonlocal calls
        calls += 1
        return whole(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(mix, "mix_score", counted)
    music, end, clock, _ = steady_bars(97, 400, places=(0, 960, 1920))
    render(music, end=end, clock=clock, sound=kit_sound())
    assert calls <= 8


def test_caches_give_up_what_is_long_unused(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = render(loop_bars() * 1, end=2000, clock=MILLI, sound=kit_sound())[1]
    monkeypatch.setattr(mix, "MOST_BYTES", 100_000)
    monkeypatch.setattr(shots, "MOST_BYTES", 100_000)
    monkeypatch.setattr(drawing, "MOST_BARS", 1)
    assert np.array_equal(render(loop_bars(), end=2000, clock=MILLI, sound=kit_sound())[1], plain)
    many = Blocks(Shots(kit_sound()))
    ringing = Ringing(RATE)
    score = ringing.score(0, 10)
    assert not many.whole(score, gain=1.0).any()
    assert many.frames(score).shape == (10, 2)


def test_an_encoder_takes_no_frames() -> None:
    for suffix, frames in ((".wav", np.zeros((0, 2), np.int16)), (".ogg", np.zeros((0, 2), np.float32))):
        file = io.BytesIO()
        with Encoder(file, format_of(suffix), rate=RATE) as encoder:
            encoder.write(frames)
        assert file.getvalue()


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".mp3"])
def test_a_real_file_is_written_as_one_in_memory_and_left_at_its_end(suffix: str, tmp_path: Path) -> None:
    memory = io.BytesIO()
    path = tmp_path / "x"
    with path.open("wb") as file:
        for target in (memory, file):
            render_track(loop_bars(), end=2000, clock=MILLI, sound=kit_sound(), file=target, suffix=suffix)
        assert file.tell() == path.stat().st_size
    if suffix == ".ogg":  # its stream carries a random serial number
        assert abs(path.stat().st_size - len(memory.getvalue())) < 100
    else:
        assert path.read_bytes() == memory.getvalue()


def test_without_descriptors_to_share_the_file_itself_is_written(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("drumgen.audio.encode.os.name", "nt")
    path = tmp_path / "x.wav"
    with path.open("wb") as file, Encoder(file, format_of(".wav"), rate=RATE) as encoder:
        encoder.write(np.zeros((100, 2), np.int16))
    assert path.stat().st_size == 444


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg"])
def test_a_full_disk_is_an_error_of_the_system(suffix: str) -> None:
    with (
        Path("/dev/full").open("wb", buffering=0) as file,
        pytest.raises(OSError, match="No space left on device"),
    ):
        render_track(loop_bars(), end=2000, clock=MILLI, sound=kit_sound(), file=file, suffix=suffix)


def test_a_frame_in_a_bar_is_the_nearest() -> None:
    assert [frame_in_bar(at, half=0, clock=10, rate=44100) for at in (0, 1, 10)] == [0, 4410, 44100]
    assert frame_in_bar(0, half=1, clock=10, rate=44100) in {0, 1}


MEMORY = """
import io, random, re, sys
sys.path[:0] = {paths!r}
from audio_fonts import kit_sound
from drumgen.audio.shots import choose_sound
from drumgen.audio.soundfont import built_in_soundfont, open_soundfont
from drumgen.audio.strikes import Bar, Strike
from drumgen.audio.track import render_track

class Nowhere(io.RawIOBase):
    at = end = 0
    def writable(self): return True
    def seekable(self): return True
    def tell(self): return self.at
    def seek(self, to, how=0):
        self.at = to + (0, self.at, self.end)[how]
        return self.at
    def write(self, view):
        self.at += len(view); self.end = max(self.end, self.at)
        return len(view)

class Bars:
    def __iter__(self):
        rng = random.Random(5)
        for bar in range({bars}):
            at = sorted(rng.randrange(2_000_000) for _ in range(16))
            keys = (36, 38, 42, 46, 49, 51)
            yield Bar(bar * 2_000_000, tuple(Strike(place, rng.choice(keys), rng.randint(20, 120)) for place in at))

sound = choose_sound(open_soundfont(built_in_soundfont()))
render_track(Bars(), end={bars} * 2_000_000, clock=1_000_000, sound=sound, file=Nowhere(), suffix=".wav")
print(re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())[1])
"""


def peak_kilobytes(bars: int) -> int:
    program = MEMORY.format(paths=sys.path, bars=bars)
    return int(subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads the peak from /proc")
def test_memory_does_not_grow_with_the_track() -> None:
    short, long = peak_kilobytes(100), peak_kilobytes(350)
    assert long < 200 * 1024
    assert long < short * 1.15
