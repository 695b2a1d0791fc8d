"""A whole track: measured once, then mixed again at its gain into an open file.

The track is cut into blocks, a bar a block where bars are short enough; memory does not grow with it. The gain is
the font's and kit's own and fixed; only where a peak would pass the format's limit is the whole track turned down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from drumgen.audio.decibels import amplitude_of_db, db_of_amplitude
from drumgen.audio.drawing import Drawer
from drumgen.audio.encode import PEAK_DB, RATES, Format, check_length, format_of, open_encoder
from drumgen.audio.loudness import CONTEXT_FRAMES, LoudnessMeter, weighted_energy
from drumgen.audio.mix import Blocks
from drumgen.audio.ringing import Ring, Ringing, Score
from drumgen.audio.shots import Shots, Sound, reference_gain_db
from drumgen.audio.strikes import Bar, half_frame_of, place_bars
from drumgen.audio.synthesis import LONGEST_S
from drumgen.errors import DrumgenError, Fault, fail

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from drumgen.audio.frames import Stereo

    Progress = Callable[[int, int], None]

LONGEST_BLOCK = 1 << 17
MOST_HOURS = 24
END_DB = -72.0
SILENT_RMS_DB = -70.0
SILENT_PEAK_DB = -60.0


@dataclass(frozen=True, slots=True)
class Track:
    """What was written.

    ``peak_db`` (dBFS) and ``loudness_lufs`` are before a lossy encoder; ``gain_db`` is over the font's own level;
    ``remarks`` are lines for the player.
    """

    frames: int
    peak_db: float
    loudness_lufs: float
    gain_db: float
    remarks: tuple[str, ...]


@dataclass(slots=True)
class _Measure:
    meter: LoudnessMeter
    peak: float = 0.0
    loudest_mean: float = 0.0
    frames: int = 0
    heard_end: int = 0
    before: Stereo = field(default_factory=lambda: np.zeros((CONTEXT_FRAMES, 2), dtype=np.float32))


class _Mixer:
    """The bars of one track, read as often as needed."""

    def __init__(self, bars: Iterable[Bar], sound: Sound, *, end: int, clock: int, loop: bool) -> None:
        if iter(bars) is bars:
            msg = "the bars are read more than once: give a sequence, not an iterator"
            raise TypeError(msg)
        self.shots = Shots(sound)
        self.blocks = Blocks(self.shots)
        self.strikes = 0
        self.silent: dict[int, int] = {}
        self.end = half_frame_of(end, clock=clock, rate=sound.rate) // 2
        self._loop = loop
        self._bars = bars
        self._drawer = Drawer(self.shots, clock=clock)
        self._times = {"end": end, "clock": clock, "rate": sound.rate}
        self._first = self._rings_of_loop() if loop and self.end else []

    def _place(self, ringing: Ringing) -> Iterator[tuple[int, int]]:
        """Let bar after bar begin; gives each bar's first and last frame."""
        for bar in place_bars(self._bars, **self._times):
            ringing.add_bar(bar.start, self._drawer.draw(bar))
            yield bar.start, bar.end

    def _rings_of_loop(self) -> list[Ring]:
        """What still rings from the rounds before when a round of the loop begins, however short it is."""
        rings: list[Ring] = []
        for _ in range(1 + LONGEST_S * self.shots.sound.rate // self.end):
            ringing = Ringing(self.shots.sound.rate, rings=rings)
            for start, _ in self._place(ringing):
                ringing.score(start, start)
            ringing.score(self.end, self.end)
            rings = ringing.moved(-self.end)
        return rings

    def count(self) -> None:
        """Count the strikes, and those the kit has no sound for, by key."""
        for bar in self._bars:
            self.strikes += len(bar.strikes)
            for strike in bar.strikes:
                if self.shots.font_group(strike) is None:
                    self.silent[strike.key] = self.silent.get(strike.key, 0) + 1

    def scores(self, *, until: int | None = None) -> Iterator[Score]:
        """The track as blocks: its bars and, for a song, the ring after the last, cut at frame ``until``."""
        ringing = Ringing(self.shots.sound.rate, rings=self._first)
        for start, end in self._place(ringing):
            yield from _cut(ringing, start, end)
        if not self._loop:
            last = min(ringing.end, self.end + LONGEST_S * self.shots.sound.rate)
            last = max(self.end, last) if until is None else until
            yield from _cut(ringing, self.end, last)


def _cut(ringing: Ringing, start: int, end: int) -> Iterator[Score]:
    for first in range(start, end, LONGEST_BLOCK):
        yield ringing.score(first, min(end, first + LONGEST_BLOCK))


def render_track(  # noqa: PLR0913 - each names one thing about the track
    bars: Iterable[Bar],
    *,
    end: int,
    clock: int,
    sound: Sound,
    file: BinaryIO,
    suffix: str,
    loop: bool = False,
    progress: Progress | None = None,
) -> Track:
    """Mix ``bars`` up to ``end`` clock units (``clock`` a second) and write them into ``file``.

    ``bars`` is read two or three times. A song (``loop`` false) lasts until its last stroke has rung down to
    -72 dBFS, 12 s after its end at most; a loop is exactly its length, with what rings over its end in its
    beginning. ``progress`` is told, block by block, how much is done of how much.

    Raises DrumgenError for a rate or suffix that is not written, a track too long for it, a font that is damaged
    or gives no sound; TypeError for bars out of order.
    """
    form = format_of(suffix)
    check_track(end, clock=clock, rate=sound.rate, suffix=suffix)
    mixer = _Mixer(bars, sound, end=end, clock=clock, loop=loop)
    mixer.count()
    tell = progress or (lambda _done, _total: None)
    fixed_db = reference_gain_db(mixer.shots)
    measure = _measure(mixer, fixed_db=fixed_db, tell=tell)
    gain_db = _gain_db(measure.peak, fixed_db=fixed_db, form=form)
    _check_heard(measure, mixer, gain_db=gain_db)
    check_length(form, measure.frames, rate=sound.rate)
    _write(mixer, measure, form=form, file=file, gain=amplitude_of_db(gain_db), tell=tell)
    return Track(
        frames=measure.frames,
        peak_db=db_of_amplitude(measure.peak) + gain_db,
        loudness_lufs=measure.meter.loudness_lufs(gain_db=gain_db),
        gain_db=gain_db,
        remarks=_remarks(mixer, form, fixed_db=fixed_db, gain_db=gain_db, loop=loop),
    )


def check_track(end: int, *, clock: int, rate: int, suffix: str) -> None:
    """Raise DrumgenError for a rate or suffix that is not written, or a track too long, before any work."""
    if rate not in RATES:
        raise fail(f"a rate of {RATES[0]} or {RATES[1]} Hz", got=f"{rate} Hz")
    if end > MOST_HOURS * 3600 * clock:
        raise fail(f"at most {MOST_HOURS} hours of audio", got=f"{end / clock / 3600:.1f} hours")
    check_length(format_of(suffix), half_frame_of(end, clock=clock, rate=rate) // 2, rate=rate)


def _measure(mixer: _Mixer, *, fixed_db: float, tell: Progress) -> _Measure:
    """The one measuring pass, at the font's own level."""
    rate = mixer.shots.sound.rate
    measure = _Measure(LoudnessMeter(rate))
    quiet = amplitude_of_db(END_DB - fixed_db)
    total = 2 * max(1, mixer.end)
    for score in mixer.scores():
        block = mixer.blocks.get(score)
        mix = mixer.blocks.frames(score)
        if block.energy is None:
            block.energy = weighted_energy(mix, measure.before, rate=rate)
        measure.meter.add(block.energy, score.length)
        measure.before = np.concatenate((measure.before, mix[-CONTEXT_FRAMES:]))[-CONTEXT_FRAMES:]
        measure.peak = max(measure.peak, block.peak)
        measure.loudest_mean = max(measure.loudest_mean, block.squares / max(1, 2 * score.length))
        if measure.frames + score.length > mixer.end and block.peak > quiet:
            loud = np.flatnonzero(np.abs(mix).max(axis=1) > quiet)
            measure.heard_end = measure.frames + int(loud[-1]) + 1
        measure.frames += score.length
        tell(min(measure.frames, total // 2), total)
    measure.frames = max(mixer.end, min(measure.frames, measure.heard_end))
    return measure


def _gain_db(peak: float, *, fixed_db: float, form: Format) -> float:
    return min(fixed_db + form.peak_db - PEAK_DB, form.peak_db - db_of_amplitude(peak))


def _check_heard(measure: _Measure, mixer: _Mixer, *, gain_db: float) -> None:
    """Raise DrumgenError where strokes were asked for and nothing is heard.

    That is an RMS under -70 dBFS in the loudest block; a short soft stroke alone in a long one still has its peak.
    """
    rms_db = db_of_amplitude(math.sqrt(measure.loudest_mean)) + gain_db
    peak_db = db_of_amplitude(measure.peak) + gain_db
    if mixer.strikes and rms_db < SILENT_RMS_DB and peak_db < SILENT_PEAK_DB:
        keys = ", ".join(str(key) for key in sorted(mixer.silent)) or "of this track"
        rule = f"the track has strokes and no sound: the SoundFont gives none for the keys {keys}"
        raise DrumgenError(Fault(rule, file=mixer.shots.sound.font.name))


def _write(mixer: _Mixer, measure: _Measure, *, form: Format, file: BinaryIO, gain: float, tell: Progress) -> None:
    written = 0
    total = 2 * max(1, measure.frames)
    with open_encoder(file, form, rate=mixer.shots.sound.rate) as encoder:
        for score in mixer.scores(until=measure.frames):
            if form.lossy:
                encoder.write(mixer.blocks.frames(score) * np.float32(gain))
            else:
                encoder.write(mixer.blocks.whole(score, gain=gain))
            written += score.length
            tell(total // 2 + written, total)


def _remarks(mixer: _Mixer, form: Format, *, fixed_db: float, gain_db: float, loop: bool) -> tuple[str, ...]:
    sound = mixer.shots.sound
    lines = [sound.remark] if sound.remark else []
    for key, count in sorted(mixer.silent.items()):
        lines.append(f"{sound.font.name} has no sound for key {key}: {count} strokes are silent")
    lower_db = fixed_db + form.peak_db - PEAK_DB - gain_db
    if lower_db > 0.05:
        lines.append(f"turned down by {lower_db:.1f} dB, so that nothing clips")
    if loop and form.container == "MP3":
        lines.append("an MP3 begins and ends with a little silence: use .wav, .flac or .ogg for a loop")
    return tuple(lines)
