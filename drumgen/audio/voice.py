"""One stroke of a drum kit, from its zones to stereo frames.

Source: SoundFont Technical Specification 2.04, section 9 (the synthesis model), with the differences stated in
``envelopes`` and ``modulators`` and these: an initial attenuation counts 0.4 of what is written, as in the
sound cards the format was made for and in FluidSynth (fonts are voiced so; a zone marked 10 dB is 4 dB down);
loop mode 3, loop until release, is loop mode 1, since there is no release; stereo pairs are two zones panned
apart, and a zone alone is played alone even where its sample names a partner.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio import generators as gen
from drumgen.audio.envelopes import (
    SILENT_DB,
    audible_frames,
    modulation_curve,
    oscillator_curve,
    read_envelope,
    volume_curve,
)
from drumgen.audio.lowpass import lowpass
from drumgen.audio.modulators import amounts_added
from drumgen.audio.resample import reach_at, read_between
from drumgen.audio.riff import damaged

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drumgen.audio.soundfont import SoundFont
    from drumgen.audio.zones import Zone

    Mono = NDArray[np.float32]
    Stereo = NDArray[np.float32]

LONGEST_S = 12
_FADE_S = 0.1
_ATTENUATION_SCALE = 0.4
_WIDEST_CENTS = 12_000
_DEEPEST_CB = 960
"""The range of a swell of the volume either way (SoundFont 2.04, generator modLfoToVolume)."""
_LOOPED = frozenset({1, 3})


@dataclass(frozen=True, slots=True)
class _Note:
    """One zone asked to sound: its generators with the modulators added, for one key at one rate."""

    amounts: tuple[float, ...]
    key: int
    rate: int
    cents: float


def render_stroke(font: SoundFont, *, program: int, key: int, velocity: int, rate: int, cents: float = 0.0) -> Stereo:
    """One stroke, float32 of shape (frames, 2), full scale 1, as loud as the font makes it.

    ``program`` is a kit the font has; ``key`` 0 to 127, ``velocity`` 1 to 127, ``rate`` in Hz; ``cents`` tunes it.
    It ends where it stays 72 dB below its peak, after 12 s at most. No zone, or silence, is an array of no frames.
    Raises DrumgenError for a damaged sample.
    """
    parts = [
        _render_zone(font, zone, key=key, velocity=velocity, rate=rate, cents=cents)
        for zone in font.zones(program, key=key, velocity=velocity)
    ]
    whole = np.zeros((max((len(mono) for mono, _ in parts), default=0), 2), dtype=np.float32)
    for mono, sides in parts:
        for channel, side in enumerate(sides):
            if side > 0:
                whole[: len(mono), channel] += mono * np.float32(side)
    return _trim(whole, rate=rate)


def exclusive_class(font: SoundFont, *, program: int, key: int, velocity: int) -> int | None:
    """The class whose strokes end each other by the font's own word (generator 57), 0 for none.

    ``None`` where the kit has no zone for the stroke.
    """
    zones = font.zones(program, key=key, velocity=velocity)
    return max((zone.amounts[gen.EXCLUSIVE_CLASS] for zone in zones), default=None)


def loudest_alike(font: SoundFont, *, program: int, key: int, velocity: int) -> tuple[int, float]:
    """The greatest velocity at which a stroke is the same but for its loudness, and how much softer it is, in dB.

    Most fonts let velocity choose a zone and turn it down, and nothing else; then one recording serves many.
    """
    zones = font.zones(program, key=key, velocity=velocity)
    top = min((zone.velocities[1] for zone in zones), default=velocity)
    top = min(top, 127)
    if font.zones(program, key=key, velocity=top) != zones:
        return velocity, 0.0
    softer = set()
    for zone in zones:
        here, there = (_amounts(zone, key=key, velocity=number) for number in (velocity, top))
        softer.add((there[gen.ATTENUATION] - here[gen.ATTENUATION]) / 10)
        if any(one != other for at, (one, other) in enumerate(zip(here, there, strict=True)) if at != gen.ATTENUATION):
            return velocity, 0.0
    return (top, softer.pop()) if len(softer) == 1 else (velocity, 0.0)


def _trim(stereo: Stereo, *, rate: int) -> Stereo:
    """Without the end that lies under the threshold, and faded out where it is cut at its greatest length."""
    if not len(stereo):
        return stereo
    height = np.maximum(np.abs(stereo[:, 0]), np.abs(stereo[:, 1]))
    heard = height > height.max() * np.float32(10 ** (-SILENT_DB / 20))
    end = len(heard) - int(np.argmax(heard[::-1])) if heard.any() else 0
    if end >= LONGEST_S * rate:
        fade = round(_FADE_S * rate)
        stereo[end - fade : end] *= np.linspace(1, 0, fade, dtype=np.float32)[:, None]
    return stereo[:end].copy()


def _render_zone(
    font: SoundFont, zone: Zone, *, key: int, velocity: int, rate: int, cents: float
) -> tuple[Mono, tuple[float, float]]:
    """One zone's frames and how loud they are left and right."""
    forced_key = zone.amounts[gen.FORCED_KEY]
    key = forced_key if forced_key >= 0 else key
    note = _Note(_amounts(zone, key=key, velocity=velocity), key, rate, cents)
    mono = _shape(font, zone, note)
    return mono, _sides(note.amounts[gen.PAN])


def _amounts(zone: Zone, *, key: int, velocity: int) -> tuple[float, ...]:
    """A zone's generators for one stroke, with what its modulators add; the attenuation within its bounds."""
    forced = zone.amounts[gen.FORCED_VELOCITY]
    velocity = forced if forced >= 0 else velocity
    amounts = [float(amount) for amount in zone.amounts]
    amounts[gen.ATTENUATION] *= _ATTENUATION_SCALE
    for generator, added in amounts_added(zone.modulators, key=key, velocity=velocity).items():
        if generator < gen.COUNT:
            amounts[generator] += added
    amounts[gen.ATTENUATION] = min(max(amounts[gen.ATTENUATION], 0.0), 1440.0)
    return tuple(amounts)


def _sides(pan: float) -> tuple[float, float]:
    """Left and right for a pan of -500 to 500, of constant power."""
    angle = (min(max(pan, -500.0), 500.0) + 500) / 1000 * np.pi / 2
    left, right = float(np.cos(angle)), float(np.sin(angle))
    return (left if left > 1e-9 else 0.0), (right if right > 1e-9 else 0.0)


def _shape(font: SoundFont, zone: Zone, note: _Note) -> Mono:
    """The zone's recording, tuned, filtered and shaped by its envelope."""
    amounts, rate = note.amounts, note.rate
    envelope = read_envelope(amounts, gen.VOL_ENV_DELAY, key=note.key, rate=rate)
    count = audible_frames(envelope, most=LONGEST_S * rate)
    modulation = _Modulation(note, count)
    mono = _read_recording(font, zone, note, modulation, count=count)
    count = len(mono)
    cutoff = modulation.sum(gen.FILTER_CUTOFF, gen.MOD_ENV_TO_FILTER, gen.MOD_LFO_TO_FILTER, count=count)
    mono = lowpass(mono, cutoff, resonance_cb=amounts[gen.FILTER_Q], rate=rate)
    mono = mono * (volume_curve(envelope, count) * np.float32(10 ** (-amounts[gen.ATTENUATION] / 200)))
    if amounts[gen.MOD_LFO_TO_VOLUME]:
        depth_cb = min(max(amounts[gen.MOD_LFO_TO_VOLUME], -_DEEPEST_CB), _DEEPEST_CB)
        swell = modulation.oscillator(gen.MOD_LFO_DELAY)[:count] * depth_cb
        mono = mono * np.float32(10) ** (swell / np.float32(200))
    return mono.astype(np.float32, copy=False)


class _Modulation:
    """The modulation envelope and the oscillators of one note, made only where something follows them."""

    def __init__(self, note: _Note, count: int) -> None:
        self._note = note
        self._count = count

    def oscillator(self, first: int) -> Mono:
        return oscillator_curve(self._note.amounts, first, count=self._count, rate=self._note.rate)

    def envelope(self) -> Mono:
        note = self._note
        steps = read_envelope(note.amounts, gen.MOD_ENV_DELAY, key=note.key, rate=note.rate)
        return modulation_curve(steps, self._count)

    def sum(self, base: int, envelope: int, oscillator: int, *, count: int) -> float | Mono:
        """A generator with what envelope and modulation oscillator add to it, over the first frames."""
        amounts = self._note.amounts
        value: float | Mono = amounts[base]
        if amounts[envelope]:
            value = value + self.envelope()[:count] * np.float32(amounts[envelope])
        if amounts[oscillator]:
            value = value + self.oscillator(gen.MOD_LFO_DELAY)[:count] * np.float32(amounts[oscillator])
        return value


def _read_recording(font: SoundFont, zone: Zone, note: _Note, modulation: _Modulation, *, count: int) -> Mono:
    """The zone's sample at the note's pitch, looped where the zone loops, ``count`` frames at most."""
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


def _steps(tuning: float, note: _Note, modulation: _Modulation, *, rate: int, name: str) -> float | Mono:
    """How many samples the recording moves on a frame: one number, or one a frame where the pitch moves."""
    amounts = note.amounts
    cents: float | Mono = tuning
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


def _positions(steps: float | Mono, *, count: int) -> NDArray[np.float64]:
    """Where each frame is read, in samples after the first."""
    if isinstance(steps, float):
        return np.arange(count, dtype=np.float64) * steps
    places = np.zeros(count, dtype=np.float64)
    np.cumsum(steps[: count - 1], dtype=np.float64, out=places[1:])
    return places


def _read_once(frames: Mono, *, steps: float | Mono, count: int) -> Mono:
    if steps == 1.0 if isinstance(steps, float) else False:
        return frames[:count]
    positions = _positions(steps, count=count)
    positions = positions[: int(np.searchsorted(positions, len(frames) - 1, side="right"))]
    return read_between(frames, positions, step=float(np.max(steps)))


def _read_looped(frames: Mono, loop: tuple[int, int], *, start: int, steps: float | Mono, count: int) -> Mono:
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
