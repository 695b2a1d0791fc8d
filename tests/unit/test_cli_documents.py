"""`render` to sheets, a page and audio: which file holds what, and what is said of it."""

from __future__ import annotations

import hashlib
import io
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from golden_case import run_here

from drumgen.trade.cautions import HEARING_LINE, STRAIN_LINE


class Answer(NamedTuple):
    code: int
    out: str
    err: str


def answer(*arguments: str) -> Answer:
    return Answer(*run_here(list(arguments)))


ONE = 'title = "One"\nphrase = ["a"]\n[bars.a]\nsticking = "RL"\nsubdivision = "quarters"\n'
TWO = ONE.replace("One", "Two")


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("one.toml").write_text(ONE, encoding="utf-8")
    Path("two.toml").write_text(TWO, encoding="utf-8")


def written() -> list[str]:
    return sorted(path.name for path in Path().iterdir() if path.suffix != ".toml")


@pytest.mark.parametrize(
    ("suffix", "begins"),
    [
        (".pdf", b"%PDF-"),
        (".png", b"\x89PNG"),
        (".svg", b"<?xml"),
        (".musicxml", b"<?xml"),
        (".html", b"<!doctype html>"),
    ],
)
def test_several_phrases_on_one_sheet_or_page(suffix: str, begins: bytes) -> None:
    found = answer("render", "one.toml", "two.toml", "-o", f"all{suffix}")
    words = "a page" if suffix == ".html" else "a sheet"
    assert (found.code, found.out) == (0, f"wrote all{suffix}: {words} of One, Two\n")
    assert written() == [f"all{suffix}"]
    content = Path(f"all{suffix}").read_bytes()
    assert content[:200].lstrip().lower().startswith(begins.lower())
    answer("render", "one.toml", "two.toml", "-o", f"again{suffix}")
    again = Path(f"again{suffix}").read_bytes()
    assert hashlib.sha256(again).digest() == hashlib.sha256(content).digest()


def test_a_suffix_alone_is_a_sheet_a_phrase() -> None:
    assert answer("render", "one.toml", "two.toml", "-o", ".pdf", "-o", ".mid").code == 0
    assert written() == ["one.mid", "one.pdf", "two.mid", "two.pdf"]


def test_options_of_paper_change_what_is_printed() -> None:
    plain = _musicxml()
    assert "<lyric" in plain
    assert "<lyric" not in _musicxml("--without", "sticking")
    assert _musicxml("--counts").count("<lyric") > plain.count("<lyric")
    answer("render", "one.toml", "-o", "a4.pdf")
    answer("render", "one.toml", "-o", "letter.pdf", "--paper", "letter")
    assert b"612" in Path("letter.pdf").read_bytes()  # US Letter is 612 x 792 points
    assert Path("a4.pdf").read_bytes() != Path("letter.pdf").read_bytes()


def _musicxml(*options: str) -> str:
    answer("render", "one.toml", "-o", "x.musicxml", *options)
    return Path("x.musicxml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["-o", "x.pdf", "--paper", "A5"], 'expected --paper of A4 or Letter, got "A5"'),
        (["-o", "x.pdf", "--without", "notes"], 'expected --without sticking, got "notes"'),
        (["-o", "x.pdf", "-o", "x.pdf"], 'expected outputs that are different files, got "x.pdf" twice'),
        (["-o", "x.wav", "--rate", "8000"], "expected --rate of 44100 or 48000, got 8000"),
        (["-o", "x.wav", "--soundfont", "none.sf2"], "none.sf2: the SoundFont cannot be opened: No such file"),
        (["-o", "x.mid", "--rungs", "apart"], "rungs: expected a ladder beside rungs apart"),
    ],
)  # fmt: skip
def test_what_is_refused(options: list[str], message: str) -> None:
    found = answer("render", "one.toml", *options)
    assert found.code == 2
    assert message.removeprefix("rungs: expected ") in found.err
    assert written() == []


def test_audio_says_its_loudness_and_a_word_on_ears() -> None:
    found = answer("render", "one.toml", "-o", "x.wav")
    assert found.code == 0
    assert "LUFS, peak" in found.out
    assert found.err == f"remark: {HEARING_LINE}\n"


def test_much_repetition_gets_a_word_on_strain() -> None:
    found = answer("render", "one.toml", "--times", "250", "--tempo", "90", "-o", "x.ogg")
    assert found.code == 0
    assert found.err.splitlines()[-1].startswith("remark: much repetition: warm up, take breaks, and stop at pain")


def test_much_repetition_of_a_midi_file_gets_the_same_word() -> None:
    long, short = (["render", "one.toml", "--times", times, "--tempo", "90", "-o", "x.mid"] for times in ("250", "50"))
    assert answer(*long).err == f"remark: {STRAIN_LINE}\n"
    assert answer(*short).err == ""


def test_a_file_a_rung() -> None:
    found = answer("render", "one.toml", "--ladder", "eighth 120 to 160 by 20", "--rungs", "apart", "-o", "x.mid")
    assert found.code == 0
    assert written() == ["x-eighth-120.mid", "x-eighth-140.mid", "x-eighth-160.mid"]


def test_a_bar_shows_on_a_terminal_only(monkeypatch: pytest.MonkeyPatch) -> None:
    from drumgen.cli import progress

    with progress.shown_progress() as nobody:
        assert nobody is None
    terminal = io.StringIO()
    monkeypatch.setattr(terminal, "isatty", lambda: True)
    monkeypatch.setattr(sys, "stderr", terminal)
    with progress.shown_progress() as watched:
        assert watched is not None
        assert not terminal.getvalue()
        watched(1, 2)
        watched(2, 2)
    assert "sound" in terminal.getvalue()


def test_of_many_phrases_the_first_titles_are_told() -> None:
    names = [f"{number}.toml" for number in range(5)]
    for number, name in enumerate(names):
        Path(name).write_text(ONE.replace("One", f"No {number}"), encoding="utf-8")
    assert answer("render", *names, "-o", "x.svg").out == "wrote x.svg: a sheet of No 0, No 1, No 2, No 3 and 1 more\n"
    assert answer("render", *names[:4], "-o", "y.svg").out == "wrote y.svg: a sheet of No 0, No 1, No 2, No 3\n"


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        (["one.toml", "-o", "x.pdf", "--tempo", "80", "--click", "quarters"], "--click, --tempo"),
        (["one.toml", "-o", "x.musicxml", "--count-in", "1", "--mute", "snare"], "--mute, --count-in"),
        (["one.toml", "-o", "x.svg", "--tempo", "90"], ""),  # its own
        (["RL", "-o", "x.svg", "--tempo", "80"], ""),  # printed
        (["one.toml", "-o", "x.svg", "-o", "x.mid", "--tempo", "80"], ""),
        (["one.toml", "-o", "x.svg", "-o", "x.html", "--times", "2"], ""),
    ],
)
def test_what_a_sheet_does_not_show_is_remarked(typed: list[str], names: str) -> None:
    found = answer("render", *typed)
    told = f"remark: a sheet shows the phrase as it is written; only for what sounds, and for pages: {names}\n"
    assert (found.code, found.err) == (0, told if names else "")
