"""The golden cases: every command of a case answers as it says, word for word; and the laws that hold for each.

A case is a text file that anyone can add without Python: see the head of ``golden_case``. What stands in
``phrases`` and ``kits`` was written by the product itself and read by a drummer: a change alarm, not an oracle. The
laws below it are checked with a second reader of MIDI files, written from the standard.
"""

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from golden_case import Case, answered, cases, parse_case, run_here
from smf_music import Meter, Onset, meters, onsets, texts
from smf_reader import File, read_smf

from drumgen.spec.loading import load_kit, load_phrase, read_phrase
from drumgen.spec.writing import render_phrase_file

BROKEN = cases("broken-phrases", "broken-kits")
SOUND = cases("phrases", "kits")
PHRASES = cases("phrases")


def name_of(path: Path) -> str:
    return f"{path.parent.name}/{path.stem}"


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def case(request: pytest.FixtureRequest) -> Case:
    found = parse_case(request.param.read_text("utf-8"))
    Path("case.toml").write_bytes(found.file.encode())
    return found


def over(paths: list[Path]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("case", paths, ids=name_of, indirect=True)


def rendered(*options: str, name: str = "law.mid") -> bytes:
    code, _, errors = run_here(["render", "case.toml", "-o", name, *options])
    assert code == 0, errors
    return Path(name).read_bytes()


# -- the words


@over([*BROKEN, *SOUND])
def test_every_command_answers_as_the_case_says(case: Case) -> None:
    assert case.exchanges
    assert str(answered(case, run_here)) == str(case)


def test_there_are_as_many_broken_files_as_were_asked_for() -> None:
    assert len(cases("broken-phrases")) >= 30
    assert len(cases("broken-kits")) >= 12
    assert len(PHRASES) >= 12


@pytest.mark.parametrize("text", ["a = 1\n\n$ drumgen check case.toml", "a = 1\n\n$ drumgen check case.toml\nx\n"])
def test_a_case_without_answers_or_a_last_line_end_is_read(text: str) -> None:
    found = parse_case(text)
    assert found.file == "a = 1\n\n"
    assert found.exchanges[0][0] == "check case.toml"
    assert found.exchanges[0][1] in ("", "x\n")


# -- laws of broken files


@over(cases("broken-phrases"))
def test_a_broken_phrase_writes_nothing(case: Case) -> None:
    Path("old.mid").write_bytes(b"as it was")
    options = case.exchanges[0][0].partition("case.toml")[2].split()
    code, out, errors = run_here(["render", "case.toml", "-o", "old.mid", *options])
    assert (code, out) == (2, "")
    assert errors.strip()
    assert "Traceback" not in errors
    assert sorted(path.name for path in Path().iterdir()) == ["case.toml", "old.mid"]
    assert Path("old.mid").read_bytes() == b"as it was"


@over(cases("broken-phrases"))
def test_a_fault_points_to_a_line_of_the_file(case: Case) -> None:
    _, _, errors = run_here(["check", "case.toml"])
    lines = case.file.splitlines()
    numbers = [int(number) for number in re.findall(r"^case\.toml:(\d+): ", errors, re.MULTILINE)]
    assert all(1 <= number <= len(lines) for number in numbers)
    assert numbers == sorted(numbers)


# -- laws of phrases


@over(PHRASES)
@pytest.mark.parametrize("tracks", ["one", "voices", "limbs"])
def test_rendering_twice_gives_the_same_bytes(case: Case, tracks: str) -> None:  # noqa: ARG001 - it is in the folder
    first = rendered("--tracks", tracks)
    Path("law.mid").unlink()
    assert rendered("--tracks", tracks) == first


@over(PHRASES)
def test_muting_a_voice_moves_no_other_stroke(case: Case) -> None:  # noqa: ARG001 - as above
    kit = load_kit("general-midi")
    whole = onsets(read_smf(rendered()))
    voices = {voice.key: voice.name for voice in kit.voices.values()}
    for key in {onset.key for onset in whole}:
        muted = onsets(read_smf(rendered("--mute", voices[key])))
        assert muted == [onset for onset in whole if onset.key != key]


@over(PHRASES)
def test_a_silent_limb_moves_no_other_stroke(case: Case) -> None:  # noqa: ARG001 - as above
    whole = onsets(read_smf(rendered("--tracks", "limbs")))
    hands = onsets(read_smf(rendered("--limbs", "hands")))
    feet = onsets(read_smf(rendered("--limbs", "feet")))
    assert sorted([*hands, *feet], key=_order) == sorted(whole, key=_order)


def _order(onset: Onset) -> tuple[int, int]:
    return onset.tick, onset.key


def bar_lines(file: File) -> Iterator[int]:
    """The tick of every bar line, counted from the meters that the file states, to its end and the first beyond."""
    tick, end = 0, file.tracks[0].end_tick
    while tick <= end:
        yield tick
        tick += bar_ticks([meter for meter in meters(file) if meter.tick <= tick][-1], file)


def bar_ticks(meter: Meter, file: File) -> int:
    return meter.upper * 4 * (file.header.ticks_per_quarter or 0) // meter.lower


@over(PHRASES)
@pytest.mark.parametrize("tracks", ["one", "limbs"])
@pytest.mark.parametrize("options", [("--loop",), ("--times", "3"), ("--times", "2", "--loop"), ()], ids=" ".join)
def test_every_track_ends_on_a_bar_line(case: Case, options: tuple[str, ...], tracks: str) -> None:  # noqa: ARG001
    file = read_smf(rendered(*options, "--tracks", tracks))
    ends = {track.end_tick for track in file.tracks}
    assert ends == {max(bar_lines(file))}
    assert all(0 <= onset.tick < file.tracks[0].end_tick for onset in onsets(file))


@over(PHRASES)
def test_a_loop_is_exactly_its_bars(case: Case) -> None:  # noqa: ARG001 - as above
    phrase = load_phrase("case.toml").phrase
    bars = [name for name in phrase.order if phrase.bars[name].role != "pickup"]
    file = read_smf(rendered("--loop"))
    assert len(list(bar_lines(file))) - 1 == len(bars)
    quarters = sum(phrase.bars[name].meter.grains for name in bars) / 10_080
    assert file.tracks[0].end_tick == quarters * (file.header.ticks_per_quarter or 0)


@over(PHRASES)
def test_a_marker_stands_on_every_bar_line(case: Case) -> None:  # noqa: ARG001 - as above
    file = read_smf(rendered())
    assert [text.tick for text in texts(file, 6)] == list(bar_lines(file))


@over(PHRASES)
def test_what_is_written_reads_back_as_the_same_phrase(case: Case) -> None:
    loaded = read_phrase(case.file, file="case.toml", name="case")
    written = render_phrase_file(loaded.file)
    again = read_phrase(written, file="case.toml", name="case")
    assert again.file == loaded.file
    assert render_phrase_file(again.file) == written
    before = rendered()
    Path("case.toml").write_text(written, "utf-8")
    assert rendered() == before


@over(PHRASES)
def test_times_adds_whole_passes(case: Case) -> None:  # noqa: ARG001 - as above
    one, two, three = (read_smf(rendered("--times", str(n))).tracks[0].end_tick for n in (1, 2, 3))
    assert len({later - earlier for earlier, later in pairwise((one, two, three))}) == 1
