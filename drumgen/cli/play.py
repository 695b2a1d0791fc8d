"""``drumgen play``: phrases heard at once, on their audition page in the browser or from a MIDI port."""

from __future__ import annotations

import tempfile
import time
import webbrowser
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.options import Asked, SoundFontOption, with_options
from drumgen.cli.phrases import open_phrase
from drumgen.cli.practising import plans_of, practice_of, remark_on_page
from drumgen.cli.saying import let_be_read, remark, say
from drumgen.errors import fail

if TYPE_CHECKING:
    from drumgen.phrase import Phrase

PAUSE_S = 0.2


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    asked: Asked,
    port: Annotated[
        str | None,
        typer.Option(
            metavar="NAME", help="Play to the MIDI port with this in its name; where none has it, all are listed."
        ),
    ] = None,
    soundfont: SoundFontOption = None,
) -> None:
    """Hear phrases at once: opens their audition page in the browser, or plays to a MIDI port.

    The page is gone when the command is ended with Ctrl-C; drumgen render PHRASE -o page.html keeps one.
    drumgen play "RLRR LRLL" --hands hihat/snare --tempo 80

    To a port, phrases are played one after the other; with --loop, one until Ctrl-C.
    drumgen play slipway.toml --port module --count-in 1 --loop
    """
    if port is not None and soundfont is not None:
        raise fail("--port or --soundfont: what a port leads to has a sound of its own")
    opened = [open_phrase(text, asked) for text in phrases]
    for phrase in opened:
        remark(*phrase.remarks)
    if port is not None:
        _play_to(port, opened, asked)
    else:
        _show(opened, asked, soundfont)


def _play_to(part: str, phrases: list[Phrase], asked: Asked) -> None:
    """Play to the port with ``part`` in its name, to the end or until interrupted, and say how late it was."""
    from drumgen.cli.outputs import caution, summary  # noqa: PLC0415 - commands import late
    from drumgen.midi.playing import Player, cues  # noqa: PLC0415 - as above
    from drumgen.midi.ports import open_port  # noqa: PLC0415 - as above
    from drumgen.performing import perform  # noqa: PLC0415 - as above

    performances = [perform(plan) for phrase in phrases for _, plan in plans_of(phrase, asked)]
    row = cues(performances)
    with open_port(part) as opened:
        player = Player(opened, clock=time.perf_counter, sleep=time.sleep)
        for performance in performances:
            remark(*performance.remarks)
            say(f"playing {performance.title} to {opened.name}: {summary(performance)}")
        endless = any(performance.loop for performance in performances)
        caution(inf if endless else sum(each.seconds for each in performances), sounds=False)
        try:
            say("Ctrl-C ends")
            let_be_read()
            player.play(row)
        except KeyboardInterrupt:
            pass
        finally:
            say(player.lateness)


def _show(phrases: list[Phrase], asked: Asked, soundfont: str | None) -> None:
    """Open the page of the phrases, until interrupted."""
    remark_on_page(asked)
    try:
        with tempfile.TemporaryDirectory(prefix="drumgen-") as folder:
            path = _written(phrases, Path(folder), asked, soundfont)
            if webbrowser.open(path.as_uri()):
                say(f"playing {path}; Ctrl-C ends")
            else:
                say(f"no browser was found: open {path} in one; Ctrl-C ends")
            _wait()
    except KeyboardInterrupt:
        return


def _written(phrases: list[Phrase], folder: Path, asked: Asked, soundfont: str | None) -> Path:
    """The page of the phrases in a folder of its own."""
    from drumgen.composing import Settings, compose_document  # noqa: PLC0415 - commands import late
    from drumgen.file_names import file_name  # noqa: PLC0415 - as above
    from drumgen.saving import save  # noqa: PLC0415 - as above

    settings = Settings(soundfont=Path(soundfont) if soundfont is not None else None)
    practice = [practice_of(phrase, asked) for phrase in phrases]
    page = compose_document(phrases, ".html", settings=settings, practice=practice)
    remark(*page.remarks)
    path = folder / f"{file_name(phrases[0].name)}.html"
    save(path, page.pages[0])
    return path


def _wait() -> None:
    let_be_read()
    while True:
        time.sleep(PAUSE_S)
