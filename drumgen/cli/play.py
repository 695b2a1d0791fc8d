"""``drumgen play``: phrases heard at once, on their audition page in the browser."""

from __future__ import annotations

import tempfile
import time
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from drumgen.cli.options import Asked, with_options
from drumgen.cli.phrases import open_phrase, practice_of, remark, say

if TYPE_CHECKING:
    from drumgen.phrase import Phrase

PAUSE_S = 0.2


@with_options
def command(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Phrase files, stickings or rudiments.")],
    asked: Asked,
    soundfont: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="The SoundFont (SF2, SF3); else DRUMGEN_SOUNDFONT or the usual one."),
    ] = None,
) -> None:
    """Hear phrases at once: opens their audition page in the browser.

    The page is gone when the command is ended with Ctrl-C; drumgen render PHRASE -o page.html keeps one.
    drumgen play "RLRR LRLL" --hands hihat/snare --tempo 80
    """
    opened = [open_phrase(text, asked) for text in phrases]
    for phrase in opened:
        remark(*phrase.remarks)
    try:
        with tempfile.TemporaryDirectory(prefix="drumgen-") as folder:
            path = _written(opened, Path(folder), asked, soundfont)
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
    from drumgen.render import file_name, save_together, writer_of  # noqa: PLC0415 - as above

    settings = Settings(soundfont=Path(soundfont) if soundfont else None)
    practice = [practice_of(phrase, asked) for phrase in phrases]
    page = compose_document(phrases, ".html", settings=settings, practice=practice)
    remark(*page.remarks)
    path = folder / f"{file_name(phrases[0].name)}.html"
    save_together({path: writer_of(page.pages[0])})
    return path


def _wait() -> None:
    while True:
        time.sleep(PAUSE_S)
