"""What ``render`` and ``new`` write, where, under which names; and that nothing is written where anything is wrong."""

import errno
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import BinaryIO

import pytest
from command_line import PIER, PROGRAM
from golden_case import run_here
from needs import need_letters
from smf_music import onsets
from smf_reader import read_smf

from drumgen import saving
from drumgen.errors import DrumgenError
from drumgen.file_names import file_name
from drumgen.saving import folder_for, save_together, writer_of

OLD = b"an old file"


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pier.toml").write_text(PIER)


def names() -> list[str]:
    return sorted(str(path) for path in Path().rglob("*") if path.is_file() and path.name != "pier.toml")


def refused(*arguments: str) -> str:
    """What is said to a command that is refused; nothing may have changed."""
    before = {path: Path(path).read_bytes() for path in names()}
    code, out, errors = run_here(list(arguments))
    assert (code, out) == (2, "")
    assert {path: Path(path).read_bytes() for path in names()} == before
    return errors


def wrote(*arguments: str) -> list[str]:
    """The names of the files that a command says it wrote; no other is there."""
    code, out, errors = run_here(list(arguments))
    assert code == 0, errors
    said = [line.removeprefix("wrote ").partition(": ")[0] for line in out.splitlines()]
    assert all(Path(name).stat().st_size for name in said)
    return said


# -- what a PHRASE is, and what -o is


def test_a_file_a_sticking_and_a_rudiment() -> None:
    assert wrote("render", "pier.toml", "RLRR", "flam tap", "-o", ".mid") == ["pier.mid", "RLRR.mid", "flam-tap.mid"]
    assert names() == ["RLRR.mid", "flam-tap.mid", "pier.mid"]
    assert all(onsets(read_smf(Path(name).read_bytes())) for name in names())


def test_a_file_needs_no_ending_to_be_a_file() -> None:
    Path("pier.toml").rename("RLRR")
    assert run_here(["check", "RLRR"])[1].startswith("Pier: 4 bars")


def test_a_suffix_in_a_folder_takes_the_phrases_name() -> None:
    Path("out").mkdir()
    assert wrote("render", "pier.toml", "RLRR", "-o", "out/.mid") == ["out/pier.mid", "out/RLRR.mid"]


def test_several_outputs_are_alike() -> None:
    wrote("render", "pier.toml", "-o", "one.mid", "-o", "TWO.MID", "--output", "three.mid")
    assert names() == ["TWO.MID", "one.mid", "three.mid"]
    assert len({Path(name).read_bytes() for name in names()}) == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["pier.toml", "-o", "a.mid", "-o", "./a.mid"], 'outputs that are different files, got "a.mid" twice\n'),
        (["pier.toml", "RLRR", "-o", "a.mid"], 'expected outputs that are different files, got "a.mid" twice\n'),
        (["pier.toml", "-o", "no/a.mid"], 'no/a.mid: expected a folder that exists, got "no"\n'),
        (["pier.toml", "-o", "no/.mid"], 'no/pier.mid: expected a folder that exists, got "no"\n'),
        (["pier.toml", "-o", "pier.toml/a.mid"], 'pier.toml/a.mid: expected a folder that exists, got "pier.toml"\n'),
        (["pier.toml", "-o", "old.mid", "--tracks", "on"], 'expected --tracks of one, voices, limbs, got "on"'),
        (["pier.toml", "-o", "old.mid", "--ppq", "0"], "expected --ppq from 1 to 32767, got 0\n"),
        (["pier.toml", "-o", "old.mid", "--ppq", "99999"], "expected --ppq from 1 to 32767, got 99999\n"),
        (["pier.toml", "-o", "old.mid", "--ppq", "7"], "ppq: expected strokes that 7 ticks to the quarter hold, got"),
        (["RLX", "-o", "old.mid"], "expected R, L, B, K, H or -, got X\n    RLX\n      ^\n"),
        (["pier.toml", "nope.toml", "-o", ".mid"], "nope.toml: there is no such file\n"),
        (["pier.toml", "-o", "old.mid", "-o", "x.mdi"], '(nearest: ".mid")\n'),
        (["pier.toml", "-o", "old"], 'got "old"'),
        (["pier.toml", "-o", ""], 'got ""'),
        (["pier.toml", "-o", "."], 'got "."'),
        (["pier.toml", "-o", "old.mid", "--mute", "hihatt"], "mute: expected a voice of the kit"),
        (["RLRR", "--watch", "-o", "old.mid"], 'expected a phrase file to watch, got "RLRR"\n'),
    ],
)  # fmt: skip
def test_it_is_refused_and_nothing_is_written(arguments: list[str], said: str) -> None:
    Path("old.mid").write_bytes(OLD)
    assert said in refused("render", *arguments)


def test_a_folder_of_the_outputs_name_is_no_file() -> None:
    Path("a.mid").mkdir()
    assert (
        refused("render", "pier.toml", "-o", "a.mid")
        == "a.mid: expected a plain file to write to, got something else\n"
    )


@pytest.mark.parametrize("bar", ["RLRX", ""])
def test_one_faulty_phrase_of_several_writes_none(bar: str) -> None:
    Path("bad.toml").write_text(PIER.replace("RLRR LRLL", bar))
    Path("old.mid").write_bytes(OLD)
    assert "bad.toml:5: bars.a.sticking" in refused("render", "pier.toml", "bad.toml", "-o", ".mid")


# -- the same output twice


def test_the_same_output_twice_gives_the_same_bytes() -> None:
    wrote("render", "pier.toml", "-o", "a.mid")
    first = Path("a.mid").read_bytes()
    wrote("render", "pier.toml", "-o", "a.mid")
    assert Path("a.mid").read_bytes() == first
    assert names() == ["a.mid"]


def test_the_old_files_permissions_are_kept_and_a_new_one_has_the_usual_ones() -> None:
    Path("old.mid").write_bytes(OLD)
    Path("old.mid").chmod(0o640)
    Path("other").write_bytes(b"")
    wrote("render", "pier.toml", "-o", "old.mid", "-o", "new.mid")
    assert Path("old.mid").stat().st_mode & 0o777 == 0o640
    assert Path("new.mid").stat().st_mode == Path("other").stat().st_mode


def test_a_link_is_written_through() -> None:
    Path("elsewhere").mkdir()
    Path("elsewhere/real.mid").write_bytes(OLD)
    Path("link.mid").symlink_to("elsewhere/real.mid")
    assert wrote("render", "pier.toml", "-o", "link.mid") == ["link.mid"]
    assert Path("link.mid").is_symlink()
    assert Path("elsewhere/real.mid").read_bytes()[:4] == b"MThd"
    assert names() == ["elsewhere/real.mid", "link.mid"]


def test_a_link_to_nothing_yet_makes_it() -> None:
    Path("elsewhere").mkdir()
    Path("link.mid").symlink_to("elsewhere/real.mid")
    wrote("render", "pier.toml", "-o", "link.mid")
    assert Path("elsewhere/real.mid").read_bytes()[:4] == b"MThd"


def test_a_link_that_leads_nowhere_is_refused() -> None:
    Path("link.mid").symlink_to("no/real.mid")
    assert refused("render", "pier.toml", "-o", "link.mid").startswith("link.mid: cannot be written: no such file")


@pytest.mark.parametrize("output", ["loop.mid", "loop/x.mid"])
@pytest.mark.parametrize("typed", [["render", "pier.toml"], ["new", "RLRR", "--overwrite"]])
def test_links_in_a_circle_are_refused(typed: list[str], output: str) -> None:
    suffix = ".mid" if typed[0] == "render" else ".toml"
    output = output.replace(".mid", suffix)
    for name, to in ((f"loop{suffix}", f"other{suffix}"), (f"other{suffix}", f"loop{suffix}"), ("loop", "loop")):
        Path(name).symlink_to(to)
    assert refused(*typed, "-o", output).startswith(output)


def test_two_links_to_one_file_are_one_output() -> None:
    Path("one.mid").symlink_to("real.mid")
    Path("two.mid").symlink_to("real.mid")
    assert "different files" in refused("render", "pier.toml", "-o", "one.mid", "-o", "two.mid")


def test_a_folder_that_may_not_be_written(monkeypatch: pytest.MonkeyPatch) -> None:
    def refusing(**_: object) -> tuple[int, str]:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    Path("a.mid").write_bytes(OLD)
    monkeypatch.setattr(tempfile, "mkstemp", refusing)
    assert refused("render", "pier.toml", "-o", "a.mid") == "a.mid: cannot be written: permission denied\n"


# -- names


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("RLRR LRLL", "RLRR-LRLL"),
        ("../../etc/passwd", "etc-passwd"),
        ("a/b\\c:d*e?f", "a-b-c-d-e-f"),
        ("con", "con_"),
        ("NUL", "NUL_"),
        ("Com1", "Com1_"),
        ("lpt9", "lpt9_"),
        ("lpt10", "lpt10"),
        ("水門の歌", "水門の歌"),
        ("Тихий ход", "Тихий-ход"),
        ("نهر", "نهر"),
        ("a\x00b\nc", "a-b-c"),
        ("", "phrase"),
        ("///", "phrase"),
        ("...", "phrase"),
        ("-RL", "RL"),
        ("a" * 300, "a" * 200),
        ("水" * 300, "水" * 66),
    ],
)
def test_the_name_of_a_file(name: str, written: str) -> None:
    assert file_name(name) == written
    assert len(file_name(name).encode()) <= 200


@pytest.mark.parametrize(
    ("sticking", "written"),
    [(">R(L)R|L", "R-L-R-L.mid"), ("lR rL", "lR-rL.mid"), ("RL" * 150, "RL" * 100 + ".mid"), ("R | L", "R-L.mid")],
)
def test_a_stickings_own_name(sticking: str, written: str) -> None:
    assert wrote("render", sticking, "-o", ".mid") == [written]


@pytest.mark.parametrize("stem", ["水門の歌", "نهر", "con", "a b", "a'b\"c", "-RL", "é"])
def test_a_phrase_file_of_any_name(stem: str) -> None:
    need_letters()
    Path(f"{stem}.toml").write_text(PIER)
    Path("out").mkdir()
    (written,) = wrote("render", "-o", "out/.mid", "--", f"{stem}.toml")
    assert written == f"out/{file_name(stem)}.mid"
    assert wrote("render", f"-oout/{stem}.mid", "pier.toml") == [f"out/{stem}.mid"]


def test_a_name_that_is_too_long_for_the_disk() -> None:
    assert refused("render", "pier.toml", "-o", "a" * 300 + ".mid").endswith("file name too long\n")


# -- whole or not at all


def full_disk(out: BinaryIO) -> None:
    out.write(b"half of it")
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_leaves_every_old_file() -> None:
    paths = [Path("one.mid"), Path("two.mid")]
    for path in paths:
        path.write_bytes(OLD)
    with pytest.raises(DrumgenError) as caught:
        save_together({paths[0]: writer_of(b"new"), paths[1]: full_disk})
    assert str(caught.value).endswith("cannot be written: no space left on device")
    assert names() == ["one.mid", "two.mid"]
    assert {path.read_bytes() for path in paths} == {OLD}


def test_what_is_being_written_is_hidden_and_says_whose_it_is() -> None:
    seen: list[str] = []

    def looking(out: BinaryIO) -> None:
        seen.extend(names())
        out.write(b"new")

    save_together({Path("one.mid"): looking})
    (beside,) = seen
    assert beside.startswith(".drumgen-")
    assert beside.endswith(".part")
    assert names() == ["one.mid"]


def test_a_full_disk_is_said_by_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    Path("a.mid").write_bytes(OLD)
    monkeypatch.setattr(os, "fsync", full)
    assert refused("render", "pier.toml", "-o", "a.mid").endswith("cannot be written: no space left on device\n")


@pytest.mark.parametrize("suffix", [".html", ".svg"])
def test_a_suffix_alone_minds_no_folder_of_another_name(suffix: str) -> None:
    Path(f"page{suffix}").mkdir()
    assert run_here(["render", "pier.toml", "-o", suffix])[0] == 0
    assert names() == [f"pier{suffix}"]


@pytest.mark.parametrize("error", [KeyboardInterrupt(), MemoryError(), ValueError("a bug")], ids=repr)
def test_whatever_else_goes_wrong_leaves_the_old_file(error: BaseException) -> None:
    def breaking(out: BinaryIO) -> None:
        out.write(b"half of it")
        raise error

    Path("one.mid").write_bytes(OLD)
    with pytest.raises(type(error)) as caught:
        save_together({Path("one.mid"): breaking})
    assert caught.value is error
    assert names() == ["one.mid"]
    assert Path("one.mid").read_bytes() == OLD


def test_the_last_of_several_that_cannot_be_put_in_place(monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(_temporary: Path, _path: Path) -> None:
        raise OSError(errno.EXDEV, os.strerror(errno.EXDEV))

    monkeypatch.setattr(saving, "_put_in_place", failing)
    Path("one.mid").write_bytes(OLD)
    with pytest.raises(DrumgenError, match=r"^one\.mid: cannot be written: "):
        save_together({Path("one.mid"): writer_of(b"new")})
    assert names() == ["one.mid"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes of POSIX")
def test_what_is_no_plain_file_is_not_replaced() -> None:
    """A pipe here; a device where a link leads to one."""
    os.mkfifo("pipe")
    Path("linked.mid").symlink_to("pipe")
    Path("folder.mid").mkdir()
    for name in ("pipe", "linked.mid", "folder.mid"):
        before = names()
        with pytest.raises(DrumgenError, match=rf"^{name}: expected a plain file to write to, got something else$"):
            save_together({Path("first.mid"): writer_of(b"new"), Path(name): writer_of(b"new")})
        assert names() == before
    assert Path("linked.mid").is_fifo()


def test_a_folder_is_made_for_its_files_and_gone_where_they_cannot_be() -> None:
    with pytest.raises(OSError, match="full"), folder_for(Path("deep", "made")):
        raise OSError("full")
    assert not Path("deep").exists()
    with folder_for(Path("deep", "made")):
        pass
    with pytest.raises(OSError, match="full"), folder_for(Path("deep", "made", "more")):
        raise OSError("full")
    assert [path.name for path in Path("deep").iterdir()] == ["made"]


@pytest.mark.parametrize("typed", [["vary", "pier.toml", "-k", "1"], ["lesson", "RL", "--files-only"]])
def test_no_empty_folder_is_left(typed: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_temporary: Path, _path: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(saving, "_put_in_place", full)
    code, _, errors = run_here([*typed, "-o", "deep/made"])
    assert (code, list(Path().iterdir())) == (2, [Path("pier.toml")])
    assert "cannot be written: no space left on device" in errors


SLOW = """
import sys, time
from pathlib import Path
from drumgen.saving import save_together

def slow(out):
    for _ in range(20):
        out.write(b"n" * 1000)
        time.sleep(0.002)

print("begun", flush=True)
while True:
    save_together({Path("kept.mid"): slow})
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="a system that kills otherwise")
def test_a_kill_leaves_the_old_file_or_the_new(tmp_path: Path) -> None:
    kept, new = tmp_path / "kept.mid", b"n" * 20_000
    seen = set()
    for attempt in range(20):
        kept.write_bytes(OLD)
        with subprocess.Popen([sys.executable, "-c", SLOW], cwd=tmp_path, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(attempt * 0.007)
            process.send_signal(signal.SIGKILL)
        seen.add(kept.read_bytes())
    assert OLD in seen
    assert seen <= {OLD, new}


# -- watching


def waited_for(path: Path, *, other_than: bytes) -> bytes:
    """The content of a file once it is another; whole, for it is put in place at once."""
    for _ in range(600):
        if path.exists() and (content := path.read_bytes()) != other_than:
            return content
        time.sleep(0.05)
    pytest.fail(f"{path} stayed as it was")


def test_watching_writes_again_at_each_saving_and_survives_a_fault(tmp_path: Path) -> None:
    phrase, written = tmp_path / "pier.toml", tmp_path / "pier.mid"
    typed = [*PROGRAM, "render", "pier.toml", "-o", "pier.mid", "--watch"]
    with subprocess.Popen(typed, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        first = waited_for(written, other_than=b"")
        assert process.stdout.readline().startswith("wrote pier.mid: 4 bars")
        phrase.write_text(PIER.replace("RLRR LRLL", "RLXX"))
        assert process.stderr.readline().startswith("pier.toml:5: bars.a.sticking: expected R, L, B")
        assert written.read_bytes() == first
        phrase.write_text(PIER.replace("a x2", "a x3"))
        second = waited_for(written, other_than=first)
        assert process.stdout.readline().startswith("wrote pier.mid: 5 bars")
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Traceback" not in errors
    assert written.read_bytes() == second
    assert [path.name for path in tmp_path.glob(".*")] == []


# -- new


def test_new_prints_or_writes_what_show_can_read() -> None:
    code, out, _ = run_here(["new", "RLRR LRLL", "--hands", "hihat/snare", "--accents", "2 4", "--kick", "1 3"])
    assert code == 0
    assert names() == []
    assert wrote("new", "RLRR LRLL", "--hands", "hihat/snare", "--accents", "2 4", "--kick", "1 3", "-o", "n.toml")
    assert Path("n.toml").read_text("utf-8") == out
    _, shown, _ = run_here(["show", "n.toml"])
    assert ">snare" in shown
    assert "kick" in shown


def test_new_never_writes_over_a_file_unless_told() -> None:
    Path("n.toml").write_bytes(OLD)
    assert (
        refused("new", "RLRR", "-o", "n.toml")
        == 'expected a file that is not there yet, or --overwrite, got "n.toml"\n'
    )
    assert wrote("new", "RLRR", "-o", "n.toml", "--overwrite") == ["n.toml"]
    assert b'sticking = "RLRR"' in Path("n.toml").read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["RLRR", "-o", "n.txt"], 'expected a phrase file ending in .toml, got "n.txt"\n'),
        (["RLRR", "-o", "no/n.toml"], "cannot be written: no such file or directory\n"),
        (["RLX", "-o", "n.toml"], "expected R, L, B, K, H or -, got X"),
        (["RLRR", "--accents", "9", "-o", "n.toml"], "accents: expected a count of 4/4 (1 to 4, each"),
        (["RLRR", "--kick", "x", "-o", "n.toml"], "feet.kick: expected a count such as 2, 2&"),
        (["RLRR", "--hands", "hihat/snair", "-o", "n.toml"], "hands.L: expected a voice of the kit"),
        (["double paradidle", "-o", "n.toml"], '(nearest: "double paradiddle")'),
        (["RLRR", "--title", "x" * 201, "-o", "n.toml"], "title: expected at most 200 characters"),
    ],
)  # fmt: skip
def test_new_is_refused_and_nothing_is_written(arguments: list[str], said: str) -> None:
    assert said in refused("new", *arguments)


def test_new_with_everything_is_a_phrase_with_a_fill() -> None:
    options = ["--title", "水門", "--ghosts", "1&", "--tempo", "eighth 180", "--kit", "five-piece", "--fill"]
    wrote("new", "flam tap", *options, "-o", "n.toml")
    code, out, _ = run_here(["check", "n.toml"])
    assert code == 0
    assert out.startswith("水門: ")
    assert "fill (fill, 4/4)" in out
