"""`book` on the command line: its summary, its exit codes, what it says beside, and a run that is broken off."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time
from pathlib import Path
from typing import NamedTuple

import pytest
from book_room import BROKEN, bound, contents, phrase_text, write_phrases
from command_line import PROGRAM
from golden_case import run_here

from drumgen.trade.cautions import HEARING_LINE, STRAIN_LINE

MIDI_ONLY = 'title = "Evenings"\nmake = ["midi"]\ntogether = []\n'
ENDED_S = 60


class Answer(NamedTuple):
    code: int
    out: str
    err: str


def answer(*arguments: str) -> Answer:
    return Answer(*run_here(["book", *arguments]))


@pytest.fixture(autouse=True)
def _course(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    write_phrases(Path("course"), a=phrase_text("One"), b=phrase_text("Two"))
    Path("course/book.toml").write_text(MIDI_ONLY)


def test_one_summary() -> None:
    assert answer("course", "-o", "out") == (0, "Evenings: made 2 files, in out\n", "")
    assert answer("course", "-o", "out") == (0, "Evenings: made 0 files, 2 unchanged, in out\n", "")
    write_phrases(Path("course"), a=phrase_text("Other"))
    Path("course/b.toml").rename("course/c.toml")
    assert answer("course/book.toml", "-o", "out") == (0, "Evenings: made 2 files, 1 removed, in out\n", "")
    write_phrases(Path("course"), a1=phrase_text("More"))
    Path("course/c.toml").rename("course/b.toml")
    assert answer("course", "-o", "other").out == "Evenings: made 3 files, in other\n"
    Path("course/a1.toml").unlink()
    assert (
        answer("course", "-o", "other").out == "Evenings: made 0 files, 1 unchanged, 1 renamed, 2 removed, in other\n"
    )


def test_a_broken_phrase_is_told_and_the_rest_is_made() -> None:
    write_phrases(Path("course"), b=BROKEN)
    found = answer("course", "-o", "out")
    assert found.code == 4
    assert found.out == "Evenings: made 1 file, 1 phrase broken, in out\n"
    assert found.err.splitlines()[0] == "course/b.toml:3: bars.a.sticking: expected R, L, B, K, H or -, got X"
    assert list(contents(Path("out"))) == ["01-a.mid"]
    again = answer("course", "-o", "out")
    assert (again.code, again.out) == (4, "Evenings: made 0 files, 1 unchanged, 1 phrase broken, in out\n")


def test_where_nothing_can_be_made_nothing_is_touched() -> None:
    assert answer("course", "-o", "out").code == 0
    write_phrases(Path("course"), b=BROKEN)
    Path("course/a.toml").unlink()
    was = contents(Path("out"))
    assert answer("course", "-o", "out").code == 2
    assert contents(Path("out")) == was


def test_a_folder_in_a_files_place_is_refused() -> None:
    Path("out/01-a.mid").mkdir(parents=True)
    found = answer("course", "-o", "out", "--overwrite")
    assert (found.code, found.err) == (2, "out/01-a.mid: expected a file or nothing, got a folder\n")


def test_again_makes_the_index_again_too() -> None:
    Path("course/book.toml").write_text(MIDI_ONLY.replace("together = []", 'together = ["index"]'))
    assert answer("course", "-o", "out").out == "Evenings: made 3 files, in out\n"
    assert answer("course", "-o", "out", "--again").out == "Evenings: made 3 files, in out\n"


def test_where_nothing_can_be_made() -> None:
    write_phrases(Path("course"), a=BROKEN, b=BROKEN)
    found = answer("course", "-o", "out")
    assert (found.code, found.out) == (2, "Evenings: made 0 files, 2 phrases broken, in out\n")
    assert not Path("out").exists()
    Path("course/book.toml").write_text("titel = 3\n")
    assert answer("course", "-o", "new") == (
        2,
        "",
        'course/book.toml:1: titel: expected a known key, got "titel" (nearest: "title")\n',
    )
    assert not Path("new").exists()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["nope", "-o", "out"], "nope: there is no such file"),
        (["course", "-o", ""], 'expected a folder, got ""'),
        (["course", "-o", "out", "--jobs", "0"], "expected --jobs from 1 to 1024, got 0"),
        (["course", "-o", "out", "--jobs", "2", "--on", "tcp://x:1"], "--jobs or --on, not both: a cluster has"),
        (["course", "-o", "course/a.toml"], "course/a.toml: cannot be written: "),
        (["course"], "missing option '--output'"),
    ],
)
def test_what_is_refused(arguments: list[str], message: str) -> None:
    found = answer(*arguments)
    assert (found.code, found.out) == (2, "")
    assert message in found.err


def test_sound_gets_a_word_on_ears_and_long_sound_one_on_strain() -> None:
    Path("course/book.toml").write_text('make = ["click"]\ntogether = []\naudio = "ogg"\ntimes = 2\n')
    assert answer("course", "-o", "out").err == f"remark: {HEARING_LINE}\n"
    assert answer("course", "-o", "out").err == ""
    Path("course/book.toml").write_text('make = ["click"]\ntogether = []\naudio = "ogg"\ntimes = 300\n')
    assert answer("course", "-o", "out").err == f"remark: {HEARING_LINE}\nremark: {STRAIN_LINE}\n"


def test_remarks_are_told_once() -> None:
    Path("course/book.toml").write_text('make = ["midi", "ladder"]\ntogether = []\n')
    assert answer("course", "-o", "out").err == "remark: no ladder is named for phrase 1, 2: made without it\n"


def test_the_schema_of_a_book() -> None:
    code, out, _ = run_here(["schema", "book"])
    schema = json.loads(out)
    assert code == 0
    assert {"title", "note", "make", "together", "audio", "paper", "phrases", "count-in"} <= schema["properties"].keys()
    assert schema["$defs"]["EntryTable"]["required"] == ["file"]


# -- broken off


def _started(*, group: bool = False) -> subprocess.Popen[bytes]:
    """A run of a book of twelve with sheets, of which some are there and some are not yet."""
    write_phrases(Path("course"), **{f"p{number}": phrase_text(f"No. {number}") for number in range(10)})
    Path("course/book.toml").write_text('make = ["midi", "sheet", "play-along"]\ntogether = ["page"]\naudio = "ogg"\n')
    typed = [*PROGRAM, "book", "course", "-o", "out", "--jobs", "2"]
    process = subprocess.Popen(typed, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=group)
    for _ in range(100 * ENDED_S):
        if Path("out").is_dir() and len(contents(Path("out"))) >= 3:
            return process
        time.sleep(0.01)
    process.kill()
    raise AssertionError("nothing was made")


def _goes_on() -> None:
    """What was made is kept and whole, the rest is made, and all of it is what one run would have made."""
    kept = contents(Path("out"))
    found = bound(Path("course"), Path("out"))
    fresh = bound(Path("course"), Path("fresh"))
    assert set(found.unchanged) == set(kept)
    assert 3 <= len(kept) < len(fresh.made)
    assert contents(Path("out")).keys() == contents(Path("fresh")).keys()
    for name, content in contents(Path("fresh")).items():
        if not name.endswith(".ogg"):  # an Ogg stream has a serial of its own
            assert contents(Path("out"))[name] == content
    assert [path.name for path in Path("out/.drumgen-book").iterdir()] == ["record"]
    assert bound(Path("course"), Path("out")).made == []


def test_a_run_that_is_killed_goes_on_where_it_was() -> None:
    process = _started()
    process.kill()
    _, said = process.communicate()
    assert process.returncode == -signal.SIGKILL
    assert b"Traceback" not in said
    _goes_on()


@pytest.mark.skipif(os.name == "nt", reason="Windows knows no interrupt of a process group")
def test_a_run_that_is_interrupted_says_nothing_and_goes_on_where_it_was() -> None:
    process = _started(group=True)
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate()
    assert (process.returncode, said) == (130, b"")
    assert [path.name for path in Path("out/.drumgen-book").iterdir()] == ["record"]
    _goes_on()
