"""Composing: what each kind of file needs, from one plan, so that all its files say the same.

A writer is made first, everything that can be refused refused, and called once with the open file.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple

from drumgen.file_names import AUDIO_SUFFIXES
from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.sheet.printing import USUAL_PRINTING, Printing

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from pathlib import Path

    from drumgen.audio.shots import Sound
    from drumgen.kit import Kit
    from drumgen.midi.events import Tracks
    from drumgen.performance import Performance
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.practice import Practice

    Progress = Callable[[int, int], None]
    Writer = Callable[[BinaryIO], tuple[str, ...]]


class Document(NamedTuple):
    """A document's pages, each a file's content, and lines for the player."""

    pages: tuple[bytes, ...]
    remarks: tuple[str, ...] = ()


class Settings(NamedTuple):
    """How files are written: MIDI tracks and ticks; the SoundFont (None is the usual one), rate and variation of audio.

    ``progress`` is told, for audio, how much is done of how much.
    """

    tracks: Tracks = "one"
    ppq: int | None = None
    soundfont: Path | None = None
    rate: int = 44_100
    vary: bool = True
    printing: Printing = USUAL_PRINTING
    progress: Progress | None = None


USUAL = Settings()


@dataclass
class Composition:
    """One plan and its files. Writers give lines to tell when they are done."""

    plan: Plan
    settings: Settings = USUAL

    @cached_property
    def performance(self) -> Performance:
        """The performance of the plan. Raises DrumgenError where its ticks cannot hold it."""
        return perform(self.plan, ppq=self.settings.ppq)

    def check_length(self, suffixes: Iterable[str]) -> None:
        """Raise DrumgenError where audio is asked for and the plan is too long for it, before a stroke is made."""
        for suffix in (each.lower() for each in suffixes):
            if suffix in AUDIO_SUFFIXES:
                from drumgen.audio.track import check_track  # noqa: PLC0415 - numpy only where audio is made

                end = int(self.plan.least_s * 1_000_000)
                check_track(end, clock=1_000_000, rate=self.settings.rate, suffix=suffix)

    def writer(self, path: Path) -> Writer:
        """What writes the file of this path, by its suffix. Raises DrumgenError where it can be told beforehand."""
        suffix = path.suffix.lower()
        if suffix in AUDIO_SUFFIXES:
            return self.audio_writer(suffix)
        content = render_midi(self.performance, tracks=self.settings.tracks)

        def write(out: BinaryIO) -> tuple[str, ...]:
            out.write(content)
            return ()

        return write

    def audio_writer(self, suffix: str) -> Writer:
        """What writes the plan's sound in a format. Raises DrumgenError where it is too long."""
        from drumgen.audio.bars import sounding_bars  # noqa: PLC0415 - numpy only where audio is made
        from drumgen.audio.track import check_track, render_track  # noqa: PLC0415 - as above

        self.check_length((suffix,))
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
        seed = self.plan.spans[0].feel.seed if self.settings.vary else None
        return sound_of(self.plan.phrase.kit, self.settings, seed=seed)


def render_audio(plan: Plan, out: BinaryIO, *, suffix: str = ".wav", settings: Settings = USUAL) -> tuple[str, ...]:
    """Write the sound of a plan into an open file, and give its length, loudness and remarks as lines.

    ``suffix`` is .wav, .flac, .ogg or .mp3. Raises DrumgenError for a plan of more than a day, or a font without sound.
    """
    return Composition(plan, settings).audio_writer(suffix)(out)


def sound_of(kit: Kit, settings: Settings, *, seed: int | None = None) -> Sound:
    """What a kit sounds with. Raises DrumgenError where the SoundFont cannot be read."""
    from drumgen.audio.shots import choose_sound  # noqa: PLC0415 - numpy only where audio is made
    from drumgen.audio.soundfont import find_soundfont, open_soundfont  # noqa: PLC0415 - as above

    font = open_soundfont(find_soundfont(settings.soundfont, environment=os.environ))
    return choose_sound(font, program=kit.program or 0, rate=settings.rate, seed=seed)


def compose_document(
    phrases: Sequence[Phrase],
    suffix: str,
    *,
    settings: Settings,
    practice: Sequence[Practice],
    title: str = "",
    note: str = "",
) -> Document:
    """A sheet or a page of several phrases, by its suffix; ``practice`` has the options each begins with on a page.

    ``title`` and ``note`` (lines to the player) stand over the whole.
    """
    printing = settings.printing
    if suffix == ".html":
        from drumgen.audition import render_page  # noqa: PLC0415 - engraving and sound only where they are made

        sound = sound_of(phrases[0].kit, settings, seed=0 if settings.vary else None)
        page = render_page(
            phrases,
            sound=sound,
            practice=practice,
            title=title,
            note=note,
            sticking=printing.sticking,
            counts=printing.counts,
        )
        return Document((page.text.encode(),), page.remarks)
    if suffix == ".musicxml":
        from drumgen.sheet.musicxml import render_musicxml  # noqa: PLC0415 - as above

        text = render_musicxml(phrases, sticking=printing.sticking, counts=printing.counts)
        return Document((text.encode(),))
    from drumgen.sheet import rendering  # noqa: PLC0415 - as above

    over: dict[str, Any] = {"title": title, "note": note, "printing": printing}
    if suffix == ".svg":
        return Document(tuple(page.encode() for page in rendering.render_svg(phrases, **over)))
    if suffix == ".pdf":
        printed = rendering.render_pdf(phrases, **over)
        return Document((printed.content,), printed.remarks)
    pages = rendering.render_png(phrases, **over)
    return Document(pages.pages, pages.remarks)
