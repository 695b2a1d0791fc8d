"""Playing over a real pair of ports, where this system lets a program make one and python-rtmidi is installed.

Elsewhere (no sequencer in the kernel, no rights to it, no library) this is skipped, in continuous integration too: no
package brings a sequencer into a kernel that has none. ``test_cli_play`` plays through a port of this process always.
MIDO_BACKEND chooses another of the library's ways, such as ``mido.backends.rtmidi/UNIX_JACK``.
"""

import time
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import mido
import pytest
from golden_case import run_here

NAME = "drumgen's own test, a pad"


@pytest.fixture
def received() -> Iterator[list[Any]]:
    """What arrives at a port of ours that other programs see."""
    arrived: list[Any] = []
    try:
        port = mido.open_input(NAME, virtual=True, callback=arrived.append)
    except (ImportError, OSError, NotImplementedError) as error:
        pytest.skip(f"no virtual MIDI ports here: {error}")
    with port:
        yield arrived


def test_what_arrives_is_what_the_file_says(
    received: list[Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    typed = ["lRLRR LRLL", "--hands", "hihat/snare", "--tempo", "240", "--times", "4", "--count-in", "1"]
    code, out, errors = run_here(["play", *typed, "--port", NAME])
    assert (code, errors) == (0, "")
    assert f" to {mido.get_output_names()[0].partition(':')[0]}" in out
    assert run_here(["render", *typed, "-o", "file.mid"])[0] == 0
    file = mido.MidiFile(file=BytesIO(Path("file.mid").read_bytes()))
    written = [message.copy(time=0) for message in file if not message.is_meta]
    for _ in range(100):
        if len(received) >= len(written) + 2:
            break
        time.sleep(0.02)
    arrived = [message.copy(time=0) for message in received]
    assert arrived[:-2] == written
    assert [message.control for message in arrived[-2:]] == [123, 120]
