"""`lesson` on the command line: what it writes, what it says, what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest
from golden_case import run_here

SHORT = ["--minutes", "5"]


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_numbered_phrase_files_a_book_and_a_line_for_each_page() -> None:
    code, out, err = run_here(["lesson", "single paradiddle", "-o", "par", "--files-only", *SHORT])
    assert (code, err) == (0, "")
    names = sorted(path.name for path in Path("par").iterdir())
    assert names[-1] == "book.toml"
    lines = out.splitlines()
    assert len(lines) == len(names)
    assert all(line.split(".")[0].strip() == str(number) for number, line in enumerate(lines[:-1], start=1))
    assert lines[-1].startswith(f"Single paradiddle: a lesson: {len(names) - 1} exercises, ")
    assert run_here(["check", *(f"par/{name}" for name in names[:-1])])[0] == 0


def test_everything_is_made_of_it() -> None:
    code, out, err = run_here(["lesson", "RRL", "-o", "lessons/rrl", *SHORT])
    assert code == 0
    made = {path.suffix for path in Path("lessons/rrl/made").iterdir() if path.is_file()}
    assert made == {".mid", ".mp3", ".pdf", ".html"}
    assert "in lessons/rrl/made" in out.splitlines()[-1]
    assert "mind your ears" in err
    assert run_here(["book", "lessons/rrl", "-o", "lessons/rrl/made"])[1].startswith("RRL: a lesson: made 0 files")


def test_files_that_are_there_stay_unless_told() -> None:
    line = ["lesson", "RRL", "-o", "rrl", "--files-only", *SHORT]
    assert run_here(line)[0] == 0
    first = min(Path("rrl").glob("01-*.toml"))
    first.write_text("mine", "utf-8")
    code, out, err = run_here(line)
    assert (code, out) == (2, "")
    assert "expected files that are not there yet, or --overwrite" in err
    assert first.read_text("utf-8") == "mine"
    assert run_here([*line, "--overwrite"])[0] == 0
    assert first.read_text("utf-8") != "mine"


def test_a_kit_file_is_found_from_the_lessons_folder() -> None:
    kit = Path(__file__).resolve().parents[2] / "kits" / "four-piece.toml"
    Path("mine.toml").write_bytes(kit.read_bytes())
    assert run_here(["lesson", "RRL", "-o", "deep/rrl", "--kit", "mine.toml", "--files-only", *SHORT])[0] == 0
    groove = next(Path("deep/rrl").glob("*-groove.toml"))
    assert 'kit    = "../../mine.toml"' in groove.read_text("utf-8")
    assert run_here(["check", str(groove)])[0] == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["waltz"], 'expected one of the forty rudiments or a sticking, got "waltz"'),
        (["RXL"], "expected R, L, B, K, H or -, got X"),
        (["RL", "--for", "expert"], '--for learner, player or record, got "expert"'),
        (["RL", "--handed", "both"], '--handed of right or left, got "both"'),
        (["RL", "--minutes", "500"], "--minutes from 5 to 180, got 500"),
        (["RL", "--tempo", "fast"], "fast"),
        (["RL", "--kit", "practice-pad"], "each of its own"),
    ],
)
def test_what_is_refused_writes_nothing(arguments: list[str], words: str) -> None:
    code, out, err = run_here(["lesson", *arguments, "-o", "folder"])
    assert (code, out) == (2, "")
    assert words in err
    assert not Path("folder").exists()


def test_a_file_where_the_folder_should_be() -> None:
    Path("taken").write_text("", "utf-8")
    assert run_here(["lesson", "RL", "-o", "taken"])[0] == 2
    assert run_here(["lesson", "RL", "-o", "taken/inside"])[0] == 2


def test_a_folder_without_a_name() -> None:
    """As of a variable of the shell that is not set: the folder one is in is not filled."""
    assert run_here(["lesson", "RL", "-o", "", "--files-only"]) == (2, "", 'expected a folder, got ""\n')


def test_a_link_to_nothing_is_not_followed_unless_told() -> None:
    Path("les").mkdir()
    Path("les/book.toml").symlink_to(Path("../elsewhere.toml"))
    code, _, err = run_here(["lesson", "RL", "-o", "les", "--files-only", *SHORT])
    assert code == 2
    assert "files that are not there yet" in err
    assert not Path("elsewhere.toml").exists()


def test_pages_of_another_lesson_are_named_and_left() -> None:
    assert run_here(["lesson", "RLRR LRLL", "-o", "les", "--files-only", "--minutes", "30"])[0] == 0
    code, _, err = run_here(["lesson", "RLRR LRLL", "-o", "les", "--files-only", "--overwrite", *SHORT])
    assert code == 0
    assert err.startswith("remark: left in les, and not of this lesson: ")
    assert Path("les/15-at-the-songs-tempo.toml").exists()


def test_an_empty_tempo_is_refused() -> None:
    assert run_here(["lesson", "RL", "-o", "les", "--tempo", ""])[0] == 2
