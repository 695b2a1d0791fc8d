"""The drum part of a SoundFont 2 or 3: its kits by number and name, and what sounds a stroke.

The file is mapped, not read: opening costs milliseconds whatever its size, and only the samples of strokes that
are played are ever touched. Drum kits are the presets of bank 128. Source: SoundFont Technical Specification
2.04; a damaged file is refused whole where its tables are broken, and where a stroke needs a broken sample.
"""

from __future__ import annotations

import importlib.util
import mmap
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from drumgen.audio.hydra import Hydra, read_hydra
from drumgen.audio.riff import read_lists
from drumgen.audio.samples import Sample, check_sample, read_frames, read_sample
from drumgen.audio.zones import Zone, read_zones
from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Mapping

    from drumgen.audio.frames import Mono


DRUM_BANK = 128
STANDARD_KIT = 0
VARIABLE = "DRUMGEN_SOUNDFONT"


@dataclass(frozen=True, slots=True)
class SoundFont:
    """An open font. ``programs`` are its drum kits: program number to name, in the order of the numbers."""

    name: str
    programs: Mapping[int, str]
    hydra: Hydra
    chunks: Mapping[str, memoryview]
    rows: Mapping[int, int]
    _zones: dict[int, tuple[Zone, ...]] = field(default_factory=dict, repr=False)

    def kit(self, program: int) -> tuple[int, str]:
        """The program that sounds for ``program``, and a line for the player where it is another one."""
        if program in self.programs:
            return program, ""
        found = STANDARD_KIT if STANDARD_KIT in self.programs else min(self.programs)
        line = f'{self.name} has no drum kit {program}; its kit {found}, "{self.programs[found]}", sounds instead'
        return found, line

    def zones(self, program: int, *, key: int, velocity: int) -> tuple[Zone, ...]:
        """The zones of a kit the font has that sound for a stroke."""
        if program not in self._zones:
            self._zones[program] = read_zones(self.hydra, self.rows[program], name=self.name)
        return tuple(zone for zone in self._zones[program] if zone.answers(key=key, velocity=velocity))

    def sample(self, row: int) -> Sample:
        """A sample header, checked."""
        sample = read_sample(self.hydra.samples, row)
        check_sample(sample, self.chunks, name=self.name)
        return sample

    def frames(self, sample: Sample) -> Mono:
        """The frames of a sample, float32 from -1 to 1."""
        return read_frames(sample, self.chunks, name=self.name)


def read_soundfont(view: memoryview | bytes, *, name: str) -> SoundFont:
    """A font from the bytes of its file; ``name`` stands in messages.

    Raises DrumgenError for what is no SoundFont, is damaged, or has no drums.
    """
    lists = read_lists(memoryview(view), name=name)
    hydra = read_hydra(lists.get("pdta", {}), name=name)
    rows: dict[int, int] = {}
    names: dict[int, str] = {}
    for row, preset in enumerate(hydra.presets[:-1].tolist()):
        title, program, bank = preset[:3]
        if bank == DRUM_BANK and program not in rows:
            rows[program] = row
            names[program] = title.decode("latin-1").strip()
    if not rows:
        raise DrumgenError(Fault("a SoundFont with drums (bank 128)", got="one without", file=name))
    return SoundFont(name, {number: names[number] for number in sorted(names)}, hydra, lists.get("sdta", {}), rows)


def open_soundfont(path: Path) -> SoundFont:
    """A font from its file, mapped into memory. Raises DrumgenError, also for a file that cannot be opened."""
    try:
        with path.open("rb") as file:
            whole = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    except OSError as error:
        reason = error.strerror or "it cannot be read"
        raise DrumgenError(Fault(f"the SoundFont cannot be opened: {reason}", file=str(path))) from None
    except ValueError:
        raise DrumgenError(Fault("a SoundFont (SF2 or SF3)", got="an empty file", file=str(path))) from None
    return read_soundfont(memoryview(whole), name=path.name)


def find_soundfont(path: Path | None, *, environment: Mapping[str, str]) -> Path:
    """The font to play: ``path``, else the one the environment's DRUMGEN_SOUNDFONT names, else the built-in one."""
    if path is not None:
        return path
    if environment.get(VARIABLE):
        return Path(environment[VARIABLE])
    return built_in_soundfont()


def built_in_soundfont() -> Path:
    """The General MIDI font that the package pretty_midi carries; the package itself is not imported."""
    found = importlib.util.find_spec("pretty_midi")
    folders = [Path(place) for place in (found.submodule_search_locations or ())] if found else []
    for folder in folders:
        for font in sorted(folder.glob("*.sf[23]")):
            return font
    hint = "name a font with --soundfont"
    raise DrumgenError(Fault("the SoundFont inside the package pretty_midi", got="none", nearest=hint))
