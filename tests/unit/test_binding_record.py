"""The record of a book's folder: what it holds to be whole, what it survives, and what it never touches."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from hashlib import sha256
from io import StringIO
from typing import TYPE_CHECKING

import pytest

from drumgen.binding.record import Line, Record, held
from drumgen.errors import DrumgenError

if TYPE_CHECKING:
    from pathlib import Path


def placed(record: Record, name: str, content: bytes, key: str = "k") -> None:
    part = record.workshop / "0.part"
    part.write_bytes(content)
    record.place(Line(name, key, len(content), sha256(content).hexdigest()), part)


def test_what_was_placed_is_known_the_next_time(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    with held(out) as record:
        placed(record, "a.mid", b"one")
        placed(record, "b.mid", b"two", key="l")
    assert sorted(path.name for path in out.iterdir()) == [".drumgen-book", "a.mid", "b.mid"]
    assert [path.name for path in (out / ".drumgen-book").iterdir()] == ["record"]
    with held(out) as record:
        assert record.is_made("a.mid", key="k")
        assert not record.is_made("a.mid", key="l")
        assert not record.is_made("c.mid", key="k")


def test_what_was_altered_or_deleted_is_not_whole(tmp_path: Path) -> None:
    with held(tmp_path) as record:
        for name in ("a", "b", "c", "d"):
            placed(record, name, b"one")
    (tmp_path / "a").write_bytes(b"eno")
    (tmp_path / "b").unlink()
    (tmp_path / "c").write_bytes(b"one more")
    (tmp_path / "d").rename(tmp_path / "e")
    (tmp_path / "d").symlink_to(tmp_path / "e")
    with held(tmp_path) as record:
        assert [record.is_whole(name) for name in ("a", "b", "c", "d")] == [False] * 4


def test_the_last_line_of_a_file_counts_and_the_record_is_put_in_order(tmp_path: Path) -> None:
    with held(tmp_path) as record:
        placed(record, "b", b"one")
        placed(record, "a", b"two")
        placed(record, "b", b"three")
        record.remove("nothing")
    text = (tmp_path / ".drumgen-book" / "record").read_text()
    assert [json.loads(line)["name"] for line in text.splitlines()] == ["a", "b"]
    with held(tmp_path) as record:
        assert record.is_whole("b")
        record.remove("b")
        assert not (tmp_path / "b").exists()
    with held(tmp_path) as record:
        assert list(record.lines) == ["a"]


def test_what_a_killed_run_was_to_replace_is_known_by_the_line_before(tmp_path: Path) -> None:
    with held(tmp_path) as record:
        placed(record, "a", b"one")
    next_line = {"name": "a", "key": "l", "size": 3, "sha256": sha256(b"two").hexdigest()}
    with (tmp_path / ".drumgen-book" / "record").open("a") as file:
        file.write(json.dumps(next_line) + "\n")
    with held(tmp_path) as record:
        assert record.is_made("a", key="k")
        assert not record.is_altered("a")
    (tmp_path / "a").write_bytes(b"other")
    with held(tmp_path) as record:
        assert record.is_altered("a")


def test_a_run_that_breaks_off_keeps_what_it_placed(tmp_path: Path) -> None:
    def break_off() -> None:
        with held(tmp_path) as record:
            placed(record, "a", b"one")
            raise KeyboardInterrupt("in the middle of it")

    with pytest.raises(KeyboardInterrupt, match=r"^in the middle of it$"):
        break_off()
    with held(tmp_path) as record:
        assert record.is_whole("a")


def test_a_damaged_record_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    room = tmp_path / ".drumgen-book"
    room.mkdir()
    good = json.dumps({"name": "a", "key": "k", "size": 1, "sha256": "x"})
    wrong = ["{", "[]", "3", '{"name": "b"}', '{"name": 3}', '"', "", '{"name": ""}', good[:-4]]
    leading = [
        good.replace('"a"', json.dumps(name)) for name in ("../a", "/etc/a", "x/y", "x\\y", ".drumgen-book", "a\0")
    ]
    (room / "record").write_text("\n".join([*wrong, *leading, good]))
    with held(tmp_path) as record:
        assert list(record.lines) == ["a"]


def test_what_a_killed_run_left_in_its_workshop_is_cleared_away(tmp_path: Path) -> None:
    left = tmp_path / ".drumgen-book" / "work-0123"
    left.mkdir(parents=True)
    (left / "3.part").write_bytes(b"half")
    other = tmp_path / ".drumgen-book" / "mine"
    other.write_text("a note of the user's")
    with held(tmp_path):
        assert not left.exists()
    assert other.exists()


def test_two_runs_at_a_time_are_refused(tmp_path: Path) -> None:
    code = "from pathlib import Path; from drumgen.binding.record import held\nwith held(Path()): pass"
    with held(tmp_path):
        with pytest.raises(DrumgenError) as caught, held(tmp_path):
            pass
        assert str(caught.value) == f"{tmp_path}: another drumgen book is at work in this folder"
        typed = [sys.executable, "-c", code]
        done = subprocess.run(typed, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert "another drumgen book is at work" in done.stderr
    with held(tmp_path):
        pass


def test_a_file_system_without_locks_is_trusted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_locks(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr("fcntl.flock", no_locks)
    with held(tmp_path) as record:
        placed(record, "a", b"one")


def test_a_folder_that_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(DrumgenError, match="cannot be written: "), held(tmp_path / "file"):
        pass
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / ".drumgen-book").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(DrumgenError, match="a folder, and no link to another"), held(tmp_path):
        pass
    (tmp_path / ".drumgen-book").unlink()

    def full(*_: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("drumgen.binding.record.token_hex", full)
    with pytest.raises(DrumgenError, match="cannot be written: no space left on device"), held(tmp_path):
        pass


def test_a_record_that_cannot_be_replaced_stays_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with held(tmp_path) as record:
        placed(record, "a", b"one")

        def forbidden(*_: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(type(tmp_path), "replace", forbidden)
    monkeypatch.undo()
    with held(tmp_path) as record:
        assert record.is_whole("a")


@pytest.mark.parametrize(
    "damage",
    [
        b"\xff\xfe\x00nonsense\n",
        b'{"name": "b", "key": ["a"], "size": 1, "sha256": "x"}\n',
        b'{"name": "b", "key": "a", "size": 1, "sha256": 3}\n',
        b"[" * 100_000 + b"\n",
        b'{"name": "\\ud800.mid", "key": "a", "size": 1, "sha256": "x"}\n',
        b'{"name": "' + b"n" * 400 + b'", "key": "a", "size": 1, "sha256": "x"}\n',
        b'{"name": "C:b.mid", "key": "a", "size": 1, "sha256": "x"}\n',
    ],
)
def test_a_line_that_no_run_wrote_is_passed_over(tmp_path: Path, damage: bytes) -> None:
    with held(tmp_path) as record:
        placed(record, "a", b"one")
    path = tmp_path / ".drumgen-book" / "record"
    path.write_bytes(damage + path.read_bytes())
    with held(tmp_path) as record:
        assert list(record.lines) == ["a"]
        assert record.is_whole("a")
    assert len(path.read_bytes().splitlines()) == 1


def test_a_record_that_was_replaced_while_waiting_is_not_held(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another run that opened the record before it was put in order must not hold the old one beside a third run."""
    with held(tmp_path) as record:
        placed(record, "a", b"one")

    def late(_journal: object, folder: Path) -> None:
        path = folder / ".drumgen-book" / "record"
        (folder / "new").write_bytes(path.read_bytes())
        (folder / "new").replace(path)

    monkeypatch.setattr("drumgen.binding.record._lock", late)
    with pytest.raises(DrumgenError, match="another drumgen book is at work"), held(tmp_path):
        pass


def test_a_run_that_made_nothing_leaves_nothing(tmp_path: Path) -> None:
    with held(tmp_path / "deep" / "out"):
        pass
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "own").mkdir()
    with held(tmp_path / "own"):
        pass
    assert list((tmp_path / "own").iterdir()) == []


@pytest.mark.parametrize("error", [KeyboardInterrupt(), DrumgenError()], ids=repr)
def test_a_run_that_breaks_off_before_anything_is_made_leaves_nothing(tmp_path: Path, error: BaseException) -> None:
    with pytest.raises(type(error)), held(tmp_path / "deep" / "out"):
        raise error
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_which_no_record_can_be_made_is_gone_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("drumgen.binding.record.token_hex", full)
    with pytest.raises(DrumgenError, match="no space left on device"), held(tmp_path / "deep" / "out"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_run_that_breaks_off_while_it_reads_the_record_leaves_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with held(tmp_path) as record:
        placed(record, "a", b"one")

    def interrupted(*_: object) -> Line:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("drumgen.binding.record._of_what_is_there", interrupted)
        with pytest.raises(KeyboardInterrupt), held(tmp_path):
            pass
    with held(tmp_path) as record:
        assert record.is_made("a", key="k")


def test_a_record_that_cannot_be_added_to_is_named_by_its_folder(tmp_path: Path) -> None:
    class Full(StringIO):
        def flush(self) -> None:
            raise OSError(28, "No space left on device")

    record = Record(tmp_path, tmp_path, {}, Full())
    with pytest.raises(DrumgenError, match=f"^{re.escape(str(tmp_path))}: cannot be written: no space left on device$"):
        placed(record, "a", b"one")


def test_a_folder_in_a_files_place_is_named(tmp_path: Path) -> None:
    with held(tmp_path) as record:
        (tmp_path / "a").mkdir()
        with pytest.raises(DrumgenError, match=r"/a: cannot be written"):
            placed(record, "a", b"one")
