"""The commands ``check`` and ``vary``: what they print, what they write, and how they end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import PIER
from golden_case import run_here

from drumgen.spec.loading import load_phrase

FAST = 'tempo = 140\nphrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "RRRL"\nhands.R = "hihat"\n'


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pier.toml").write_text(PIER)
    Path("fast.toml").write_text(FAST)


def test_check_ends_with_one_where_the_tempo_is_over_the_top() -> None:
    code, out, errors = run_here(["check", "fast.toml"])
    assert (code, errors) == (1, "")
    assert "  for a player: sits well to 87, hard by 100: at 140 not yet\n" in out
    assert "    sets it: right hand, bar 1, hi-hat, three in a row on 1, 1e and 1&: up to 100\n" in out
    assert "Stop at pain, tingling or numbness." in out
    assert run_here(["check", "fast.toml", "--tempo", "99"])[0] == 0
    assert run_here(["check", "fast.toml", "--tempo", "99", "--for", "learner"])[0] == 1
    assert run_here(["check", "fast.toml", "--for", "record"])[0] == 0


def test_check_as_json() -> None:
    code, out, _ = run_here(["check", "fast.toml", "RL", "--json"])
    fast, singles = json.loads(out)
    assert code == 1
    assert (fast["top"], fast["playable"], fast["bars"]) == (100.0, False, 1)
    assert (singles["top"], singles["playable"], singles["skill"]) == (200.0, True, "player")
    assert fast["survey"] == [
        {
            "name": "a",
            "role": "groove",
            "meter": "4/4",
            "comes_round_bars": 0.25,
            "linear": True,
            "strokes": {"right hand": 12, "left hand": 4},
            "accents": {},
        }
    ]


def test_check_for_whom() -> None:
    assert run_here(["check", "RL", "--for", "plaier"])[2] == (
        'expected --for learner, player or record, got "plaier" (nearest: "player")\n'
    )


def test_vary_prints_what_it_found() -> None:
    code, out, errors = run_here(["vary", "fast.toml", "--tempo", "60", "-k", "2", "--free", "--apart", "2"])
    assert (code, errors) == (0, "")
    first, terms, second, _, summary = out.splitlines()
    assert first.startswith("1. Right hand ")
    assert terms.startswith("   cost ")
    assert second.startswith("2. ")
    assert "orchestrations" in summary
    assert not list(Path().glob("*-1.toml"))


def test_vary_writes_files_that_can_be_read() -> None:
    code, out, _ = run_here(["vary", "pier.toml", "-k", "3", "-o", "others", "--apart", "1"])
    assert code == 0
    written = sorted(Path("others").iterdir())
    assert written
    assert all(f"wrote {path}" in out for path in written)
    for path in written:
        assert load_phrase(path).phrase.note in out
        assert run_here(["check", str(path)])[0] == 0


def test_vary_never_writes_over_a_file_unless_told() -> None:
    arguments = ["vary", "pier.toml", "-k", "1", "-o", "others", "--apart", "1"]
    assert run_here(arguments)[0] == 0
    old = {path: path.read_bytes() for path in Path("others").iterdir()}
    code, out, errors = run_here(arguments)
    assert (code, out) == (2, "")
    assert "expected a file that is not there yet, or --overwrite" in errors
    assert {path: path.read_bytes() for path in Path("others").iterdir()} == old
    assert run_here([*arguments, "--overwrite"])[0] == 0


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (["--times", "2"], "no --times, which changes nothing here\n"),
        (["--from", "scratch"], 'expected --from sticking, got "scratch"\n'),
        (["-k", "0"], "k: expected a number from 1 to 1000, got 0\n"),
        (["-o", "pier.toml"], 'expected a folder, got "pier.toml"\n'),
        (["-o", ""], 'expected a folder, got ""\n'),
        (["--voices", "snare,kick"], 'voices: expected a voice that hands play, got "kick"\n'),
        (["--voices", ""], 'voices: expected at least one name, got ""\n'),
        (["--bars", ""], 'bars: expected at least one name, got ""\n'),
        (["--keep", "taps", "--keep", " , "], 'keep: expected at least one name, got " , "\n'),
        (["--tempo", ""], 'expected a tempo such as 92, "eighth 192" or "dotted quarter 80", got ""\n'),
        (["--handed", ""], 'expected --handed of right or left, got ""\n'),
        (["--handed", "lefty"], 'expected --handed of right or left, got "lefty" (nearest: "left")\n'),
    ],
)
def test_vary_refuses(more: list[str], message: str) -> None:
    assert run_here(["vary", "pier.toml", *more]) == (2, "", message)


def test_vary_takes_a_sticking_and_another_kit() -> None:
    code, out, _ = run_here(["vary", "RLLRRL", "-k", "1", "--kit", "left-handed", "--keep", "left hand"])
    assert code == 0
    assert "left hand stays on snare" in out.lower()
