"""Top tempo: up to what tempo a phrase can be played, by which limb, and the moment that sets it.

The model is that of `reach`: a ranking of difficulty and a warning, not a measurement of a person. All tempos of the
phrase rise together, as with ``--tempo``. A *rest* is a second or more in which a limb does not strike (ours).
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from fractions import Fraction
from math import inf
from typing import TYPE_CHECKING, Any

from drumgen.study.concerns import Concern, concerns_of
from drumgen.study.demands import asked_of
from drumgen.study.figures import LimbFigures, figures_of
from drumgen.study.moments import LIMBS, moments_of
from drumgen.study.words import demand_words, limb_words
from drumgen.tempo import FASTEST

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.plan import Plan
    from drumgen.sticking import Limb
    from drumgen.study.demands import Asked
    from drumgen.study.moments import Moments
    from drumgen.trade.limits import Skill

SITS_WELL = 7 / 8
"""Up to this share of its top tempo a phrase sits well (ours; from there on it is hard)."""

_SLACK = 1e-9
CAUTION = "A ranking of difficulty, not a measurement of a player. Stop at pain, tingling or numbness."


@dataclass(frozen=True, slots=True)
class Tightest:
    """The moment that sets a limb's top tempo: the bar it begins in, what is asked, and in words."""

    limb: Limb
    bar: int
    asked: str
    reach_cm: float
    least_ms: float
    set_by_distance: bool
    words: str


@dataclass(frozen=True, slots=True)
class LimbTempo:
    """One limb: what it does, and its top tempo in the phrase's own beat; None where nothing limits it."""

    limb: Limb
    figures: LimbFigures
    top: float | None
    tightest: Tightest | None

    def __str__(self) -> str:
        top = f"up to {shown_tempo(self.top)}" if self.top is not None else "at any tempo"
        return f"{limb_words(self.limb)}: {self.figures}; {top}"


@dataclass(frozen=True, slots=True)
class TopTempo:
    """What a phrase asks of the limbs at one level.

    ``tempo`` is what it is played at and ``top`` its top tempo, both in ``unit`` (nothing: the meter's beat); ``top``
    is None where nothing limits it. ``concerns`` are in the order of the bars.
    """

    title: str
    skill: Skill
    tempo: float
    unit: str
    top: float | None
    limbs: tuple[LimbTempo, ...]
    concerns: tuple[Concern, ...]

    @property
    def playable(self) -> bool:
        """Whether it is played at or under its top tempo."""
        return self.top is None or self.tempo <= self.top * (1 + _SLACK)

    @property
    def tightest(self) -> Tightest | None:
        """The moment that sets the top tempo."""
        tops = [limb for limb in self.limbs if limb.top is not None]
        return min(tops, key=lambda limb: limb.top or inf).tightest if tops else None

    @property
    def verdict(self) -> str:
        """In kind words: ``sits well to 104, hard by 118``."""
        if self.top is None or self.top > FASTEST:
            return "sits well at any tempo"
        words = f"sits well to {shown_tempo(self.top * SITS_WELL)}, hard by {shown_tempo(self.top)}"
        return words if self.playable else f"{words}: at {shown_tempo(self.tempo)} not yet"

    def plain(self) -> dict[str, Any]:
        """The whole as plain values, for JSON."""
        return {**asdict(self), "playable": self.playable, "verdict": self.verdict, "caution": CAUTION}


def shown_tempo(tempo: float) -> str:
    """A tempo as a whole number, rounded down: what is shown can be played."""
    return str(int(tempo * (1 + _SLACK)))


def top_tempo(plan: Plan, *, skill: Skill = "player") -> TopTempo:
    """The top tempo of a plan for a learner, a player or the record, with what each limb is asked for.

    Closed form: the smallest over all pairs of strokes of one limb, and three in a row. A looped plan has its seam.
    """
    moments = moments_of(plan)
    tempo, unit = _tempo_of(plan)
    playing = [limb for limb in LIMBS if any(timed.by_limb[limb] for timed in moments.timed)]
    asked = {limb: asked_of(moments, limb, skill=skill, loop=plan.loop) for limb in playing}
    limbs = tuple(_limb(moments, limb, found, tempo) for limb, found in asked.items())
    tops = [limb.top for limb in limbs if limb.top is not None]
    return TopTempo(
        title=plan.phrase.title,
        skill=skill,
        tempo=tempo,
        unit=unit,
        top=min(tops, default=None),
        limbs=limbs,
        concerns=concerns_of(moments, [each for row in asked.values() for each in row]),
    )


def _tempo_of(plan: Plan) -> tuple[float, str]:
    """The tempo that a plan is played at, in the unit that its phrase is written in."""
    phrase = plan.phrase
    span = next((span for span in plan.spans if span.bar is not None and span.kind == "bar"), None)
    if span is None or span.bar is None:
        return float(phrase.tempo.start), phrase.tempo.unit
    own = span.bar.tempo.quarters(span.meter) if span.bar.tempo else phrase.tempo.quarters(phrase.meter)
    return float(phrase.tempo.start * Fraction(span.quarters[0]) / own[0]), phrase.tempo.unit


def _limb(moments: Moments, limb: Limb, found: Sequence[Asked], tempo: float) -> LimbTempo:
    figures = figures_of(moments, limb, found)
    worst = min((demand for demand, _ in found), key=lambda demand: round(demand.factor, 9), default=None)
    if worst is None or worst.factor == inf:
        return LimbTempo(limb, figures, None, None)
    top = round(tempo * worst.factor, 6)
    words = f"{demand_words(worst, moments)}: up to {shown_tempo(top)}"
    need = worst.need
    tightest = Tightest(
        limb=limb,
        bar=moments.played[worst.first.span].span.number,
        asked="full stroke" if worst.middle else need.asked,
        reach_cm=round(need.reach_cm, 1),
        least_ms=round(need.full_ms if worst.middle else need.least_ms, 1),
        set_by_distance=need.sets,
        words=words,
    )
    return LimbTempo(limb, figures, top, tightest)
