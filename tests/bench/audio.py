"""Play-along audio, whole processes: a fixed groove to WAV against the FluidSynth program with the same font, and FLAC.

FluidSynth runs as ``fluidsynth -ni -q -R 0 -C 0 -r 44100 -F OUT.wav -T wav FONT FILE.mid``: no reverb, no chorus, the
same rate, the MIDI file of the same plan. A further minute is the time of twenty minutes less that of ten, on both
sides. Memory is the greatest resident size of the process, in megabytes; its bar is 200.
"""

from __future__ import annotations

import subprocess
import sys
from functools import partial
from pathlib import Path
from shutil import which
from tempfile import TemporaryDirectory

from measuring import Round, Row, rounds_of
from start_up import DRUMGEN, environment, process

from drumgen.audio.soundfont import built_in_soundfont

GROOVE = """
title  = "Play-along, invented"
tempo  = 96
kit    = "five-piece"
phrase = ["verse x3", "turn"]

[bars.verse]
sticking  = "RLRR LRLL"
accents   = "2 4"
ghosts.L  = "all"
hands.R   = "hihat"
hands.L   = "snare"
feet.kick = "1 2& 3"

[bars.turn]
role      = "fill"
like      = "verse"
accents   = "1 2 3 4"
hands.R   = { around = ["high-tom", "mid-tom", "floor-tom"], every = "beat" }
"""
TEN_MINUTES = 60
"""Times through four bars of 4/4 at 96: ten minutes each sixty."""

ENCODE = """
import sys, soundfile
frames, rate = soundfile.read(sys.argv[1], dtype="int16", always_2d=True)
soundfile.write(sys.argv[2], frames, rate)
"""


def rendering(folder: Path, minutes: int, suffix: str) -> list[str]:
    """The command that renders so many minutes."""
    times = TEN_MINUTES * minutes // 10
    name = f"ours-{minutes}{suffix}"
    return [DRUMGEN, "render", str(folder / "groove.toml"), "--times", str(times), "-o", str(folder / name)]


def reference(folder: Path, minutes: int) -> list[str]:
    """The command of the FluidSynth program for the same plan."""
    flags = ["-ni", "-q", "-R", "0", "-C", "0", "-r", "44100", "-T", "wav"]
    out, music = str(folder / f"theirs-{minutes}.wav"), str(folder / f"ours-{minutes}.mid")
    return ["fluidsynth", *flags, "-F", out, str(built_in_soundfont()), music]


def megabytes(command: list[str], folder: Path) -> float:
    """The greatest resident size of one process."""
    code = (
        f"import resource, subprocess; subprocess.run({command!r}, check=True, capture_output=True); "
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=folder, check=True, capture_output=True, text=True)
    kibibytes = int(done.stdout)
    return kibibytes / 1000


def timed(folder: Path, minutes: int, rounds: int) -> tuple[Round, ...]:
    """So many minutes to WAV."""
    env = environment()
    process(rendering(folder, minutes, ".mid"), folder, env)
    ours = partial(process, rendering(folder, minutes, ".wav"), folder, env)
    theirs = partial(process, reference(folder, minutes), folder, env)
    return rounds_of(ours, theirs, rounds)


def further(short: tuple[Round, ...], long: tuple[Round, ...]) -> tuple[Round, ...]:
    """What the longer ones take beyond the shorter ones."""
    return tuple(after.less(before) for before, after in zip(short, long, strict=True))


def flac_row(folder: Path, rounds: int) -> Row:
    """Ten further minutes to FLAC, against libsndfile encoding the same frames; start-up falls out of it."""
    env = environment()
    (folder / "encode.py").write_text(ENCODE, encoding="utf-8")
    found = []
    for minutes in (10, 20):
        ours = partial(process, rendering(folder, minutes, ".flac"), folder, env)
        frames, out = str(folder / f"ours-{minutes}.wav"), str(folder / f"theirs-{minutes}.flac")
        theirs = partial(process, [sys.executable, str(folder / "encode.py"), frames, out], folder, env)
        found.append(rounds_of(ours, theirs, rounds))
    return Row("ten further minutes to FLAC", "libsndfile encoding them", 1.3, further(*found))


def rows(rounds: int) -> list[Row]:
    """The rows of this module; none where the FluidSynth program is not there."""
    if which("fluidsynth") is None:
        sys.stderr.write("no rows of audio: the program fluidsynth is not there\n")
        return []
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "groove.toml").write_text(GROOVE, encoding="utf-8")
        ten, twenty = timed(folder, 10, rounds), timed(folder, 20, rounds)
        flac = flac_row(folder, rounds)
        sizes = {minutes: megabytes(rendering(folder, minutes, ".wav"), folder) for minutes in (10, 60)}
    sys.stderr.write(f"memory: {sizes[10]:.0f} MB at ten minutes, {sizes[60]:.0f} MB at sixty\n")
    return [
        Row("ten minutes to WAV", "fluidsynth, same font", 1 / 2.5, ten),
        Row("ten further minutes to WAV", "fluidsynth, same font", 1 / 4, further(ten, twenty)),
        flac,
    ]
