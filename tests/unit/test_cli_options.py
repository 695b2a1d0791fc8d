"""Each shared option of the command line: what it changes, told by a second reader of MIDI files, and its error."""

from collections.abc import Callable
from pathlib import Path

import pytest
from command_line import PIER
from golden_case import run_here
from smf_music import LYRIC, MARKER, Onset, onsets, texts
from smf_reader import File, read_smf

SNARE, HIHAT, KICK, FLOOR_TOM, CRASH = 38, 42, 36, 43, 49
BAR_TICKS = 4 * 960


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pier.toml").write_text(PIER)


def rendered(phrase: str, *options: str) -> File:
    code, _, errors = run_here(["render", phrase, "-o", "x.mid", *options])
    assert code == 0, errors
    return read_smf(Path("x.mid").read_bytes())


def keys(file: File) -> set[int]:
    return {onset.key for onset in onsets(file)}


def letters(file: File) -> str:
    return " ".join(text.content.decode() for text in texts(file, LYRIC))


def bars(file: File) -> float:
    return file.tracks[0].end_tick / BAR_TICKS


def markers(file: File) -> list[str]:
    return [text.content.decode() for text in texts(file, MARKER)]


def tempo_us(file: File) -> int:
    (event,) = [event for event in file.tracks[0].events if event.meta == 0x51]
    return int.from_bytes(event.data, "big")


PLAIN_BARS = ["groove a", "groove a", "fill b", "landing", "end"]


def test_nothing_asked_for() -> None:
    file = rendered("pier.toml")
    assert markers(file) == PLAIN_BARS
    assert bars(file) == 4
    assert keys(file) == {SNARE, HIHAT, KICK, FLOOR_TOM, CRASH}


# An option, and what must hold of the file.
EFFECTS: list[tuple[list[str], Callable[[File], bool]]] = [
    (["--kit", "practice-pad"], lambda file: HIHAT not in keys(file)),
    (["--lead", "L"], lambda file: letters(file).startswith("L R L L R L R R")),
    (["--lead", "R"], lambda file: letters(file).startswith("R L R R L R L L")),
    (["--handed", "left"], lambda file: letters(file).startswith("L R L L R L R R")),
    (["--handed", "right"], lambda file: letters(file).startswith("R L R R L R L L")),
    (["--bars", "2"], lambda file: markers(file) == ["groove a", "end"]),
    (["--bars", "2-3"], lambda file: markers(file) == ["groove a", "fill b", "landing", "end"]),
    (["--bars", "1, 3"], lambda file: markers(file) == ["groove a", "fill b", "landing", "end"]),
    (["--only", "fill"], lambda file: markers(file) == ["fill b", "landing", "end"]),
    (["--only", "a"], lambda file: markers(file) == ["groove a", "groove a", "end"]),
    (["--limbs", "feet"], lambda file: keys(file) == {KICK}),
    (["--limbs", "hands"], lambda file: keys(file) == {SNARE, HIHAT, FLOOR_TOM, CRASH}),
    (["--limbs", "left hand and K"], lambda file: keys(file) == {SNARE, KICK}),
    (["--mute", "snare"], lambda file: keys(file) == {HIHAT, KICK, FLOOR_TOM, CRASH}),
    (["--mute", "snare", "--mute", "hihat"], lambda file: keys(file) == {KICK, FLOOR_TOM, CRASH}),
    (["--count-in", "2"], lambda file: markers(file) == ["count-in", "count-in", *PLAIN_BARS] and bars(file) == 6),
    (["--count-in", "0"], lambda file: markers(file) == PLAIN_BARS),
    (["--times", "2"], lambda file: markers(file) == [*PLAIN_BARS[:3], *PLAIN_BARS]),
    (["--loop"], lambda file: bars(file) == 3 and onsets(file)[0].tick == 0 and CRASH in keys(file)),
    (["--tempo", "60"], lambda file: tempo_us(file) == 1_000_000),
    (["--tempo", "eighth 240"], lambda file: tempo_us(file) == 500_000),
    (["--tempo", "127"], lambda file: tempo_us(file) == 472_441),
    (["--ppq", "480"], lambda file: file.header.ticks_per_quarter == 480),
    (["--tracks", "voices"], lambda file: file.header.format == 1 and len(file.tracks) == 6),
    (["--tracks", "limbs"], lambda file: file.header.format == 1 and len(file.tracks) == 4),
    (["--tracks", "one"], lambda file: file.header.format == 0),
]


@pytest.mark.parametrize(("options", "holds"), EFFECTS, ids=[" ".join(options) for options, _ in EFFECTS])
def test_what_an_option_changes(options: list[str], holds: Callable[[File], bool]) -> None:
    assert holds(rendered("pier.toml", *options))


def test_what_is_silenced_moves_nothing_else() -> None:
    whole = onsets(rendered("pier.toml"))
    assert onsets(rendered("pier.toml", "--mute", "snare")) == [each for each in whole if each.key != SNARE]


# The options of a sticking or a rudiment.
SKETCHED: list[tuple[list[str], Callable[[File], bool]]] = [
    (["RL"], lambda file: keys(file) == {SNARE} and len(onsets(file)) == 16),
    (["RL", "--hands", "hihat/snare"], lambda file: [each.key for each in onsets(file)[:2]] == [HIHAT, SNARE]),
    (["RL", "--hands", "hihat"], lambda file: keys(file) == {HIHAT}),
    (["RL", "--subdivision", "triplets"], lambda file: onsets(file)[1].tick == 320),
    (["RL", "--subdivision", "eighths,triplets,eighths,eighths"], lambda file: onsets(file)[3].tick == 1280),
    (["RL", "--meter", "3/4"], lambda file: file.tracks[0].end_tick == 3 * 960),
    (["RLL", "--meter", "7/8 2+2+3"], lambda file: file.tracks[0].end_tick == 3 * 7 * 480),
    (["RLRLRR"], lambda file: bars(file) == 3),
    (["RLRLRR", "--across", "restart"], lambda file: letters(file).split()[12:] == ["R", "L", "R", "L"]),
    (["RLRLRR", "--across", "once"], lambda file: len(onsets(file)) == 6),
    (["RLRLRR", "--across", "carry"], lambda file: bars(file) == 1),
    (["RL", "--tempo", "60"], lambda file: tempo_us(file) == 1_000_000),
    (["RL", "--lead", "L"], lambda file: letters(file).startswith("L R")),
    (["RL", "--kit", "practice-pad"], lambda file: len(keys(file)) == 1),
    (["flam tap", "--subdivision", "sixteenths"], lambda file: "lR R rL L" in letters(file)),
]


@pytest.mark.parametrize(("typed", "holds"), SKETCHED, ids=[" ".join(typed) for typed, _ in SKETCHED])
def test_what_an_option_makes_of_a_sticking(typed: list[str], holds: Callable[[File], bool]) -> None:
    assert holds(rendered(*typed))


ERRORS = {
    ("--kit", "five-peace"): "kit: expected a shipped kit (",
    ("--kit", "no.toml"): "no.toml: there is no such file",
    ("--lead", "X"): 'expected --lead of R or L, got "X"',
    ("--handed", "lefty"): 'expected --handed of right or left, got "lefty" (nearest: "left")',
    ("--bars", "4"): "bars: expected bars from 1 to 3, got 4",
    ("--bars", "0"): "bars: expected bars from 1 to 3, got 0",
    ("--bars", "3-2"): 'bars: expected a range of bars from low to high, got "3-2"',
    ("--bars", "two"): 'bars: expected bar numbers such as "4" or "4-5, 8", got "two"',
    ("--only", "fil"): 'only: expected the name or role of a bar that is played (a, b, fill, groove), got "fil"',
    ("--limbs", "toes"): "limbs: expected limbs of hands, feet, right hand",
    ("--mute", "hihatt"): 'mute: expected a voice of the kit "general-midi", got "hihatt" (nearest: "hihat")',
    ("--count-in", "9"): "count-in: expected a number from 0 to 8, got 9",
    ("--count-in", "-1"): "count-in: expected a number from 0 to 8, got -1",
    ("--times", "0"): "times: expected a number from 1 to 10000, got 0",
    ("--only", ""): 'only: expected a text that is not empty, got ""',
    ("--kit", ""): 'kit: expected a text that is not empty, got ""',
    ("--times", "10001"): "times: expected a number from 1 to 10000, got 10001",
    ("--times", "1.5"): "invalid value for '--times': expected a whole number",
    ("--tempo", "9"): "tempo: expected a tempo from 10 to 400 beats a minute, got 9",
    ("--tempo", "fast"): 'tempo: expected a tempo such as 92, "eighth 192" or "dotted quarter 80", got "fast"',
    ("--tempo", "152 to 120"): 'tempo: expected a tempo such as 92, "eighth 192"',
    ("--tempo", "nan"): "tempo: expected a tempo such as 92",
    ("--hands", "hihat/snare"): "--hands only with a sticking or a rudiment: a phrase file says it itself",
    ("--subdivision", "triplets"): "--subdivision only with a sticking or a rudiment",
    ("--meter", "3/4"): "--meter only with a sticking or a rudiment",
    ("--across", "carry"): "--across only with a sticking or a rudiment",
    ("--loop", "--count-in", "1"): "loop: a loop or a count-in, not both",
}


@pytest.mark.parametrize(("options", "said"), ERRORS.items(), ids=[" ".join(options) for options in ERRORS])
@pytest.mark.parametrize("command", ["show", "check"])
def test_the_error_of_an_option(command: str, options: tuple[str, ...], said: str) -> None:
    code, out, errors = run_here([command, "pier.toml", *options])
    assert (code, out) == (2, "")
    assert errors.startswith(said)


@pytest.mark.parametrize(
    "typed",
    [["render", "pier.toml", "-o", "x.mid"], ["play", "RL"], ["lesson", "RL", "-o", "x"], ["book", ".", "-o", "x"]],
)
def test_an_empty_soundfont_is_not_as_if_none_were_named(typed: list[str]) -> None:
    said = 'soundfont: expected a text that is not empty, got ""\n'
    assert run_here([*typed, "--soundfont", ""]) == (2, "", said)
    assert not Path(typed[-1]).exists()


SKETCH_ERRORS = {
    ("--hands", "hihat/"): 'expected the voices of the right and left hand, such as hihat/snare, got "hihat/"',
    ("--hands", "hihat/snair"): 'hands.L: expected a voice of the kit "general-midi", got "snair" (nearest: "snare")',
    ("--hands", "kick/snare"): 'hands.R: expected a voice that hands play in the kit "general-midi", got "kick"',
    ("--subdivision", "16ths"): "subdivision: expected one of quarters, eighths, sixteenths,",
    (
        "--subdivision",
        "eighths,triplets",
    ): "subdivision: expected one subdivision, or one for each of the 4 beats",
    ("--meter", "4/5"): "meter: expected a lower number of 1, 2, 4, 8, 16 or 32, got 5\n    4/5\n      ^",
    ("--across", "bar"): 'across: expected one of restart, carry, once, got "bar"',
    ("--tempo", "1000"): "tempo: expected a tempo from 10 to 400 beats a minute, got 1000",
    ("--tempo", "9" * 5000): "tempo: expected a tempo such as 92",
    ("--kit", "five-peace"): "expected a shipped kit (",
}


@pytest.mark.parametrize(
    ("options", "said"), SKETCH_ERRORS.items(), ids=[" ".join(each)[:40] for each in SKETCH_ERRORS]
)
def test_the_error_of_an_option_of_a_sticking(options: tuple[str, ...], said: str) -> None:
    code, out, errors = run_here(["show", "RLRR", *options])
    assert (code, out) == (2, "")
    assert said in errors


# -- the file's own practice


def test_the_files_own_practice_is_kept_unless_told() -> None:
    Path("own.toml").write_text(PIER + "\n[practice]\ntimes = 2\ntempo = 60\ncount-in = 1\nmute = ['snare']\n")
    own = rendered("own.toml")
    assert markers(own) == ["count-in", *PLAIN_BARS[:3], *PLAIN_BARS]
    assert tempo_us(own) == 1_000_000
    assert SNARE not in keys(own)
    assert markers(rendered("own.toml", "--times", "1")) == ["count-in", *PLAIN_BARS]
    assert tempo_us(rendered("own.toml", "--tempo", "90")) == 666_667
    plain = rendered("own.toml", "--plain")
    assert plain == rendered("pier.toml", "--tempo", "90")
    assert markers(rendered("own.toml", "--plain", "--times", "2")) == [*PLAIN_BARS[:3], *PLAIN_BARS]


@pytest.mark.parametrize(("line", "said"), [
    ("bars = '4'", "own.toml:15: practice.bars: expected bars from 1 to 3, got 4\n"),
    ("only = 'fil'", "own.toml:15: practice.only: expected the name or role of a bar that is played"),
    ("mute = ['hihatt']", 'own.toml:15: practice.mute[1]: expected a voice of the kit "general-midi", got "hihatt"'),
])  # fmt: skip
def test_a_fault_of_the_files_own_practice_points_to_its_line(line: str, said: str) -> None:
    Path("own.toml").write_text(f"{PIER}\n[practice]\n{line}\n")
    code, _, errors = run_here(["check", "own.toml"])
    assert code == 2
    assert errors.startswith(said)


def test_onsets_are_compared_whole() -> None:
    assert onsets(rendered("RL"))[0] == Onset(0, 9, SNARE, 82)
