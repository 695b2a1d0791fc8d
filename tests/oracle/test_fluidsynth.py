"""The strokes of a five-piece kit beside FluidSynth's rendering of the same MIDI with the same font.

FluidSynth (https://www.fluidsynth.org) is an independent reading of the SoundFont standard 2.04. Its settings here:
reverb and chorus off, a gate longer than any ring, float output. It begins events on blocks of 64 samples, so the
lag is searched within 128 samples either way. It scales every stroke alike by its own gain, so one offset in level
a font is free. Where it is known to differ: its attack is one block of 64 samples, it decays 96 dB in the decay time
where the standard says 100, and it interpolates with four points.
"""

from __future__ import annotations

import shutil
import subprocess
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pytest
from needs import need

from drumgen.audio.soundfont import built_in_soundfont, open_soundfont
from drumgen.audio.synthesis import render_stroke

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

RATE = 44100
GAP_S, FIRST_S = 14, 1
KEYS = (36, 37, 38, 42, 44, 46, 49, 51, 53, 55, 57, 50, 47, 45, 43, 41, 52, 56, 54, 76, 77)
VELOCITIES = (36, 82, 112)
FLUID_R3 = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
BUILT_IN = "built in"


class Likeness(NamedTuple):
    """One stroke beside the reference: correlation over a second, level in dB, and both rings to -60 dB in frames."""

    correlation: float
    level_db: float
    ring: int
    reference_ring: int


def font_path(name: str) -> Path:
    need(shutil.which("fluidsynth") is not None, "fluidsynth")
    if name == BUILT_IN:
        return built_in_soundfont()
    need(FLUID_R3.exists(), "fluid-soundfont-gm")
    return FLUID_R3


def fluidsynth(font: Path, notes: Sequence[tuple[int, int, int, int]]) -> Samples:
    """FluidSynth's rendering of notes (beginning and end in ms, key, velocity; in order), on channel 10."""
    import mido
    import soundfile

    messages = [(start, 1, key, velocity) for start, _, key, velocity in notes]
    messages += [(end, 0, key, 0) for _, end, key, _ in notes]
    track = mido.MidiTrack()
    at = 0
    for when, on, key, velocity in sorted(messages):
        kind = "note_on" if on else "note_off"
        track.append(mido.Message(kind, channel=9, note=key, velocity=velocity, time=when - at))
        at = when
    with TemporaryDirectory() as folder:
        midi, wav = Path(folder, "x.mid"), Path(folder, "x.wav")
        mido.MidiFile(ticks_per_beat=500, tracks=[track]).save(midi)
        flags = ["-ni", "-q", "-R", "0", "-C", "0", "-g", "0.5", "-r", str(RATE), "-o", "audio.file.format=float"]
        subprocess.run(["fluidsynth", *flags, "-F", wav, font, midi], check=True, capture_output=True)
        frames: Samples = soundfile.read(wav, dtype="float32", always_2d=True)[0]
    return frames


@lru_cache(maxsize=2)
def likenesses(name: str) -> dict[tuple[int, int], Likeness]:
    path = font_path(name)
    strokes = [(key, velocity) for key in KEYS for velocity in VELOCITIES]
    starts = [FIRST_S + GAP_S * number for number in range(len(strokes))]
    notes = [
        (1000 * start, 1000 * (start + GAP_S) - 500, key, velocity)
        for start, (key, velocity) in zip(starts, strokes, strict=True)
    ]
    reference = fluidsynth(path, notes)
    font = open_soundfont(path)
    found = {}
    for start, (key, velocity) in zip(starts, strokes, strict=True):
        ours = render_stroke(font, program=0, key=key, velocity=velocity, rate=RATE)
        theirs = reference[start * RATE - 128 : (start + GAP_S - 1) * RATE]
        found[key, velocity] = compare(ours, theirs)
    return found


def compare(ours: Samples, theirs: Samples) -> Likeness:
    """``theirs`` begins 128 samples before its stroke's time."""
    second = np.zeros((RATE, 2), dtype=np.float32)
    second[: len(ours)] = ours[:RATE]
    power = float(np.vdot(second, second))
    best, lag = -1.0, 0
    for shift in range(257):
        part = theirs[shift : shift + RATE]
        likeness = float(np.vdot(second, part)) / float(np.sqrt(power * np.vdot(part, part) + 1e-20))
        best, lag = max((best, lag), (likeness, shift))
    part = theirs[lag : lag + RATE]
    level_db = 10 * float(np.log10(power / np.vdot(part, part)))
    return Likeness(best, level_db, ring_of(ours), ring_of(theirs[lag:]))


def ring_of(frames: Samples) -> int:
    height = np.abs(frames).max(axis=1)
    return int(np.flatnonzero(height > height.max() / 1000)[-1])


@pytest.mark.parametrize(("name", "least"), [("FluidR3", 0.95), (BUILT_IN, 0.90)])
def test_every_voice_has_the_references_waveform(name: str, least: float) -> None:
    unlike = {stroke: like.correlation for stroke, like in likenesses(name).items() if like.correlation < least}
    assert unlike == {}


@pytest.mark.parametrize("name", ["FluidR3", BUILT_IN])
def test_levels_are_the_references_but_for_one_offset(name: str) -> None:
    levels = {stroke: like.level_db for stroke, like in likenesses(name).items()}
    offset = float(np.median(list(levels.values())))
    assert {stroke: level for stroke, level in levels.items() if abs(level - offset) > 1.5} == {}


@pytest.mark.parametrize("name", ["FluidR3", BUILT_IN])
def test_rings_are_as_long_as_the_references(name: str) -> None:
    odd = {
        stroke: (like.ring, like.reference_ring)
        for stroke, like in likenesses(name).items()
        if abs(like.ring / like.reference_ring - 1) > 0.2
    }
    assert odd == {}


def test_the_strokes_of_a_groove_stand_where_the_reference_has_them() -> None:
    """Onsets of a bar, each within the reference's block of 64 samples, by the best lag of each stroke."""
    path = font_path(BUILT_IN)
    times = (0, 250, 500, 875, 1001, 1333, 1667)
    keys = (36, 42, 38, 42, 36, 50, 76)
    reference = fluidsynth(path, [(1000 + time, 1200 + time, key, 100) for time, key in zip(times, keys, strict=True)])
    font = open_soundfont(path)
    for time, key in zip(times, keys, strict=True):
        attack = render_stroke(font, program=0, key=key, velocity=100, rate=RATE)[:2000]
        start = round((1 + time / 1000) * RATE)
        lags = np.arange(-200, 201)
        likeness = [float(np.vdot(attack, reference[start + lag : start + lag + len(attack)])) for lag in lags]
        # FluidSynth's first block begins 64 samples in, and an event waits for the next block.
        assert 0 <= lags[int(np.argmax(likeness))] <= 128, (time, key)


def test_a_closed_hat_ends_an_open_one_there_too() -> None:
    path = font_path(BUILT_IN)
    both = fluidsynth(path, [(1000, 9000, 46, 100), (1500, 9000, 42, 1)])
    alone = fluidsynth(path, [(1000, 9000, 46, 100)])
    late = slice(round(2.2 * RATE), round(2.3 * RATE))
    assert np.abs(both[late]).max() < 0.1 * np.abs(alone[late]).max()
