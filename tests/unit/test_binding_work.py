"""The work of a book shared out: to processes, to a cluster, and what is said where that cannot be."""

from __future__ import annotations

import subprocess
import sys
from contextlib import contextmanager
from dataclasses import replace
from importlib.util import find_spec
from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from book_room import LADDERED, bound, contents, phrase_text, write_phrases
from needs import missing

from drumgen.binding import making, work
from drumgen.binding.fingerprints import fingerprint_of_soundfont
from drumgen.binding.jobs import Manner, jobs_of
from drumgen.binding.making import make_output
from drumgen.errors import DrumgenError
from drumgen.spec.book_loading import load_book

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from drumgen.binding.jobs import Job

CLUSTER = """
import sys
from distributed import LocalCluster
if __name__ == "__main__":
    workers = int(sys.argv[1])
    with LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
"""


def need_distributed() -> None:
    if find_spec("distributed") is None:
        missing("the package distributed")


@contextmanager
def cluster(folder: Path, *, workers: int) -> Iterator[str]:
    """The address of a Dask scheduler of this machine, its workers in processes of their own."""
    need_distributed()
    (folder / "cluster.py").write_text(CLUSTER)
    typed = [sys.executable, "cluster.py", str(workers)]
    process = subprocess.Popen(
        typed, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    with process:
        assert process.stdout
        address = process.stdout.readline().strip()
        if not address:
            missing("a cluster of this machine")
        try:
            yield address
        finally:
            process.communicate("")


@pytest.fixture
def course(tmp_path: Path) -> Path:
    folder = tmp_path / "course"
    write_phrases(folder, a=phrase_text("One", more=LADDERED), b=phrase_text("水車"), c="phrase = 3\n")
    (folder / "kit.toml").write_text(
        "[voices.snare]\nnote = 38\n[voices.click]\nnote = 76\n[voices.click-accent]\nnote = 77\n"
    )
    write_phrases(folder, d='kit = "kit.toml"\n' + phrase_text("Three").replace('feet.kick = "1"\n', ""))
    (folder / "book.toml").write_text('make = ["midi", "play-along", "ladder", "sheet"]\naudio = "flac"\n')
    return folder


def test_two_processes_make_the_same_bytes_as_one(course: Path, tmp_path: Path) -> None:
    one, two = bound(course, tmp_path / "one"), bound(course, tmp_path / "two", workers=2)
    assert contents(tmp_path / "one") == contents(tmp_path / "two")
    assert (one.made, one.remarks, one.all_faults) == (two.made, two.remarks, two.all_faults)
    assert not list((tmp_path / "two" / ".drumgen-book").glob("work-*"))


def test_a_cluster_of_two_workers_makes_the_same_bytes(course: Path, tmp_path: Path) -> None:
    """MIDI, sheets and the page are the same bytes on every machine; FLAC is within one least bit."""
    here = bound(course, tmp_path / "here")
    with cluster(tmp_path, workers=2) as address:
        there = bound(course, tmp_path / "there", on=address)
        again = bound(course, tmp_path / "there", on=address)
    assert sorted(contents(tmp_path / "here")) == sorted(contents(tmp_path / "there"))
    for name, content in contents(tmp_path / "here").items():
        if name.endswith(".flac"):
            assert_sounds_alike(content, contents(tmp_path / "there")[name])
        else:
            assert contents(tmp_path / "there")[name] == content, name
    assert (here.made, here.remarks, here.all_faults) == (there.made, there.remarks, there.all_faults)
    assert len(again.unchanged) == len(here.made) - 2  # the sheet and the page of the whole, one phrase of it broken


def assert_sounds_alike(one: bytes, other: bytes) -> None:
    import numpy as np
    import soundfile

    (first, rate), (second, other_rate) = (soundfile.read(BytesIO(each), dtype="int32") for each in (one, other))
    assert (first.shape, rate) == (second.shape, other_rate)
    assert np.abs(first.astype("int64") - second).max() <= 1 << 16  # one least bit of 16


def test_a_cluster_without_workers(course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "CONNECT_S", 1)
    with cluster(tmp_path, workers=0) as address, pytest.raises(DrumgenError) as caught:
        bound(course, tmp_path / "out", on=address)
    assert str(caught.value) == f'--on: expected a Dask scheduler with workers, got none within 1 s at "{address}"'


@pytest.mark.parametrize("address", ["", "nonsense", "tcp://127.0.0.1:9", "tcp://127.0.0.1:port", "http://"])
def test_what_is_no_scheduler(course: Path, tmp_path: Path, address: str) -> None:
    need_distributed()
    with pytest.raises(DrumgenError) as caught:
        bound(course, tmp_path / "out", on=address)
    rule = "expected the address of a Dask scheduler that answers, such as tcp://192.168.1.5:8786"
    assert str(caught.value) == f'--on: {rule}, got "{address}"'


def test_without_the_package_a_line_says_what_to_install(
    course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(DrumgenError, match=r"^--on needs the package distributed: pip install 'drumgen\[cluster\]'$"):
        bound(course, tmp_path / "out", on="tcp://127.0.0.1:8786")


def test_workers_without_drumgen(course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    need_distributed()

    def lacking(*_: object, **__: object) -> object:
        raise ModuleNotFoundError(name="drumgen")

    with cluster(tmp_path, workers=1) as address:
        monkeypatch.setattr("joblib.Parallel", lacking)
        with pytest.raises(DrumgenError, match=r"^--on: expected workers with drumgen .*, got none of drumgen$"):
            bound(course, tmp_path / "out", on=address)


def test_a_process_that_is_ended_from_outside(course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from joblib.externals.loky.process_executor import TerminatedWorkerError

    def ended(*_: object, **__: object) -> object:
        raise TerminatedWorkerError

    monkeypatch.setattr("joblib.Parallel", ended)
    with pytest.raises(DrumgenError, match=r"^a process at work was ended from outside, often for want of memory"):
        bound(course, tmp_path / "out", workers=2)


def test_the_pipe_to_a_process_that_was_ended_is_not_taken_for_a_reader_who_has_seen_enough(
    course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> object:
        raise BrokenPipeError

    monkeypatch.setattr("joblib.Parallel.__call__", broken)
    with pytest.raises(DrumgenError, match=r"^a process at work was ended from outside"):
        bound(course, tmp_path / "out")


# -- one job


def job_of(course: Path, name: str, manner: Manner | None = None) -> Job:
    from drumgen.audio.soundfont import built_in_soundfont

    usual = Manner("flac", font=fingerprint_of_soundfont(str(built_in_soundfont())))
    return next(job for job in jobs_of(load_book(course), manner or usual).jobs if job.name == name)


def told(job: Job, workshop: str = "") -> list[str]:
    return [str(fault) for _, fault in make_output(job, workshop, "0.part").faults]


def test_a_worker_of_another_version_is_refused(course: Path) -> None:
    job = replace(job_of(course, "01-a.mid"), version="9.9")
    assert told(job)[0].startswith("01-a.mid: expected workers with drumgen 9.9, got drumgen ")


def test_a_worker_with_another_soundfont_is_refused(course: Path) -> None:
    job = job_of(course, "01-a.flac", Manner("flac", font="another"))
    assert told(job) == ["01-a.flac: expected the same SoundFont at the same path on every machine, got another"]
    named = job_of(course, "01-a.flac", Manner("flac", soundfont="/nowhere.sf2", font="another"))
    assert told(named) == ["/nowhere.sf2: the SoundFont cannot be opened: No such file or directory"]


def test_without_a_workshop_the_content_comes_back(course: Path, tmp_path: Path) -> None:
    job = job_of(course, "01-a.mid")
    sent, left = make_output(job, "", "0.part"), make_output(job, str(tmp_path), "0.part")
    assert (sent.part, sent.content[:4], left.part, left.content) == ("", b"MThd", "0.part", b"")
    assert (tmp_path / "0.part").read_bytes() == sent.content
    assert (sent.size, sent.sha256) == (left.size, left.sha256)


def test_what_is_too_large_to_be_sent_is_refused(course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(making, "LARGEST_SENT_BYTES", 1 << 10)
    (fault,) = told(job_of(course, "01-a.pdf"))
    assert "expected a file of at most 0 MiB from another machine (without --on it is made here), got 0 MiB" in fault
    assert told(job_of(course, "01-a.pdf"), str(tmp_path)) == []


def test_a_disk_that_is_full_and_a_memory_that_is_small(course: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job = job_of(course, "01-a.mid")
    assert told(job, "/nowhere") == ["01-a.mid: cannot be written: no such file or directory"]

    def small(*_: object) -> object:
        raise MemoryError

    monkeypatch.setattr(making, "write_output", small)
    assert told(job) == ["01-a.mid: there is not enough memory for so much at once"]


def test_limits_of_a_kits_machine_are_kept(course: Path) -> None:
    (course / "kit.toml").write_text('[limits]\nname_characters = "A-Z"\n' + (course / "kit.toml").read_text())
    (fault,) = told(job_of(course, "04-d.mid"))
    assert fault.startswith(f"{course / 'd.toml'}: kits.kit.limits.name_characters: expected a file name of the char")
