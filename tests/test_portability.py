"""The command that tries every Python and console (``tests/portability/run.py``): what it looks at, how it tells."""

import importlib.util
import os
import sys
from pathlib import Path

import pytest
from consoles import turkish_console
from environments import oldest, project
from interpreters import OLDEST, interpreters, this_one
from main_job import Job, unlike
from needs import missing, need
from packing import ROOT, frozen, packed
from trials import Failed, NotHere, environment, ran, table, tried


def failing() -> str:
    raise Failed("it snapped\nin two")


def absent() -> str:
    raise NotHere("no rope")


def test_the_sdist_builds_the_wheel_and_both_hold_everything(tmp_path: Path) -> None:
    need(importlib.util.find_spec("hatchling") and importlib.util.find_spec("build"), "hatchling or build")
    wheel, note = packed(frozen(tmp_path), tmp_path)
    assert wheel.suffix == ".whl"
    assert note.endswith("the sdist builds the same, byte by byte")


def test_what_is_not_in_the_wheel_is_told(tmp_path: Path) -> None:
    need(importlib.util.find_spec("hatchling") and importlib.util.find_spec("build"), "hatchling or build")
    source = frozen(tmp_path)
    settings = source / "pyproject.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(text.replace('"kits" = "drumgen/kits"', '"kits" = "drumgen/kit"'), encoding="utf-8")
    with pytest.raises(Failed, match=r"^not in drumgen-\S+\.whl: drumgen/kits/five-piece\.toml, "):
        packed(source, tmp_path)


def test_every_dependency_has_a_lowest_version() -> None:
    said = project(ROOT)["project"]
    extras = [each for extra in said["optional-dependencies"].values() for each in extra]
    assert len(oldest([*said["dependencies"], *extras])) == len(said["dependencies"]) + len(extras)
    assert oldest(["numpy>=1.26", "ruff>=0.17,<0.18"]) == ["numpy==1.26", "ruff==0.17"]
    with pytest.raises(Failed, match="rope has no lower bound"):
        oldest(["rope"])


def test_this_python_is_among_those_that_are_tried() -> None:
    found = interpreters()
    assert this_one(found).numbers == tuple(sys.version_info[:3])
    assert all(each.minor >= OLDEST for each in found)
    assert len({each.version for each in found}) == len(found)
    assert [each.numbers for each in found] == sorted(each.numbers for each in found)


def test_the_table_tells_how_each_trial_ended() -> None:
    trials = [tried("knots", "3.11", lambda: "12 of them"), tried("ropes", "3.12", failing), tried("sails", "", absent)]
    assert [each.is_failed for each in trials] == [False, True, False]
    lines = table(trials).splitlines()
    assert [line.split() for line in lines[1:4]] == [
        ["knots", "3.11", "ok", "0.0", "12", "of", "them"],
        ["ropes", "3.12", "FAILED", "0.0"],
        ["sails", "not", "here", "0.0", "no", "rope"],
    ]
    assert lines[4:] == ["", "ropes, Python 3.12:", "it snapped", "in two"]


def test_a_command_that_fails_says_the_end_of_what_it_said(tmp_path: Path) -> None:
    with pytest.raises(Failed, match=r"exit code 3\nsnapped$"):
        ran([sys.executable, "-c", "print('snapped'); raise SystemExit(3)"], folder=tmp_path)


def test_two_jobs_are_alike_but_for_what_is_drawn_by_lot() -> None:
    one = Job(1, {"a.mid": "1", "b.ogg": "2", "c.wav": "3"})
    assert unlike(one, Job(1, {"a.mid": "1", "b.ogg": "9", "c.wav": "3"})) == []
    assert unlike(one, Job(1, {"a.mid": "7", "b.ogg": "2"})) == ["a.mid", "c.wav"]


TAKEN_OVER = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from drumgen.cli.boundary import main
code = main(["render", "RLRR LRLL", "-o", "a.svg", "-o", "a.html", "--tempo", "93"])
sys.exit(code or locale.localeconv()["decimal_point"] != sys.argv[1])
"""


def test_a_program_that_has_taken_over_a_locale_gets_the_same_sheets(tmp_path: Path) -> None:
    try:
        env = turkish_console(Path(sys.executable), tmp_path)
    except NotHere as error:
        missing(str(error))
    path = os.pathsep.join(sys.path)  # what is tested here is tested there
    found = {}
    for name, point, console in (("turkish", ",", env), ("plain", ".", environment())):
        folder = tmp_path / name
        folder.mkdir()
        ran([sys.executable, "-c", TAKEN_OVER, point], folder=folder, env={**console, "PYTHONPATH": path})
        found[name] = [(folder / each).read_bytes() for each in ("a.svg", "a.html")]
    assert found["turkish"] == found["plain"]
