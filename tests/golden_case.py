"""Golden cases: text files of a phrase or kit, the commands run on it, and the whole answer of each.

A case is one file, which anyone can add without Python. First comes the phrase or kit file as it would be saved as
``case.toml`` (so that the line numbers of the messages are those of the case), then what is typed and answered::

    phrase = ["verse"]
    [bars.verse]
    sticking = "RLXR"

    $ drumgen check case.toml
    --- standard error
    case.toml:3: bars.verse.sticking: expected R, L, B, K, H or -, got X
        RLXR
          ^
    --- exit 2

Under ``$ …`` stands what is printed, under ``--- standard error`` what is said beside it, under ``--- NAME.mid`` the
events of a file that the command wrote (see ``listing``). What is not there is empty, and the exit code 0. Several
commands may follow each other; they share a folder.

To have the answers written into a new case, end it with the ``$`` lines and run ``python tests/golden_case.py
FILE``; then read them as a drummer would, for a golden case only says that something has changed.
"""

import shlex
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from io import BytesIO, TextIOWrapper
from os import chdir
from pathlib import Path
from tempfile import TemporaryDirectory

import smf_music
import smf_reader

FOLDER = Path(__file__).parent / "golden"
TYPED = "$ drumgen "
SECTION = "--- "
ERRORS, EXIT = "standard error", "exit"
SPOKEN = {smf_music.MARKER: "marker", smf_music.LYRIC: "sticking", smf_music.TRACK_NAME: "name"}


@dataclass(frozen=True, slots=True)
class Case:
    """The file's text, and each command line with its answer."""

    file: str
    exchanges: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        return self.file + "".join(f"{TYPED}{typed}\n{answer}" for typed, answer in self.exchanges)


def parse_case(text: str) -> Case:
    head, *blocks = text.split(f"\n{TYPED}")
    pairs = [block.partition("\n") for block in blocks]
    ended = [(typed, answer if not answer or answer.endswith("\n") else f"{answer}\n") for typed, _, answer in pairs]
    last = len(ended) - 1
    return Case(f"{head}\n", tuple((typed, answer + "\n" * (i < last)) for i, (typed, answer) in enumerate(ended)))


def cases(*folders: str) -> list[Path]:
    return sorted(path for folder in folders for path in (FOLDER / folder).glob("*.txt"))


def answered(case: Case, run: Callable[[list[str]], tuple[int, str, str]]) -> Case:
    """The case with the answers that ``run`` gives now, in the folder where we are."""
    Path("case.toml").write_bytes(case.file.encode())
    exchanges = []
    for number, (typed, _) in enumerate(case.exchanges):
        before = {path: path.stat().st_mtime_ns for path in Path().glob("*.mid")}
        code, out, errors = run(shlex.split(typed))
        written = [p for p in sorted(Path().glob("*.mid")) if before.get(p) != p.stat().st_mtime_ns]
        lines = [out]
        if errors:
            lines.append(f"{SECTION}{ERRORS}\n{errors}")
        lines += [f"{SECTION}{path}\n{listing(path.read_bytes())}" for path in written]
        if code:
            lines.append(f"{SECTION}{EXIT} {code}\n")
        lines.append("\n" * (number < len(case.exchanges) - 1))
        exchanges.append((typed, "".join(lines)))
    return Case(case.file, tuple(exchanges))


def listing(content: bytes) -> str:
    """What a MIDI file holds, a line a tick: texts, meters, tempos (µs a quarter), then ``key velocity`` of each note.

    The reader is the second one of these tests, not the product's.
    """
    file = smf_reader.read_smf(content)
    rows: list[tuple[int, str]] = []
    rows += [(meter.tick, f"{meter.upper}/{meter.lower}") for meter in smf_music.meters(file)]
    rows += [(event.tick, f"{int.from_bytes(event.data, 'big')} us") for event in smf_music.metas(file, 0x51)]
    rows += [(text.tick, f"{SPOKEN[text.meta]} {text.content.decode()}") for text in smf_music.texts(file, *SPOKEN)]
    rows += [(onset.tick, f"{onset.key} {onset.velocity}") for onset in smf_music.onsets(file)]
    ticks: dict[int, list[str]] = {}
    for tick, words in rows:
        ticks.setdefault(tick, []).append(words)
    head = f"format {file.header.format}, {file.header.ticks_per_quarter} ticks, channel {_channels(file)}\n"
    lines = (f"{tick:6d}  {', '.join(ticks[tick])}\n" for tick in sorted(ticks))
    return head + "".join(lines) + f"{file.tracks[0].end_tick:6d}  the end\n"


def _channels(file: smf_reader.File) -> str:
    return " ".join(sorted({str(onset.channel + 1) for onset in smf_music.onsets(file)})) or "none"


def run_here(arguments: list[str]) -> tuple[int, str, str]:
    """Run a command line in this process: its exit code, what it printed, and what it said beside it."""
    from drumgen.cli.boundary import main

    kept = sys.stdout, sys.stderr
    streams = [TextIOWrapper(BytesIO(), encoding="utf-8", newline="\n", write_through=True) for _ in kept]
    sys.stdout, sys.stderr = streams
    try:
        code = main(arguments)
    finally:
        sys.stdout, sys.stderr = kept
    out, errors = (stream.buffer.getvalue().decode() for stream in streams)
    return code, out, errors


def fill(paths: Iterable[str]) -> None:
    """Write the answers of now into case files."""
    for path in [Path(text).resolve() for text in paths]:
        with TemporaryDirectory() as folder:
            chdir(folder)
            path.write_text(str(answered(parse_case(path.read_text("utf-8")), run_here)), "utf-8", newline="\n")
            chdir(path.parent)


if __name__ == "__main__":
    fill(sys.argv[1:])
