"""Assessing a take against a phrase: what was early or late, loud or soft, missed, added or on another voice.

Everything is measured against the player's own pulse unless the tempo and the start are given. Early is below 0.
Numbers and plain words: no marks, no score.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.counts import spoken
from drumgen.errors import DrumgenError, Fault
from drumgen.study.assess_aligning import Alignment, align, drift_of
from drumgen.study.assess_matching import matched
from drumgen.study.assess_pulse import pulse_of, straightened

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.levels import Level
    from drumgen.performance import Performance
    from drumgen.plan import Plan
    from drumgen.study.assess_aligning import Row
    from drumgen.study.transcribe_beats import Numbers
    from drumgen.take import Take

WINDOW_S = 0.1
DRIFTS_S = 0.03
FOLLOWED, SETTLED_S, FEWEST_PAIRS = 60, 0.001, 8
BOUNCES_S = 0.08
BROKEN_OFF = 0.25
"""A last time through of which at least so much is missing was broken off."""


class Meant(NamedTuple):
    """One stroke of the phrase: when (seconds of the phrase), its bar, the count it is on, limb, voice, level, kind."""

    at_s: float
    turn: int
    bar: int
    span: int
    place: int
    on: str
    limb: str
    voice: str
    level: Level
    kind: str


class Stroke(NamedTuple):
    """A stroke as it was played: ``off_ms`` late (early below 0); None where it was missed. ``played`` is its voice."""

    meant: Meant
    off_ms: float | None
    velocity: int = 0
    played: str = ""


class Added(NamedTuple):
    """A stroke that the phrase has not: when in the take, on which voice, in which bar of which time through."""

    at_s: float
    voice: str
    bar: int
    turn: int


@dataclass(frozen=True, slots=True)
class Assessment:
    """What was found: every stroke of the phrase, in order, and what was added.

    ``stretch`` is how much slower than written it was played; ``drift_ms`` how far the pulse went to and fro;
    ``tempos`` are the written tempo, the mean, and those of the first and last quarter, in quarters a minute.
    """

    alignment: Alignment
    strokes: tuple[Stroke, ...]
    added: tuple[Added, ...]
    turns: int
    tempos: tuple[float, float, float, float]
    drift_ms: float
    bars: int

    @property
    def struck(self) -> tuple[Stroke, ...]:
        """The strokes that were played on their own voice, grace notes aside."""
        return tuple(each for each in self.strokes if each.off_ms is not None and each.meant.kind == "stroke")

    @property
    def missed(self) -> tuple[Stroke, ...]:
        """The strokes that were not played at all."""
        return tuple(each for each in self.strokes if each.off_ms is None and not each.played)

    @property
    def elsewhere(self) -> tuple[Stroke, ...]:
        """The strokes that were played on another voice."""
        return tuple(each for each in self.strokes if each.off_ms is None and each.played)

    @property
    def clean(self) -> bool:
        """Whether nothing was missed, added or on another voice."""
        return not (self.missed or self.added or self.elsewhere)


def assess(
    plan: Plan,
    performance: Performance,
    take: Take,
    *,
    stretch: float | None = None,
    start_s: float | None = None,
    window_s: float = WINDOW_S,
) -> Assessment:
    """What a take made of a plan. ``stretch`` and ``start_s`` are estimated unless they are given.

    Raises DrumgenError where either has no strokes.
    """
    once = meant_strokes(plan, performance)
    ignored = {plan.phrase.kit.click, plan.phrase.kit.click_accent} - {each.voice for each in once}
    played = [
        (at_s, hit.voice or f"note {hit.key}", hit.velocity)
        for hit, at_s in zip(take.hits, take.seconds(), strict=True)
        if hit.voice not in ignored
    ]
    if not once or not played:
        raise DrumgenError(Fault(f"strokes in the {'take' if once else 'phrase'}", got="none"))
    rows = by_voice((at_s, voice) for at_s, voice, _ in played)
    alignment = _aligned(once, rows, stretch, start_s)
    meant = _begun(once, alignment, played[-1][0])
    if len(meant) < len(once):
        alignment = _aligned(meant, rows, stretch, start_s)
    expected = alignment.to_take(np.array([each.at_s for each in meant]))
    strokes, pairs, left = _matched(meant, expected, played, window_s)
    drift = np.zeros(len(expected))
    if stretch is None:
        way = _far_drift(meant, expected, rows)
        again = _matched(meant, expected + way, played, window_s)
        if len(again[1]) > len(pairs):
            drift, (strokes, pairs, left) = way, again
    for _ in range(FOLLOWED if stretch is None else 0):
        way = _drift(expected, pairs, played)
        again = _matched(meant, expected + way, played, window_s)
        if not way.any() or len(again[1]) < len(pairs):
            break
        settled = float(np.abs(way - drift).max()) < SETTLED_S
        drift, (strokes, pairs, left) = way, again
        if settled:
            break
    for i, j in pairs:
        off_ms = (played[j][0] - expected[i] - drift[i]) * 1000
        strokes[i] = Stroke(meant[i], float(off_ms), played[j][2], played[j][1])
    added = tuple(_added(left, played, meant, expected + drift))
    written = 60_000_000 / performance.tempos[0].us_per_quarter
    return Assessment(
        alignment=alignment,
        strokes=tuple(strokes),
        added=added,
        turns=meant[-1].turn + 1,
        tempos=(written, *_tempos(meant, pairs, played, written, alignment)),
        drift_ms=float((drift.max() - drift.min()) * 1000) if len(drift) else 0.0,
        bars=len({each.bar for each in once}),
    )


def _aligned(meant: Sequence[Meant], rows: Row, stretch: float | None, start_s: float | None) -> Alignment:
    asked = by_voice((each.at_s, each.voice) for each in meant)
    found = align(asked, rows, stretch=stretch, start_s=start_s)
    return straightened(asked, rows, found) if stretch is None and start_s is None else found


def meant_strokes(plan: Plan, performance: Performance) -> list[Meant]:
    """The strokes and grace notes of a plan, in order of time; the bounces of a buzz are left to the player."""
    from drumgen.performance import Clock  # noqa: PLC0415 - beside the strokes it is asked about
    from drumgen.strokes import strokes  # noqa: PLC0415 - as above

    played = strokes(plan)
    levels: dict[tuple[int, int, str, str], Level] = {
        (index, each.place, each.limb, plan.phrase.kit.voice(each.voice).name): each.level
        for index, (_, laid) in enumerate(played)
        for each in laid.strokes
    }
    clock, scale = Clock(performance.tempos), performance.ppq * 1_000_000
    out = []
    for hit in performance.hits:
        if hit.kind not in ("stroke", "grace"):
            continue
        span = plan.spans[hit.span]
        place = hit.place - span.start
        level = levels.get((hit.span, place, hit.limb, hit.voice), "normal")
        count = spoken(place, meter=span.meter)
        at_s = clock.parts(hit.tick) / scale
        out.append(
            Meant(at_s, span.pass_number, span.number, hit.span, place, count, hit.limb, hit.voice, level, hit.kind)
        )
    return sorted(out, key=lambda each: each.at_s)


def by_voice(rows: Iterable[tuple[float, str]]) -> dict[str, Numbers]:
    """The seconds of strokes by voice, in order."""
    found: dict[str, list[float]] = defaultdict(list)
    for at_s, voice in rows:
        found[voice].append(at_s)
    return {voice: np.sort(np.array(times)) for voice, times in found.items()}


def _begun(once: Sequence[Meant], alignment: Alignment, last_s: float) -> list[Meant]:
    """The strokes without the rest of a last time through that was broken off well before its end."""
    turns = once[-1].turn + 1
    end_s = (last_s - alignment.start_s) / alignment.stretch
    length_s = (once[-1].at_s - once[0].at_s) / turns
    if turns == 1 or once[-1].at_s - end_s < BROKEN_OFF * length_s:
        return [*once]
    return [each for each in once if each.turn < turns - 1 or each.at_s <= end_s + WINDOW_S / 2]


Played = tuple[float, str, int]


def _matched(
    meant: Sequence[Meant], expected: Numbers, played: Sequence[Played], window_s: float
) -> tuple[list[Stroke], list[tuple[int, int]], list[int]]:
    """Strokes as if all were missed but those on another voice; the pairs on their own voice; what is left over."""
    by_voice: dict[str, list[int]] = defaultdict(list)
    for index, each in enumerate(meant):
        by_voice[each.voice].append(index)
    own: dict[str, list[int]] = defaultdict(list)
    for index, (_, voice, _) in enumerate(played):
        own[voice].append(index)
    pairs: list[tuple[int, int]] = []
    for voice, indexes in by_voice.items():
        times = [float(expected[i]) for i in indexes], [played[j][0] for j in own[voice]]
        pairs += [(indexes[i], own[voice][j]) for i, j in matched(*times, window_s=window_s)]
    taken = {j for _, j in pairs}
    paired = {i for i, _ in pairs}
    open_i = [i for i in range(len(meant)) if i not in paired and meant[i].kind == "stroke"]
    open_j = [j for j in range(len(played)) if j not in taken]
    across = matched([float(expected[i]) for i in open_i], [played[j][0] for j in open_j], window_s=window_s / 2)
    elsewhere = {open_i[i]: open_j[j] for i, j in across}
    strokes = [
        Stroke(each, None, *((played[elsewhere[i]][2], played[elsewhere[i]][1]) if i in elsewhere else ()))
        for i, each in enumerate(meant)
    ]
    left = [j for j in open_j if j not in elsewhere.values()]
    return strokes, sorted(pairs), left


def _drift(expected: Numbers, pairs: Sequence[tuple[int, int]], played: Sequence[Played]) -> Numbers:
    """How far the pulse is from its straight line at each expected stroke; nothing where it hardly moves."""
    if len(pairs) <= FEWEST_PAIRS:
        return np.zeros(len(expected))
    moments = np.array([expected[i] for i, _ in pairs])
    off = np.array([played[j][0] - expected[i] for i, j in pairs])
    way = drift_of(moments, off, expected)
    return way if way.max() - way.min() > DRIFTS_S else np.zeros(len(expected))


def _far_drift(meant: Sequence[Meant], expected: Numbers, rows: Row) -> Numbers:
    """How far the pulse is from its straight line at each expected stroke, however far it wanders."""
    asked = by_voice((float(at_s), each.voice) for at_s, each in zip(expected, meant, strict=True))
    found: Numbers = np.interp(expected, *pulse_of(asked, rows))
    return found


def _added(left: Sequence[int], played: Sequence[Played], meant: Sequence[Meant], expected: Numbers) -> Iterable[Added]:
    """What is left over, in its bar; bounces after a stroke of their own voice are the player's."""
    for j in left:
        at_s, voice, velocity = played[j]
        before = max((k for k in range(max(0, j - 6), j) if played[k][1] == voice), default=-1)
        if before >= 0 and at_s - played[before][0] < BOUNCES_S and velocity < played[before][2]:
            continue
        near = meant[max(0, int(np.searchsorted(expected, at_s + 0.05)) - 1)]
        yield Added(at_s, voice, near.bar, near.turn)


def _tempos(
    meant: Sequence[Meant],
    pairs: Sequence[tuple[int, int]],
    played: Sequence[Played],
    written: float,
    alignment: Alignment,
) -> tuple[float, float, float]:
    """The mean tempo, and those of the first and the last quarter, in quarters a minute."""
    mean = written / alignment.stretch
    moments = np.array([meant[i].at_s for i, _ in pairs])
    heard = np.array([played[j][0] for _, j in pairs])
    quarters = []
    for low, high in ((0.0, 0.25), (0.75, 1.0)):
        if len(moments) < 16:
            quarters.append(mean)
            continue
        first, last = np.quantile(moments, [low, high])
        own = (moments >= first) & (moments <= last)
        spread = moments[own] - moments[own].mean()
        square = float(np.sum(spread**2))
        quarters.append(written / float(np.sum(spread * heard[own]) / square) if square > 1e-9 else mean)
    return mean, quarters[0], quarters[1]
