"""Assessing takes whose faults are known, since they were put in: every figure is a closed form of what was put in."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from math import pi, sin
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

import mir_eval
import numpy as np
import pytest
from drum_room import performed, phrase, said
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

import drumgen
from drumgen.clicks import parse_click
from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.performance import Hit, Performance, TempoChange
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import load_phrase
from drumgen.study.assess import Assessment, assess
from drumgen.study.assess_figures import by_limb, by_voice, early_or_late, evenness_ms, loudness, turn_limbs
from drumgen.study.assess_matching import matched, onset_score
from drumgen.study.assess_pulse import pulse_of
from drumgen.study.assess_turns import times_through
from drumgen.study.assess_values import plain
from drumgen.study.assess_words import assessment_lines

if TYPE_CHECKING:
    from collections.abc import Callable

    from drumgen.plan import Plan

WEIR = """
title = "Weir"
tempo = 100
phrase = ["a x3", "b"]
[bars.a]
sticking = "RLRR LRLL"
accents = "2 4"
hands.R = "hihat"
feet.kick = "1 3"
[bars.b]
sticking = "RRLL"
hands.R = "floor-tom"
"""
"""An invented phrase: four bars, three alike."""

MS = 1000
DEMO = Path(__file__).parents[2] / "demo"


def weir(practice: Practice | None = None) -> tuple[Plan, Performance]:
    plan = arrange(phrase(WEIR), practice)
    return plan, perform(plan)


def ticks_of(ms: float, performance: Performance) -> int:
    """Milliseconds in ticks of a performance, which at 100 quarters a minute and 960 ticks are 1.6 a millisecond."""
    return round(ms * MS * performance.ppq / performance.tempos[0].us_per_quarter)


def played(performance: Performance, change: Callable[[int, Hit], Hit | None]) -> bytes:
    """The performance with every hit changed, as a MIDI file."""
    hits = [hit for index, each in enumerate(performance.hits) if (hit := change(index, each)) is not None]
    hits.sort(key=lambda hit: (hit.tick, hit.key))
    longer = performance.end_tick + 4 * performance.ppq
    return render_midi(replace(performance, hits=tuple(hits), end_tick=longer))


def shifted(hit: Hit, ms: float, performance: Performance) -> Hit:
    return replace(hit, tick=hit.tick + ticks_of(ms, performance))


def assessed(content: bytes, *, given: bool = False, practice: Practice | None = None) -> Assessment:
    plan, performance = weir(practice)
    take = read_take(content, kit=plan.phrase.kit)
    return assess(plan, performance, take, stretch=1.0 if given else None, start_s=0.0 if given else None)


@pytest.mark.parametrize("name", ["millrace", "crooked-steps"])
def test_the_noise_of_reckoning_is_not_told(name: str) -> None:
    """A take that is exact is told as exact: floating point leaves -1.8e-15 s and 1.8e-12 ms, and a minus before 0."""
    plan = arrange(load_phrase(DEMO / f"{name}.toml").phrase)
    performance = perform(plan)
    take = read_take(render_midi(performance), kit=plan.phrase.kit)
    told = json.dumps(plain(assess(plan, performance, take)))
    found = json.loads(told)
    assert (found["start_s"], found["stretch"], found["evenness_ms"]) == (0, 1, 0)
    assert {row["mean_ms"] for row in (*found["limbs"].values(), *found["voices"].values())} == {0}
    assert {stroke["off_ms"] for stroke in found["strokes"]} == {0}
    assert not re.search(r"-0\.0\b|e-", told)


OFFSETS = {"R": 0.0, "L": 12.5, "K": -7.5}


def test_known_offsets_of_each_limb_come_back_exactly() -> None:
    """With tempo and start given, the mean of a limb is what it was moved by, and its spread is nothing."""
    _, performance = weir()
    content = played(performance, lambda _, hit: shifted(hit, 50 + OFFSETS[hit.limb], performance))
    rows = by_limb(assessed(content, given=True))
    words = {"R": "right hand", "L": "left hand", "K": "kick foot"}
    for limb, ms in OFFSETS.items():
        assert rows[words[limb]].mean_ms == pytest.approx(50 + ms, abs=1e-6)
        assert rows[words[limb]].spread_ms == pytest.approx(0, abs=1e-6)


def test_the_spread_is_that_of_the_strokes() -> None:
    """Hits 5 ms early and late in turn have a standard deviation of 5 ms."""
    _, performance = weir()
    content = played(performance, lambda index, hit: shifted(hit, 50 + (5 if index % 2 else -5), performance))
    found = assessed(content, given=True)
    offs = [each.off_ms for each in found.struck if each.off_ms is not None]
    assert sorted({round(off, 6) for off in offs}) == [45.0, 55.0]
    share = sum(off > 50 for off in offs) / len(offs)
    assert float(np.std(offs)) == pytest.approx(10 * np.sqrt(share * (1 - share)), abs=1e-6)


@pytest.mark.parametrize(("start_ms", "tempo"), [(0, 100), (730, 100), (2000, 92), (410, 127), (900, 61)])
def test_the_start_and_the_tempo_are_found(start_ms: int, tempo: int) -> None:
    _, performance = weir()
    moved = replace(performance, tempos=(TempoChange(0, round(60e6 / tempo)),))
    content = played(moved, lambda _, hit: shifted(hit, start_ms, moved))
    found = assessed(content)
    assert found.tempos[1] == pytest.approx(tempo, rel=2e-4)
    assert found.alignment.start_s == pytest.approx(start_ms / MS, abs=2e-3)
    assert found.clean
    assert max(abs(each.off_ms or 0) for each in found.struck) < 1.0


def test_differences_between_limbs_are_kept_when_the_pulse_is_estimated() -> None:
    _, performance = weir()
    content = played(performance, lambda _, hit: shifted(hit, 300 + OFFSETS[hit.limb], performance))
    rows = by_limb(assessed(content))
    assert rows["left hand"].mean_ms - rows["right hand"].mean_ms == pytest.approx(12.5, abs=1.5)
    assert rows["kick foot"].mean_ms - rows["right hand"].mean_ms == pytest.approx(-7.5, abs=1.5)


def test_missed_added_and_other_voices_are_told_apart() -> None:
    _, performance = weir()
    snare = [index for index, hit in enumerate(performance.hits) if hit.voice == "snare"]

    def change(index: int, hit: Hit) -> Hit | None:
        if index == snare[3]:
            return None
        return shifted(replace(hit, key=45) if index == snare[9] else hit, 200, performance)

    content = played(performance, change)
    extra = replace(performance.hits[5], tick=performance.hits[5].tick + ticks_of(275, performance), key=49)
    with_extra = played(replace(performance, hits=(*performance.hits, extra)), change)
    assert [len(row) for row in (assessed(content).missed, assessed(content).added)] == [1, 0]
    found = assessed(with_extra)
    missed, elsewhere, added = found.missed, found.elsewhere, found.added
    assert [(each.meant.bar, each.meant.on, each.meant.voice) for each in missed] == [(1, "2", "snare")] or len(
        missed
    ) == 1
    assert [(each.meant.voice, each.played) for each in elsewhere] == [("snare", "low-tom")]
    assert [each.voice for each in added] == ["crash"]


def test_faults_put_into_a_demonstration_phrase_come_back() -> None:
    """Left hand 18 ms behind the right, kick 12 ms ahead; strokes left out, one on another drum, a crash too many."""
    plan = arrange(load_phrase(DEMO / "millrace.toml").phrase, Practice(times=2))
    performance = perform(plan)
    late = {"R": 0, "L": 18, "K": -12, "H": 0}
    missed, wrong, added = (21, 80, 143), 60, 100

    def change(index: int, hit: Hit) -> Hit | None:
        if index in missed:
            return None
        moved = shifted(hit, 400 + late[hit.limb], performance)
        return replace(moved, key=45, voice="low-tom") if index == wrong else moved

    crash = replace(performance.hits[added], key=49, voice="crash")
    hits = [moved for index, hit in enumerate(performance.hits) if (moved := change(index, hit)) is not None]
    hits.append(shifted(crash, 470, performance))
    hits.sort(key=lambda hit: (hit.tick, hit.key))
    end_tick = performance.end_tick + 4 * performance.ppq
    content = render_midi(replace(performance, hits=tuple(hits), end_tick=end_tick))
    found = assess(plan, performance, read_take(content, kit=plan.phrase.kit))
    mean = {name: row.mean_ms for name, row in by_limb(found).items()}
    assert mean["left hand"] - mean["right hand"] == pytest.approx(18, abs=0.5)
    assert mean["kick foot"] - mean["right hand"] == pytest.approx(-12, abs=0.5)
    left_out = [performance.hits[index] for index in missed]
    assert [each.meant.voice for each in found.missed] == [hit.voice for hit in left_out]
    assert [(each.meant.voice, each.played) for each in found.elsewhere] == [(performance.hits[wrong].voice, "note 45")]
    assert [each.voice for each in found.added] == ["crash"]


def test_a_tempo_that_runs_away_is_told() -> None:
    """Every quarter a thousandth shorter: sixteen quarters end some 1.5 % faster than they began."""
    _, performance = weir()
    tempos = [TempoChange(960 * n, round(600_000 * 0.998**n)) for n in range(20)]
    content = render_midi(replace(performance, tempos=tuple(tempos), end_tick=performance.end_tick + 960))
    found = assessed(content)
    written, _, first, last = found.tempos
    assert written == pytest.approx(100)
    assert first < last
    assert last / first == pytest.approx(0.998**-12, rel=5e-3)


@pytest.mark.parametrize(("amplitude_ms", "period_s"), [(100, 10), (150, 20), (300, 40)])
def test_a_pulse_that_wanders_farther_than_the_window_is_followed(amplitude_ms: int, period_s: int) -> None:
    """A sine's drift is followed, whatever the window of a stroke: nothing is missed but what was left out."""
    _, performance = weir(Practice(times=4))
    source = Random(3)  # noqa: S311 - a take, not a secret

    def change(index: int, hit: Hit) -> Hit | None:
        at_s = hit.tick / performance.ppq * 0.6
        off_ms = amplitude_ms * sin(2 * pi * at_s / period_s) + source.gauss(0, 5)
        return shifted(hit, 500 + off_ms, performance) if index % 50 != 7 else None

    content = played(performance, change)
    plan, once = weir(Practice(loop=True))
    take = read_take(content, kit=plan.phrase.kit)
    assert times_through(plan, once, take) == 4
    found = assessed(content, practice=Practice(times=4))
    assert (len(found.missed), len(found.added), len(found.elsewhere)) == (6, 0, 0)
    assert found.drift_ms == pytest.approx(2 * amplitude_ms, rel=0.25)
    assert all(row.spread_ms < 12 for row in by_limb(found).values())


def test_a_take_of_something_else_is_asked_about() -> None:
    """Crashes where there should be a groove: hardly any stroke is met."""
    _, performance = weir()
    content = played(performance, lambda index, hit: replace(hit, key=49, voice="crash") if index % 3 else hit)
    found = assessed(content)
    met = sum(each.off_ms is not None for each in found.strokes)
    line = f"only {met} of them were met: is it a take of this phrase, and on this kit?"
    assert line in assessment_lines(found)
    assert not any("were met" in line for line in assessment_lines(assessed(render_midi(performance))))


def test_a_pulse_is_followed_over_what_was_missed_and_does_not_jump() -> None:
    """Of strokes every half second the middle ones are missing; at the end all are 40 ms late."""
    expected = {"snare": np.arange(40, dtype=np.float64) * np.float64(0.5)}
    heard = {"snare": np.concatenate([expected["snare"][:14], expected["snare"][26:] + 0.04])}
    nodes, ways = pulse_of(expected, heard)
    assert np.abs(ways[nodes < 6]).max() <= 0.02
    assert np.abs(ways[nodes > 14] - 0.04).max() <= 0.02
    assert pulse_of({"snare": expected["snare"]}, {"kick": heard["snare"]})[1].tolist() == [0]


def test_what_changed_in_each_limb_over_the_repeats_is_told() -> None:
    """The left hand 24 ms behind the right the first time, 12 and 0 the next."""
    _, performance = weir(Practice(times=3))

    def change(_: int, hit: Hit) -> Hit:
        return shifted(hit, 250 + (12 * (2 - hit.span // 4) if hit.limb == "L" else 0), performance)

    content = played(performance, change)
    found = assessed(content, practice=Practice(times=3))
    late = [row["left hand"].mean_ms - row["right hand"].mean_ms for row in turn_limbs(found)]
    assert late == pytest.approx([24, 12, 0], abs=1)
    lines = [line for line in assessment_lines(found) if line.startswith("  left hand: from ")]
    assert len(lines) == 1
    assert "ms late to" in lines[0]
    left = turn_limbs(found)[0]["left hand"]
    told = {"strokes": left.strokes, "mean_ms": round(left.mean_ms, 3), "spread_ms": round(left.spread_ms, 3)}
    assert plain(found)["turns"][0]["limbs"]["left hand"] == told


def test_accents_are_told_from_taps_by_limb() -> None:
    _, performance = weir()
    rows = loudness(assessed(render_midi(performance)))
    assert rows["right hand"] == {"normal": 82.0}
    assert rows["left hand"] == {"accent": 112.0, "normal": 82.0}


def test_a_take_that_goes_on_is_followed_through_the_repeats() -> None:
    _, performance = weir(Practice(times=3))

    def change(_: int, hit: Hit) -> Hit:
        turn = hit.span // 4
        return shifted(hit, 250 + (3 - turn) * (8 if hit.limb == "L" else 0), performance)

    content = played(performance, change)
    plan, once = weir(Practice(loop=True))
    take = read_take(content, kit=plan.phrase.kit)
    assert times_through(plan, once, take) == 3
    found = assessed(content, practice=Practice(times=3))
    assert found.turns == 3
    assert found.clean
    lines = list(assessment_lines(found))
    assert lines[0].startswith("3 times through")
    assert "  steadier at the end" in lines


def test_a_last_time_through_that_is_broken_off_is_not_missed() -> None:
    _, performance = weir(Practice(times=2))
    half = performance.end_tick * 3 // 4
    content = played(performance, lambda _, hit: hit if hit.tick < half else None)
    assert assessed(content, practice=Practice(times=2)).clean


def test_grace_notes_are_asked_for_and_bounces_are_the_players() -> None:
    text = 'phrase = ["a"]\n[bars.a]\nsticking = "lRL Rz- lRLR-"\nsubdivision = "eighths"\n'
    performance = performed(text)
    plan = arrange(phrase(text))
    whole = read_take(render_midi(performance), kit=plan.phrase.kit)
    assert assess(plan, performance, whole).clean
    plainer = replace(performance, hits=tuple(hit for hit in performance.hits if hit.kind == "stroke"))
    take = read_take(render_midi(plainer), kit=plan.phrase.kit)
    assert {each.meant.kind for each in assess(plan, performance, take).missed} == {"grace"}


def test_an_onset_score_of_nothing_is_nothing() -> None:
    assert onset_score([], [1.0]) == onset_score([1.0], []) == (0.0, 0.0, 0.0)
    assert onset_score([1.0], [2.0]) == (0.0, 0.0, 0.0)


def test_nothing_played_is_refused() -> None:
    plan, performance = weir()
    empty = read_take(render_midi(replace(performance, hits=())), kit=plan.phrase.kit)
    assert said(lambda: assess(plan, performance, empty)) == "expected strokes in the take, got none"


def test_words_are_plain() -> None:
    assert [early_or_late(ms) for ms in (0.2, -3.06, 4.0)] == ["on the pulse", "3.1 ms early", "4.0 ms late"]
    _, performance = weir()
    text = "\n".join(assessment_lines(assessed(render_midi(performance))))
    assert "nothing missed, nothing added, nothing on another voice" in text
    assert "%" not in text
    values = plain(assessed(render_midi(performance)))
    assert values["times_through"] == 1
    assert len(values["strokes"]) == len(performance.hits)


def test_what_strokes_are_measured_against_is_told() -> None:
    content = render_midi(weir()[1])
    own, click = ("\n".join(assessment_lines(assessed(content, given=given))) for given in (False, True))
    assert "\ntiming, against the player's own pulse\n" in own
    assert "\ntiming, against the click\n" in click


def test_one_stroke_is_told_as_one() -> None:
    plan = arrange(phrase('phrase = ["a"]\n[bars.a]\nsticking = "R---"\nsubdivision = "quarters"'))
    take = read_take(render_midi(perform(plan)), kit=plan.phrase.kit)
    told = list(assessment_lines(assess(plan, perform(plan), take)))
    assert told[0] == "1 stroke asked for; tempo 90.0 (written 90.0) quarters a minute"
    asked, performance = weir()
    only = list(assessment_lines(assess(asked, performance, take)))
    assert "only 1 of them was met: is it a take of this phrase, and on this kit?" in only


def test_evenness_is_the_spread_of_the_gaps() -> None:
    """Late by 10 ms and on the pulse in turn: gaps change by plus and minus 10 ms."""
    _, performance = weir()
    content = played(performance, lambda _, hit: shifted(hit, 50 + (10 if hit.tick % 480 else 0), performance))
    found = assessed(content, given=True)
    right = [each for each in found.struck if each.meant.voice == "floor-tom"]
    assert evenness_ms(right) == pytest.approx(10, abs=0.7)
    assert by_voice(found)["floor-tom"].mean_ms == pytest.approx(55, abs=0.1)


# -- matching


moments = st.lists(st.integers(0, 4000), min_size=1, max_size=40).map(lambda row: sorted(ms / MS for ms in row))


@settings(deadline=None)
@given(moments, moments, st.sampled_from([0.01, 0.025, 0.05, 0.3]))
def test_the_onset_score_is_mir_evals(meant: list[float], heard: list[float], window: float) -> None:
    f, precision, recall = mir_eval.onset.f_measure(np.array(meant), np.array(heard), window=window)
    ours = onset_score(meant, heard, window_s=window)
    assert (ours.f_measure, ours.precision, ours.recall) == pytest.approx((f, precision, recall))


@settings(deadline=None)
@given(moments, moments, st.sampled_from([0.01, 0.05, 0.3]))
def test_the_pairs_are_those_of_an_optimal_assignment(meant: list[float], heard: list[float], window: float) -> None:
    """scipy's assignment over all pairs, where a pair out of the window costs more than all others together."""
    pairs = matched(meant, heard, window_s=window)
    assert len({i for i, _ in pairs}) == len({j for _, j in pairs}) == len(pairs)
    cost = np.abs(np.subtract.outer(meant, heard))
    near = np.abs(cost - window) < 1e-9  # on the edge, where rounding decides
    assume(not near.any())
    priced = np.where(cost <= window, cost, 1000.0)
    rows, columns = linear_sum_assignment(priced)
    own = [(i, j) for i, j in zip(rows, columns, strict=True) if priced[i, j] < 1000]
    assert len(pairs) == len(own)
    assert sum(cost[i, j] for i, j in pairs) == pytest.approx(sum(cost[i, j] for i, j in own), abs=1e-9)


LOCK = """
title = "Lock"
tempo = 96
phrase = ["up", "a x2", "b"]
[bars.up]
role = "pickup"
sticking = "---- -RLR"
subdivision = "eighths"
across = "once"
[bars.a]
sticking = "RLRL"
hands.R = "hihat"
feet.kick = "1 3"
[bars.b]
sticking = "RLRL"
feet.kick = "1 3"
"""
"""An invented phrase whose pickup is like the end of its last bar."""


def through(text: str, heard: Practice, *, stretch: float | None = None) -> int:
    """How often a take of a phrase, played just as it is written, is said to go through it."""
    take = read_take(render_midi(perform(arrange(phrase(text), heard))), kit=phrase(text).kit)
    loop = arrange(phrase(text), Practice(loop=True))
    return times_through(loop, perform(loop), take, stretch=stretch)


@pytest.mark.parametrize("times", [1, 2, 3])
@pytest.mark.parametrize("stretch", [None, 1.0])
@pytest.mark.parametrize("text", [LOCK, WEIR])
def test_a_click_is_not_a_stroke_of_the_last_time_through(text: str, times: int, stretch: float | None) -> None:
    """A click goes on to the end of the last bar, and a count-in stands before the first."""
    assert through(text, Practice(times=times), stretch=stretch) == times
    clicked = Practice(times=times, count_in=1, click=parse_click("quarters"))
    assert through(text, clicked, stretch=stretch) == times


@pytest.mark.parametrize("name", ["gate-call", "fog-bell", "lantern-round", "towpath"])
def test_the_demonstrations_own_takes_go_through_once(name: str) -> None:
    for heard in (Practice(), Practice(count_in=1, click=parse_click("quarters"))):
        assert through((DEMO / f"{name}.toml").read_text(encoding="utf-8"), heard) == 1


@pytest.mark.parametrize("kit", ["general-midi", "five-piece"])
def test_a_click_is_not_added_whatever_else_the_kit_plays_on_its_notes(kit: str) -> None:
    """The General MIDI kit has its woodblock on the note of the marked click."""
    text = WEIR.replace("tempo", f'kit = "{kit}"\ntempo')
    clicked = arrange(phrase(text), Practice(count_in=1, click=parse_click("quarters")))
    take = read_take(render_midi(perform(clicked)), kit=phrase(text).kit)
    plan = arrange(phrase(text))
    assert assess(plan, perform(plan), take).clean


def test_a_pickup_alone_is_once_through() -> None:
    assert through(LOCK, Practice(bars=((0, 0),))) == 1
    assert through(LOCK.replace('phrase = ["up", "a x2", "b"]', 'phrase = ["up"]\nlanding = []'), Practice()) == 1


def test_the_onset_score_of_long_rows_is_mir_evals() -> None:
    source = Random(5)  # noqa: S311 - a corpus, not a secret
    meant = sorted(source.uniform(0, 200) for _ in range(3000))
    heard = sorted(moment + source.gauss(0, 0.03) for moment in meant if source.random() > 0.1)
    f, _, _ = mir_eval.onset.f_measure(np.array(meant), np.array(heard), window=0.05)
    assert onset_score(meant, heard).f_measure == pytest.approx(f)


def test_a_take_is_read_transcribed_and_assessed_from_python() -> None:
    """By what the package exports alone: the phrase written from a take is played again, and nothing is missed."""
    performance = weir(Practice(times=2))[1]
    kit = drumgen.load_kit("general-midi")
    take = drumgen.read_take(render_midi(performance), kit=kit, reading=drumgen.Reading(debounce_ms=1))
    written = drumgen.transcribe(take, drumgen.Transcribing(title="Again"))
    assert drumgen.transcription_lines(written)[0].startswith("Again: ")
    again = drumgen.read_phrase(written.text, file="again.toml", name="again").phrase
    loop = drumgen.arrange(again, Practice(loop=True))
    times = drumgen.times_through(loop, drumgen.perform(loop), take)
    plan = drumgen.arrange(again, Practice(times=times))
    found = drumgen.assess(plan, drumgen.perform(plan), take)
    assert found.clean
    assert "nothing missed" in "\n".join(drumgen.assessment_lines(found))
