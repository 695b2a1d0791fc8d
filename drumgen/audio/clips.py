"""Clips: single strokes as short FLAC files, for a page that plays them itself.

Strokes that differ in loudness alone share a clip. A stroke whose two channels are one recording, louder in one ear
than in the other, is kept mono, with the two loudnesses beside it. A clip ends where its stroke stays 60 dB under its
peak, faded out over its last hundredth of a second, and fills the range of its 16 bits; ``left`` and ``right`` bring
it back to the level at which bass drum, snare and crash accented at once peak at -3 dBFS.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.audio.decibels import amplitude_of_db
from drumgen.audio.shots import Shot, Shots, reference_gain_db
from drumgen.audio.strikes import Strike

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.audio.frames import Mono, Stereo
    from drumgen.audio.shots import Sound


END_DB = -60.0
_FADE_S = 0.01
_PEAK = 0.98
_ONE_RECORDING = 1e-4
"""Two channels are one recording where what is left of one without the other is less than this share of it."""


@dataclass(frozen=True, slots=True)
class Clip:
    """One stroke: a FLAC file of one channel or two, and by how much it is multiplied for the left and right ear."""

    flac: bytes
    left: float
    right: float


class Use(NamedTuple):
    """How one key and velocity sounds: the number of its clip, and how loud (1 is as it is)."""

    clip: int
    gain: float


class Clips(NamedTuple):
    """All clips of a page, and for each key and velocity how it sounds; one that the font lacks has no use."""

    clips: tuple[Clip, ...]
    uses: dict[tuple[int, int], Use]
    remarks: tuple[str, ...]


def make_clips(sound: Sound, wanted: Iterable[tuple[int, int]]) -> Clips:
    """The clips of every key and velocity (1-127) asked for. Raises DrumgenError where the font is damaged."""
    shots = Shots(sound)
    level = amplitude_of_db(reference_gain_db(shots))
    clips: list[Clip] = []
    numbers: dict[tuple[int, int], int] = {}
    uses: dict[tuple[int, int], Use] = {}
    silent: set[int] = set()
    for key, velocity in sorted(set(wanted)):
        strike = Strike(0, key, velocity)
        if shots.font_group(strike) is None:
            silent.add(key)
            continue
        alike, gain_db = shots.loudest(strike)
        if (key, alike) not in numbers:
            numbers[key, alike] = len(clips)
            clips.append(_clip(shots.get(Shot(key, alike)), level, rate=sound.rate))
        uses[key, velocity] = Use(numbers[key, alike], amplitude_of_db(gain_db))
    remarks = [sound.remark] if sound.remark else []
    remarks += [f"{sound.font.name} has no sound for key {key}: its strokes are silent" for key in sorted(silent)]
    return Clips(tuple(clips), uses, tuple(remarks))


def _clip(stereo: Stereo, level: float, *, rate: int) -> Clip:
    frames = _trimmed(stereo, rate=rate)
    left, right = (float(np.sqrt(np.square(frames[:, ear], dtype=np.float64).sum())) for ear in (0, 1))
    loud, soft = (0, 1) if left >= right else (1, 0)
    share = min(left, right) / max(left, right) if max(left, right) else 0.0
    rest = frames[:, soft] - np.float32(share) * frames[:, loud]
    if float(np.abs(rest).max(initial=0)) <= _ONE_RECORDING * float(np.abs(frames).max(initial=0)):
        one = frames[:, loud]
        peak = float(np.abs(one).max(initial=0)) or 1.0
        ears = (1.0, share) if loud == 0 else (share, 1.0)
        return Clip(_flac(one / peak, rate=rate), *(level * peak / _PEAK * ear for ear in ears))
    peak = float(np.abs(frames).max()) or 1.0
    return Clip(_flac(frames / peak, rate=rate), level * peak / _PEAK, level * peak / _PEAK)


def _trimmed(stereo: Stereo, *, rate: int) -> Stereo:
    """The stroke down to its end, faded out where it is cut."""
    height = np.abs(stereo).max(axis=1, initial=0)
    heard = np.flatnonzero(height > height.max(initial=0) * amplitude_of_db(END_DB))
    end = int(heard[-1]) + 1 if len(heard) else 0
    if end == len(stereo):
        return stereo
    fade = min(end, round(_FADE_S * rate))
    kept = stereo[:end].copy()
    kept[end - fade :] *= np.linspace(1, 0, fade, dtype=np.float32)[:, None]
    return kept


def _flac(frames: Mono | Stereo, *, rate: int) -> bytes:
    """A 16-bit FLAC file of frames that peak at 1."""
    import soundfile  # noqa: PLC0415 - loads libsndfile

    whole = np.rint(frames * np.float32(_PEAK * 32767)).astype(np.int16)
    file = io.BytesIO()
    soundfile.write(file, whole if len(whole) else np.zeros(1, dtype=np.int16), rate, format="FLAC", subtype="PCM_16")
    return file.getvalue()
