"""Fonts, sounds and measurements that several audio tests share; every sound is invented."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING

import numpy as np
from soundfont_writer import Font, Preset, Recording, Region, range_amount, write_font

from drumgen.audio.shots import Sound, choose_sound
from drumgen.audio.soundfont import SoundFont, read_soundfont
from drumgen.audio.synthesis import render_stroke
from drumgen.audio.track import Track, render_track

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from soundfont_writer import Generator, Modulator

    from drumgen.audio.strikes import Bar

    Samples = NDArray[np.float32]

RATE = 44100
RESTING_DB = 40 * math.log10(100 / 127)
"""What the resting volume controller of 100 does to every stroke."""

INSTANT_ATTACK = (34, -32768)
CLICK_KEY, TONE_KEY, CLOSED_KEY, FOOT_KEY, CRASH_KEY = 76, 46, 42, 44, 49


def sine(hertz: float, seconds: float, *, rate: int = RATE, level: float = 0.5) -> tuple[int, ...]:
    angle = 2 * np.pi * hertz / rate * np.arange(round(seconds * rate))
    return tuple(int(value) for value in np.rint(np.sin(angle) * level * 32767))


def impulse(at: int = 0, length: int = 64, *, level: float = 0.9) -> tuple[int, ...]:
    values = [0] * length
    values[at] = round(level * 32767)
    return tuple(values)


def one_zone(recording: Recording, *generators: Generator, modulators: tuple[Modulator, ...] = ()) -> SoundFont:
    """A font whose only kit has one zone."""
    font = Font((recording,), ((Region(generators, 0, modulators),),))
    return read_soundfont(write_font(font), name="invented.sf2")


def stroke(font: SoundFont, *, key: int = 60, velocity: int = 127, rate: int = RATE) -> Samples:
    return render_stroke(font, program=0, key=key, velocity=velocity, rate=rate)


def decibels(value: float) -> float:
    return 20 * math.log10(value) if value > 0 else -math.inf


def level_db(frames: Samples) -> float:
    return decibels(float(np.sqrt(np.mean(np.square(frames.astype(np.float64))))))


def frequency(frames: Samples, *, rate: int = RATE) -> float:
    """The frequency of a steady tone from its windowed spectrum, by a parabola through the three highest bins."""
    mono = frames[:, 0] if frames.ndim == 2 else frames
    spectrum = np.log(np.abs(np.fft.rfft(mono * np.hanning(len(mono)))) + 1e-12)
    top = int(np.argmax(spectrum))
    left, middle, right = (float(value) for value in spectrum[top - 1 : top + 2])
    return (top + (left - right) / (2 * (left - 2 * middle + right))) * rate / len(mono)


def cents_between(one: float, other: float) -> float:
    return 1200 * math.log2(one / other)


def kit_font() -> SoundFont:
    """A click of one frame on 76 (and, at the same level, what the gain is set by), long steady tones on the hats
    and the crash, so that a choke is measured and not guessed.
    """
    click = Recording(impulse(), "click")
    long_tone = Recording(sine(441, 1.0, level=0.1), "ring", loop=(0, 44100))
    instruments = (
        (
            *(Region((INSTANT_ATTACK, (43, range_amount(key, key)), (58, key)), 0) for key in (CLICK_KEY, 36, 38)),
            *(
                Region(((43, range_amount(key, key)), (36, 4000), (37, 1000), (54, 1), (56, 0)), 1)
                for key in (TONE_KEY, CLOSED_KEY, FOOT_KEY, CRASH_KEY)
            ),
        ),
    )
    return read_soundfont(write_font(Font((click, long_tone), instruments, (Preset(),))), name="kit.sf2")


def kit_sound(*, rate: int = RATE, seed: int | None = None) -> Sound:
    return choose_sound(kit_font(), rate=rate, seed=seed)


def render(
    bars: Sequence[Bar], *, end: int, clock: int, sound: Sound, suffix: str = ".wav", loop: bool = False
) -> tuple[Track, Samples]:
    """A track and what libsndfile reads back from its file."""
    import soundfile

    file = io.BytesIO()
    track = render_track(bars, end=end, clock=clock, sound=sound, file=file, suffix=suffix, loop=loop)
    file.seek(0)
    frames, rate = soundfile.read(file, dtype="float32", always_2d=True)
    assert rate == sound.rate
    return track, frames
