"""Every file the writer makes, as other programs read it: the same onsets, keys and velocities from all of them.

Witnesses: mido 1.3 (with pretty_midi 0.2, which reads through mido: one witness), symusic 0.6, the event reader of
music21 10 (``music21.midi``), and the strict reader of these tests, written from Standard MIDI Files 1.0 alone.
pretty_midi is asked only below 10^7 ticks, its own limit. What they must agree with is what was performed.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

import pytest
import symusic
from drum_room import DEMO_PHRASES, performed
from music21 import midi as music21_midi
from smf_music import notes, onsets, seconds_at
from smf_reader import read_smf

from drumgen.midi.events import TRACK_WAYS, Tracks
from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice, parse_limbs
from drumgen.spec.loading import load_phrase, shipped_kits
from drumgen.tempo import parse_tempo
from drumgen.trade.rudiments import RUDIMENTS

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.performance import Performance
    from drumgen.phrase import Phrase

Hits = list[tuple[int, int, int]]
"""Tick, key and velocity of every onset, in that order."""

PRETTY_MIDI_MOST_TICKS = 10**7

PHRASES = sorted(DEMO_PHRASES)


def ours(content: bytes) -> Hits:
    return sorted((onset.tick, onset.key, onset.velocity) for onset in onsets(read_smf(content)))


def midos(content: bytes) -> Hits:
    import mido

    found: Hits = []
    for track in mido.MidiFile(file=BytesIO(content), charset="utf-8").tracks:
        tick = 0
        for message in track:
            tick += message.time
            if message.type == "note_on" and message.velocity:
                assert message.channel == 9
                found.append((tick, message.note, message.velocity))
    return sorted(found)


def symusics(content: bytes) -> Hits:
    score: Any = symusic.Score.from_midi(content)
    assert all(track.is_drum for track in score.tracks if track.notes)  # the lyrics have a track of their own
    return sorted((note.time, note.pitch, note.velocity) for track in score.tracks for note in track.notes)


def music21s(content: bytes) -> Hits:
    file = music21_midi.MidiFile()
    file.readstr(content)
    found: Hits = []
    for track in file.tracks:
        tick = 0
        for event in track.events:
            if isinstance(event, music21_midi.DeltaTime):
                tick += event.time
            elif event.isNoteOn():
                assert event.channel == 10
                found.append((tick, event.pitch or 0, event.velocity or 0))
    return sorted(found)


def pretty_midis(content: bytes) -> Hits:
    import pretty_midi

    file = pretty_midi.PrettyMIDI(BytesIO(content))
    assert all(instrument.is_drum for instrument in file.instruments)
    played = [note for instrument in file.instruments for note in instrument.notes]
    return sorted((file.time_to_tick(note.start), note.pitch, note.velocity) for note in played)


def check_readers(performance: Performance, tracks: Tracks) -> None:
    content = render_midi(performance, tracks=tracks)
    wanted = sorted((hit.tick, hit.key, hit.velocity) for hit in performance.hits)
    assert ours(content) == wanted
    assert midos(content) == wanted
    assert symusics(content) == wanted
    assert music21s(content) == wanted
    if performance.end_tick < PRETTY_MIDI_MOST_TICKS:
        assert pretty_midis(content) == wanted


# -- the demonstration


@cache
def demo(path: Path) -> Phrase:
    return load_phrase(path).phrase


@pytest.mark.parametrize("tracks", TRACK_WAYS)
@pytest.mark.parametrize("path", PHRASES, ids=lambda path: path.stem)
def test_every_phrase_of_the_demonstration(path: Path, tracks: Tracks) -> None:
    for practice in (demo(path).practice, Practice(times=2, count_in=1), Practice(loop=True)):
        check_readers(perform(arrange(demo(path), practice)), tracks)


# -- the forty rudiments

LEADS = pytest.mark.parametrize("lead", ["R", "L"])


@LEADS
@pytest.mark.parametrize("name", [rudiment.name for rudiment in RUDIMENTS])
def test_every_rudiment(name: str, lead: str) -> None:
    played = performed(
        f"""
        title = "{name}"
        tempo = 104
        phrase = ["a x6"]
        [bars.a]
        rudiment = "{name}"
        lead = "{lead}"
        across = "carry"
        hands.R = "floor-tom"
        feet.kick = "1"
        feet.hihat-foot = "2 4"
        """
    )
    assert played.hits
    check_readers(played, "one")


@LEADS
@pytest.mark.parametrize("name", [rudiment.name for rudiment in RUDIMENTS])
def test_every_rudiment_in_even_sixteenths_around_the_kit(name: str, lead: str) -> None:
    played = performed(
        f"""
        tempo = 220
        phrase = ["a x4"]
        [bars.a]
        rudiment = "{name}"
        lead = "{lead}"
        across = "carry"
        subdivision = "sixteenths"
        hands.R = {{ around = ["high-tom", "mid-tom", "floor-tom"], every = "beat" }}
        feet.kick = "gaps"
        [feel]
        spread_ms = 6
        """
    )
    check_readers(played, "voices")


# -- options

SHED = """
title = "Ladder in the shed 梯子"
tempo = 127
phrase = ["lift", "walk x2", "slow", "fall", "walk"]
landing = ["crash", "kick"]
[feel]
spread_ms = 5
seed = 9
swing = { of = "sixteenths", ratio = "5:3" }
[bars.lift]
role = "pickup"
sticking = "---- ---- ---- lRLRzL"
[bars.walk]
sticking = "lRLRR LRLL"
ghosts.L = "all"
accents = "1 3"
hands.R = { main = "hihat", "4a" = "hihat-open" }
hands.L = "snare"
feet.kick = "1 2a >3 (4&)"
feet.hihat-foot = "2 4"
[bars.slow]
like = "walk"
tempo = "127 to 96"
[bars.fall]
role = "fill"
sticking = "RLRLLRL Rz llR L"
subdivision = ["septuplets", "triplets", "quintuplets", "sextuplets"]
hands.R = { around = ["high-tom", "mid-tom", "low-tom", "floor-tom"], every = "beat" }
dynamics = "mp to ff"
feet.kick = "with accents"
"""

PRACTICES = {
    "plain": Practice(),
    "loop": Practice(loop=True),
    "loop of three": Practice(loop=True, times=3),
    "five times": Practice(times=5),
    "counted in": Practice(count_in=2, times=2),
    "one bar": Practice(bars=((4, 4),), count_in=1),
    "fills": Practice(only="fill", times=2),
    "hands": Practice(limbs=parse_limbs("hands")),
    "feet": Practice(limbs=parse_limbs("feet"), loop=True),
    "without the snare": Practice(mute=("snare",)),
    "slow": Practice(tempo=parse_tempo("41")),
    "fast": Practice(tempo=parse_tempo("300"), loop=True),
}


@pytest.mark.parametrize("tracks", TRACK_WAYS)
@pytest.mark.parametrize("name", PRACTICES)
def test_every_way_to_practise(name: str, tracks: Tracks) -> None:
    check_readers(performed(SHED, PRACTICES[name]), tracks)


@pytest.mark.parametrize("tracks", TRACK_WAYS)
@pytest.mark.parametrize("ppq", [96, 192, 384, 480, 10_080, 32_760])
def test_every_usual_number_of_ticks(ppq: int, tracks: Tracks) -> None:
    text = SHED.replace('"septuplets", "triplets", "quintuplets"', '"triplets", "eighths", "sixteenths"')
    check_readers(performed(text, ppq=ppq), tracks)


@pytest.mark.parametrize("name", [name for name in shipped_kits() if name != "practice-pad"])
def test_every_shipped_kit(name: str) -> None:
    played = performed(f'kit = "{name}"\n{SHED}')
    assert played.kit.name == name
    for tracks in TRACK_WAYS:
        check_readers(played, tracks)


def test_a_file_longer_than_pretty_midi_takes() -> None:
    played = performed(SHED, Practice(times=200))
    assert played.end_tick > PRETTY_MIDI_MOST_TICKS
    check_readers(played, "one")


# -- lengths and seconds, as far as the witnesses tell them


def test_mido_and_the_strict_reader_agree_on_the_seconds() -> None:
    import mido

    played = performed(SHED, Practice(times=4))
    content = render_midi(played)
    file = read_smf(content)
    end = seconds_at(file, file.tracks[0].end_tick)
    assert mido.MidiFile(file=BytesIO(content), charset="utf-8").length == pytest.approx(float(end), abs=1e-6)
    assert played.seconds == pytest.approx(float(end), abs=1e-9)


def test_symusic_and_the_strict_reader_agree_on_the_lengths() -> None:
    content = render_midi(performed(SHED))
    score: Any = symusic.Score.from_midi(content)
    theirs = sorted((note.time, note.pitch, note.duration) for track in score.tracks for note in track.notes)
    assert theirs == sorted((note.tick, note.key, note.length_ticks) for note in notes(read_smf(content)))


def test_all_that_is_written_has_the_sticking_in_mido_and_music21_too() -> None:
    import mido

    played = performed(SHED)
    content = render_midi(played)
    file = mido.MidiFile(file=BytesIO(content), charset="utf-8")
    assert [each.text for each in file if each.type == "lyrics"] == [words.text for words in played.letters]
    other = music21_midi.MidiFile()
    other.readstr(content)
    letters = [event.data for event in other.tracks[0].events if event.type is music21_midi.MetaEvents.LYRIC]
    assert letters == [words.text.encode() for words in played.letters]
