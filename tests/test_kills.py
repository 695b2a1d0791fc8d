"""A short run of the kills, that they would find a part of a file, and two programs that write one file at once."""

from __future__ import annotations

import subprocess
from random import Random
from typing import TYPE_CHECKING

import pytest
from command_line import PIER, PROGRAM

killing = pytest.importorskip("killing")

if TYPE_CHECKING:
    from pathlib import Path

IN_PLACE = """
import sys, time

number = 0
while True:
    with open(sys.argv[1], "wb") as out:
        for piece in range(40):
            out.write(b"%d" % piece * 500)
            out.flush()
            time.sleep(0.005)
    print(0, flush=True)
"""


@pytest.mark.skipif(not hasattr(killing.signal, "SIGKILL"), reason="a system that kills otherwise")
@pytest.mark.parametrize("suffix", [".mid", ".flac", ".svg"])
def test_a_kill_leaves_the_old_file_or_a_new_one(suffix: str, tmp_path: Path) -> None:
    killed = killing.kill_often(suffix, 3, Random(suffix), tmp_path)  # noqa: S311 - moments
    assert killed.files.total() == 3
    assert not killed.wrong


@pytest.mark.skipif(not hasattr(killing.signal, "SIGKILL"), reason="a system that kills otherwise")
def test_a_file_that_is_written_in_place_is_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(killing, "WRITING", IN_PLACE)
    killed = killing.kill_often(".mid", 3, Random(0), tmp_path)  # noqa: S311 - moments
    assert killed.wrong


@pytest.mark.parametrize("suffix", [".mid", ".flac", ".svg"])
def test_two_programs_that_write_one_file_at_once(suffix: str, tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text(PIER.replace("Pier", name))
        command = [*PROGRAM, "render", f"{name}.toml", "-o", f"{name}{suffix}"]
        subprocess.run(command, cwd=tmp_path, check=True, capture_output=True)
    whole = {(tmp_path / f"{name}{suffix}").read_bytes() for name in ("one", "two")}
    for _ in range(3):
        typed = [[*PROGRAM, "render", f"{name}.toml", "-o", f"both{suffix}"] for name in ("one", "two")]
        running = [subprocess.Popen(each, cwd=tmp_path, stdout=subprocess.DEVNULL) for each in typed]
        assert [each.wait(timeout=60) for each in running] == [0, 0]
        assert (tmp_path / f"both{suffix}").read_bytes() in whole
    assert not list(tmp_path.glob("*.part"))
    assert not list(tmp_path.glob(".*.part"))
