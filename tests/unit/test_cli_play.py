"""``drumgen play``: the page is opened in the browser, and is gone when the command ends."""

import os
import signal
import subprocess
import time
import webbrowser
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import url2pathname

import pytest
from command_line import PIER, PROGRAM
from golden_case import run_here

from drumgen.cli import play


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
def test_ctrl_c_is_the_ordinary_end() -> None:
    environment = {**os.environ, "BROWSER": "true"}
    typed = [*PROGRAM, "play", "RLRR"]
    with subprocess.Popen(typed, stdout=subprocess.PIPE, env=environment, preexec_fn=_interruptible) as process:  # noqa: PLW1509 - POSIX only
        assert process.stdout is not None
        assert process.stdout.readline()
        time.sleep(0.3)
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=20) == 0


def _interruptible() -> None:
    """A process in the background of a shell may ignore interruptions."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
