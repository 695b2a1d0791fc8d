"""Laws of the top tempo: it is the tempo at which nothing more is left, whatever the phrase; and it follows the kit."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import hypot, log2
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from strategies import phrases, ways_to_practise
from study_room import cases

from drumgen.errors import DrumgenError
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.study.concerns import concerns_of
from drumgen.study.crossing import crossed
from drumgen.study.demands import asked_of, demands
from drumgen.study.figures import figures_of
from drumgen.study.moments import moments_of
from drumgen.study.reach import SKILLS
from drumgen.study.top_tempo import top_tempo
from drumgen.tempo import Tempo

if TYPE_CHECKING:
    from collections.abc import Sequence

    from study_room import Case

    from drumgen.kit import Kit, Voice
    from drumgen.performance import Hit
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.study.demands import Demand
    from drumgen.study.moments import Moment, Moments
    from drumgen.study.top_tempo import TopTempo
    from drumgen.trade.limits import Skill

LAW = settings(deadline=None, max_examples=120, suppress_health_check=[HealthCheck.too_slow])
SKILL = st.sampled_from(SKILLS)


def of(phrase: Phrase, **options: object) -> TopTempo:
    return top_tempo(arrange(phrase, Practice()), **options)  # type: ignore[arg-type]


def at(phrase: Phrase, tempo: float) -> Plan:
    number = Fraction(tempo).limit_denominator(10**9)
    return arrange(phrase, Practice(tempo=Tempo(number, number, phrase.tempo.unit)))


@LAW
@given(phrases(), ways_to_practise(), SKILL)
def test_every_phrase_has_a_report_that_json_can_say(phrase: Phrase, practice: Practice, skill: str) -> None:
    report = top_tempo(arrange(phrase, practice), skill=skill)  # type: ignore[arg-type]
    said = json.loads(json.dumps(report.plain(), allow_nan=False))
    assert said["playable"] is report.playable
    assert all(limb.figures.strokes > 0 for limb in report.limbs)
    assert report.verdict


@LAW
@given(phrases(feel=False), SKILL)
def test_it_is_just_playable_at_its_top_tempo(phrase: Phrase, skill: str) -> None:
    top = of(phrase, skill=skill).top
    assume(top is not None and 11 < top < 390)
    assert top is not None
    try:
        slower = top_tempo(at(phrase, top * 0.9999), skill=skill)  # type: ignore[arg-type]
    except DrumgenError as error:  # another bar of the phrase would be slower than a MIDI file can say
        assume("the slowest of a MIDI file" not in str(error))
        raise
    assert slower.playable
    assert not top_tempo(at(phrase, top * 1.001), skill=skill).playable  # type: ignore[arg-type]


@LAW
@given(phrases())
def test_a_learner_is_never_quicker_than_a_player(phrase: Phrase) -> None:
    tops = [of(phrase, skill=skill).top for skill in SKILLS]
    assert tops == [None] * 3 or tops == sorted(top for top in tops if top is not None)


@LAW
@given(phrases(), st.integers(20, 300))
def test_it_does_not_depend_on_the_tempo_it_is_played_at(phrase: Phrase, tempo: int) -> None:
    ramps = any(bar.tempo and not bar.tempo.steady for bar in phrase.bars.values())
    assume(phrase.tempo.steady and not ramps)  # which changes in steps of whole microseconds
    slowest = min((min(bar.tempo.quarters(bar.meter)) for bar in phrase.bars.values() if bar.tempo), default=100)
    assume(slowest * tempo / float(phrase.tempo.start) > 4)  # what a MIDI file can say
    written, other = of(phrase).top, top_tempo(at(phrase, tempo)).top
    assert (written is None) == (other is None)
    if written is not None:
        assert other == pytest.approx(written, rel=1e-6)


def wider(kit: Kit) -> Kit:
    voices = {name: replace(v, x_cm=2 * v.x_cm, y_cm=2 * v.y_cm) for name, v in kit.voices.items()}
    return replace(kit, voices=voices)


def mirrored(kit: Kit) -> Kit:
    return replace(kit, voices={name: replace(voice, x_cm=-voice.x_cm) for name, voice in kit.voices.items()})


@LAW
@given(phrases(), SKILL)
def test_twice_the_distances_raise_no_top_and_lower_what_a_move_sets(phrase: Phrase, skill: str) -> None:
    near, far = of(phrase, skill=skill), of(replace(phrase, kit=wider(phrase.kit)), skill=skill)
    for one, other in zip(near.limbs, far.limbs, strict=True):
        if one.top is not None and one.tightest is not None and other.top is not None:
            assert other.top <= one.top
            assert other.top < one.top or not one.tightest.set_by_distance


@LAW
@given(phrases())
def test_a_mirrored_kit_has_the_same_tops(phrase: Phrase) -> None:
    one, other = of(phrase), of(replace(phrase, kit=mirrored(phrase.kit)))
    assert [limb.top for limb in one.limbs] == [limb.top for limb in other.limbs]


@LAW
@given(phrases())
def test_a_loop_is_never_quicker_than_its_bars_alone(phrase: Phrase) -> None:
    phrase = replace(phrase, bars={name: replace(bar, landing=()) for name, bar in phrase.bars.items()})
    order = tuple(name for name in phrase.order if phrase.bars[name].role != "pickup")
    once = of(replace(phrase, order=order)).top
    looped = top_tempo(arrange(replace(phrase, order=order), Practice(loop=True))).top
    assert once is None or (looped is not None and looped <= once * (1 + 1e-9))


@LAW
@given(phrases(), ways_to_practise(), SKILL)
def test_bars_that_are_alike_are_counted_as_if_each_were_looked_at(
    phrase: Phrase, practice: Practice, skill: Skill
) -> None:
    moments = moments_of(arrange(phrase, practice))
    for limb, row in moments.by_limb.items():
        asked = asked_of(moments, limb, skill=skill)
        once = sorted(key_of(demand) for demand, times in asked for _ in range(times))
        every = sorted(key_of(demand) for demand in demands(row, skill=skill))
        assert [words for words, _ in once] == [words for words, _ in every]
        assert [factor for _, factor in once] == pytest.approx([factor for _, factor in every])
        if row:
            figures = figures_of(moments, limb, asked)
            assert figures.busiest_second == busiest(row)
            assert figures.longest_unrested_s == pytest.approx(longest_run(row), abs=1e-3)
            assert figures.strokes == sum(moment.grace or 1 for moment in row)
    crossings = [each for each in concerns_of(moments, ()) if each.kind == "crossed hands"]
    assert sum(each.times for each in crossings) == crossed_times(moments)


def key_of(demand: Demand) -> tuple[str, float]:
    return f"{demand.need} {demand.middle is None} {demand.first.voice} {demand.second.voice}", demand.factor


def busiest(row: Sequence[Moment]) -> int:
    times = sorted(moment.begins_s for moment in row for _ in range(moment.grace or 1))
    return max(sum(0 <= other - one < 1 - 1e-9 for other in times) for one in times)


def longest_run(row: Sequence[Moment]) -> float:
    runs = [[row[0]]]
    for before, moment in pairwise(row):
        if moment.begins_s - before.at_s >= 1:
            runs.append([])
        runs[-1].append(moment)
    return max(run[-1].at_s - run[0].begins_s for run in runs)


def crossed_times(moments: Moments) -> int:
    total = 0
    last: dict[str, Moment] = {}
    both = (*moments.by_limb["R"], *moments.by_limb["L"])
    for moment in sorted(both, key=lambda each: (each.at_s, each.grace == 0, each.limb == "L")):
        last[moment.limb] = moment
        if len(last) == 2 and abs(last["R"].at_s - last["L"].at_s) < 1:
            total += crossed(last["R"].voice, last["L"].voice)
    return total


class Onlooker:
    """Watches what is performed, in ticks, and says whether one player could do it: a second reading of the model."""

    full_s, bounce_s, foot_s, pair_s = 0.150, 0.060, 0.150, 0.120

    def __init__(self, phrase: Phrase, tempo: float) -> None:
        self.performance = perform(at(phrase, tempo))
        self.kit, self.phrase = phrase.kit, phrase

    def content(self, *, slack: float) -> bool:
        """Whether every limb has the time it needs, if it may be short by this share."""
        return all(self._limb(limb, slack) for limb in ("R", "L", "K", "H"))

    def seconds(self, tick: int) -> float:
        changes = self.performance.tempos
        total, before = 0, changes[0]
        for change in changes[1:]:
            if change.tick >= tick:
                break
            total += (change.tick - before.tick) * before.us_per_quarter
            before = change
        return (total + (tick - before.tick) * before.us_per_quarter) / self.performance.ppq / 1e6

    def _limb(self, limb: str, slack: float) -> bool:
        hits = [hit for hit in self.performance.hits if hit.limb == limb and hit.kind == "stroke"]
        bounced = False
        for first, second in pairwise(hits):
            gap_s = (self.seconds(second.tick) - self.seconds(first.tick)) * (1 + slack)
            if limb in ("K", "H"):
                enough, quick = self.foot_s, self.pair_s
                bounces = True
            else:
                enough, quick, bounces = self._hand(first, second)
            if gap_s >= enough:
                bounced = False
            elif bounces and not bounced and gap_s >= quick:
                bounced = True
            else:
                return False
        return True

    def _hand(self, first: Hit, second: Hit) -> tuple[float, float, bool]:
        one, other = self.kit.voices[first.voice], self.kit.voices[second.voice]
        if (one.x_cm, one.y_cm, one.width_cm) == (other.x_cm, other.y_cm, other.width_cm):
            return self.full_s, self.bounce_s, second.velocity < self.phrase.dynamics.accent - 20
        return max(self.full_s, fitts_s(one, other)), 0, False


def fitts_s(one: Voice, other: Voice) -> float:
    """MacKenzie's form of Fitts' law on his table, in seconds."""
    reach = hypot(one.x_cm - other.x_cm, one.y_cm - other.y_cm)
    return (27.7 + 111.5 * log2(reach / other.width_cm + 1)) / 1000 if reach else 0


@settings(LAW, max_examples=150)
@given(cases(kit="general-midi"))
def test_an_onlooker_of_the_performance_agrees(case: Case) -> None:
    phrase = case.loaded.phrase
    assume(not any(sign in case.text for sign in ("lR", "rL", "B")))  # one note for two hands hides one of them
    top = of(phrase).top
    assume(top is not None and 15 < top < 380)
    assert top is not None
    assert Onlooker(phrase, top * 0.999).content(slack=5e-4)
    assert not Onlooker(phrase, top * 1.002).content(slack=5e-4)
