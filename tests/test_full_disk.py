"""A disk that is full while each format is written: it is said in a line, the old file stays, nothing is left beside.

The disk is a limit that the kernel keeps (the largest file that a process may write), so that it is met wherever in a
file it falls, in any library that writes; and a small file system in memory, where one can be mounted.
"""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from drumgen.file_names import SUFFIXES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytest.importorskip("resource", reason="a system that limits no process")

PHRASE = 'title = "Cistern"\nphrase = ["a"]\n[bars.a]\nsticking = "RLRR LRLL"\nhands.R = "hihat"\nfeet.kick = "1 3"\n'
OLD = b"an old file"

WRITING = """
import os, resource, sys
from pathlib import Path
from golden_case import run_here

REASONS = ("file too large", "no space left on device")  # an encoder only tells that less was taken than was given
suffix, out = sys.argv[1:]
code, _, errors = run_here(["render", "x.toml", "-o", f"whole{suffix}"])
assert code == 0, errors
size = Path(f"whole{suffix}").stat().st_size
for limit in (0, 1, size // 3, size - 1):
    kept = Path(out) / f"kept{suffix}"
    kept.write_bytes(b"an old file")
    before = sorted(os.listdir(out))
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
    code, printed, errors = run_here(["render", "x.toml", "-o", str(kept)])
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    where = f"{suffix} at {limit} of {size} bytes"
    assert (code, printed) == (2, ""), f"{where}: {code} {printed} {errors}"
    assert "Traceback" not in errors, f"{where}: {errors}"
    place, _, reason = errors.splitlines()[-1].rpartition(": ")
    assert place == f"{kept}: cannot be written", f"{where}: {errors}"
    assert reason in REASONS, f"{where}: {errors}"
    assert kept.read_bytes() == b"an old file", where
    assert sorted(os.listdir(out)) == before, where
"""


def environment() -> dict[str, str]:
    from pathlib import Path

    return {**os.environ, "PYTHONPATH": str(Path(__file__).parent)}


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_full_disk_while_a_format_is_written(suffix: str, tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text(PHRASE)
    (tmp_path / "out").mkdir()
    typed = [sys.executable, "-c", WRITING, suffix, "out"]
    done = subprocess.run(typed, cwd=tmp_path, capture_output=True, text=True, env=environment(), check=False)
    assert done.returncode == 0, done.stderr[-2000:]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 16 KiB, where this process may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounting = ["mount", "-t", "tmpfs", "-o", "size=16k", "drumgen-test", str(folder)]
    try:
        subprocess.run(mounting, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("no file system can be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True, capture_output=True)


@pytest.mark.parametrize("suffix", [".wav", ".html", ".png"])
def test_a_small_disk(suffix: str, small_disk: Path, tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text(PHRASE)
    kept = small_disk / f"kept{suffix}"
    kept.write_bytes(OLD)
    typed = [sys.executable, "-c", "from drumgen.cli import run; run()", "render", "x.toml", "-o", str(kept)]
    done = subprocess.run(typed, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1] == f"{kept}: cannot be written: no space left on device"
    assert [path.name for path in small_disk.iterdir()] == [kept.name]
    assert kept.read_bytes() == OLD
