"""Moving files between kits: what is moved, what stays, to the tick; judged by the tests' own strict reader."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from drum_room import DEMO_PHRASES, performed
from smf_music import onsets
from smf_reader import read_smf

from drumgen.midi.read import read_take
from drumgen.midi.remap import remap
from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.spec.loading import load_kit, load_phrase, read_kit

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.kit import Kit

SHED = """
channel = 3
program = 7
[voices.kick]
note = 33
played_by = "kick foot"
[voices.snare]
note = 31
[voices.hihat]
note = 60
pedal = 0
[voices.hihat-half]
note = 60
pedal = 70
[voices.hihat-open]
note = 60
pedal = 127
[voices.rimshot]
instead = "snare"
[voices.click]
note = 10
[voices.click-accent]
note = 11
"""
"""An invented module: channel 3, one hi-hat key, closed at 0."""


def shed() -> Kit:
    return read_kit(SHED, name="shed", file="shed.toml")


def smf(text: str) -> bytes:
    body = bytes.fromhex(text)
    return bytes.fromhex("4D546864 00000006 0000 0001 01E0") + b"MTrk" + len(body).to_bytes(4, "big") + body


def events(content: bytes) -> list[tuple[int, str]]:
    """Every event but the end, as its tick and its bytes in hex, status written out."""
    (track,) = read_smf(content).tracks
    return [
        (event.tick, (bytes([event.status]) + event.data).hex(" ") if event.kind == "channel" else event.raw.hex(" "))
        for event in track.events[:-1]
    ]


@pytest.mark.parametrize("path", DEMO_PHRASES, ids=lambda path: path.stem)
def test_there_and_back_is_the_same_music(path: Path) -> None:
    phrase = load_phrase(path, kit="general-midi").phrase
    content = render_midi(perform(arrange(phrase)))
    one, other = load_kit("general-midi"), load_kit("pedal-hihat")
    there = remap(content, source=one, target=other)
    back = remap(there.content, source=other, target=one)
    hits = [(hit.tick, hit.voice, hit.velocity) for hit in read_take(there.content, kit=other).hits]
    assert len(hits) == len(onsets(read_smf(content)))
    half = {"hihat-half"}  # on one key with the open hat in General MIDI
    if not half & {voice for _, voice, _ in hits}:
        assert read_smf(back.content).tracks == read_smf(content).tracks


def test_every_voice_goes_to_its_key_channel_and_pedal() -> None:
    content = smf("00 99 26 64 60 89 26 40 00 99 2A 50 60 89 2A 00 00 99 2E 51 60 89 2E 00 00 FF 2F 00")
    found = remap(content, source=load_kit("general-midi"), target=shed())
    assert events(found.content) == [
        (0, "92 1f 64"),
        (96, "82 1f 40"),
        (96, "b2 04 00"),
        (96, "92 3c 50"),
        (192, "82 3c 00"),
        (192, "b2 04 7f"),
        (192, "92 3c 51"),
        (288, "82 3c 00"),
    ]
    assert found.moved == {("snare", "snare"): 1, ("hihat", "hihat"): 1, ("hihat-open", "hihat-open"): 1}


def test_the_pedal_goes_back_to_keys_and_its_moves_are_counted() -> None:
    content = smf("00 B2 04 7F 00 92 3C 50 60 B2 04 28 00 82 3C 00 00 92 3C 50 60 82 3C 00 00 FF 2F 00")
    found = remap(content, source=shed(), target=load_kit("general-midi"))
    notes = [each for each in events(found.content) if each[1].startswith("99")]
    assert notes == [(0, "99 2e 50"), (96, "99 2e 50")]
    assert found.pedals_dropped == 2
    untouched = remap(content, source=shed(), target=shed())
    assert events(untouched.content) == events(content)


def test_between_two_pedals_its_way_is_followed() -> None:
    content = smf("00 B9 04 7F 00 B9 04 00 00 B9 04 40 00 99 2A 50 60 89 2A 00 00 FF 2F 00")
    found = remap(content, source=load_kit("pedal-hihat"), target=shed())
    values = [text for _, text in events(found.content) if text.startswith("b2")]
    assert values == ["b2 04 00", "b2 04 7f", "b2 04 46"]


def test_what_has_no_voice_is_written_through_and_listed() -> None:
    content = smf("00 99 16 64 10 89 16 00 00 99 31 64 10 89 31 00 00 89 05 00 00 FF 2F 00")
    found = remap(content, source=load_kit("general-midi"), target=shed())
    assert [text for _, text in events(found.content)] == ["92 16 64", "82 16 00", "92 31 64", "82 31 00", "82 05 00"]
    assert found.through == {
        (22, "the kit general-midi has no voice for it"): 1,
        (49, "the kit shed has no crash"): 1,
    }


def test_the_strokes_of_other_channels_are_counted() -> None:
    content = smf("00 99 26 40 00 93 26 40 10 93 26 00 00 92 26 40 10 82 26 00 00 92 26 40 00 B2 07 40 00 FF 2F 00")
    found = remap(content, source=load_kit("general-midi"), target=shed())
    assert found.other_channels == ((3, 2), (4, 1))


def test_two_strokes_that_come_to_one_key_are_one_the_louder() -> None:
    content = smf("00 99 26 50 00 99 28 70 30 89 26 40 00 89 28 40 00 FF 2F 00")
    found = remap(content, source=load_kit("general-midi"), target=shed())
    assert [text for _, text in events(found.content)] == ["92 1f 70", "82 1f 40"]
    assert found.joined == 1
    softer = smf("00 99 26 50 00 99 28 30 30 89 26 40 00 89 28 40 00 FF 2F 00")
    again = remap(softer, source=load_kit("general-midi"), target=shed())
    assert [text for _, text in events(again.content)] == ["92 1f 50", "82 1f 40"]


def test_all_else_stays_as_it_is() -> None:
    said = "00 FF 03 02 68 69 00 FF 51 03 07 A1 20 00 FF 58 04 03 02 18 08 10 F0 03 7D 01 F7 00 93 3C 40 10 83 3C 00"
    rest = "00 C9 01 00 B9 07 64 00 A9 26 40 00 99 26 40 00 A9 26 50 20 99 26 00 00 FF 06 01 78 00 FF 2F 00"
    found = remap(smf(f"{said} {rest}"), source=load_kit("general-midi"), target=shed())
    before, after = events(smf(f"{said} {rest}")), events(found.content)
    assert [tick for tick, _ in after] == [tick for tick, _ in before]
    assert after[:6] == before[:6]
    assert [text for _, text in after[6:]] == [
        *("c2 07", "b2 07 64", "a2 26 40", "92 1f 40", "a2 1f 50", "92 1f 00", "ff 06 01 78"),
    ]


def test_the_pedal_is_kept_where_neither_kit_says_what_it_means() -> None:
    content = smf("00 B9 04 40 00 99 2E 50 10 89 2E 00 00 C9 05 00 FF 2F 00")
    found = remap(content, source=load_kit("general-midi"), target=load_kit("five-piece"))
    assert events(found.content) == events(content)


def test_a_file_of_several_tracks_keeps_them_and_its_ticks() -> None:
    performance = performed('phrase = ["a"]\n[bars.a]\nsticking = "RL"\nhands.R = "hihat"\n', ppq=480)
    content = render_midi(replace(performance, kit=load_kit("general-midi")), tracks="limbs")
    found = read_smf(remap(content, source=load_kit("general-midi"), target=shed()).content)
    assert found.header == read_smf(content).header
    assert [track.end_tick for track in found.tracks] == [track.end_tick for track in read_smf(content).tracks]
