"""``drumgen play``: the page is opened in the browser, and is gone when the command ends; or a port is played to."""

import os
import re
import signal
import subprocess
import sys
import time
import webbrowser
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

import mido
import port_backend
import pytest
from command_line import PIER, PROGRAM, waited_for
from golden_case import run_here

from drumgen.cli import play
from drumgen.trade.cautions import STRAIN_LINE


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pier.toml").write_text(PIER)


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the browser was given to open; the player interrupts at once."""
    pages: list[str] = []

    def look(address: str) -> bool:
        pages.append(address)
        pages.append(path_of(address).read_text("utf-8"))
        return True

    def interrupt() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(webbrowser, "open", look)
    monkeypatch.setattr(play, "_wait", interrupt)
    return pages


def path_of(address: str) -> Path:
    return Path(url2pathname(urlsplit(address).path))


def test_the_page_is_opened_and_gone_at_the_end(opened: list[str]) -> None:
    code, out, errors = run_here(["play", "pier.toml", "RLRR", "--count-in", "2", "--tempo", "80"])
    assert (code, errors) == (0, "")
    address, text = opened
    assert "<title>Pier and 1 more</title>" in text
    assert '"countIn":2' in text
    assert '"tempo":80.0' in text
    assert out == f"playing {path_of(address)}; Ctrl-C ends\n"
    assert not path_of(address).parent.exists()


def test_what_a_page_does_not_begin_with_is_told(opened: list[str]) -> None:
    words = 'remark: a page plays round and round at first: for --times 1 choose "once" on it\n'
    assert run_here(["play", "RLRR", "--times", "1"])[2] == words
    assert run_here(["render", "RLRR", "--times", "1", "-o", "x.html", "-o", "x.musicxml"])[2] == words
    of_sheets = "remark: a sheet shows the phrase as it is written; only for what sounds, and for pages: --times\n"
    assert run_here(["render", "RLRR", "--times", "1", "-o", "x.musicxml"])[2] == of_sheets
    assert not run_here(["render", "RLRR", "--times", "1", "--ladder", "60 to 80 by 10", "-o", "x.html"])[2]
    assert len(opened) == 2


def test_where_there_is_no_browser_the_path_is_told(opened: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(webbrowser, "open", lambda _: False)
    code, out, _ = run_here(["play", "RLRR"])
    assert code == 0
    assert out.startswith("no browser was found: open ")
    assert not opened


def test_bad_input_opens_nothing(opened: list[str]) -> None:
    code, out, errors = run_here(["play", "RLQ"])
    assert (code, out) == (2, "")
    assert "RLQ" in errors
    assert not opened


@pytest.mark.skipif(os.name != "posix", reason="a signal of POSIX")
def test_ctrl_c_is_the_ordinary_end_of_what_is_told_at_once() -> None:
    environment = {**os.environ, "BROWSER": "true"}
    typed = [*PROGRAM, "play", "RLRR"]
    process = subprocess.Popen(typed, stdout=subprocess.PIPE, env=environment, text=True, preexec_fn=_interruptible)  # noqa: PLW1509 - POSIX only
    with waited_for(process) as lines:
        assert next(lines).startswith("playing ")
        time.sleep(0.3)
        process.send_signal(signal.SIGINT)
    assert process.returncode == 0


def _interruptible() -> None:
    """A process in the background of a shell may ignore interruptions."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


# -- to a MIDI port, through a backend of mido's that is in this process


@pytest.fixture
def sent() -> Iterator[list[Any]]:
    """What a port was sent."""
    before = mido.backend.name
    mido.set_backend("port_backend")
    port_backend.SENT.clear()
    yield port_backend.SENT
    mido.set_backend(before)


FAST = ["--tempo", "400", "--bars", "1"]


def strokes(messages: Iterable[Any]) -> list[int]:
    return [message.note for message in messages if message.type == "note_on"]


def test_a_phrase_is_played_to_the_port_with_a_part_of_its_name(sent: list[Any], opened: list[str]) -> None:
    code, out, errors = run_here(["play", "pier.toml", "--port", "module", "--count-in", "1", *FAST])
    first, ending, late = out.splitlines()
    assert (code, errors) == (0, "")
    assert first == "playing Pier to Drum Module 20:0: 2 bars, 22 strokes, 1.2 s, kit general-midi"
    assert ending == "Ctrl-C ends"
    assert re.fullmatch(r"22 strokes sent: median \d+\.\d\d ms late, worst [\d.]+ ms, [\d.]+ % later than 5 ms", late)
    assert strokes(sent)[:6] == [76, 77, 77, 77, 42, 36]
    assert [message.control for message in sent if message.type == "control_change"] == [123, 120]
    assert not opened
    assert not port_backend.OPEN


def test_phrases_and_rungs_are_played_one_after_the_other(sent: list[Any]) -> None:
    code, out, _ = run_here(
        ["play", "RLRL", "K---", "--port", "pad", "--ladder", "300 to 400 by 100", "--rungs", "apart", "--bars", "1"]
    )
    assert code == 0
    assert [line.split(":")[0] for line in out.splitlines()[:4]] == ["playing RLRL to Drum Pad 24"] * 2 + [
        "playing K--- to Drum Pad 24"
    ] * 2
    assert strokes(sent) == [38] * 32 + [36] * 8


def test_a_loop_is_played_until_it_is_interrupted(sent: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupting(seconds: float) -> None:
        if len(strokes(sent)) > 20:
            raise KeyboardInterrupt
        time.sleep(seconds)

    monkeypatch.setattr(play, "time", SimpleNamespace(sleep=interrupting, perf_counter=time.perf_counter))
    code, out, errors = run_here(["play", "RLRL", "--port", "pad", "--loop", "--tempo", "400"])
    assert (code, errors) == (0, f"remark: {STRAIN_LINE}\n")
    assert out.splitlines()[-1].startswith("21 strokes sent: ")
    assert [message.control for message in sent[-2:]] == [123, 120]
    assert not port_backend.OPEN


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["RLRR", "--port", "nowhere"], 'a part of a port\'s name ("Through 14:0", "Drum Module 20:0", "Drum Pad'),
        (["RLRR", "--port", ""], "a part of the name of one port, and this is of 3"),
        (["RLRR", "LRLL", "--port", "pad", "--loop"], '"RLRR" is a loop, which never ends'),
        (["RLRR", "--port", "pad", "--soundfont", "x.sf2"], "--port or --soundfont: what a port leads to has a sound"),
        (["RLRR", "--port", "pad", "--loop", "--count-in", "1"], "loop"),
    ],
)
def test_what_cannot_be_played_is_refused(sent: list[Any], typed: list[str], said: str) -> None:
    code, out, errors = run_here(["play", *typed])
    assert (code, out) == (2, "")
    assert said in errors
    assert errors.count("\n") == 1
    assert not sent


def test_a_port_that_goes_away_is_a_fault(sent: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(*_: object) -> None:
        raise OSError("unplugged")

    monkeypatch.setattr(port_backend.Output, "_send", gone)
    code, out, errors = run_here(["play", "RLRR", "--port", "pad"])
    assert code == 2
    assert out.endswith("no strokes were played\n")
    assert errors == "port: the MIDI port cannot be played to any more: unplugged\n"
    assert not sent


@pytest.mark.skipif(os.name != "posix", reason="a signal of POSIX")
def test_ctrl_c_ends_a_loop_with_silence() -> None:
    folder = Path(port_backend.__file__).parent
    environment = {**os.environ, "MIDO_BACKEND": "port_backend", "PYTHONPATH": str(folder)}
    code = "import port_backend, signal, sys; from drumgen.cli.boundary import main"
    telling = "print(*[message.control for message in port_backend.SENT[-2:]], port_backend.OPEN)"
    lines = [code, "signal.signal(signal.SIGINT, signal.default_int_handler)", "ended = main(sys.argv[1:])", telling]
    typed = [sys.executable, "-c", "; ".join([*lines, "sys.exit(ended)"]), "play", "RLRR", "--port", "pad", "--loop"]
    process = subprocess.Popen(typed, stdout=subprocess.PIPE, env=environment, text=True)
    with waited_for(process) as said:
        assert "Ctrl-C ends\n" in said  # it reads up to there
        time.sleep(1)
        process.send_signal(signal.SIGINT)
        late, silence = (line.rstrip() for line in said)
    assert process.returncode == 0
    assert " strokes sent: median " in late
    assert silence == "123 120 []"
