"""``drumgen render``: phrases to files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, BinaryIO

import typer

from drumgen.cli.options import Asked, with_options
from drumgen.cli.phrases import open_phrase, plans_of, remark, say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from drumgen.composing import Composition, Settings, Writer
    from drumgen.midi.events import Tracks
    from drumgen.performance import Performance

RATES = (44_100, 48_000)
LONG_S = 600
"""From this many seconds on, a plan asks for enough repetition to say a word on strain."""


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    output: Annotated[
        list[str],
        typer.Option("--output", "-o", metavar="OUT", help="A file to write; .mid alone takes the phrase's name."),
    ],
    asked: Asked,
    tracks: Annotated[
        str, typer.Option(metavar="WAY", help="MIDI tracks: one (format 0), or one for each of the voices or limbs.")
    ] = "one",
    ppq: Annotated[
        int | None, typer.Option(metavar="N", help="MIDI ticks to the quarter note; else 960, or 10080 where needed.")
    ] = None,
    soundfont: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="The SoundFont (SF2, SF3) of audio; else DRUMGEN_SOUNDFONT or the usual one."
        ),
    ] = None,
    rate: Annotated[int, typer.Option(metavar="HZ", help="Frames a second of audio: 44100 or 48000.")] = 44_100,
    steady: Annotated[bool, typer.Option("--steady", help="In audio, let repeated strokes be exactly alike.")] = False,  # noqa: FBT002 - a flag
    watch: Annotated[bool, typer.Option("--watch", help="Write again whenever a phrase file is saved.")] = False,  # noqa: FBT002 - a flag
) -> None:
    """Write phrases to files: MIDI (.mid) and audio (.wav .flac .ogg .mp3).

    A PHRASE is a phrase file, a rudiment's name, or a sticking. drumgen render slipway.toml -o slipway.mid
    """
    from drumgen.composing import Settings  # noqa: PLC0415 - commands import late

    settings = Settings(
        tracks=track_way(tracks),
        ppq=checked_ppq(ppq),
        soundfont=Path(soundfont) if soundfont else None,
        rate=checked_rate(rate),
        vary=not steady,
    )
    if watch:
        from drumgen.cli.watching import watch_files  # noqa: PLC0415 - only here

        watch_files(phrases, lambda: _write(phrases, output, asked, settings))
    else:
        _write(phrases, output, asked, settings)


def _write(phrases: list[str], outputs: list[str], asked: Asked, settings: Settings) -> None:
    """Write every file, all together or none, and say what was written."""
    from drumgen.cli.progress import shown_progress  # noqa: PLC0415 - commands import late
    from drumgen.composing import AUDIO_SUFFIXES, Composition  # noqa: PLC0415 - as above
    from drumgen.render import check_distinct, check_name, out_path, save_together  # noqa: PLC0415 - as above

    opened = [open_phrase(text, asked) for text in phrases]
    paths = [[out_path(wanted, name=phrase.name) for wanted in outputs] for phrase in opened]
    files: dict[Path, Callable[[BinaryIO], None]] = {}
    told: dict[Path, tuple[str, ...]] = {}
    compositions: dict[Path, Composition] = {}
    check_distinct(path for row in paths for path in row)
    with shown_progress() as progress:
        for phrase, row in zip(opened, paths, strict=True):
            remark(*phrase.remarks)
            for ending, plan in plans_of(phrase, asked):
                composition = Composition(plan, replace(settings, progress=progress))
                remark(*composition.performance.remarks)
                for path in (each.with_stem(each.stem + ending) for each in row):
                    check_name(path, phrase.kit)
                    compositions[path] = composition
                    files[path] = _telling(composition.writer(path), path, told)
        save_together(files)
    for path, composition in compositions.items():
        first, *others = told[path] or ("",)
        remark(*others)
        say(f"wrote {path}: {summary(composition.performance)}{'; ' + first if first else ''}")
    if any(path.suffix.lower() in AUDIO_SUFFIXES for path in files):
        caution(compositions.values())


def _telling(write: Writer, path: Path, told: dict[Path, tuple[str, ...]]) -> Callable[[BinaryIO], None]:
    def run(out: BinaryIO) -> None:
        told[path] = write(out)

    return run


def caution(compositions: Iterable[Composition]) -> None:
    """The usual caution on hearing, and on strain where much is repeated, once and short."""
    from drumgen.trade.cautions import HEARING_LINE, STRAIN_LINE  # noqa: PLC0415 - only here

    remark(HEARING_LINE)
    if any(composition.performance.seconds > LONG_S for composition in compositions):
        remark(STRAIN_LINE)


def track_way(text: str) -> Tracks:
    """The way of ``--tracks``. Raises DrumgenError where it is none."""
    from drumgen.errors import DrumgenError, Fault, nearest  # noqa: PLC0415 - as above
    from drumgen.midi.events import TRACK_WAYS  # noqa: PLC0415 - as above

    for way in TRACK_WAYS:
        if text == way:
            return way
    hint = nearest(text, TRACK_WAYS)
    raise DrumgenError(Fault(f"--tracks of {', '.join(TRACK_WAYS)}", got=f'"{text}"', nearest=hint))


def checked_ppq(ppq: int | None) -> int | None:
    """The ticks of ``--ppq`` within what a file can say. Raises DrumgenError."""
    from drumgen.errors import DrumgenError, Fault  # noqa: PLC0415 - as above
    from drumgen.ticks import MOST_PPQ  # noqa: PLC0415 - as above

    if ppq is not None and not 1 <= ppq <= MOST_PPQ:
        raise DrumgenError(Fault(f"--ppq from 1 to {MOST_PPQ}", got=str(ppq)))
    return ppq


def checked_rate(rate: int) -> int:
    """The rate of ``--rate``. Raises DrumgenError for another than 44 100 or 48 000."""
    from drumgen.errors import fail  # noqa: PLC0415 - as above

    if rate not in RATES:
        raise fail(f"--rate of {' or '.join(map(str, RATES))}", got=str(rate))
    return rate


def summary(performance: Performance) -> str:
    """What was written, in a few words."""
    bars = len(performance.markers) - 1
    seconds = f"{performance.seconds:.1f} s"
    words = f"{bars} bar{'s' if bars != 1 else ''}, {len(performance.hits)} strokes, {seconds}"
    return f"{words}, kit {performance.kit.name}{', a loop' if performance.loop else ''}"
