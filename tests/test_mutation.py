"""Breaking on purpose, on a package of three lines: what is broken, what is noticed, and what is said of it."""

from __future__ import annotations

from contextlib import closing
from random import Random
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("resource", reason="a system that measures no process")

import breaking
import trying
from breaking import main
from breaks import Breakable, sampled
from reaching import Reach, importers
from trying import Copy

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

TINY = "def doubled(number: int) -> int:\n    return number * 2\n"
NOTICED = "from drumgen.tiny import doubled\n\n\ndef test_doubled() -> None:\n    assert doubled(3) == 6\n"
UNNOTICED = "from drumgen.tiny import doubled\n\n\ndef test_doubled() -> None:\n    assert doubled(0) == 0\n"


def project(folder: Path, *, module: str = TINY, test: str = NOTICED) -> Path:
    """A project of one module and one test."""
    for name, text in (("drumgen/__init__.py", ""), ("drumgen/tiny.py", module), ("tests/test_tiny.py", test)):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    (folder / "pyproject.toml").write_text("[tool.pytest.ini_options]\n", "utf-8")
    return folder


def command(folder: Path) -> list[str]:
    asked = ["--sample", "1", "--seed", "3", "--processes", "1", "--tests", "tests", "--project", str(folder)]
    return ["drumgen/tiny.py", *asked]


def test_a_break_that_a_test_notices(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert main(command(project(tmp_path))) == 0
    said = capfd.readouterr().out.splitlines()
    assert said[0] == "1 of 1 lines that can be broken, in 1 modules (seed 3)"
    assert said[-1].startswith("1 breaks: 1 noticed (0 of them as they had no end), 0 survived")


def test_a_break_that_survives_is_listed(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert main(command(project(tmp_path, test=UNNOTICED))) == 1
    *_, survivor, score = capfd.readouterr().out.splitlines()
    assert survivor.startswith("drumgen/tiny.py:2: return number * 2  ==>  return number ")
    assert score.startswith("1 breaks: 0 noticed")
    assert score.endswith("0.0 % noticed")
    assert (tmp_path / "drumgen" / "tiny.py").read_text("utf-8") == TINY


def test_tests_that_fail_by_themselves_are_an_error(tmp_path: Path) -> None:
    failing = NOTICED.replace("== 6", "== 7")
    with closing(Copy(project(tmp_path / "own", test=failing), tmp_path / "copy")) as copy:
        assert copy.noticed_by(["tests/test_tiny.py::test_doubled"], seconds=0) == "tests/test_tiny.py::test_doubled"


def test_a_break_without_an_end_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trying, "LEAST_S", 3)
    endless = TINY.replace("return number * 2", "while True: pass")
    tests = ["tests/test_tiny.py::test_doubled"]
    with closing(Copy(project(tmp_path / "own"), tmp_path / "copy")) as copy:
        assert copy.noticed_by(tests, seconds=0, module="drumgen/tiny.py", text=endless) == "time"
        assert copy.noticed_by(tests, seconds=0) == ""


def test_a_table_is_the_matter_of_the_tests_that_read_it(tmp_path: Path) -> None:
    """A line that runs on import alone: the tests of files that import its module, or one that imports it."""
    reader = "from drumgen.tiny import TABLE\n\n\ndef test_table() -> None:\n    assert TABLE == (1,)\n"
    root = project(tmp_path, module="from drumgen.rows import ROWS\n\nTABLE = ROWS\n", test=reader)
    (root / "drumgen" / "rows.py").write_text("ROWS = (1,)\n", "utf-8")
    other = Reach(
        {}, {"tests/test_other.py::test_nothing": 0.1, "tests/test_tiny.py::test_table": 0.1}, importers(root)
    )
    assert other.tests("drumgen/rows.py", (1, 1)) == ["tests/test_tiny.py::test_table"]
    assert other.tests("drumgen/tiny.py", (3, 3)) == ["tests/test_tiny.py::test_table"]


SILENT = '''\
"""A module."""
from typing import TYPE_CHECKING, Literal, cast
if TYPE_CHECKING:
    LIMIT = 7
Way = Literal["up", "down"]
"""Ways to go."""


@lru_cache(maxsize=7)
def one(number: int | None, way: Way) -> "int":
    """One."""
    return cast("int", number)
'''


def broken(folder: Path, text: str) -> Iterator[str]:
    breakable = Breakable(project(folder, module=text), "drumgen/tiny.py")
    return (str(each) for line in breakable.lines for each in breakable.breaks(line))


def test_the_quickest_are_run_of_those_that_import_the_module_and_of_the_others() -> None:
    seconds = {"tests/test_a.py::slow": 9.0, "tests/test_a.py::one": 3.0, "tests/test_a.py::two": 4.0}
    seconds |= {"tests/test_b.py::quick": 1.0, "tests/test_b.py::next": 2.0, "tests/test_b.py::last": 8.0}
    reach = Reach({}, seconds, {"drumgen/tiny.py": frozenset({"tests/test_a.py"})})
    quickest = ["tests/test_b.py::quick", "tests/test_b.py::next", "tests/test_a.py::one", "tests/test_a.py::two"]
    assert reach.ordered({*seconds}, "drumgen/tiny.py", longest_s=7) == quickest
    assert reach.ordered({*seconds}, longest_s=7) == ["tests/test_a.py::one", *quickest[:2]]


def test_what_says_nothing_while_it_runs_is_not_broken(tmp_path: Path) -> None:
    assert not [*broken(tmp_path, SILENT)]


def test_each_kind_of_change(tmp_path: Path) -> None:
    assert {each.partition("==>  ")[2] for each in broken(tmp_path, TINY)} == {"return number / 2", "return number * 3"}


def test_a_sample_is_the_same_each_time_and_spread_over_the_lines(tmp_path: Path) -> None:
    lines = "".join(f"A{number} = {number} + 1\n" for number in range(40))
    modules = [Breakable(project(tmp_path, module=lines), "drumgen/tiny.py")]
    first, again, other = (sampled(modules, 20, Random(seed)) for seed in (1, 1, 2))  # noqa: S311 - a sample
    assert first == again != other
    assert len({each.line for each in first}) == 20
    assert len(sampled(modules, 100, Random(1))) == 40  # noqa: S311 - as above


@pytest.mark.parametrize(("key", "why"), breaking.equivalents().items(), ids=lambda each: each[0] if each[1:] else "")
def test_what_is_judged_to_change_nothing_is_still_there(key: tuple[str, str, str], why: str) -> None:
    module, was, now = key
    lines = [line.strip() for line in (breaking.PROJECT / module).read_text("utf-8").splitlines()]
    assert was in lines, f"{module} no longer has {was}"
    assert now != was
    assert why
