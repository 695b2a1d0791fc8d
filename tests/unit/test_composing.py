"""One plan, every file: MIDI and audio say the same, to the sample; the command line writes both."""

from __future__ import annotations

import io
import re
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from audio_fonts import CLICK_KEY, kit_font
from drum_room import phrase, said
from smf_music import onsets as midi_onsets
from smf_music import seconds_at
from smf_reader import read_smf
from soundfont_writer import Font, Preset, Recording, Region, write_font

from drumgen.audio.bars import DRUMS_ASIDE, sounding_bars, sounding_key
from drumgen.clicks import ClickSound
from drumgen.composing import Composition, Settings, compose_document
from drumgen.kit import Voice
from drumgen.performance import Clock
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice, parse_ladder

if TYPE_CHECKING:
    from numpy.typing import NDArray


GROOVE = """
tempo = {tempo}
landing = []
phrase = ["a x{bars}"]
[bars.a]
sticking = "RLRRLRLL"
feet.kick = "1 2& 3t"
"""


@pytest.fixture(scope="module")
def clicking_font(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A font in which every key is one loud frame."""
    recording = Recording((29_000, *[0] * 63), "click")
    font = Font((recording,), ((Region(((34, -32768), (56, 0)), 0),),), (Preset(),))
    path = tmp_path_factory.mktemp("fonts") / "click.sf2"
    path.write_bytes(write_font(font))
    return path


def audio(text: str, practice: Practice, suffix: str, settings: Settings) -> tuple[NDArray[np.float32], int]:
    import soundfile

    composition = Composition(arrange(phrase(text), practice), settings)
    out = io.BytesIO()
    composition.writer(Path(f"x{suffix}"))(out)
    out.seek(0)
    frames, rate = soundfile.read(out, dtype="float32", always_2d=True)
    return frames, rate


def struck(frames: NDArray[np.float32]) -> NDArray[np.int64]:
    """The frames that are louder than both their neighbours and than a third of the loudest."""
    height = np.abs(frames).max(axis=1)
    padded = np.concatenate((np.zeros(1), height, np.zeros(1)))
    top = (height > height.max() / 3) & (height > padded[:-2]) & (height >= padded[2:])
    return np.flatnonzero(top)


@pytest.mark.parametrize("rate", [44_100, 48_000])
@pytest.mark.parametrize(("tempo", "bars"), [(40, 6), (97, 24), (240, 20)])
def test_each_onset_is_within_one_sample_of_its_tick(clicking_font: Path, tempo: int, bars: int, rate: int) -> None:
    """Absolutely, not only relative to each other (ten minutes of it: `test_audio_track`)."""
    text = GROOVE.format(tempo=tempo, bars=bars)
    frames, _ = audio(text, Practice(), ".wav", Settings(soundfont=clicking_font, rate=rate, vary=False))
    file = read_smf(_midi(text, Practice()))
    ticks = sorted({onset.tick for onset in midi_onsets(file)})
    exact = [seconds_at(file, tick) * rate for tick in ticks]
    found = struck(frames)
    assert len(found) == len(exact)
    assert max(abs(Fraction(int(at)) - wanted) for at, wanted in zip(found, exact, strict=True)) <= 1


def _midi(text: str, practice: Practice) -> bytes:
    out = io.BytesIO()
    Composition(arrange(phrase(text), practice)).writer(Path("x.mid"))(out)
    return out.getvalue()


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".ogg", ".mp3"])
def test_libsndfile_reads_every_format_back_at_its_length(clicking_font: Path, suffix: str) -> None:
    text = GROOVE.format(tempo=120, bars=2)
    settings = Settings(soundfont=clicking_font)
    frames, rate = audio(text, Practice(loop=True), suffix, settings)
    assert rate == 44_100
    slack = 2_400 if suffix == ".mp3" else 0  # an MP3 has a little silence around it
    assert 0 <= len(frames) - 4 * 44_100 <= slack


def test_a_ladder_lasts_what_arithmetic_says() -> None:
    """Thirteen rungs 60, 65 … 120, four times a bar of four quarters: 16 x 60 x the sum of 1/bpm seconds."""
    practice = Practice(rungs=parse_ladder("60 to 120 by 5"), times=4, click="quarters")
    performance = perform(arrange(phrase(GROOVE.format(tempo=90, bars=1)), practice))
    exact = sum(Fraction(16 * 60, bpm) for bpm in range(60, 121, 5))
    assert performance.seconds == pytest.approx(float(exact), abs=1e-4)
    assert [60_000_000 / change.us_per_quarter for change in performance.tempos] == pytest.approx(
        list(range(60, 121, 5)), abs=1e-3
    )
    clicks = [hit for hit in performance.hits if hit.kind == "click"]
    assert len(clicks) == 13 * 4 * 4
    assert sum(hit.key == CLICK_KEY for hit in clicks) == 13 * 4


def test_a_week_is_refused_before_work_starts() -> None:
    text = GROOVE.format(tempo=10, bars=10_000)
    plan = arrange(phrase(text), Practice(times=3))
    composition = Composition(plan)
    message = said(lambda: composition.writer(Path("x.flac")))
    assert message == "expected at most 24 hours of audio, got 200.0 hours"
    assert said(lambda: composition.check_length((".mid", ".WAV"))) == message
    assert "performance" not in vars(composition)  # no stroke of it was made
    composition.check_length((".mid",))


def test_a_bar_that_slows_is_no_longer_than_it_is() -> None:
    """Through a change of tempo the quicker end is taken, so that nothing is refused that would fit."""
    text = GROOVE.format(tempo=40, bars=3) + 'tempo = "120 to 40"\n'
    plan = arrange(phrase(text))
    assert plan.least_s == 3 * 2
    assert perform(plan).seconds > plan.least_s


@pytest.mark.parametrize("rate", [44_100, 48_000])
@pytest.mark.parametrize("loop", [True, False])
def test_midi_and_audio_of_one_plan_have_the_same_length(loop: bool, rate: int) -> None:  # noqa: FBT001 - pytest gives it
    """A loop to the sample; a song is as long, and then its cymbal rings out."""
    text = GROOVE.format(tempo=97, bars=3) + 'hands.L = "crash"\n'
    rungs = parse_ladder("60 to 70 by 5")
    practice = Practice(loop=True) if loop else Practice(rungs=rungs, count_in=1, click="quarters")
    file = read_smf(_midi(text, practice))
    exact = seconds_at(file, max(track.end_tick for track in file.tracks)) * rate
    frames, _ = audio(text, practice, ".wav", Settings(rate=rate))
    ring = len(frames) - exact
    assert abs(ring) <= 1 if loop else rate < ring <= 12 * rate


def test_the_click_in_one_ear_and_the_drums_in_the_other() -> None:
    practice = Practice(click="beats", click_sound=ClickSound(side="left"))
    plan = arrange(phrase(GROOVE.format(tempo=120, bars=1)), practice)
    bars, end, clock = sounding_bars(perform(plan), click=plan.click_sound)
    strikes = [strike for bar in bars for strike in bar.strikes]
    assert {strike.side for strike in strikes if strike.key in (76, 77)} == {-1.0}
    assert {strike.side for strike in strikes if strike.key not in (76, 77)} == {DRUMS_ASIDE}
    assert not any(strike.vary for strike in strikes if strike.key in (76, 77))
    assert (end, clock) == (2 * 960 * 1_000_000, 960 * 1_000_000)


def test_bars_hold_their_strikes_from_the_bar_on() -> None:
    plan = arrange(phrase(GROOVE.format(tempo=120, bars=3)))
    performance = perform(plan)
    bars, _, _ = sounding_bars(performance, click=plan.click_sound)
    assert len(bars) == 3
    assert bars[0].strikes == bars[1].strikes == bars[2].strikes
    clock = Clock(performance.tempos)
    absolute = [bar.at + strike.at for bar in bars for strike in bar.strikes]
    assert absolute == [clock.parts(hit.tick) for hit in performance.hits]


@pytest.mark.parametrize(
    ("voice", "key"),
    [
        (Voice("snare", 38), 38),
        (Voice("snare", 40), 40),
        (Voice("hihat", 22), 42),
        (Voice("hihat-open", 42, pedal=0), 46),
        (Voice("gong", 99), 99),
    ],
)
def test_what_a_voice_sounds_as(voice: Voice, key: int) -> None:
    assert sounding_key(voice) == key


def test_a_hat_pedal_kit_chokes_its_open_hat() -> None:
    plan = arrange(phrase('kit = "pedal-hihat"\n' + GROOVE.format(tempo=120, bars=1) + 'hands.R = "hihat-open"\n'))
    bars, _, _ = sounding_bars(perform(plan), click=plan.click_sound, vary=False)
    by_key = {strike.key: strike.choke for strike in bars[0].strikes}
    assert by_key[46] not in (0, None)
    assert by_key[36] == 0


def test_the_environment_names_the_usual_font(
    clicking_font: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "other.sf2"
    other.write_bytes(b"RIFF")
    monkeypatch.setenv("DRUMGEN_SOUNDFONT", str(other))
    text = GROOVE.format(tempo=120, bars=1)
    assert "other.sf2" in said(lambda: audio(text, Practice(), ".wav", Settings()))
    frames, _ = audio(text, Practice(), ".wav", Settings(soundfont=clicking_font))
    assert len(frames)


def test_a_font_in_memory_has_the_same_drums() -> None:
    assert kit_font().kit(0)[1] == ""


@pytest.mark.parametrize(
    ("suffix", "begins"),
    [(".pdf", b"%PDF-"), (".png", b"\x89PNG"), (".svg", b"<"), (".musicxml", b"<?xml"), (".html", b"<!")],
)
def test_a_document_is_what_its_name_says_and_has_no_title_but_its_phrases(suffix: str, begins: bytes) -> None:
    one = phrase('title = "Weir"\n' + GROOVE.format(tempo=90, bars=1).replace("x1", "x2"))
    pages, remarks = compose_document([one], suffix, settings=Settings(), practice=[Practice()])
    assert remarks == ()
    assert all(page.startswith(begins) for page in pages)
    assert (b"score-partwise" in pages[0]) == (suffix == ".musicxml")
    if suffix in (".svg", ".html", ".musicxml"):
        assert b"Weir" in pages[0]


TITLE = {".svg": rb"<title[^>]*>([^<]*)<", ".html": rb"<title>([^<]*)<", ".pdf": rb"/Title \(([^)]*)\)"}


@pytest.mark.parametrize(("suffix", "several"), [(".svg", b"Weir"), (".html", b"Weir and 1 more"), (".pdf", b"Weir")])
def test_a_document_without_a_title_of_its_own_has_that_of_its_phrases(suffix: str, several: bytes) -> None:
    one = phrase('title = "Weir"\n' + GROOVE.format(tempo=90, bars=1).replace("x1", "x2"))

    def titles(number: int, **over: Any) -> list[bytes]:  # noqa: ANN401 - as it takes them
        practice = [Practice()] * number
        pages, _ = compose_document([one] * number, suffix, settings=Settings(), practice=practice, **over)
        return re.findall(TITLE[suffix], pages[0])

    assert (titles(1), titles(2), titles(2, title="Spring")) == ([b"Weir"], [several], [b"Spring"])


def test_nothing_is_printed_over_a_sheet_unless_it_is_said() -> None:
    one = phrase('title = "Weir"\n' + GROOVE.format(tempo=90, bars=1))
    pages, _ = compose_document([one], ".svg", settings=Settings(), practice=[Practice()])
    words = [word for word in re.findall(rb"<text[^>]*>([^<]*)</text>", pages[0]) if len(word) > 1]
    assert words == [b"Weir", b" = 90", b"Kit: General MIDI", b"1 of 1"]
