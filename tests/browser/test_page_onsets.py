"""The page's own scheduler, rendered offline, against the times of the MIDI file of the same phrase."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from page_room import Opener, largest_error_ms, midi_onsets, phrase_of, played_offline

from drumgen.audition import render_page
from drumgen.phrase import Phrase
from drumgen.practice import Practice, parse_ladder
from drumgen.tempo import parse_tempo

Measured = Callable[[str, object], None]

FELT = """
title  = "Ferry steps"
tempo  = 92
kit    = "five-piece"
phrase = ["ferry x2", "rope", "ferry"]
landing = ["crash", "kick"]

[feel]
swing = { of = "sixteenths", ratio = "3:2" }
spread_ms = 8
seed = 7
flam_ms = 28
drag_ms = 35

[bars.ferry]
sticking    = "R-L(R) lR-LR llR-L- RzL>R-"
subdivision = "sixteenths"
hands.R     = "ride"
hands.L     = "snare"
feet.kick   = "1 2& 3 4a"

[bars.rope]
role        = "fill"
sticking    = ">lRLR >rLRL"
subdivision = "triplets"
hands.R     = { around = ["high-tom", "mid-tom", "floor-tom"], every = "beat" }
hands.L     = "snare"
tempo       = "92 to 70"
"""


@pytest.fixture(scope="module")
def felt(tmp_path_factory: pytest.TempPathFactory) -> Phrase:
    return phrase_of(tmp_path_factory.mktemp("felt"), FELT)


@pytest.fixture(scope="module")
def felt_page(felt: Phrase, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("felt") / "felt.html"
    path.write_text(render_page(felt).text, "utf-8")
    return path


@pytest.mark.parametrize("tempo", [60, 97, 163])
def test_without_feel_onsets_are_those_of_the_midi_file(
    open_page: Opener, millrace: Phrase, millrace_page: Path, tempo: int, record_testsuite_property: Measured
) -> None:
    practice = Practice(tempo=parse_tempo(str(tempo)), times=2, count_in=1, click="2 and 4")
    wanted, end = midi_onsets(millrace, practice)
    values = {"tempo": tempo, "times": 2, "countIn": 1, "click": "2 and 4"}
    found, _ = played_offline(open_page(millrace_page), seconds=end + 1, values=values)
    error = largest_error_ms(found, wanted)
    record_testsuite_property("largest_onset_error_ms", error)
    assert error < 1


def test_after_a_tempo_change_in_the_middle_of_a_loop_onsets_stand_where_they_should(
    open_page: Opener, millrace: Phrase, millrace_page: Path, record_testsuite_property: Measured
) -> None:
    """Bars 2 to 3 go round at 94; in the middle of the second round they go on at 141, later at 47."""
    once, length = midi_onsets(millrace, Practice(bars=((2, 3),), loop=True))
    straight = [start * length + onset for start in range(8) for onset in once]
    changes = [[1.37 * length, 141], [2.5 * length, 47]]
    found, (first, second) = played_offline(
        open_page(millrace_page), seconds=4 * length, values={"first": 2, "last": 3}, changes=changes
    )

    def moved(at: float) -> float:
        """When what stood at a time sounds after both changes."""
        at = at if at < first else first + (at - first) * 94 / 141
        return at if at < second else second + (at - second) * 141 / 47

    wanted = [moved(onset) for onset in straight if moved(onset) < 4 * length]
    error = largest_error_ms(found, wanted)
    record_testsuite_property("largest_onset_error_ms", error)
    assert error < 1


@pytest.mark.parametrize("tempo", [58, 92, 131])
def test_with_feel_onsets_are_within_half_a_tick_and_a_millisecond(
    open_page: Opener, felt: Phrase, felt_page: Path, tempo: int, record_testsuite_property: Measured
) -> None:
    """Swing, spread, flams, drags, buzzes, triplets, and a bar that slows."""
    practice = Practice(tempo=parse_tempo(str(tempo)), times=2, count_in=1)
    wanted, end = midi_onsets(felt, practice)
    values = {"tempo": tempo, "times": 2, "countIn": 1}
    found, _ = played_offline(open_page(felt_page), seconds=end + 1, values=values)
    error = largest_error_ms(found, wanted)
    record_testsuite_property("largest_onset_error_ms", error)
    slowest = 60_000 / (tempo * 70 / 92)
    assert error < slowest / 960 / 2 + 1


ORDERS: dict[str, tuple[Practice, dict[str, Any]]] = {
    "ladder": (
        Practice(rungs=parse_ladder("80 to 100 by 15"), times=2, count_in=1, click="beats", bars=((3, 4),)),
        {
            "ladder": {"times": 2, "from": 80, "to": 100, "by": 15},
            "countIn": 1,
            "click": "beats",
            "first": 3,
            "last": 4,
        },
    ),
    "gap": (
        Practice(times=2, click="eighths", gap=(2, 1), bars=((3, 5),)),
        {"times": 2, "click": "eighths", "gapOn": 2, "gapOff": 1, "first": 3, "last": 5},
    ),
    "bars that are no range": (
        Practice(times=3, click="quarters", bars=((1, 1), (4, 4), (7, 8))),
        {"times": 3, "click": "quarters", "first": 1, "last": 8, "numbers": [1, 4, 7, 8]},
    ),
    "fills": (
        Practice(times=3, only="fill", count_in=1),
        {"times": 3, "first": 4, "last": 8, "numbers": [4, 8], "countIn": 1},
    ),
    "answer": (Practice(times=1, click="first", answer=3), {"times": 1, "click": "first", "answer": 3}),
    "rest": (
        Practice(times=4, rest=(1, 1), bars=((4, 5),), click="off-beats"),
        {"times": 4, "rest": 1, "restAfter": 1, "first": 4, "last": 5, "click": "off-beats"},
    ),
}


@pytest.mark.parametrize("name", ORDERS)
def test_practice_options_play_what_the_midi_file_plays(
    open_page: Opener, millrace: Phrase, millrace_page: Path, name: str
) -> None:
    practice, values = ORDERS[name]
    wanted, end = midi_onsets(millrace, practice)
    found, _ = played_offline(open_page(millrace_page), seconds=end + 1, values=values)
    assert largest_error_ms(found, wanted) < 1


def test_every_phrase_of_the_demonstration_plays_as_its_midi_file(
    open_page: Opener, demo_phrases: list[Phrase], demo_page: Path, record_testsuite_property: Measured
) -> None:
    page = open_page(demo_page)
    for index, phrase in enumerate(demo_phrases):
        wanted, end = midi_onsets(phrase, Practice(count_in=1))
        found, _ = played_offline(page, seconds=end + 1, values={"times": 1, "countIn": 1}, index=index)
        error = largest_error_ms(found, wanted)
        record_testsuite_property(phrase.title, error)
        tick_ms = 60_000 / float(phrase.tempo.quarters(phrase.meter)[0]) / 960
        assert error < tick_ms / 2 + 1


def test_silencing_a_limb_moves_nothing_else(open_page: Opener, felt: Phrase, felt_page: Path) -> None:
    wanted, end = midi_onsets(felt, Practice(times=1, count_in=1, limbs=("K",)))
    page = open_page(felt_page)
    page.evaluate("for (const limb of 'RLH') audition.page.set.silentLimbs.add(limb)")
    found, _ = played_offline(page, seconds=end + 1, values={"times": 1, "countIn": 1})
    assert largest_error_ms(found, wanted) < 1.5


CHANGED = """([values, at]) => {
  const { page, Playing } = audition;
  Object.assign(page.set, { first: 2, last: 3, times: 1 });
  const found = [];
  const strike = (sound, time) => found.push([time, sound.span.number, sound.kind]);
  const playing = new Playing(page.phrase, page.set, { time: 0, strike });
  for (let now = 0; now < 20; now += 0.025) {
    if (at !== null && now >= at) {
      Object.assign(page.set, values);
      playing.orderChanged({ restart: "first" in values });
      at = null;
    }
    playing.run(now + 0.15);
  }
  return { found, ended: playing.ended };
}"""
BAR_S = 4 * 60 / 94


def test_what_comes_next_changes_at_the_next_bar_line(open_page: Opener, millrace_page: Path) -> None:
    page = open_page(millrace_page)
    once = page.evaluate(CHANGED, [{}, None])
    assert once["ended"]
    assert max(time for time, _, _ in once["found"]) < 2 * BAR_S
    on = page.evaluate(CHANGED, [{"times": 0}, 1.5 * BAR_S])
    assert not on["ended"]
    assert {number for time, number, _ in on["found"] if 2.1 * BAR_S < time < 2.9 * BAR_S} == {2}
    moved = page.evaluate(CHANGED, [{"first": 6, "last": 7, "times": 0}, 0.5 * BAR_S])
    bars = {int(time / BAR_S + 1e-6): number for time, number, _ in moved["found"]}
    assert [bars[at] for at in range(5)] == [2, 6, 7, 6, 7]
    assert bars.keys() >= set(range(7))
    clicked = page.evaluate(CHANGED, [{"click": "first", "times": 0, "silent": 0}, 0.5 * BAR_S])
    clicks = [time for time, _, kind in clicked["found"] if kind == "click"]
    assert clicks == pytest.approx([BAR_S * at for at in range(1, 1 + len(clicks))], abs=1e-4)
    assert len(clicks) > 5
