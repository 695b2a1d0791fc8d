"""Takes with the oddities of real files: what is in them was worked out by hand, byte by byte, when they were made."""

from __future__ import annotations

import json
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING, Any

import pytest
import symusic
from drum_room import said
from music21 import midi as music21_midi

from drumgen.midi.pedal import parse_pedal
from drumgen.midi.read import Reading, read_take
from drumgen.spec.loading import load_kit
from drumgen.take import Bars, Take

if TYPE_CHECKING:
    from drumgen.kit import Kit

FOLDER = Path(__file__).parent / "takes"
EXPECTED: dict[str, dict[str, Any]] = json.loads((FOLDER / "expected.json").read_text("utf-8"))
READ = sorted(name for name, row in EXPECTED.items() if "hits" in row)
UNREADABLE = "text-claims-268-mb.mid"

# Other readers are asked about the rest: not about those that break the standard or that they are known to trip on.
ODD = {
    "running-status-over-text.mid": "breaks the standard",
    "split-sysex.mid": "symusic 0.6 adds the packets' lengths to the time",
    "velocity-byte-200.mid": "breaks the standard",
    "trailing-garbage.mid": "breaks the standard",
    "riff-rmid.mid": "neither opens the wrapper",
    "short-metas.mid": "breaks the standard",
    "names-utf8-cp932-latin1.mid": "music21 asks for one encoding",
    "smpte-25fps-40.mid": "symusic reads the division as ticks",
    "delta-of-78-hours.mid": "music21 takes minutes",
    "track-claims-4-gb.mid": "breaks the standard",
    "65535-tracks-claimed.mid": "breaks the standard",
}
WELL_FORMED = sorted(set(READ) - set(ODD))


def kit() -> Kit:
    return load_kit("general-midi")


def take(name: str, reading: Reading | None = None) -> Take:
    return read_take((FOLDER / name).read_bytes(), kit=kit(), reading=reading)


def hits(found: Take) -> list[list[int]]:
    return sorted([hit.tick, hit.key, hit.velocity] for hit in found.hits)


def words(found: Take) -> list[str]:
    return [str(oddity) for oddity in found.oddities]


def test_every_take_is_expected() -> None:
    assert {path.name for path in FOLDER.glob("*.mid")} == set(EXPECTED)
    assert len(READ) == len(EXPECTED) - 1


@pytest.mark.parametrize("name", READ)
def test_every_hit_is_read(name: str) -> None:
    assert hits(take(name)) == sorted(EXPECTED[name]["hits"])


@pytest.mark.parametrize("name", [name for name in READ if "seconds" in EXPECTED[name]])
def test_every_hit_is_on_its_second(name: str) -> None:
    assert take(name).seconds() == pytest.approx(EXPECTED[name]["seconds"], abs=1e-6)


@pytest.mark.parametrize("name", [name for name in READ if "length_ticks" in EXPECTED[name]])
def test_the_length_is_that_of_the_drums(name: str) -> None:
    assert take(name).end_tick == EXPECTED[name]["length_ticks"]


@pytest.mark.parametrize("name", WELL_FORMED)
def test_other_readers_agree(name: str) -> None:
    content = (FOLDER / name).read_bytes()
    score: Any = symusic.Score.from_midi(content, ttype="tick")
    on_ten = [note for track in score.tracks if track.is_drum for note in track.notes]
    theirs = {(note.start, note.pitch, note.velocity) for note in on_ten}
    file = music21_midi.MidiFile()
    file.openFileLike(BytesIO(content))
    file.read()
    ons: set[tuple[int, int, int]] = set()
    for track in file.tracks:
        tick = 0
        for event in track.events:
            if event.isDeltaTime():
                tick += event.time
            elif event.isNoteOn() and event.channel == 10 and event.velocity:
                ons.add((tick, event.pitch or 0, event.velocity))
    own = {(hit.tick, hit.key, hit.velocity) for hit in take(name).hits}
    assert ons == own
    if name not in ("zero-length.mid", "overlap-and-extra-off.mid"):  # symusic pairs ons with offs
        assert theirs == own


def test_other_channels_are_counted_by_the_number_people_say() -> None:
    found = take("channels-9-10-11-16.mid")
    assert found.other_channels == ((9, 1), (11, 1), (16, 1))
    assert words(found) == ["notes on other channels than 10: channel 9 (1), channel 11 (1), channel 16 (1)"]
    assert hits(take("channels-9-10-11-16.mid", Reading(channel=16))) == [[1440, 38, 100]]


def test_keys_the_kit_does_not_know_are_kept_and_listed_once() -> None:
    found = take("notes-outside-gm1.mid")
    outside = [key for key, _ in found.unmapped if not 35 <= key <= 81]
    assert outside == EXPECTED["notes-outside-gm1.mid"]["outside_gm1"]
    assert [hit.voice for hit in found.hits] == ["", "", "", "", "kick", "", "", ""]
    listed = "22 (1), 26 (1), 27 (1), 34 (1), 75 Claves (1), 82 (1), 87 (1)"
    assert words(found) == [f"notes that the kit general-midi has no voice for: {listed}"]


def test_running_status_over_a_text_is_read_on_or_refused() -> None:
    name = "running-status-over-text.mid"
    line = "byte 53: running status goes on after a meta or sysex event, which ends it; read on"
    assert words(take(name)) == [line]
    assert said(lambda: take(name, Reading(strict=True))) == line


def test_what_is_assumed_is_said() -> None:
    found = take("no-tempo-no-meter.mid")
    assert (found.tempo_said, found.meter_said) == (False, False)
    assert words(found) == [
        "no tempo in the file, 120 quarters a minute assumed",
        "no meter in the file, 4/4 assumed",
    ]


def test_a_meter_inside_a_bar_cuts_it_and_later_bar_lines_stay() -> None:
    found = take("meter-change-mid-bar.mid")
    bars = Bars(found.meters, found.ppq)
    lines = [0]
    while lines[-1] < found.end_tick:
        lines.append(bars.at(lines[-1]).end)
    assert lines == EXPECTED["meter-change-mid-bar.mid"]["barlines"]
    assert words(found) == ["bar 1: the meter changes to 3/4 inside the bar, which is cut to 2 of 4"]


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("tempo-in-second-track.mid", "byte 59: a tempo in track 2, which holds for all tracks (2 times)"),
        ("conductor-track-34-min.mid", "another track goes on to 34 min; the length is that of the drums"),
        ("velocity-byte-200.mid", "byte 49: a data byte C8 over 7F, read as 127"),
        ("trailing-garbage.mid", "byte 77: 18 extra bytes ignored"),
        ("riff-rmid.mid", "byte 0: a MIDI file inside a RIFF wrapper, unwrapped"),
        ("track-claims-4-gb.mid", "byte 18: a track's length says 4294967295, 55 are left"),
        ("65535-tracks-claimed.mid", "byte 10: the header says 65535 tracks, of which there is 1"),
        ("smpte-25fps-40.mid", "SMPTE time, 25 frames a second of 40 ticks; tempo events mean nothing in it"),
    ],
)
def test_each_oddity_is_one_line_with_its_place(name: str, line: str) -> None:
    assert words(take(name))[0] == line


def test_each_short_meta_is_named() -> None:
    lines = words(take("short-metas.mid"))
    assert sorted(line.partition(":")[0] for line in lines[:4]) == ["byte 23", "byte 27", "byte 33", "byte 38"]


def test_names_are_shown_in_any_encoding_and_without_control_characters() -> None:
    found = take("names-utf8-cp932-latin1.mid")
    assert EXPECTED["names-utf8-cp932-latin1.mid"]["names"][0] in found.names
    assert all(name.isprintable() for name in found.names)


def test_the_pedal_is_kept_with_each_stroke_of_the_hihat() -> None:
    found = take("hihat-pedal-cc4.mid")
    expected = {int(tick): value for tick, value in EXPECTED["hihat-pedal-cc4.mid"]["cc4_at_hits"].items()}
    heard = {hit.tick: pedal for hit, pedal in zip(found.hits, found.pedals, strict=True)}
    assert {tick: heard[tick] for tick in expected} == expected
    assert [(hit.tick, hit.limb) for hit in found.hits if hit.limb] == [(1680, "H")]


@pytest.mark.parametrize(
    ("pedal", "voices"),
    [
        ("closed 127, open 0", ["hihat", "hihat-open", "hihat-half", "hihat-half"]),
        ("closed 0, open 127", ["hihat-open", "hihat", "hihat-half", "hihat-half"]),
        ("closed 127, half 60, open 10", ["hihat", "hihat-open", "hihat", "hihat"]),
    ],
)
def test_a_setting_says_which_end_of_the_pedal_is_closed(pedal: str, voices: list[str]) -> None:
    found = take("hihat-pedal-cc4.mid", Reading(pedal=parse_pedal(pedal)))
    assert [hit.voice for hit in found.hits] == [*voices, "hihat-foot"]


def test_ghost_notes_of_velocity_1_are_strokes() -> None:
    assert min(hit.velocity for hit in take("ghost-velocities-1-to-10.mid").hits) == 1


def test_the_program_of_the_drum_kit_is_kept() -> None:
    assert take("kit-program-48-bank-1.mid").program == EXPECTED["kit-program-48-bank-1.mid"]["program"]


def test_a_text_of_a_claimed_length_is_refused_with_its_byte() -> None:
    line = "byte 38: a meta event says 268435455 bytes, 45 are left; what follows cannot be read"
    assert said(lambda: take(UNREADABLE)) == line


MEASURED = """
import sys, resource
from drumgen.midi.read import read_take
from drumgen.spec.loading import load_kit
from drumgen.errors import DrumgenError
kit = load_kit("general-midi")
for name in sys.argv[1:]:
    try:
        read_take(open(name, "rb").read(), kit=kit)
    except DrumgenError:
        pass
try:  # the kernel's own count of this process alone: ru_maxrss begins with that of the process it was forked from
    lines = open("/proc/self/status").read().splitlines()
    print(next(line.split()[1] for line in lines if line.startswith("VmHWM")))
except OSError:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def test_what_claims_days_or_gigabytes_costs_neither() -> None:
    names = [name for name, row in EXPECTED.items() if "limits" in row]
    assert len(names) == 4
    start = perf_counter()
    typed = [sys.executable, "-c", MEASURED, *(str(FOLDER / name) for name in names)]
    done = subprocess.run(typed, capture_output=True, text=True, check=True)
    kib = int(done.stdout) if sys.platform != "darwin" else int(done.stdout) // 1024
    assert kib < 300 * 1024
    assert perf_counter() - start < 2 * len(names)
