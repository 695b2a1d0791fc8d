"""The main job of every day, in an empty folder: each command once, each format once, and a look at what it wrote."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from trials import Failed, ran

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

SIGNS = {
    ".mid": b"MThd",
    ".wav": b"RIFF",
    ".flac": b"fLaC",
    ".ogg": b"OggS",
    ".mp3": b"\xff",
    ".musicxml": b"<?xml",
    ".svg": b"<?xml",
    ".pdf": b"%PDF-",
    ".png": b"\x89PNG\r\n",
    ".html": b"<!doctype html>",
}
"""How a file of each format begins."""
CHANGING = (".ogg",)
"""An Ogg stream has a serial number drawn by lot."""

_OUTPUTS = tuple(part for suffix in SIGNS for part in ("-o", f"slipway{suffix}"))
COMMANDS = (
    ("--version",),
    ("new", "RLRR LRLL", "--hands", "hihat/snare", "--accents", "2 4", "--kick", "1 3", "--fill", "--title", "Slipway",
     "-o", "slipway.toml"),
    ("check", "slipway.toml"),
    ("show", "slipway.toml"),
    ("schema",),
    ("kits", "five-piece"),
    ("rudiments", "flam"),
    ("render", "slipway.toml", *_OUTPUTS),
    ("check", "tide.toml"),
    ("render", "tide.toml", "-o", "tide.mid", "-o", "tide.svg", "-o", "tide.html"),
    ("render", "slipway.toml", "--ladder", "60 to 100 by 20", "--click", "quarters", "-o", "ladder.mid"),
    ("vary", "slipway.toml", "-k", "3", "-o", "varied"),
    ("book", "varied", "-o", "book"),
    ("lesson", "double paradiddle", "--minutes", "5", "-o", "lesson"),
    ("transcribe", "slipway.mid", "-o", "take.toml"),
    ("check", "take.toml"),
    ("assess", "slipway.toml", "slipway.mid", "--picture", "slipway-take.png"),
    ("kits", "remap", "slipway.mid", "--from", "general-midi", "--to", "five-piece", "-o", "moved.mid"),
)  # fmt: skip


TIDE = 'title = "Übung ♩ 水門"\nphrase = ["a"]\n[bars.a]\nsticking = "RLRR LRLL"\n'
"""A file is UTF-8 whatever the console is."""


@dataclass(frozen=True, slots=True)
class Job:
    """What the main job left: how many commands were run, and the fingerprint of each file."""

    commands: int
    prints: Mapping[str, str]

    @property
    def note(self) -> str:
        """How much it was."""
        return f"{self.commands} commands, {len(self.prints)} files"


def main_job(program: Sequence[str | Path], folder: Path, env: Mapping[str, str]) -> Job:
    """Run it. Raises Failed where a command fails, or a file is not what its name says."""
    folder.mkdir()
    (folder / "tide.toml").write_text(TIDE, encoding="utf-8")
    prints = {}
    for typed in COMMANDS:
        said = ran([*program, *typed], folder=folder, env=env)
        if "Traceback" in said or "Warning" in said:
            raise Failed(f"{' '.join(typed)}:\n{said}")
        if typed[0] == "schema" and "$defs" not in json.loads(said):
            raise Failed(f"no schema: {said[:200]}")
    for path in sorted(folder.rglob("*.*")):
        if path.is_file() and ".drumgen-book" not in path.parts:
            prints[path.relative_to(folder).as_posix()] = sha256(_checked(path)).hexdigest()
    missing = {f"slipway{suffix}" for suffix in SIGNS} - set(prints)
    if missing:
        raise Failed(f"not written: {', '.join(sorted(missing))}")
    return Job(len(COMMANDS), prints)


def unlike(one: Job, other: Job) -> list[str]:
    """The files that two jobs did not write alike, those left out that differ from run to run."""
    names = sorted({*one.prints, *other.prints})
    return [name for name in names if one.prints.get(name) != other.prints.get(name) and not name.endswith(CHANGING)]


def _checked(path: Path) -> bytes:
    content = path.read_bytes()
    sign = SIGNS.get(path.suffix, b"")
    if not content or not content[: len(sign)].lower() == sign.lower():
        raise Failed(f"{path.name} is no {path.suffix}: it begins with {content[:20]!r}")
    return content
