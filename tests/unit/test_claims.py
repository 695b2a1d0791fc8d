"""Figures and lists of README.md, DEVELOPERS.md, the help and docstrings that no other test holds to the product."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from golden_case import run_here

import drumgen
from drumgen.audio.drawing import Drawer
from drumgen.audio.encode import RATES
from drumgen.audio.resample import read_between
from drumgen.audio.ringing import fade_curve
from drumgen.audio.shots import Shots, choose_sound
from drumgen.audio.soundfont import built_in_soundfont, open_soundfont
from drumgen.audio.strikes import Bar, Strike, place_bars
from drumgen.bar import Across, GraceVoice, Layer, Role
from drumgen.book import Product, Whole
from drumgen.cli import boundary, practising
from drumgen.clicks import CLICKS_ON
from drumgen.file_names import SUFFIXES
from drumgen.midi.events import Tracks
from drumgen.orchestration import Every
from drumgen.sheet.sheets import PAPERS
from drumgen.spec.book_loading import load_book
from drumgen.spec.loading import load_kit, load_phrase
from drumgen.study.crossing import crossed
from drumgen.study.lesson_tempos import climb
from drumgen.subdivision import SUBDIVISIONS
from drumgen.tempo import Tempo
from drumgen.trade.cautions import NIOSH
from drumgen.trade.limits import FOOT_PAIR, FOOT_REPEATED, HAND_REBOUND, HAND_REPEATED
from drumgen.trade.rudiments import RUDIMENTS

ROOT = Path(__file__).resolve().parents[2]
TESTS = ROOT / "tests"
README = " ".join((ROOT / "README.md").read_text("utf-8").split())
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
PHRASE = 'phrase = ["a"]\n[bars.a]\nrole = "fill"\nsticking = "RLRR LRLL"\n'


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("quay.toml").write_text(PHRASE, encoding="utf-8")


def section(heading: str) -> str:
    """A section of DEVELOPERS.md."""
    return DEVELOPERS.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]


def rows(text: str) -> list[list[str]]:
    """The rows of the tables of a text, without their headings."""
    found = [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if line[:1] == "|"]
    return [row for row in found[1:] if not set(row[0]) <= {"-"}]


# -- figures


def test_what_a_player_is_given_is_the_figures_of_the_limits() -> None:
    hand, foot = (HAND_REPEATED.player, HAND_REBOUND.player), (FOOT_REPEATED.player, FOOT_PAIR.player)
    assert "a player is given {:g} ms for a full stroke and {:g} ms for a rebound".format(*hand) in README
    assert "A foot is given {:g} ms, or {:g} for a quick pair".format(*foot) in README


def test_a_hi_hat_fades_as_the_table_says() -> None:
    fade_db = 20 * np.log10(fade_curve(48_000)[:, 0])
    assert "it fades: 30 dB in 60 ms, gone after 144 ms" in README
    assert fade_db[48 * 60] == pytest.approx(-30, abs=0.01)
    assert len(fade_db) == 48 * 144
    assert fade_db[-1] == pytest.approx(-72, abs=0.02)


@pytest.mark.parametrize(("key", "shots", "levels"), [(38, 4, 1), (49, 1, 4)], ids=["snare", "crash"])
def test_long_cymbals_differ_in_level_alone(key: int, shots: int, levels: int) -> None:
    sound = choose_sound(open_soundfont(built_in_soundfont()), seed=1)
    strikes = tuple(Strike(100 * place, key, 90) for place in range(40))
    [bar] = place_bars([Bar(0, strikes)], end=4000, clock=1000, rate=sound.rate)
    drawn = Drawer(Shots(sound), clock=1000).draw(bar)
    assert len({each.shot for each in drawn}) == shots
    assert len({each.amplitude for each in drawn}) == levels
    assert "pitch and brightness (of long cymbals in level alone)" in README


def test_a_page_of_a_lesson_climbs_as_far_as_is_told() -> None:
    assert "each from about half its top tempo to about three quarters, quarter 180 at most" in README
    for rungs in (3, 4, 5):
        assert (climb(200, rungs=rungs).lowest, climb(200, rungs=rungs).highest // 2) == (100, 74)
        assert climb(None, rungs=rungs) == climb(400, rungs=rungs) == climb(240, rungs=rungs)
        assert climb(None, unit="eighth", rungs=rungs).highest / 2 < 180
    assert max(climb(None, rungs=rungs).highest for rungs in (3, 4, 5)) == 180


def test_the_advice_on_hearing_is_the_rule_it_names() -> None:
    limit, exchange = "at most {0.hours:g} hours a {0.period} at {0.level_dba:g} dBA", "every {0.exchange_db:g} dB more"
    assert f"NIOSH advises {limit}, half as long for {exchange}".format(NIOSH) in README


def test_no_phrase_of_the_demonstrations_course_is_quicker_than_it_is_written() -> None:
    for entry in load_book(ROOT / "demo" / "book.toml").entries:
        phrase = load_phrase(entry.file).phrase
        tempo = dict(entry.options).get("tempo", phrase.tempo)
        assert isinstance(tempo, Tempo)
        assert tempo.quarters(phrase.meter) <= phrase.tempo.quarters(phrase.meter)


def test_kits_and_rudiments_are_as_many_as_are_told() -> None:
    assert len(list((ROOT / "kits").glob("*.toml"))) == 6
    assert len(RUDIMENTS) == 40
    assert "six kits; the forty rudiments" in README


@pytest.mark.parametrize("name", ["five-piece", "four-piece", "general-midi", "pedal-hihat", "left-handed"])
def test_hands_cross_from_the_hi_hat_to_the_other_side_of_the_kit_only(name: str) -> None:
    kit = load_kit(name)
    hihat = kit.voice("hihat")
    right = kit.hand == "right"
    found = {
        voice
        for voice in kit.voices
        if (crossed(hihat, kit.voice(voice)) if right else crossed(kit.voice(voice), hihat))
    }
    assert "only where the other is across the kit, as at the ride or floor tom" in README
    assert found >= {"ride", "floor-tom"}
    assert not found & {"snare", "cross-stick", "high-tom", "mid-tom", "crash", "hihat-open"}


@pytest.mark.parametrize("option", [("--answer", "4"), ("--only-click",), ("--gap", "2 on 2 off")])
def test_what_stands_beside_a_click_needs_one(option: tuple[str, ...]) -> None:
    code, _, errors = run_here(["render", "quay.toml", *option, "-o", "a.mid"])
    assert (code, "a click beside" in errors) == (2, True)
    assert run_here(["render", "quay.toml", *option, "--click", "quarters", "-o", "a.mid"])[0] == 0


@pytest.mark.parametrize(("times", "bars"), [(10, 10), (11, 12), (20, 21), (21, 23)])
def test_a_rest_stands_between_times_through(times: int, bars: int) -> None:
    typed = ["render", "RLRR LRLL", "--times", str(times), "--rest", "1 after 10", "-o", "a.mid"]
    assert f"wrote a.mid: {bars} bars" in run_here(typed)[1]


@pytest.mark.parametrize(("hertz", "worst_db"), [(1_000, -65), (8_000, -65), (15_000, -65), (16_000, -44)])
def test_reading_between_samples_is_as_clean_as_is_told(hertz: int, worst_db: int) -> None:
    angle = 2 * np.pi * hertz / 44_100
    recording = np.sin(angle * np.arange(20_000)).astype(np.float32)
    for step in (0.5, 0.97, 1.0, 1.05):
        positions = np.arange(100.5, 15_000, step)
        true = np.sin(angle * positions)
        error = read_between(recording, positions, step=step) - true
        assert 10 * np.log10(np.mean(error**2) / np.mean(true**2)) < worst_db


# -- lists


def test_what_grace_notes_are_played_on_is_told_with_the_usual_first() -> None:
    words = README.partition("`grace_voice` says")[2].partition("**")[0]
    assert re.findall(r"`(\w+)`", words) == list(get_args(GraceVoice))
    assert Layer(None, (), {}).grace_voice == get_args(GraceVoice)[0]


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("**Meter and subdivision.**", "(so many to the beat)", tuple(SUBDIVISIONS)),
        ("`across` says what a sticking does at the bar line:", "`lead`", get_args(Across)),
        ("`around` with `every` (", ")", get_args(Every)),
        ("`role` is", ";", get_args(Role)),
        ("what is made of each:", ";", get_args(Product)),
        ("what is made of the whole:", ".", get_args(Whole)),
    ],
)
def test_words_of_the_language_are_all_told(before: str, after: str, words: tuple[str, ...]) -> None:
    told = README.partition(before)[2].partition(after)[0]
    assert [word for word in re.findall(r"[a-z][a-z-]+", told) if word in words] == list(words)


def test_the_extras_of_the_installation_are_there() -> None:
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    assert "`pip install '.[cluster]'`" in README
    assert [name.partition(">")[0] for name in extras["cluster"]] == ["distributed"]
    assert "the package python-rtmidi (the extra `live`)" in README
    assert [name.partition(">")[0] for name in extras["live"]] == ["python-rtmidi"]


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("--click WHERE", CLICKS_ON),
        ("--rate HZ", tuple(map(str, RATES))),
        ("--paper SIZE", tuple(PAPERS)),
        ("--tracks WAY", get_args(Tracks)),
        ("--across HOW", get_args(Across)),
        ("--rungs HOW", ("together", "apart")),
        ("--click-side SIDE", ("left", "right", "both")),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
def test_the_help_of_an_option_names_every_word_it_takes(option: str, words: tuple[str, ...]) -> None:
    told = " ".join(run_here(["render", "--help"])[1].partition(f"  {option} ")[2].partition("\n  --")[0].split())
    for word in words:
        assert re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", told), word


def test_what_is_written_by_its_ending_is_all_told() -> None:
    line = run_here(["render", "--help"])[1].partition("By the ending: ")[2].partition("\n")[0]
    assert set(re.findall(r"\.[a-z0-9]+", line)) == set(SUFFIXES)
    assert all(f"`{suffix}`" in README or f"slipway{suffix}" in README for suffix in SUFFIXES)


def test_the_rooms_are_all_the_modules_that_there_are() -> None:
    named = re.findall(r"`([a-z_]+/?)(?:\.py)?`", " ".join(row[0] for row in rows(section("The rooms"))))
    package = Path(drumgen.__file__).parent
    modules = {path.stem for path in package.glob("*.py")} - {"__init__", "__main__"}
    folders = {f"{path.parent.name}/" for path in package.glob("*/__init__.py")}
    assert sorted(named) == sorted(modules | folders)


def test_every_outside_check_is_where_it_is_said_to_be() -> None:
    places = " ".join(row[2] for row in rows(section("Checks against outside sources")))
    named = re.findall(r"`([\w./]+)`", places)
    oracles = {path.stem for path in (TESTS / "oracle").glob("test_*.py")}
    assert oracles <= set(named)
    for name in named:
        there = ROOT / name if "/" in name else TESTS / "oracle" / f"{name}.py"
        beside = TESTS / "property" / name
        assert there.exists() or beside.exists(), name


def test_every_command_of_the_developers_is_there() -> None:
    commands = re.findall(r"`(?:python )?(tests/[\w/]+\.py)", section("Tests") + section("Where the time goes"))
    assert len(commands) > 5
    assert not [name for name in commands if not (ROOT / name).exists()]


def test_the_exit_codes_are_those_of_the_table() -> None:
    told = {int(row[0]) for row in rows(boundary.__doc__ or "")}
    codes = {
        boundary.DONE,
        boundary.FOUND,
        boundary.BAD_INPUT,
        boundary.BUG,
        boundary.ALL_BUT_BROKEN,
        boundary.INTERRUPTED,
    }
    assert told == codes


# -- options that the help lists


SAID = {
    ("--lead", "L"): 'lead     = "L"',
    ("--handed", "left"): 'handed = "left"',
    ("--times", "4"): "times = 4",
    ("--bars", "1"): 'bars = "1"',
    ("--only", "sticking"): 'only = "sticking"',
    ("--limbs", "hands"): 'limbs = "hands"',
    ("--mute", "snare"): 'mute = ["snare"]',
    ("--count-in", "1"): "count-in = 1",
    ("--loop",): "loop = true",
    ("--click", "quarters"): 'click = "quarters"',
    ("--click-voices", "cowbell"): 'click-voices = "cowbell"',
    ("--click-level", "90"): "click-level = 90",
    ("--click-side", "left"): 'click-side = "left"',
    ("--ladder", "60 to 80 by 5"): 'ladder = "60 to 80 by 5"',
    ("--rest", "1 after 10"): 'rest = "1 after 10"',
}


@pytest.mark.parametrize(("option", "line"), SAID.items(), ids=[" ".join(option) for option in SAID])
def test_what_is_asked_of_a_new_file_stands_in_it(option: tuple[str, ...], line: str) -> None:
    code, out, errors = run_here(["new", "RLRR LRLL", *option])
    assert (code, errors) == (0, "")
    assert line in out.splitlines()
    Path("new.toml").write_text(out, encoding="utf-8")
    assert run_here(["check", "new.toml"])[0] == 0


def test_options_of_a_new_file_that_need_each_other() -> None:
    typed = ["new", "RLRR", "--click", "beats", "--gap", "2 on 2 off", "--answer", "4", "--only-click"]
    code, out, _ = run_here(typed)
    assert code == 0
    assert 'gap        = "2 on 2 off"' in out
    code, out, errors = run_here(["new", "RLRR", "--gap", "2 on 2 off"])
    assert (code, out) == (2, "")
    assert errors.startswith("gap: a click beside the gap")


@pytest.mark.parametrize(
    ("option", "said"),
    [
        (("--lead", "X"), 'expected --lead of R or L, got "X"\n'),
        (("--handed", "lefty"), 'expected --handed of right or left, got "lefty" (nearest: "left")\n'),
        (("--bars", "9"), "bars: expected bars from 1 to 1, got 9\n"),
        (("--times", "0"), "times: expected a number from 1 to 10000, got 0\n"),
        (("--mute", "snair"), 'mute: expected a voice of the kit "general-midi", got "snair" (nearest: "snare")\n'),
    ],
)
def test_what_a_new_file_cannot_say(option: tuple[str, ...], said: str) -> None:
    assert run_here(["new", "RLRR", *option]) == (2, "", said)


VALUES = {"mute": "snare", "times": "2", "count_in": "1", "click_level": "90", "answer": "2"}
UNUSED = [key for key in practising.PRACTICE_OPTIONS if key != "bars"]


@pytest.mark.parametrize("key", ["lead", "plain", *UNUSED])
def test_vary_refuses_what_changes_nothing(key: str) -> None:
    option = f"--{key.replace('_', '-')}"
    value = [] if key in ("loop", "only_click", "plain") else [VALUES.get(key, "R")]
    assert run_here(["vary", "quay.toml", option, *value]) == (2, "", f"no {option}, which changes nothing here\n")


def test_the_help_of_vary_has_no_option_that_it_refuses_and_says_how_bars_are_named() -> None:
    code, told, _ = run_here(["vary", "--help"])
    assert code == 0
    listed = set(re.findall(r"^  (?:-\w, )?--([a-z-]+)", told, re.MULTILINE))
    assert {"bars", "kit", "meter", "from"} <= listed
    assert not listed & {key.replace("_", "-") for key in ["lead", "plain", *UNUSED]}
    assert re.search(r"^  --bars BARS +Vary these bars, by name or role, such as fill\.$", told, re.MULTILINE)


@pytest.mark.parametrize("option", [("--hands", "ride/snare"), ("--meter", "3/4"), ("--subdivision", "triplets")])
def test_vary_takes_the_options_of_a_sticking_with_a_sticking_alone(option: tuple[str, str]) -> None:
    said = f"{option[0]} only with a sticking or a rudiment: a phrase file says it itself\n"
    assert run_here(["vary", "quay.toml", *option]) == (2, "", said)
