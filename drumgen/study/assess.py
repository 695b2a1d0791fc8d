"""Assessing a take against a phrase: what was early or late, loud or soft, missed, added or on another voice.

Everything is measured against the player's own pulse unless the tempo and the start are given. Early is below 0.
Numbers and plain words: no marks, no score.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drumgen.errors import DrumgenError, Fault
from drumgen.study.assess_aligning import Alignment, align, drift_of
from drumgen.study.assess_matching import matched
from drumgen.study.assess_meant import WINDOW_S, begun, meant_strokes, seconds_by_voice, without_click
from drumgen.study.assess_pulse import pulse_of, straightened

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.performance import Performance
    from drumgen.plan import Plan
    from drumgen.study.arrays import Numbers
    from drumgen.study.assess_aligning import ByVoice
    from drumgen.study.assess_meant import Meant
    from drumgen.take import Take

DRIFTS_S = 0.03
FOLLOWED, SETTLED_S, FEWEST_PAIRS = 60, 0.001, 8
BOUNCES_S = 0.08


class PlayedStroke(NamedTuple):
    """What was played of a stroke of the phrase: how late (``off_ms``, early below 0), how loud, on which voice.

    Where it was missed ``off_ms`` is None and ``played`` is empty; on another voice ``off_ms`` alone is None.
    """

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

    ``alignment`` says when it began and how much slower than written it was played, ``drift_ms`` how far the pulse went
    to and fro; ``tempos`` are the written tempo, the mean, and those of the first and last quarter, in quarters a
    minute. ``turns`` is how often it goes through the phrase, ``bars`` how many bars that has. ``by_click``: its
    tempo and start were given, not estimated.
    """

    alignment: Alignment
    strokes: tuple[PlayedStroke, ...]
    added: tuple[Added, ...]
    turns: int
    tempos: tuple[float, float, float, float]
    drift_ms: float
    bars: int
    by_click: bool = False

    @property
    def struck(self) -> tuple[PlayedStroke, ...]:
        """The strokes that were played on their own voice, grace notes aside."""
        return tuple(each for each in self.strokes if each.off_ms is not None and each.meant.kind == "stroke")

    @property
    def missed(self) -> tuple[PlayedStroke, ...]:
        """The strokes that were not played at all."""
        return tuple(each for each in self.strokes if each.off_ms is None and not each.played)

    @property
    def elsewhere(self) -> tuple[PlayedStroke, ...]:
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
    played = [
        (at_s, hit.voice or f"note {hit.key}", hit.velocity) for at_s, hit in without_click(take, plan.phrase.kit, once)
    ]
    if not once or not played:
        raise DrumgenError(Fault(f"strokes in the {'take' if once else 'phrase'}", got="none"))
    rows = seconds_by_voice((at_s, voice) for at_s, voice, _ in played)
    alignment = _aligned(once, rows, stretch, start_s)
    meant = begun(once, alignment, played[-1][0])
    if len(meant) < len(once):
        alignment = _aligned(meant, rows, stretch, start_s)
    expected = alignment.to_take(np.array([each.at_s for each in meant]))
    met, drift = _matched(meant, expected, played, window_s), np.zeros(len(expected))
    if stretch is None:
        met, drift = _followed(met, meant, expected, played, rows, window_s)
    strokes = [*met.strokes]
    for i, j in met.pairs:
        off_ms = (played[j][0] - expected[i] - drift[i]) * 1000
        strokes[i] = PlayedStroke(meant[i], float(off_ms), played[j][2], played[j][1])
    written = 60_000_000 / performance.tempos[0].us_per_quarter
    return Assessment(
        alignment=alignment,
        strokes=tuple(strokes),
        added=tuple(_added(met.left, played, meant, expected + drift)),
        turns=meant[-1].turn + 1,
        tempos=(written, *_tempos(meant, met.pairs, played, written, alignment)),
        drift_ms=float((drift.max() - drift.min()) * 1000) if len(drift) else 0.0,
        bars=len({each.bar for each in once}),
        by_click=stretch is not None and start_s is not None,
    )


def _aligned(meant: Sequence[Meant], rows: ByVoice, stretch: float | None, start_s: float | None) -> Alignment:
    asked = seconds_by_voice((each.at_s, each.voice) for each in meant)
    found = align(asked, rows, stretch=stretch, start_s=start_s)
    return straightened(asked, rows, found) if stretch is None and start_s is None else found


Played = tuple[float, str, int]


class _Met(NamedTuple):
    """Strokes as if all were missed but those on another voice; the pairs on their own voice; what is left over."""

    strokes: Sequence[PlayedStroke]
    pairs: Sequence[tuple[int, int]]
    left: Sequence[int]


def _followed(
    met: _Met, meant: Sequence[Meant], expected: Numbers, played: Sequence[Played], rows: ByVoice, window_s: float
) -> tuple[_Met, Numbers]:
    """What is met by following the pulse wherever it moves, if that is more than ``met``; and how far it moves."""
    drift = np.zeros(len(expected))
    way = _far_drift(meant, expected, rows)
    again = _matched(meant, expected + way, played, window_s)
    if len(again.pairs) > len(met.pairs):
        drift, met = way, again
    for _ in range(FOLLOWED):
        way = _drift(expected, met.pairs, played)
        again = _matched(meant, expected + way, played, window_s)
        if not way.any() or len(again.pairs) < len(met.pairs):
            break
        settled = float(np.abs(way - drift).max()) < SETTLED_S
        drift, met = way, again
        if settled:
            break
    return met, drift


def _matched(meant: Sequence[Meant], expected: Numbers, played: Sequence[Played], window_s: float) -> _Met:
    """What is met where each stroke is expected, within a window either way."""
    asked: dict[str, list[int]] = defaultdict(list)
    for index, each in enumerate(meant):
        asked[each.voice].append(index)
    own: dict[str, list[int]] = defaultdict(list)
    for index, (_, voice, _) in enumerate(played):
        own[voice].append(index)
    pairs: list[tuple[int, int]] = []
    for voice, indexes in asked.items():
        times = [float(expected[i]) for i in indexes], [played[j][0] for j in own[voice]]
        pairs += [(indexes[i], own[voice][j]) for i, j in matched(*times, window_s=window_s)]
    taken = {j for _, j in pairs}
    paired = {i for i, _ in pairs}
    open_i = [i for i in range(len(meant)) if i not in paired and meant[i].kind == "stroke"]
    open_j = [j for j in range(len(played)) if j not in taken]
    across = matched([float(expected[i]) for i in open_i], [played[j][0] for j in open_j], window_s=window_s / 2)
    elsewhere = {open_i[i]: open_j[j] for i, j in across}
    strokes = [
        PlayedStroke(each, None, *((played[elsewhere[i]][2], played[elsewhere[i]][1]) if i in elsewhere else ()))
        for i, each in enumerate(meant)
    ]
    left = [j for j in open_j if j not in elsewhere.values()]
    return _Met(strokes, sorted(pairs), left)


def _drift(expected: Numbers, pairs: Sequence[tuple[int, int]], played: Sequence[Played]) -> Numbers:
    """How far the pulse is from its straight line at each expected stroke; nothing where it hardly moves."""
    if len(pairs) <= FEWEST_PAIRS:
        return np.zeros(len(expected))
    moments = np.array([expected[i] for i, _ in pairs])
    off = np.array([played[j][0] - expected[i] for i, j in pairs])
    way = drift_of(moments, off, expected)
    return way if way.max() - way.min() > DRIFTS_S else np.zeros(len(expected))


def _far_drift(meant: Sequence[Meant], expected: Numbers, rows: ByVoice) -> Numbers:
    """How far the pulse is from its straight line at each expected stroke, however far it wanders."""
    asked = seconds_by_voice((float(at_s), each.voice) for at_s, each in zip(expected, meant, strict=True))
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
