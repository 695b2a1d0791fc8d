"""The commands that start from a take, as they are typed: what they print, write and refuse, and their exit codes."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from drum_room import performed

from drumgen.cli.boundary import main
from drumgen.midi.write import render_midi

TAKES = Path(__file__).parents[1] / "oracle" / "takes"
BROOK = """
title = "Brook"
tempo = 90
phrase = ["a x2"]
[bars.a]
sticking = "RLRR LRLL"
hands.R = "hihat"
feet.kick = "1 3"
"""


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """A folder with a phrase and a perfect take of it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "brook.toml").write_text(BROOK)
    assert main(["render", "brook.toml", "-o", "brook.mid"]) == 0
    capsys.readouterr()
    return tmp_path


def test_transcribe_prints_and_writes_a_phrase_that_is_the_take(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["transcribe", "brook.mid", "-o", "again.toml"]) == 0
    out = capsys.readouterr().out
    assert "bars 1-2: a" in out
    assert "wrote again.toml" in out
    assert main(["assess", "again.toml", "brook.mid"]) == 0
    assert main(["transcribe", "brook.mid", "-o", "again.toml"]) == 2
    assert "--overwrite" in capsys.readouterr().err
    assert main(["transcribe", "brook.mid", "-o", "again.toml", "--overwrite", "--title", "Other", "--lead", "L"]) == 0
    assert 'title  = "Other"' in (room / "again.toml").read_text()


@pytest.mark.usefixtures("room")
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["transcribe", "nothing.mid"], "nothing.mid: there is no such file"),
        (["transcribe", "brook.toml"], "brook.toml: expected a MIDI file, which begins with MThd"),
        (["transcribe", "brook.mid", "--lead", "X"], 'expected --lead of R or L, got "X"'),
        (["transcribe", "brook.mid", "--width", "3"], "expected --width from 40 to 500, got 3"),
        (["transcribe", "brook.mid", "-o", ""], 'expected an output ending in .toml, got ""'),
        (["kits", "learn", "brook.mid", "-o", ""], 'expected an output ending in .toml, got ""'),
        (["transcribe", "brook.mid", "-o", "x.mid"], 'expected an output ending in .toml, got "x.mid"'),
        (["transcribe", "brook.mid", "--channel", "17"], "expected --channel from 1 to 16, got 17"),
        (["transcribe", "brook.mid", "--debounce", "-1"], "expected --debounce from 0 to 100 milliseconds, got -1"),
        (["transcribe", "brook.mid", "--pedal", "x"], "expected the pedal's values from 0 to 127"),
        (
            ["transcribe", "brook.mid", "--channel", "3"],
            "brook.mid: expected strokes of the kit general-midi on channel 3",
        ),
        (["transcribe", "brook.mid", "--tempo", "fast"], "expected a tempo such as"),
        (["assess", "brook.toml", "brook.mid", "--window", "0"], "expected --window from 1 to 250 milliseconds, got 0"),
        (["assess", "brook.toml", "brook.mid", "--start", "-1"], "expected --start from 0 seconds to a day, got -1"),
        (["kits", "learn", "brook.mid", "--pause", "0"], "expected --pause from 0.2 to 60 seconds, got 0"),
        (
            ["kits", "learn", "brook.mid", "--note", "kick"],
            'expected --note with a voice, = and its answer, got "kick"',
        ),
        (["kits", "learn", "brook.mid", "--note", "kick=x"], 'expected --note kick= and a note from 0 to 127, got "x"'),
        (["assess", "brook.mid", "brook.toml"], 'expected the phrase first and then the take, got "brook.mid"'),
        (["kits", "learn", "brook.mid"], "voices were asked for and 1 group of strokes heard"),
        (["kits", "learn", "--order", ""], 'order: expected at least one name, got ""'),
        (
            ["kits", "remap", "brook.mid", "--from", "five-piece", "--to", "six", "-o", "x.mid"],
            "expected a shipped kit",
        ),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert captured.out == ""


@pytest.mark.usefixtures("room")
def test_a_tempo_may_be_said_or_guessed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["transcribe", "brook.mid", "--tempo", "90", "--meter", "4/4"]) == 0
    assert "tempo 90" in capsys.readouterr().out
    assert main(["transcribe", "brook.mid", "--tempo", "guess"]) == 0
    assert "tempo guessed from the strokes" in capsys.readouterr().out


def test_a_meter_that_is_said_is_not_told_to_be_assumed(capsys: pytest.CaptureFixture[str]) -> None:
    path = str(TAKES / "no-tempo-no-meter.mid")
    assumed = f"remark: {path}: no tempo in the file, 120 quarters a minute assumed\n"
    assert main(["transcribe", path]) == 0
    assert capsys.readouterr().err == f"{assumed}remark: {path}: no meter in the file, 4/4 assumed\n"
    assert main(["transcribe", path, "--meter", "3/4"]) == 0
    assert capsys.readouterr().err == assumed
    main(["assess", "RLRR", path, "--played-at", "120"])
    said = capsys.readouterr().err
    assert said.startswith(assumed)
    assert "4/4" not in said


@pytest.mark.usefixtures("room")
def test_assess_says_what_was_missed_and_ends_with_1(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["render", "brook.toml", "--mute", "kick", "-o", "handsonly.mid"]) == 0
    assert main(["assess", "brook.toml", "handsonly.mid"]) == 1
    assert "missed 4, added 0, on another voice 0" in capsys.readouterr().out
    assert main(["assess", "brook.toml", "brook.mid", "--json", "--played-at", "90", "--start", "0"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["limbs"]["right hand"]["mean_ms"] == 0
    assert found["tempo"]["mean"] == pytest.approx(90, abs=0.01)


def test_assess_draws_a_picture(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("verovio")
    typed = ["assess", "brook.toml", "brook.mid", "--played-at", "90", "--start", "0"]
    assert main([*typed, "--picture", "brook.svg"]) == 0
    assert "Under each stroke: milliseconds late" in (room / "brook.svg").read_text("utf-8")
    assert main([*typed, "--picture", "brook.pdf"]) == 0
    assert (room / "brook.pdf").read_bytes().startswith(b"%PDF")
    assert main([*typed, "--picture", "brook.pdf"]) == 2
    assert main([*typed, "--picture", "brook.gif"]) == 2
    assert "expected a picture ending in .svg, .pdf or .png" in capsys.readouterr().err


def test_the_picture_has_a_bar_and_a_number_for_every_stroke(room: Path) -> None:
    """Eight sixteenths of which the left hand's are 20 ms late and one is missed: a star."""
    pytest.importorskip("verovio")
    text = 'title = "Sill"\ntempo = 100\nphrase = ["a"]\n[bars.a]\nmeter = "2/4"\nsticking = "RLRR"\nfeet.kick = "1"\n'
    (room / "sill.toml").write_text(text, "utf-8")
    performance = performed(text)
    hits = [replace(hit, tick=hit.tick + (32 if hit.limb == "L" else 0)) for hit in performance.hits]
    del hits[3]
    (room / "sill.mid").write_bytes(render_midi(replace(performance, hits=tuple(hits))))
    typed = ["assess", "sill.toml", "sill.mid", "--played-at", "100", "--start", "0", "--picture"]
    assert main([*typed, "sill.svg"]) == 1
    drawn = (room / "sill.svg").read_text("utf-8")
    assert re.findall(r">(-?\d+\*?|\*)</", drawn[drawn.index(">hands<") : drawn.index(">feet<")]) == [
        *("0", "20", "*", "0", "0", "20", "0", "0")
    ]
    assert "#" not in re.sub(r'"[^"]*"', "", drawn)
    assert main([*typed, "sill.png"]) == 1
    assert (room / "sill.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.usefixtures("room")
def test_assess_follows_repeats_and_options(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["render", "brook.toml", "--times", "3", "-o", "three.mid"]) == 0
    assert main(["assess", "brook.toml", "three.mid"]) == 0
    assert "3 times through" in capsys.readouterr().out
    assert main(["assess", "brook.toml", "three.mid", "--times", "3"]) == 0


def test_oddities_are_told_on_the_other_stream(capsys: pytest.CaptureFixture[str]) -> None:
    path = TAKES / "velocity-byte-200.mid"
    assert main(["transcribe", str(path)]) == 0
    captured = capsys.readouterr()
    assert f"remark: {path}: byte 49: a data byte C8 over 7F, read as 127" in captured.err
    assert main(["transcribe", str(path), "--strict"]) == 2
    assert f"{path}: byte 49: a data byte C8 over 7F, read as 127" in capsys.readouterr().err


@pytest.mark.usefixtures("room")
def test_kits_learn_prints_the_order(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["kits", "learn", "--order", "kick, snare"]) == 0
    assert capsys.readouterr().out.splitlines()[1:] == ["   1 kick", "   2 snare"]
    assert main(["kits", "learn"]) == 0
    assert "floor-tom" in capsys.readouterr().out


def test_kits_learn_writes_a_kit_that_plays(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    strokes = [(36, 0), (36, 250), (36, 250), (38, 2000), (38, 250), (42, 2000), (42, 250)]
    body = b"".join(bytes([0x80 | wait >> 7, wait & 0x7F, 0x99, key, 60]) for key, wait in strokes)
    track = body + b"\x00\xff\x2f\x00"
    header = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xf4"
    (room / "pads.mid").write_bytes(header + b"MTrk" + len(track).to_bytes(4, "big") + track)
    learn = ["kits", "learn", "pads.mid", "--order", "kick, snare, hihat, rimshot", "--same", "rimshot=snare"]
    assert main([*learn, "-o", "mine.toml"]) == 0
    assert main(learn) == 0
    assert "hihat: note 42, 2 strokes, velocities 60 to 60" in capsys.readouterr().out
    assert main(["render", "brook.toml", "--kit", "mine.toml", "-o", "mine.mid"]) == 0
    assert main(["kits", "remap", "mine.mid", "--from", "mine.toml", "--to", "five-piece", "-o", "back.mid"]) == 0
    assert "36 strokes of mine moved to five-piece" in capsys.readouterr().out


@pytest.mark.usefixtures("room")
def test_kits_remap_tells_what_it_could_not_move(capsys: pytest.CaptureFixture[str]) -> None:
    take = str(TAKES / "notes-outside-gm1.mid")
    assert main(["kits", "remap", take, "--from", "general-midi", "--to", "pedal-hihat", "-o", "out.mid"]) == 0
    assert "note 22 (1) written through: the kit general-midi has no voice for it" in capsys.readouterr().err
    hats = str(TAKES / "hihat-pedal-cc4.mid")
    assert main(["kits", "remap", hats, "--from", "general-midi", "--to", "pedal-hihat", "-o", "hats.mid"]) == 0
    captured = capsys.readouterr()
    assert "moves of the hi-hat pedal left out" in captured.err
    assert "hihat-open (4)" in captured.out


@pytest.mark.usefixtures("room")
def test_kits_remap_says_where_the_strokes_are_if_none_are_on_the_channel(capsys: pytest.CaptureFixture[str]) -> None:
    remap = ["kits", "remap", "brook.mid", "--from", "general-midi", "--to", "five-piece", "-o", "x.mid", "--overwrite"]
    assert main([*remap, "--channel", "1"]) == 0
    captured = capsys.readouterr()
    assert captured.err == "remark: no notes on channel 1, but on channel 10 (36); --channel 10 moves them\n"
    assert captured.out == "wrote x.mid: 0 strokes of general-midi moved to five-piece\n"
    assert main([*remap, "--channel", "10"]) == 0
    assert capsys.readouterr().err == ""
    Path("brook.mid").write_bytes(bytes.fromhex("4D546864 00000006 0000 0001 01E0 4D54726B 00000004 00FF2F00"))
    assert main(remap) == 0
    assert capsys.readouterr().err == "remark: no notes on channel 10\n"


@pytest.mark.parametrize("command", [["transcribe"], ["assess"], ["kits"], ["kits", "learn"], ["kits", "remap"]])
def test_every_command_has_its_help(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command, "--help"]) == 0
    assert "Usage: drumgen" in capsys.readouterr().out


def test_the_kits_are_listed_as_before(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["kits"]) == 0
    assert "five-piece: Five-piece" in capsys.readouterr().out
    assert main(["kits", "five-piece"]) == 0
    assert "kick foot" in capsys.readouterr().out
    assert main(["kits", "lern"]) == 2


def test_a_long_picture_has_pages_or_is_one_long_page(room: Path) -> None:
    pypdfium2 = pytest.importorskip("pypdfium2")
    stickings = [f"{first}L{second}R{third}LRL" for first, second, third in product("RL", "RL-", "RL-")]
    names = [f"b{number}" for number in range(len(stickings))]
    rows = zip(names, stickings, strict=True)
    bars = "".join(f'[bars.{name}]\nsticking = "{row}"\nfeet.kick = "1"\n' for name, row in rows)
    order = ", ".join(f'"{name}"' for name in names)
    (room / "long.toml").write_text(f'title = "Long"\nphrase = [{order}]\n{bars}', "utf-8")
    assert main(["render", "long.toml", "-o", "long.mid"]) == 0
    for suffix in ("pdf", "svg"):
        assert main(["assess", "long.toml", "long.mid", "--picture", f"long.{suffix}"]) == 0
    assert len(pypdfium2.PdfDocument(room / "long.pdf")) > 1
    (height,) = re.findall(r'<svg [^>]*height="([\d.]+)mm"', (room / "long.svg").read_text("utf-8"))
    assert float(height) > 297


def test_what_a_name_holds_does_not_steer_the_terminal(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = "\x1b[2Jtake.mid"
    (room / "brook.mid").rename(room / name)
    typed = (
        ["assess", "brook.toml", name],
        ["transcribe", name, "-o", "\x1b[2Jout.toml"],
        ["kits", "remap", name, "--from", "general-midi", "--to", "five-piece", "-o", "\x1b[2Jout.mid"],
    )
    for words in typed:
        assert main(words) == 0
        said = capsys.readouterr()
        assert "\x1b" not in said.out + said.err
        assert "\N{REPLACEMENT CHARACTER}[2J" in said.out
