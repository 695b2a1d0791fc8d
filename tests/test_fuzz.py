"""A short run of the fuzzing campaign, and that it would find what it looks for: each kind of fault, planted."""

from __future__ import annotations

import os
import signal
import sys
import time
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("resource", reason="a system that measures no process")

import campaign
from campaign import Campaign, Outcome, case_of, run_campaign
from hypothesis import given, settings
from hypothesis import strategies as st
from mutating import damaged_bytes, damaged_text, turned_text
from seeding import KINDS, PHRASE, Case

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

SHORT = {"phrases": 150, "kits": 150, "midi": 40, "soundfonts": 4, "books": 20, "arguments": 100}


@pytest.mark.parametrize("kind", KINDS)
def test_a_short_run_finds_nothing(kind: str, tmp_path: Path) -> None:
    outcome = run_campaign(Campaign(kind, SHORT[kind], keep=tmp_path / "found"), tmp_path)
    assert outcome.cases == SHORT[kind]
    assert not outcome.findings, str(outcome)
    assert set(outcome.exits) - {2}, "nothing came through: all was refused"


def test_a_case_is_named_by_its_number() -> None:
    for kind in KINDS:
        assert case_of(Campaign(kind, 1), 17) == case_of(Campaign(kind, 1), 17)
        assert case_of(Campaign(kind, 1), 17) != case_of(Campaign(kind, 1), 18)


@settings(max_examples=50)
@given(st.text(max_size=200), st.randoms(use_true_random=False))
def test_any_text_can_be_damaged(text: str, rng: Random) -> None:
    assert isinstance(damaged_text(text, [PHRASE], rng), str)
    assert isinstance(turned_text(text, rng), str)


@settings(max_examples=50)
@given(st.binary(max_size=200), st.randoms(use_true_random=False))
def test_any_bytes_can_be_damaged(content: bytes, rng: Random) -> None:
    assert isinstance(damaged_bytes(content, [b"MThd"], rng), bytes)


# -- planted faults, each found by its kind


def planted(main: Callable[[list[str]], int], folder: Path, *, count: int = 3) -> Outcome:
    """What is found in a program that does ``main``."""

    def make(_: Random) -> Case:
        return Case("x.toml", b"x", ("check", "CASE"))

    return run_campaign(Campaign("planted", count, main=main, make=make, keep=folder / "found"), folder)


def no_fault(_: list[str]) -> int:
    return 0


def a_bug(_: list[str]) -> int:
    sys.stderr.write("Traceback (most recent call last):\n  File \"drumgen/bar.py\", line 7, in bar\nKeyError: 'x'\n")
    return 3


def an_exception(_: list[str]) -> int:
    raise ZeroDivisionError


def an_exit(_: list[str]) -> int:
    sys.exit(1)


def another_code(_: list[str]) -> int:
    return 7


def no_word(_: list[str]) -> int:
    return 2


def a_steering_sign(_: list[str]) -> int:
    sys.stdout.write("\x1b[31mred")
    return 0


def written_on_bad_input(_: list[str]) -> int:
    Path("out/x.mid").write_bytes(b"half")
    sys.stderr.write("refused")
    return 2


def written_beside(_: list[str]) -> int:
    Path("strayed.mid").write_bytes(b"half")
    sys.stderr.write("refused")
    return 2


def a_part_left(_: list[str]) -> int:
    Path("out/.drumgen-1.part").write_bytes(b"half")
    return 0


def much_memory(_: list[str]) -> int:
    return len(bytearray(os.urandom(1)) * (600 << 20)) and 0


def death(_: list[str]) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


@pytest.mark.parametrize(
    ("main", "found"),
    [
        (a_bug, "exit 3 KeyError in drumgen/bar.py:7 bar"),
        (an_exception, "out of the boundary ZeroDivisionError"),
        (an_exit, "out of the boundary SystemExit"),
        (another_code, "exit 7"),
        (no_word, "bad input without a word"),
        (a_steering_sign, "a sign that steers a terminal"),
        (written_on_bad_input, "written on bad input"),
        (written_beside, "written on bad input"),
        (a_part_left, "a part left behind"),
        (much_memory, "over 500 MB"),
        (death, "the process died (-9)"),
    ],
)
def test_a_planted_fault_is_found_in_every_case(main: Callable[[list[str]], int], found: str, tmp_path: Path) -> None:
    outcome = planted(main, tmp_path)
    assert (outcome.cases, outcome.findings.total()) == (3, 3)
    (kind,) = outcome.findings
    assert kind.startswith(found)
    assert len(list((tmp_path / "found").glob("*.txt"))) == 3


def test_a_program_without_fault_is_left_alone(tmp_path: Path) -> None:
    outcome = planted(no_fault, tmp_path)
    assert (outcome.cases, outcome.exits[0], outcome.findings.total()) == (3, 3, 0)


def test_one_that_takes_all_the_processor_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def busy(_: list[str]) -> int:
        while True:
            with suppress(Exception):
                sum(range(1000))

    monkeypatch.setattr(campaign, "LONGEST_S", 0.2)
    outcome = planted(busy, tmp_path, count=2)
    assert outcome.findings.total() == 2
    assert next(iter(outcome.findings)).startswith("over 0.2 s of the processor")


def test_one_that_sleeps_is_killed_and_the_next_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def asleep(_: list[str]) -> int:
        time.sleep(60)
        return 0

    monkeypatch.setattr(campaign, "SILENT_S", 0.5)
    outcome = planted(asleep, tmp_path, count=2)
    assert outcome.findings == {"silent for 0.5 s": 2}
