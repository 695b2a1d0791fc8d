"""Transcribing takes made by the renderer: the phrase file that comes out plays the take's strokes again."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from math import exp, log
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest
from drum_room import DEMO_PHRASES, phrase, said
from hypothesis import given, settings
from hypothesis import strategies as st

from drumgen.clicks import parse_click
from drumgen.kit import FOOT_OF
from drumgen.meter import parse_meter
from drumgen.midi.events import TRACK_WAYS
from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.performance import Hit, MeterChange, TempoChange
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import load_kit, load_phrase, read_phrase
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.validation import without_faulty
from drumgen.spec.writing import render_phrase_file
from drumgen.study import transcribe_tempo
from drumgen.study.transcribe import Transcribing, Transcription, transcribe
from drumgen.study.transcribe_costs import LONGEST, Events, Model, Steps, step_costs
from drumgen.study.transcribe_grid import cheapest_row
from drumgen.study.transcribe_hands import find_hands
from drumgen.study.transcribe_text import transcription_lines
from drumgen.take import Struck, Take
from drumgen.tempo import parse_tempo

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.kit import Kit
    from drumgen.midi.events import Tracks
    from drumgen.performance import Performance
    from drumgen.phrase import Phrase

TAKES = Path(__file__).parents[1] / "oracle" / "takes"
GRID = 5040
"""Ticks to the quarter in which files of different ticks are compared."""


def heard(performance: Performance, how: Transcribing | None = None) -> Transcription:
    return transcribe(read_take(render_midi(performance), kit=performance.kit), how)


def of_text(text: str, how: Transcribing | None = None) -> Transcription:
    return heard(perform(arrange(phrase(text))), how)


def of_take(name: str, kit: str = "general-midi", how: Transcribing | None = None) -> Transcription:
    return transcribe(read_take((TAKES / name).read_bytes(), kit=load_kit(kit)), how)


def written(found: Transcription) -> Phrase:
    """The phrase of the file that a transcription writes."""
    file, faults = without_faulty(PhraseFile, found.table)
    assert file is not None
    assert not faults
    return read_phrase(render_phrase_file(file), file="take.toml", name="take").phrase


def strokes(performance: Performance) -> list[tuple[int, int]]:
    hits = (hit for hit in performance.hits if hit.kind == "stroke")
    return sorted((hit.tick * GRID // performance.ppq, hit.key) for hit in hits)


def right_hands(found: Transcription, performance: Performance) -> float:
    """The share of hand strokes given to the hand that played them."""
    told = {note.hits[note.grace]: note.limb for note in found.notes}
    rows = [(index, hit) for index, hit in enumerate(performance.hits) if hit.kind == "stroke" and hit.limb in "RL"]
    return sum(told.get(index) == hit.limb for index, hit in rows) / len(rows)


@pytest.mark.parametrize("path", DEMO_PHRASES, ids=lambda path: path.stem)
def test_the_phrase_file_plays_the_takes_strokes_again(path: Path) -> None:
    performance = perform(arrange(load_phrase(path).phrase))
    again = perform(arrange(written(heard(performance))))
    assert strokes(again) == strokes(performance)


GROOVE = """
tempo = 96
phrase = ["a x3", "b"]
[bars.a]
sticking = "RLRR LRLL"
hands.R = "hihat"
accents.L = "2 4"
ghosts.L = "1e 3e"
feet.kick = "1 2& >3"
[bars.b]
sticking = "RLL"
subdivision = ["triplets", "triplets", "sextuplets", "sextuplets"]
hands.R = "floor-tom"
"""


def test_a_groove_comes_back_bar_by_bar() -> None:
    found = of_text(GROOVE)
    assert found.table["phrase"] == ["a x3", "b"]
    assert found.table["tempo"] == 96
    assert found.table["bars"]["a"]["sticking"] == "R(L)RR >LRLL"
    assert found.table["bars"]["a"]["hands"] == {"R": "hihat"}
    assert found.table["bars"]["a"]["feet"] == {"kick": "1 2& >3"}
    assert found.table["bars"]["b"]["subdivision"] == ["triplets", "triplets", "sextuplets", "sextuplets"]
    assert found.table["bars"]["b"]["sticking"] == "RLL"
    assert found.table["dynamics"] == {"accent": 112, "normal": 82, "ghost": 36, "grace": 45}


@pytest.mark.parametrize("spread", [5, 10])
def test_spread_does_not_change_what_is_written(spread: int) -> None:
    found = of_text(f"feel = {{ spread_ms = {spread}, seed = 4 }}\n{GROOVE}")
    assert found.table["bars"].keys() == {"a", "b"}
    assert found.table["bars"]["b"]["subdivision"] == ["triplets", "triplets", "sextuplets", "sextuplets"]
    assert found.spread_ms == pytest.approx(spread, rel=0.35)


def test_flams_drags_and_buzzes_are_one_stroke_each() -> None:
    text = 'tempo = 90\nphrase = ["a"]\n[bars.a]\nsubdivision = "eighths"\nsticking = "lRR rrLL RzL R-"\n'
    found = of_text(text)
    notes = [(note.grace, note.buzz) for note in found.notes]
    assert notes == [(1, False), (0, False), (2, False), (0, False), (0, True), (0, False), (0, False)]
    assert found.table["feel"] == {"flam_ms": 25, "drag_ms": 40}


def test_flams_of_a_pad_are_told_from_a_unison() -> None:
    found = of_take("flams-and-a-unison.mid")
    expected = [(480, 1), (960, 0), (960, 0), (1440, 1)]
    assert [(note.place * 480 // 10_080, note.grace) for note in found.notes] == expected
    unison = [note.limb for note in found.notes if note.place == 20_160]
    assert sorted(unison) == ["L", "R"]


def test_a_flam_on_a_downbeat_belongs_to_it() -> None:
    found = of_take("count-in-then-flam-on-one.mid")
    assert [(note.bar, note.place, note.grace) for note in found.notes][4:] == [(1, 0, 1), (1, 10_080, 0)]


def test_swing_is_told_as_swing() -> None:
    found = of_take("swung-eighths-2-to-1.mid")
    assert found.table["feel"]["swing"] == {"of": "eighths", "ratio": "2:1"}
    assert found.table["bars"]["a"]["subdivision"] == "eighths"


@pytest.mark.parametrize(("of", "ratio"), [("eighths", "3:2"), ("sixteenths", "3:2"), ("sixteenths", "2:1")])
def test_other_swing_is_told(of: str, ratio: str) -> None:
    name = of if of == "eighths" else "sixteenths"
    text = (
        f'feel = {{ swing = {{ of = "{of}", ratio = "{ratio}" }} }}\nphrase = ["a x4"]\n'
        f'[bars.a]\nsubdivision = "{name}"\nsticking = "RL"\nhands.R = "hihat"\n'
    )
    assert of_text(text).table["feel"]["swing"] == {"of": of, "ratio": ratio}


def test_a_bar_that_cannot_swing_is_straight_in_a_take_that_does() -> None:
    """Swung eighths in 4/4, then a bar of 3/8, whose beats hold no pair."""
    ticks = [*(beat * 480 + late for beat in range(8) for late in (0, 320)), 3840, 4080, 4320]
    rows = tuple(Hit(tick, 42, 80, "hihat", "") for tick in ticks)
    none = (None,) * len(rows)
    meters = (MeterChange(0, parse_meter("4/4")), MeterChange(3840, parse_meter("3/8")))
    take = Take(load_kit("general-midi"), 480, rows, none, none, (TempoChange(0, 500_000),), meters, (), 4560)
    found = transcribe(take)
    assert found.swing is not None
    assert found.table["bars"][found.names[-1]]["feel"] == {"swing": {"of": "eighths", "ratio": "1:1"}}
    performance = perform(arrange(read_phrase(found.text, file="take.toml", name="take").phrase))
    scale = performance.ppq // 480
    assert [hit.tick for hit in performance.hits] == [tick * scale for tick in ticks]


@pytest.mark.parametrize("late", [-48, 24, 36, 48])
@pytest.mark.parametrize(("second", "swing"), [(240, None), (320, {"of": "eighths", "ratio": "2:1"})])
def test_a_take_that_is_late_as_a_whole_swings_no_more_than_its_strokes_do(
    late: int, second: int, swing: dict[str, str] | None
) -> None:
    """As through a slow sound card: pairs of eighths, all of their strokes as late as the others."""
    ticks = [beat * 480 + place + late for beat in range(1, 17) for place in (0, second)]
    hits = tuple(Hit(tick, 42, 80, "hihat", "") for tick in ticks)
    none = (None,) * len(hits)
    meters = (MeterChange(0, parse_meter("4/4")),)
    take = Take(load_kit("general-midi"), 480, hits, none, none, (TempoChange(0, 500_000),), meters, (), 8640)
    found = transcribe(take).table
    assert found.get("feel", {}).get("swing") == swing


@pytest.mark.parametrize("after", [0, 1, 1919, 1921, 40_000])
def test_a_meter_that_changes_after_the_drums_have_ended_is_not_written(after: int) -> None:
    hits = tuple(Hit(tick, 38, 80, "snare", "") for tick in range(0, 1920, 240))
    meters = (MeterChange(0, parse_meter("4/4")), MeterChange(1920 + after, parse_meter("3/4")))
    none = (None,) * len(hits)
    take = Take(load_kit("general-midi"), 480, hits, none, none, (TempoChange(0, 500_000),), meters, (), 1920)
    assert [bar.meter for bar in transcribe(take).bars] == [parse_meter("4/4")]


def test_triplets_are_no_swing() -> None:
    assert of_text('phrase = ["a x4"]\n[bars.a]\nsubdivision = "triplets"\nsticking = "RLL"\n').swing is None


def test_triplets_of_a_coarse_file_are_triplets() -> None:
    found = of_take("ppq100-triplets.mid")
    assert set(found.names) == {"a"}
    assert found.table["bars"]["a"]["subdivision"] == "triplets"


def test_soft_strokes_are_ghost_notes_and_the_foot_is_no_hand() -> None:
    levels = [note.level for note in of_take("ghost-velocities-1-to-10.mid").notes]
    assert [level == "ghost" for level in levels] == [index % 4 != 0 for index in range(16)]
    assert [note.limb for note in of_take("hihat-pedal-cc4.mid").notes][-1] == "H"


@pytest.mark.parametrize("subdivision", ["quintuplets", "septuplets", "thirty-seconds", "sextuplets", "eighths"])
@pytest.mark.parametrize("meter", ["4/4", "3/4", "5/4"])
def test_every_subdivision_is_told(subdivision: str, meter: str) -> None:
    text = (
        f'meter = "{meter}"\ntempo = 70\nphrase = ["a x2"]\n[bars.a]\nsubdivision = "{subdivision}"\nsticking = "RL"\n'
    )
    assert of_text(text).table["bars"]["a"]["subdivision"] == subdivision


def test_a_meter_with_its_groups_may_be_said() -> None:
    bar = '[bars.a]\nsticking = "RLRLRLL"\nsubdivision = "eighths"\n'
    text = f'meter = "7/8 2+2+3"\ntempo = "eighth 180"\nphrase = ["a x2"]\n{bar}'
    found = of_text(text, Transcribing(meter=parse_meter("7/8 2+2+3")))
    assert found.table["meter"] == "7/8 2+2+3"
    assert found.table["tempo"] == "eighth 180"


@pytest.mark.parametrize("tempo", [72, 95, 120, 133])
def test_a_tempo_is_guessed_from_the_strokes(tempo: int) -> None:
    bar = '[bars.a]\nsticking = "RLRL"\nhands.R = "hihat"\nfeet.kick = "1 3"\n'
    text = f'tempo = {tempo}\nphrase = ["a x4"]\nfeel = {{ spread_ms = 4 }}\n{bar}'
    found = of_text(text, Transcribing(guessed=True))
    assert found.tempo is not None
    ratio = found.tempo.beats / tempo
    assert min(abs(log(ratio * octave)) for octave in (0.5, 1, 2)) < log(1.02)


def test_a_tempo_that_is_said_wins() -> None:
    found = of_text(GROOVE, Transcribing(tempo=parse_tempo("96")))
    assert found.table["bars"]["a"]["sticking"] == "R(L)RR >LRLL"


def test_hands_on_different_surfaces_are_told_and_the_lead_follows_the_kit() -> None:
    for kit in ("five-piece", "left-handed"):
        performance = perform(arrange(phrase(f'kit = "{kit}"\n{GROOVE}')))
        assert right_hands(heard(performance), performance) == 1.0


def test_a_third_hand_is_left_out_and_said() -> None:
    performance = perform(arrange(phrase('phrase = ["a"]\n[bars.a]\nsticking = "B"\nhands.R = "hihat"\n')))
    third = tuple(replace(hit, key=49, voice="crash") for hit in performance.hits[:1])
    found = heard(replace(performance, hits=(*performance.hits[:2], *third, *performance.hits[2:])))
    assert found.remarks == ("snare on 1 of bar 1 left out: it would need a third hand",)


def struck_at_once(*rows: tuple[int, int, int]) -> Take:
    """A take of strokes (tick, key, velocity) on one beat, and one of its voices on the others to keep the meter."""
    kit = load_kit("general-midi")
    voices = {voice.key: voice for voice in reversed(kit.voices.values())}
    rows = (*sorted(rows), (960, 38, 80), (1440, 38, 80))
    hits = tuple(Hit(tick, key, force, voices[key].name if key in voices else "", "") for tick, key, force in rows)
    none = (None,) * len(hits)
    change, meter = TempoChange(0, 500_000), MeterChange(0, parse_meter("4/4"))
    unmapped = tuple(Struck(hit.key, 1) for hit in hits if not hit.voice)
    return Take(kit, 480, hits, none, none, (change,), (meter,), (), 1920, unmapped=unmapped)


UNMAPPED = (
    "1 stroke left out of notes that the kit general-midi has no voice for; --kit with one that has them keeps them "
    "(kits learn makes one)"
)


@pytest.mark.parametrize(
    ("rows", "voices", "remark"),
    [
        (
            ((480, 38, 100), (480, 42, 60), (481, 49, 110)),
            ["snare", "crash"],
            "hihat on 2 of bar 1 left out: it would need a third hand",
        ),
        (
            ((456, 38, 40), (480, 38, 100), (480, 49, 110)),
            ["snare", "crash"],
            "snare on 2 of bar 1 left out: it is a grace note before both hands",
        ),
        (
            ((480, 38, 90), (488, 38, 100)),
            ["snare"],
            "snare on 2 of bar 1 left out: it came to one place with another stroke of its voice",
        ),
        (
            ((480, 38, 100), (480, 75, 60)),
            ["snare"],
            UNMAPPED,
        ),
    ],
)
def test_what_a_phrase_cannot_say_is_left_out_and_listed(
    rows: tuple[tuple[int, int, int], ...], voices: list[str], remark: str
) -> None:
    """The louder strokes stay, whatever came first."""
    found = transcribe(struck_at_once(*rows))
    assert sorted(note.voice for note in found.notes if note.beat == 1) == sorted(voices)
    assert found.remarks == (remark,)


def test_voices_that_a_kit_softens_may_be_struck_as_loud_as_can_be() -> None:
    kit = load_kit("five-piece")
    soft = replace(kit, voices={name: replace(voice, velocity=-40) for name, voice in kit.voices.items()})
    hits = tuple(Hit(tick, 38, 120, "snare", "") for tick in range(0, 1920, 240))
    change, meter = TempoChange(0, 500_000), MeterChange(0, parse_meter("4/4"))
    found = transcribe(Take(soft, 480, hits, (None,) * 8, (None,) * 8, (change,), (meter,), (), 1920))
    assert [note.level for note in found.notes] == ["normal"] * 8
    assert found.table["dynamics"]["normal"] == 127


def test_only_the_first_dozen_of_what_is_left_out_is_listed() -> None:
    rows = tuple((tick, key, 90) for tick in range(0, 960, 60) for key in (38, 42, 49))
    found = transcribe(struck_at_once(*rows))
    assert len(found.left_out) == 16
    assert len(found.remarks) == 13
    assert found.remarks[-1] == "and 4 more strokes left out for such reasons"
    fewer = transcribe(struck_at_once(*rows[:39]))
    assert fewer.remarks[-1] == "and 1 more stroke left out for such reasons"


@pytest.mark.parametrize("kit", ["general-midi", "five-piece", "pedal-hihat"])
@pytest.mark.parametrize("tracks", TRACK_WAYS)
def test_the_click_of_a_rendered_take_is_not_given_to_the_hands(kit: str, tracks: Tracks) -> None:
    """The General MIDI kit has its woodblock on the note of the marked click."""
    text = f'kit = "{kit}"\n{GROOVE}'
    clicked = perform(arrange(phrase(text), Practice(count_in=1, click=parse_click("quarters"))))
    found = transcribe(read_take(render_midi(clicked, tracks=tracks), kit=clicked.kit))
    assert strokes(perform(arrange(written(found)))) == strokes(clicked)
    words = f"20 strokes left out as the click of the kit {kit} (note 76, note 77); --kit with another click keeps them"
    assert found.remarks == (words,)


CLICK, WOODBLOCK = 77, 76


def on_notes(*rows: tuple[int, int, int]) -> Take:
    """Strokes, as (tick, key, velocity), on the General MIDI kit, 480 ticks to the quarter."""
    kit = load_kit("general-midi")
    names = {38: "snare", CLICK: "click", WOODBLOCK: "woodblock"}
    hits = tuple(Hit(tick, key, force, names[key], "") for tick, key, force in sorted(rows))
    change, meter = TempoChange(0, 500_000), MeterChange(0, parse_meter("4/4"))
    return Take(kit, 480, hits, tuple(range(len(hits))), (None,) * len(hits), (change,), (meter,), (), 1920)


SNARES = tuple((tick, 38, 90) for tick in range(0, 1920, 240))
CLICKS = tuple((tick, CLICK, 80) for tick in range(0, 1920, 480))


def voices_of(take: Take) -> set[str]:
    return {note.voice for note in transcribe(take).notes}


def test_a_woodblock_that_is_played_is_kept_beside_a_click() -> None:
    """It is as loud as a player makes it; alone, as loud as it may be, it is no click either."""
    played = tuple((tick, WOODBLOCK, 60 + tick // 48) for tick in range(120, 1920, 480))
    assert voices_of(on_notes(*SNARES, *CLICKS, *played)) == {"snare", "woodblock"}
    even = tuple((tick, WOODBLOCK, 90) for tick in range(120, 1920, 480))
    assert voices_of(on_notes(*SNARES, *even)) == {"snare", "woodblock"}
    assert voices_of(on_notes(*SNARES, *CLICKS, *even)) == {"snare"}


def test_what_is_struck_louder_and_softer_on_the_clicks_note_is_kept() -> None:
    played = tuple((tick, CLICK, 60 + tick // 48) for tick in range(120, 1920, 480))
    assert voices_of(on_notes(*SNARES, *played)) == {"snare", "click"}


def test_the_strokes_beside_a_click_keep_their_pedal() -> None:
    take = on_notes(*SNARES, *CLICKS)
    kept = transcribe(take).take
    assert [hit.key for hit in kept.hits] == [38] * 8
    assert kept.pedals == tuple(index for index, hit in enumerate(take.hits) if hit.key == 38)
    assert kept.chokes == (None,) * 8


def test_a_click_alone_is_refused() -> None:
    words = "expected strokes of the kit general-midi on channel 10, got only its click"
    assert said(lambda: transcribe(on_notes(*CLICKS))) == words


def test_no_strokes_are_refused_with_where_they_are() -> None:
    content = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk\x00\x00\x00\x08\x00\x90\x24\x64\x00\xff\x2f\x00"
    take = read_take(content, kit=load_kit("general-midi"))
    line = "expected strokes of the kit general-midi on channel 10, got none; there are notes on channel 1 (1)"
    assert said(lambda: transcribe(take)) == line


def test_a_take_of_days_is_refused_with_the_limit() -> None:
    assert said(lambda: of_take("delta-of-78-hours.mid")).startswith("expected a take of at most 100000 bars")


def test_the_text_has_a_row_of_how_sure_the_hands_are() -> None:
    lines = transcription_lines(of_text(GROOVE))
    assert "bars 1-3: a" in lines
    sticking, sure = (next(line for line in lines if line.startswith(f"  {row}")) for row in ("sticking", "sure"))
    assert sticking.split()[1:] == ["R", "L", "R", "R", "L", "R", "L", "L"][: len(sticking.split()) - 1]
    assert all(50 <= int(word) <= 100 for word in sure.split()[1:])


def test_one_stroke_is_told_as_one() -> None:
    lines = transcription_lines(of_text('phrase = ["a"]\n[bars.a]\nsticking = "R---"\nsubdivision = "quarters"'))
    assert lines[2] == "hands 50 in 100 sure on the whole; 1 of 1 stroke is less than 75 sure"


def _limb(name: str) -> Literal["R", "L"]:
    return "R" if name == "R" else "L"


@pytest.mark.parametrize(
    ("rudiment", "lead"),
    [("single paradiddle", "R"), ("flam tap", "L"), ("double stroke open roll", "R"), ("flam accent", "R")],
)
def test_rudiments_are_named_with_their_bars(rudiment: str, lead: str) -> None:
    """The hands are given here, so that what is judged is the naming alone."""
    from drumgen.study.transcribe_notes import Note
    from drumgen.study.transcribe_rudiments import find_rudiments

    performance = perform(arrange(phrase(f'phrase = ["a x4"]\n[bars.a]\nrudiment = "{rudiment}"\nlead = "{lead}"\n')))
    grace = {hit.place: 1 for hit in performance.hits if hit.kind == "grace"}
    first = performance.hits[0].span
    notes = [
        Note(
            *(hit.span - first, 0, 0, hit.place - hit.span * 40_320),
            _limb(hit.limb),
            hit.voice,
            "normal",
            grace.get(hit.place, 0),
        )
        for hit in performance.hits
        if hit.kind == "stroke"
    ]
    (found,) = find_rudiments(notes, [index * 40_320 for index in range(5)])
    assert (found.name, found.lead, found.start) == (rudiment, lead, 1)
    assert (found.first_bar, found.last_bar, found.in_rhythm) == (0, 3, True)


# -- any take at all

KEYS = (36, 38, 42, 44, 46, 49, 51, 50, 47, 43, 37, 53)
METERS = ("4/4", "3/4", "6/8", "7/8", "5/4", "2/2", "12/8", "1/4", "9/16", "3/2")


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 7680), st.sampled_from(KEYS), st.integers(1, 127)), min_size=1, max_size=40),
    st.sampled_from(METERS),
    st.sampled_from((0, 480, 720, 40_000)),
    st.sampled_from((240_000, 500_000, 1_000_000)),
)
def test_whatever_is_struck_the_phrase_file_plays_the_notes_written(
    struck: list[tuple[int, int, int]], meter: str, change: int, us: int
) -> None:
    kit = load_kit("general-midi")
    voices = {voice.key: voice for voice in reversed(kit.voices.values())}
    rows = sorted(struck)
    hits = tuple(
        Hit(tick, key, force, voices[key].name, FOOT_OF.get(voices[key].limb, "")) for tick, key, force in rows
    )
    meters = [MeterChange(0, parse_meter(meter)), *([MeterChange(change, parse_meter("3/4"))] if change else [])]
    none = (None,) * len(hits)
    take = Take(kit, 480, hits, none, none, (TempoChange(0, us),), tuple(meters), (), hits[-1].tick + 1)
    found = transcribe(take)
    assert transcription_lines(found)
    performance = perform(arrange(written(found)))
    starts = [0]
    for bar in found.bars:
        starts.append(starts[-1] + bar.meter.grains)
    empty = starts[1] if any("an empty bar" in remark for remark in performance.remarks) else 0
    expected = {(empty + starts[note.bar] + note.place, kit.voice(note.voice).key) for note in found.notes}
    assert {(hit.place, hit.key) for hit in performance.hits if hit.kind == "stroke"} == expected


# -- the model of the hands against all ways that there are


def some_events(kit: Kit, seed: int, size: int) -> tuple[Events, Model]:
    source = Random(seed)  # noqa: S311 - a corpus, not a secret
    voices = [kit.voice(name) for name in ("snare", "hihat", "floor-tom")]
    at_s = np.cumsum([source.choice((0.1, 0.15, 0.3)) for _ in range(size)])
    first = np.array([source.randrange(3) for _ in range(size)])
    second = np.array([(voice + 1) % 3 if source.random() < 0.2 else -1 for voice in first])
    flam = np.array([other >= 0 and source.random() < 0.5 for other in second], dtype=np.bool_)
    force = np.array([float(source.choice((40, 80, 110))) for _ in range(size)])
    strong = np.array([source.randrange(3) for _ in range(size)])
    return Events(at_s, first, second, flam, force, force > 100, strong), Model(kit, voices)


def cost_of(hands: tuple[int, ...], costs: Steps) -> float:
    """The cost of one way, walked by the definition of the states."""
    total, last, ago = float(costs.begin[0, hands[0]]), hands[0], 0 if costs.is_both[0] else LONGEST
    for at in range(1, len(hands)):
        hand = hands[at]
        if costs.is_both[at]:
            total += float(costs.both[costs.row[at], last, ago, hand])
            last, ago = hand, 0
        elif hand == last:
            total += float(costs.same[at, last, ago])
            ago = min(ago + 1, LONGEST)
        else:
            total += float(costs.other[at, last, ago])
            last, ago = hand, 1
    return total


@pytest.mark.parametrize("seed", range(8))
def test_the_hands_are_the_likeliest_of_all_ways_and_so_are_their_chances(seed: int) -> None:
    """Brute force over all 2^10 rows of hands: the cheapest is told; each chance is the share of the ways with it."""
    events, model = some_events(load_kit("five-piece"), seed, 10)
    costs = step_costs(events, model)
    ways = list(product((0, 1), repeat=10))
    prices = [cost_of(way, costs) for way in ways]
    found = find_hands(events, model)
    assert cost_of(tuple(found.hand.tolist()), costs) == pytest.approx(min(prices))
    weights = np.array([exp(-price) for price in prices])
    for at, hand in enumerate(found.hand.tolist()):
        share = weights[[way[at] == hand for way in ways]].sum() / weights.sum()
        assert found.sure[at] == pytest.approx(share, abs=1e-6)


def test_long_takes_have_the_chances_of_short_ones() -> None:
    """In pieces: the chances in the middle of a long row are those of the row worked out as one piece."""
    events, model = some_events(load_kit("five-piece"), 3, 1700)
    whole = find_hands(events, model)
    own = slice(500, 1100)
    part = Events(
        *(events.at_s[own], events.first[own], events.second[own], events.flam[own]),
        *(events.force[own], events.accent[own], events.strong[own]),
    )
    alone = find_hands(part, model)
    same = (alone.hand == whole.hand[500:1100])[100:500]
    assert same.all()
    assert alone.sure[100:500] == pytest.approx(whole.sure[600:1000], abs=1e-4)


# -- a take that claims days


def long_take(*, bars: int) -> Take:
    """Eight strokes, and another so many bars later."""
    played = perform(arrange(phrase('phrase = ["a"]\n[bars.a]\nsticking = "RLRR LRLL"\n')))
    take = read_take(render_midi(played), kit=load_kit("general-midi"))
    far = replace(take.hits[-1], tick=bars * 4 * take.ppq)
    return replace(take, hits=(*take.hits, far), end_tick=far.tick + 1)


@pytest.mark.parametrize("how", [Transcribing(tempo=parse_tempo("120")), Transcribing(guessed=True)])
def test_beats_of_days_are_refused_before_they_are_followed(how: Transcribing, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(transcribe_tempo, "_on_beats", lambda *_, **__: pytest.fail("a beat after the other"))
    message = said(lambda: transcribe(long_take(bars=300_000), how))
    assert message.startswith("expected a take of at most 100000 bars, got ")


def price(row: Iterable[int], costs: np.ndarray, change: np.ndarray) -> float:
    """What a row costs, added up."""
    row = tuple(row)
    steps = sum(change[one, other] for one, other in pairwise(row))
    return float(sum(costs[at, number] for at, number in enumerate(row)) + steps)


@given(st.lists(st.sampled_from([(0.0, 0.3, 0.1), (2.5, 0.7, 0.2), (0.4, 5.1, 0.9)]), min_size=1, max_size=7))
def test_the_cheapest_row_is_that_of_trying_all(rows: list[tuple[float, ...]]) -> None:
    costs = np.array(rows)
    change = np.array([[0.0, 0.45, 0.6], [0.5, 0.0, 0.65], [0.55, 0.35, 0.0]])
    cheapest = min(price(row, costs, change) for row in product(range(3), repeat=len(costs)))
    assert price(cheapest_row(costs, change), costs, change) == pytest.approx(cheapest)


def test_beats_that_say_nothing_new_are_not_worked_out_again() -> None:
    costs = np.array([(2.5, 0.7, 0.2)] * 5 + [(0.0, 0.3, 0.1)] * 400 + [(2.5, 0.7, 0.2)] * 5)
    change = CountingArray([[0.0, 0.45, 0.6], [0.5, 0.0, 0.65], [0.55, 0.35, 0.0]])
    row = cheapest_row(costs, change)  # type: ignore[arg-type]  # it is added, and nothing else
    assert row == [2] * 5 + [0] * 400 + [2] * 5
    assert change.added < 40


class CountingArray:
    """An array that counts how often it is added to another."""

    __array_priority__ = 1.0
    __array_ufunc__ = None

    def __init__(self, rows: list[list[float]]) -> None:
        self.rows, self.added = np.array(rows), 0

    def __radd__(self, other: np.ndarray) -> np.ndarray:
        self.added += 1
        return np.asarray(other + self.rows)
