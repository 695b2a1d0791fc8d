"""A survey of a phrase: how long it is, when each sticking comes round, which bars are linear, where the accents are.

*Linear*: no two limbs strike at once.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from drumgen.amounts import amount
from drumgen.coming_round import round_bars
from drumgen.layout import lay_out_fresh
from drumgen.sticking import LIMB_NAMES

if TYPE_CHECKING:
    from fractions import Fraction

    from drumgen.bar import Across, Bar
    from drumgen.phrase import Phrase


@dataclass(frozen=True, slots=True)
class BarSurvey:
    """One bar: when its sticking comes round (in bars, None without one), and its strokes and accents by limb."""

    name: str
    role: str
    meter: str
    across: Across
    comes_round: Fraction | None
    beats: int
    linear: bool
    strokes: dict[str, int]
    accents: dict[str, int]

    @property
    def round_words(self) -> str:
        """When the sticking comes round, in words: what would be if it were carried is said so where it is not."""
        if self.comes_round is None:
            return "no sticking"
        if self.across == "once":
            return "once each bar"
        if self.comes_round.denominator > 1:
            beats = self.comes_round * self.beats
            return f"comes round every {'beat' if beats == 1 else amount(beats, 'beat')}"
        if self.comes_round == 1:
            return "comes round every bar"
        after = f"comes round after {self.comes_round} bars"
        return after if self.across == "carry" else f"begins anew each bar (carried, it {after})"

    @property
    def plain(self) -> dict[str, Any]:
        """It as plain values, for JSON; limbs by their names."""
        return {
            "name": self.name,
            "role": self.role,
            "meter": self.meter,
            "comes_round_bars": None if self.comes_round is None else float(self.comes_round),
            "linear": self.linear,
            "strokes": {name: self.strokes[limb] for limb, name in LIMB_NAMES.items() if limb in self.strokes},
            "accents": {name: self.accents[limb] for limb, name in LIMB_NAMES.items() if limb in self.accents},
        }

    def __str__(self) -> str:
        linear = "linear" if self.linear else "not linear"
        return f"{self.name} ({self.role}, {self.meter}): {self.round_words}; {linear}; {self._limbs()}"

    def _limbs(self) -> str:
        words = []
        for limb, word in LIMB_NAMES.items():
            if self.strokes.get(limb):
                accents = self.accents.get(limb, 0)
                accented = f", {amount(accents, 'accent')}" if accents else ""
                words.append(f"{word} {amount(self.strokes[limb], 'stroke')}{accented}")
        return "; ".join(words) or "silence"


def survey_bar(bar: Bar, phrase: Phrase) -> BarSurvey:
    """The survey of one bar, as it is played when nothing is carried into it."""
    strokes = lay_out_fresh(bar, phrase.kit).strokes
    places = Counter(stroke.place for stroke in strokes)
    return BarSurvey(
        name=bar.name,
        role=bar.role,
        meter=str(bar.meter),
        across=bar.layer.across,
        comes_round=round_bars(bar.layer, bar.meter),
        beats=len(bar.meter.beats),
        linear=all(number == 1 for number in places.values()),
        strokes=Counter(stroke.limb for stroke in strokes),
        accents=Counter(stroke.limb for stroke in strokes if stroke.level == "accent"),
    )


def survey(phrase: Phrase) -> list[BarSurvey]:
    """The survey of every bar of a phrase's file, in its order."""
    return [survey_bar(bar, phrase) for bar in phrase.bars.values()]
