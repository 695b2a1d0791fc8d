"""The recording of a zone, read at the pitch of its note: once, or round its loop, between samples where it must be.

Source: SoundFont Technical Specification 2.04, sections 8.1.2 and 9. Loop mode 3, loop until release, is loop mode 1,
since there is no release.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio import generators as gen
from drumgen.audio.resample import reach_at, read_between
from drumgen.audio.riff import damaged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drumgen.audio.frames import Curve, Mono
    from drumgen.audio.modulation import Modulation, ZoneNote
    from drumgen.audio.soundfont import SoundFont
    from drumgen.audio.zones import Zone


_WIDEST_CENTS = 12_000
_LOOPED = frozenset({1, 3})


def read_recording(font: SoundFont, zone: Zone, note: ZoneNote, modulation: Modulation, *, count: int) -> Mono:
    """The zone's sample at the note's pitch, looped where the zone loops, ``count`` frames at most.

    Raises DrumgenError where it would be read outside its sample, or be tuned by more than ten octaves.
    """
    amounts = note.amounts
    sample = font.sample(zone.sample)
    frames = font.frames(sample)
    start = _offset(amounts, gen.START_OFFSET, gen.START_COARSE)
    end = len(frames) + _offset(amounts, gen.END_OFFSET, gen.END_COARSE)
    if not 0 <= start < end <= len(frames):
        what = f"the sample {sample.name.strip()} is played from {start} to {end} of {len(frames)}"
        raise damaged(what, name=font.name)
    root = amounts[gen.ROOT_KEY] if amounts[gen.ROOT_KEY] >= 0 else sample.root
    tuning = (note.key - root) * amounts[gen.SCALE_TUNING] + amounts[gen.COARSE_TUNE] * 100
    tuning += amounts[gen.FINE_TUNE] + sample.correction + note.cents
    steps = _steps(tuning, note, modulation, rate=sample.rate, name=font.name)
    if int(zone.amounts[gen.SAMPLE_MODES]) in _LOOPED:
        loop_start = sample.loop[0] + _offset(amounts, gen.LOOP_START_OFFSET, gen.LOOP_START_COARSE)
        loop_end = sample.loop[1] + _offset(amounts, gen.LOOP_END_OFFSET, gen.LOOP_END_COARSE)
        if not 0 <= loop_start < loop_end <= len(frames):
            what = f"the sample {sample.name.strip()} loops from {loop_start} to {loop_end} of {len(frames)}"
            raise damaged(what, name=font.name)
        return _read_looped(frames, (loop_start, loop_end), start=start, steps=steps, count=count)
    return _read_once(frames[start:end], steps=steps, count=count)


def _offset(amounts: tuple[float, ...], fine: int, coarse: int) -> int:
    return int(amounts[fine]) + 32768 * int(amounts[coarse])


def _steps(tuning: float, note: ZoneNote, modulation: Modulation, *, rate: int, name: str) -> float | Curve:
    """How many samples the recording moves on a frame: one number, or one a frame where the pitch moves."""
    amounts = note.amounts
    cents: float | Curve = tuning
    if amounts[gen.MOD_ENV_TO_PITCH]:
        cents = cents + modulation.envelope() * np.float32(amounts[gen.MOD_ENV_TO_PITCH])
    for oscillator, target in (
        (gen.MOD_LFO_DELAY, gen.MOD_LFO_TO_PITCH),
        (gen.VIB_LFO_DELAY, gen.VIB_LFO_TO_PITCH),
    ):
        if amounts[target]:
            cents = cents + modulation.oscillator(oscillator) * np.float32(amounts[target])
    if float(np.max(np.abs(cents))) > _WIDEST_CENTS:
        raise damaged(f"key {note.key} is tuned by more than {_WIDEST_CENTS // 1200} octaves", name=name)
    if isinstance(cents, float):
        return float(rate / note.rate * 2.0 ** (cents / 1200))
    return (rate / note.rate * 2.0 ** (cents.astype(np.float64) / 1200)).astype(np.float32)


def _positions(steps: float | Curve, *, count: int) -> NDArray[np.float64]:
    """Where each frame is read, in samples after the first."""
    if isinstance(steps, float):
        return np.arange(count, dtype=np.float64) * steps
    places = np.zeros(count, dtype=np.float64)
    np.cumsum(steps[: count - 1], dtype=np.float64, out=places[1:])
    return places


def _read_once(frames: Mono, *, steps: float | Curve, count: int) -> Mono:
    if steps == 1.0 if isinstance(steps, float) else False:
        return frames[:count]
    positions = _positions(steps, count=count)
    positions = positions[: int(np.searchsorted(positions, len(frames) - 1, side="right"))]
    return read_between(frames, positions, step=float(np.max(steps)))


def _read_looped(frames: Mono, loop: tuple[int, int], *, start: int, steps: float | Curve, count: int) -> Mono:
    """The recording up to its loop's end, then the loop again and again.

    Positions after the loop's end are read from a second copy of the loop that stands right after it, so that
    the interpolator sees the loop's own samples on both sides.
    """
    first, last = loop
    step = float(np.max(steps))
    laid = np.concatenate((frames[:last], np.resize(frames[first:last], last - first + reach_at(step) + 1)))
    positions = _positions(steps, count=count) + start
    wrapped = np.where(positions < last, positions, last + (positions - last) % (last - first))
    return read_between(laid, wrapped, step=step)
