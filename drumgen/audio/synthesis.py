"""Synthesis: one stroke of a drum kit, from its zones to stereo frames.

Source: SoundFont Technical Specification 2.04, section 9 (the synthesis model), with the differences stated in
``envelopes`` and ``modulators`` and these: an initial attenuation counts 0.4 of what is written, as in the
sound cards the format was made for and in FluidSynth (fonts are voiced so; a zone marked 10 dB is 4 dB down);
stereo pairs are two zones panned apart, and a zone alone is played alone even where its sample names a partner.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio import generators as gen
from drumgen.audio.decibels import amplitude_of_centibels, amplitude_of_db
from drumgen.audio.envelopes import SILENT_DB, audible_frames, read_envelope, volume_curve
from drumgen.audio.lowpass import lowpass
from drumgen.audio.modulation import Modulation, ZoneNote
from drumgen.audio.modulators import amounts_added
from drumgen.audio.recording import read_recording

if TYPE_CHECKING:
    from drumgen.audio.frames import Mono, Stereo
    from drumgen.audio.soundfont import SoundFont
    from drumgen.audio.zones import Zone


LONGEST_S = 12
_FADE_S = 0.1
_ATTENUATION_SCALE = 0.4
_DEEPEST_CB = 960
"""The range of a swell of the volume either way (SoundFont 2.04, generator modLfoToVolume)."""


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
    """The greatest velocity at which a stroke is the same but for its loudness, and the gain (0 dB or less) from there.

    Most fonts let velocity choose a zone and turn it down, and nothing else; then one recording serves many.
    """
    zones = font.zones(program, key=key, velocity=velocity)
    top = min((zone.velocities[1] for zone in zones), default=velocity)
    top = min(top, 127)
    if font.zones(program, key=key, velocity=top) != zones:
        return velocity, 0.0
    gains_db = set()
    for zone in zones:
        here, there = (_amounts(zone, key=key, velocity=number) for number in (velocity, top))
        gains_db.add((there[gen.ATTENUATION] - here[gen.ATTENUATION]) / 10)
        if any(one != other for at, (one, other) in enumerate(zip(here, there, strict=True)) if at != gen.ATTENUATION):
            return velocity, 0.0
    return (top, gains_db.pop()) if len(gains_db) == 1 else (velocity, 0.0)


def _trim(stereo: Stereo, *, rate: int) -> Stereo:
    """Without the end that lies under the threshold, and faded out where it is cut at its greatest length."""
    if not len(stereo):
        return stereo
    height = np.maximum(np.abs(stereo[:, 0]), np.abs(stereo[:, 1]))
    heard = height > height.max() * np.float32(amplitude_of_db(-SILENT_DB))
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
    note = ZoneNote(_amounts(zone, key=key, velocity=velocity), key, rate, cents)
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


def _shape(font: SoundFont, zone: Zone, note: ZoneNote) -> Mono:
    """The zone's recording, tuned, filtered and shaped by its envelope."""
    amounts, rate = note.amounts, note.rate
    envelope = read_envelope(amounts, gen.VOL_ENV_DELAY, key=note.key, rate=rate)
    count = audible_frames(envelope, most=LONGEST_S * rate)
    modulation = Modulation(note, count)
    mono = read_recording(font, zone, note, modulation, count=count)
    count = len(mono)
    cutoff = modulation.sum(gen.FILTER_CUTOFF, gen.MOD_ENV_TO_FILTER, gen.MOD_LFO_TO_FILTER, count=count)
    mono = lowpass(mono, cutoff, resonance_cb=amounts[gen.FILTER_Q], rate=rate)
    mono = mono * (volume_curve(envelope, count) * np.float32(amplitude_of_centibels(-amounts[gen.ATTENUATION])))
    if amounts[gen.MOD_LFO_TO_VOLUME]:
        depth_cb = min(max(amounts[gen.MOD_LFO_TO_VOLUME], -_DEEPEST_CB), _DEEPEST_CB)
        swell_cb = modulation.oscillator(gen.MOD_LFO_DELAY)[:count] * depth_cb
        mono = mono * amplitude_of_centibels(swell_cb)
    return mono.astype(np.float32, copy=False)
