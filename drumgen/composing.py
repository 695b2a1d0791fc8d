"""Composing: what each kind of file needs, from one plan, so that all its files say the same.

A writer is made first, everything that can be refused refused, and called once with the open file.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, BinaryIO

from drumgen.midi.write import render_midi
from drumgen.performing import perform

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from drumgen.audio.shots import Sound
    from drumgen.midi.events import Tracks
    from drumgen.performance import Performance
    from drumgen.plan import Plan

    Progress = Callable[[int, int], None]
    Writer = Callable[[BinaryIO], tuple[str, ...]]

AUDIO_SUFFIXES = (".wav", ".flac", ".ogg", ".mp3")


@dataclass(frozen=True, slots=True)
class Settings:
    """How files are written: MIDI tracks and ticks; the SoundFont (None is the usual one), rate and variation of audio.

    ``progress`` is told, for audio, how much is done of how much.
    """

    tracks: Tracks = "one"
    ppq: int | None = None
    soundfont: Path | None = None
    rate: int = 44_100
    vary: bool = True
    progress: Progress | None = None


@dataclass
class Composition:
    """One plan and its files. Writers give lines to tell when they are done."""

    plan: Plan
    settings: Settings = field(default_factory=Settings)

    @cached_property
    def performance(self) -> Performance:
        """The performance of the plan. Raises DrumgenError where its ticks cannot hold it."""
        return perform(self.plan, ppq=self.settings.ppq)

    def writer(self, path: Path) -> Writer:
        """What writes the file of this path, by its suffix. Raises DrumgenError where it can be told beforehand."""
        suffix = path.suffix.lower()
        if suffix in AUDIO_SUFFIXES:
            return self._audio_writer(suffix)
        content = render_midi(self.performance, tracks=self.settings.tracks)

        def write(out: BinaryIO) -> tuple[str, ...]:
            out.write(content)
            return ()

        return write

    def _audio_writer(self, suffix: str) -> Writer:
        from drumgen.audio.bars import sounding_bars  # noqa: PLC0415 - numpy only where audio is made
        from drumgen.audio.track import check_track, render_track  # noqa: PLC0415 - as above

        settings, sound = self.settings, self._sound
        bars, end, clock = sounding_bars(self.performance, click=self.plan.click_sound, vary=settings.vary)
        check_track(end, clock=clock, rate=sound.rate, suffix=suffix)

        def write(out: BinaryIO) -> tuple[str, ...]:
            track = render_track(
                bars,
                end=end,
                clock=clock,
                sound=sound,
                file=out,
                suffix=suffix,
                loop=self.performance.loop,
                progress=settings.progress,
            )
            level = f"loudness {track.loudness_lufs:.1f} LUFS, peak {track.peak_db:.1f} dBFS"
            return (f"{track.frames / sound.rate:.1f} s at {sound.rate} Hz, {level}", *track.remarks)

        return write

    @cached_property
    def _sound(self) -> Sound:
        from drumgen.audio.shots import choose_sound  # noqa: PLC0415 - numpy only where audio is made
        from drumgen.audio.soundfont import find_soundfont, open_soundfont  # noqa: PLC0415 - as above

        settings, kit = self.settings, self.plan.phrase.kit
        font = open_soundfont(find_soundfont(settings.soundfont, environment=os.environ))
        seed = self.plan.spans[0].feel.seed if settings.vary else None
        return choose_sound(font, program=kit.program or 0, rate=settings.rate, seed=seed)
