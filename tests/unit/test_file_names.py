"""Names of files: what drumgen makes of titles and stickings, and files whose own names are no text.

What Windows refuses is asked of Python, which has it from "Naming Files, Paths, and Namespaces" (Microsoft Learn):
``ntpath.isreserved`` from 3.13 on, before that ``PureWindowsPath.is_reserved``.
"""

import ntpath
import os
import re
import subprocess
from pathlib import Path, PureWindowsPath

import pytest
from command_line import PIER, PROGRAM
from golden_case import run_here
from hypothesis import given
from hypothesis import strategies as st
from needs import need_letters

from drumgen.binding.jobs import Manner, output_name
from drumgen.book import Entry
from drumgen.cli import phrases
from drumgen.file_names import LONGEST_NAME_BYTES, SUFFIXES, file_name
from drumgen.spec.loading import kits_folder

REFUSED = re.compile(r'[<>:"/\\|?*\x00-\x1f]')
RESERVED = ("CON", "nul", "Prn", "aux", "COM1", "lpt9", "COM¹", "lpt²", "com³")
ODD = (
    *RESERVED,
    "a:b",
    "ends.",
    "ends ",
    " begins",
    "..",
    "CON.",
    "a/b",
    "a\\b",
    "a\0b",
    "-o",
    "~",
    "水" * 300,
    "r" * 300,
)
SHORT = tuple(each for each in ODD if len(each) <= 200)  # a title has no more
ASCII_ALONE = (
    "expected a name in letters that this system has, which says they are ascii (PYTHONUTF8=1 takes all), got "
)
TEXT = "a text whose letters this system can tell (PYTHONUTF8=1 lets Python read UTF-8)"
ODD_BYTES = b"\xe9tude"  # as an old disk of Western Europe has it: no UTF-8


def is_reserved(name: str) -> bool:
    """Whether Windows takes a name for a device of its own."""
    asked = getattr(ntpath, "isreserved", None)
    return asked(name) if asked is not None else PureWindowsPath(name).is_reserved()


def is_fit(name: str) -> bool:
    """Whether any system takes a name and keeps it."""
    fits = 0 < len(name.encode()) <= 255 and name == name.strip(" .")
    return fits and REFUSED.search(name) is None and not is_reserved(name)


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def names(folder: str = ".") -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


def done(*typed: str) -> str:
    code, out, errors = run_here(list(typed))
    assert code == 0, errors
    return out


def titled(title: str) -> str:
    escaped = "".join(f"\\u{ord(char):04x}" if ord(char) < 32 or char in '"\\' else char for char in title)
    return PIER.replace('"Pier"', f'"{escaped}"')


# -- made of anything


@pytest.mark.parametrize("name", RESERVED)
def test_windows_has_these_names_for_itself(name: str) -> None:
    assert is_reserved(name)
    assert is_reserved(f"{name}.mid")


@given(st.one_of(st.text(), st.sampled_from(ODD)), st.sampled_from(SUFFIXES))
def test_a_name_is_one_that_every_system_takes(text: str, suffix: str) -> None:
    made = file_name(text)
    assert len(made.encode()) <= LONGEST_NAME_BYTES + 1
    for ending in ("", "-1", "-ladder", "-120"):
        assert is_fit(f"{made}{ending}{suffix}")


@given(st.one_of(st.text(), st.sampled_from(ODD)))
def test_so_is_that_of_a_books_file(text: str) -> None:
    name = text.replace("/", "-").replace("\0", "-")
    assert is_fit(output_name(Entry(7, f"course/{name}.toml"), "ladder", Manner()))


@pytest.mark.parametrize("title", SHORT)
def test_variations_of_any_title(title: str) -> None:
    need_letters()
    Path("x.toml").write_text(titled(title), encoding="utf-8")
    done("vary", "x.toml", "-k", "2", "-o", "out")
    assert names() == ["out", "x.toml"]
    assert len(names("out")) == 2
    assert all(map(is_fit, names("out")))


@pytest.mark.parametrize("sticking", ["RL" * 150, "R|L", "(R)L", ">R>L", "llR-", "Rz L"])
def test_files_of_any_sticking_in_a_folder(sticking: str) -> None:
    Path("out").mkdir()
    done("render", sticking, "-o", "out/.mid", "-o", "out/.svg")
    assert names() == ["out"]
    assert len(names("out")) == 2
    assert all(map(is_fit, names("out")))


@pytest.mark.parametrize("ladder", ["60 to 80 by 10"])
def test_files_of_a_reserved_name_a_rung_each(ladder: str) -> None:
    Path("con.toml").write_text(PIER, encoding="utf-8")
    done("render", "con.toml", "--ladder", ladder, "--rungs", "apart", "-o", ".mid")
    assert names() == ["con.toml", "con_-60.mid", "con_-70.mid", "con_-80.mid"]


@pytest.mark.parametrize("title", [each for each in SHORT if "\0" not in each])  # no argument holds it
def test_a_file_of_any_title_is_begun(title: str) -> None:
    done("new", "RLRR", f"--title={title}", "-o", "n.toml")
    assert names() == ["n.toml"]
    done("render", "n.toml", "-o", ".mid")
    assert names() == ["n.mid", "n.toml"]


@pytest.mark.parametrize("sticking", ["RL" * 16, "RLRR-LRLL", "double paradiddle"])
def test_the_files_of_a_lesson(sticking: str) -> None:
    done("lesson", sticking, "--minutes", "5", "--files-only", "-o", "out")
    assert names() == ["out"]
    assert all(map(is_fit, names("out")))


# -- names that are no text


@pytest.fixture
def odd() -> str:
    """A phrase file whose name is no UTF-8, where the system has such."""
    name = os.fsdecode(ODD_BYTES + b".toml")
    try:
        Path(name).write_text(PIER.partition("\n")[2], encoding="utf-8")
    except OSError:
        pytest.skip("the names of this system are text")
    return name


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_phrase_whose_name_is_no_text(odd: str, suffix: str) -> None:
    assert done("render", odd, "-o", suffix).startswith(f"wrote tude{suffix}: ")
    assert Path(f"tude{suffix}").stat().st_size > 0


def test_its_name_is_shown_with_a_mark(odd: str) -> None:
    assert done("check", odd).startswith("\ufffdtude: 4 bars")


def test_outputs_whose_names_are_no_text(odd: str) -> None:
    done("render", odd, "-o", odd.replace("toml", "mid"), "-o", odd.replace("toml", "html"))
    done("transcribe", odd.replace("toml", "mid"), "-o", f"take-{odd}")
    done("assess", odd, odd.replace("toml", "mid"), "--picture", odd.replace("toml", "png"))
    done("vary", odd, "-k", "1", "-o", odd.replace(".toml", ""))
    assert names(odd.replace(".toml", "")) == ["tude-1.toml"]
    done("check", f"take-{odd}")


def test_a_kit_whose_name_is_no_text(odd: str) -> None:
    kit = odd.replace(".toml", "-kit.toml")
    Path(kit).write_bytes((kits_folder() / "general-midi.toml").read_bytes())
    done("render", odd, "--kit", kit, "-o", "a.mid", "-o", "a.html")
    code, _, errors = run_here(["new", "RLRR", "--kit", kit, "-o", "n.toml"])
    assert (code, errors) == (2, f'kit: expected {TEXT}, got "\ufffdtude-kit.toml"\n')
    assert not Path("n.toml").exists()


def test_a_book_of_such_names(odd: str) -> None:
    folder = odd.replace(".toml", "")
    Path(folder).mkdir()
    Path(odd).rename(Path(folder, odd))
    assert done("book", folder, "-o", "out").startswith("\ufffdtude: made 6 files")
    assert "01-tude.mid" in names("out")
    assert ">1. \ufffdtude<" in Path("out/index.html").read_text(encoding="utf-8")


def test_a_title_that_is_no_text() -> None:
    title = os.fsdecode(ODD_BYTES)
    code, _, errors = run_here(["new", "RLRR", "--title", title, "-o", "n.toml"])
    assert (code, errors) == (2, f'title: expected {TEXT}, got "\ufffdtude"\n')
    Path("pier.toml").write_text(PIER, encoding="utf-8")
    done("render", "pier.toml", "-o", "pier.mid")
    code, _, errors = run_here(["transcribe", "pier.mid", "--title", title, "-o", "t.toml"])
    assert (code, errors) == (2, f'title: expected {TEXT}, got "\ufffdtude"\n')
    assert names() == ["pier.mid", "pier.toml"]


# -- a kit of one's own, in files that are written elsewhere

OWN_KIT = ("--kit", "kits/own.toml")


@pytest.mark.parametrize("through_a_link", [False, True])
@pytest.mark.parametrize(
    "typed",
    [
        ("new", "RL", *OWN_KIT, "-o", "deep/a.toml"),
        ("vary", "RLRR", *OWN_KIT, "-k", "1", "-o", "deep"),
        ("vary", "pier.toml", *OWN_KIT, "-k", "1", "-o", "deep"),
        ("vary", "course/own.toml", "-k", "1", "-o", "deep"),
        ("transcribe", "pier.mid", *OWN_KIT, "-o", "deep/a.toml"),
        ("lesson", "RL", *OWN_KIT, "--minutes", "5", "--files-only", "-o", "deep"),
    ],
)
def test_a_written_file_finds_a_kit_of_ones_own(typed: tuple[str, ...], *, through_a_link: bool) -> None:
    for folder in ("kits", "course", "elsewhere/far/away"):
        Path(folder).mkdir(parents=True)
    Path("kits/own.toml").write_bytes((kits_folder() / "four-piece.toml").read_bytes())
    Path("pier.toml").write_text(PIER, encoding="utf-8")
    Path("course/own.toml").write_text(f'kit = "../kits/own.toml"\n{PIER}', encoding="utf-8")
    done("render", "pier.toml", "-o", "pier.mid")
    if through_a_link:
        Path("deep").symlink_to("elsewhere/far/away", target_is_directory=True)
    else:
        Path("deep").mkdir()
    done(*typed)
    written = [path for path in Path("deep").iterdir() if path.name != "book.toml"]
    assert written
    for path in written:
        assert "practice-pad" in path.read_text(encoding="utf-8") or "own.toml" in path.read_text(encoding="utf-8")
        done("render", str(path), "-o", "again.mid")


def test_a_kit_file_in_capitals_is_found_by_every_command() -> None:
    Path("SHED.TOML").write_bytes((kits_folder() / "four-piece.toml").read_bytes())
    Path("course").mkdir()
    Path("course/pier.toml").write_text(f'kit = "../SHED.TOML"\n{PIER}', encoding="utf-8")
    done("book", "course", "-o", "out")
    done("new", "RL", "--kit", "SHED.TOML", "-o", "course/a.toml")
    done("vary", "course/pier.toml", "-k", "1", "-o", "others")
    for path in ("course/a.toml", *map(str, Path("others").iterdir())):
        done("check", path)


@pytest.mark.parametrize("command", [("new", "RL"), ("transcribe", "pier.mid"), ("vary", "RLRR", "-k", "1")])
def test_a_kit_typed_whole_stays_as_it_is_typed(command: tuple[str, ...]) -> None:
    kit = (kits_folder() / "four-piece.toml").resolve().as_posix()
    Path("pier.toml").write_text(PIER, encoding="utf-8")
    Path("deep").mkdir()
    done("render", "pier.toml", "-o", "pier.mid")
    done(*command, "--kit", kit, "-o", "deep" if command[0] == "vary" else "deep/a.toml")
    assert f'"{kit}"' in next(Path("deep").iterdir()).read_text(encoding="utf-8")


# -- a system whose names are plain ASCII


def raising(error: Exception) -> object:
    def broken(*_: object) -> object:
        raise error

    return broken


@pytest.mark.parametrize(("encoding", "code"), [("ascii", 2), ("utf-8", 3)])
def test_what_is_in_files_is_always_utf_8(monkeypatch: pytest.MonkeyPatch, encoding: str, code: int) -> None:
    monkeypatch.setattr(phrases, "sketch", raising(UnicodeEncodeError(encoding, "水.mid", 0, 1, "no such letter")))
    got, _, errors = run_here(["show", "RLRR"])
    assert got == code
    assert errors.startswith(ASCII_ALONE + '"水.mid"' if code == 2 else "a bug in drumgen")


ASCII = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}


def spawned(*typed: str) -> tuple[int, str, str]:
    run = subprocess.run([*PROGRAM, *typed], capture_output=True, check=False, env={**os.environ, **ASCII})
    return run.returncode, run.stdout.decode("ascii"), run.stderr.decode("ascii")


@pytest.mark.skipif(os.name == "nt", reason="names there are always Unicode")
def test_a_name_that_the_systems_encoding_has_no_letters_for() -> None:
    Path("x.toml").write_text(titled("Przełęcz"), encoding="utf-8")
    code, out, errors = spawned("vary", "x.toml", "-k", "1", "-o", "out")
    assert (code, out) == (2, "")
    assert errors.startswith(ASCII_ALONE)
    assert errors.count("\n") == 1
    assert [path for path in Path().rglob("*") if path.is_file()] == [Path("x.toml")]


@pytest.mark.skipif(os.name == "nt", reason="names there are always Unicode")
def test_a_file_is_read_and_written_under_its_own_name_all_the_same() -> None:
    need_letters()
    Path("水.toml").write_text(PIER.partition("\n")[2], encoding="utf-8")
    code, _, errors = spawned("render", "水.toml", "-o", "水.mid", "-o", "水.html")
    assert (code, errors) == (0, "")
    assert names() == ["水.html", "水.mid", "水.toml"]
    assert "<title>水" in Path("水.html").read_text(encoding="utf-8")
