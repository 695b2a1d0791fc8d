"""Where tests study: small phrases with one bar to vary, and what their orchestrations cost, worked out the slow way.

The slow way walks through the moments of the whole phrase with the voices put in, and adds up the stated terms; it
knows nothing of rows, tables and bounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from drum_room import loaded
from hypothesis import strategies as st

from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.sticking import OTHER_HAND
from drumgen.study import cost
from drumgen.study.arrangements import Arrangements
from drumgen.study.crossing import crossed
from drumgen.study.demands import demands
from drumgen.study.figures import REST_S
from drumgen.study.material import offered_voices
from drumgen.study.moments import moments_of
from drumgen.study.reach import distance_cm

if TYPE_CHECKING:
    from drumgen.kit import Voice
    from drumgen.spec.loading import Loaded
    from drumgen.study.moments import Moment
    from drumgen.study.puzzle import Puzzle
    from drumgen.study.wish import Wish

OFFERS = (
    ("snare", "floor-tom"),
    ("snare", "high-tom"),
    ("snare", "hihat", "floor-tom"),
    ("snare", "high-tom", "crash"),
    ("hihat", "high-tom", "mid-tom"),
)


SIGNS = ("R", "L", "R", "L", "B", ">R", ">L", "(R)", "(L)", "lR", "rL", "llR")
ORDERS = ('"x"', '"x", "x"', '"g", "x"', '"x", "g"', '"g", "x", "g", "x"')
KICKS = ("", "1", "1 1&", "all", "with accents")
RIGHT_HANDS = ('"hihat"', '"snare"', '{ main = "hihat", "1" = "snare" }')


@dataclass(frozen=True)
class Case:
    """A phrase file's text with the bar ``x`` to vary, and the voices that the hands are offered."""

    text: str
    voices: tuple[str, ...]

    @property
    def loaded(self) -> Loaded:
        return loaded(self.text)


@st.composite
def cases(draw: st.DrawFn, most: int = 6, kit: str = "five-piece") -> Case:
    """Small phrases: a groove or nothing before the bar that is varied, a landing or none after it."""
    size = draw(st.integers(2, most))
    signs = draw(st.lists(st.sampled_from(SIGNS), min_size=size, max_size=size))
    subdivisions = ["eighths", "sixteenths", "triplets"] if size <= 4 else ["sixteenths"]
    lines = [
        f"tempo = {draw(st.sampled_from([40, 60, 90, 120, 150]))}",
        f'kit = "{kit}"',
        'meter = "2/4"',
        f"phrase = [{draw(st.sampled_from(ORDERS))}]",
        draw(st.sampled_from(["landing = []", 'landing = ["crash", "kick"]'])),
        '[bars.g]\nsticking = "RL"\nsubdivision = "eighths"\nhands.R = "hihat"\nhands.L = "snare"',
        f'[bars.x]\nsticking = "{"".join(signs)}"\nacross = "once"',
        f'role = "{draw(st.sampled_from(["fill", "fill", "fill", "groove"]))}"',
        f"hands.R = {draw(st.sampled_from(RIGHT_HANDS))}",
        f'feet.kick = "{draw(st.sampled_from(KICKS))}"',
        f'subdivision = "{draw(st.sampled_from(subdivisions))}"',
    ]
    return Case("\n".join(lines), draw(st.sampled_from(OFFERS)))


def arrangements_of(case: Case, wish: Wish) -> Arrangements:
    """The arrangements of the bar ``x`` of a case."""
    found = case.loaded
    return Arrangements(found.file, found.phrase, ("x",), offered_voices(found.phrase.kit, case.voices), wish)


class SlowWay:
    """What orchestrations of the bar ``x`` of a case cost, stroke by stroke through the whole phrase."""

    def __init__(self, case: Case, wish: Wish, puzzle: Puzzle) -> None:
        self.phrase = case.loaded.phrase
        self.kit, self.wish, self.puzzle = self.phrase.kit, wish, puzzle
        self.bar = self.phrase.bars["x"]
        self.moments = moments_of(arrange(self.phrase, Practice(tempo=wish.tempo)))
        self.order = cost.drum_order(self.kit, puzzle.voices)
        self.own = next(
            (i for i, each in enumerate(self.moments.played) if each.span.bar is self.bar and not each.span.landing),
            next(i for i, each in enumerate(self.moments.played) if each.span.bar is self.bar),
        )

    def cost_of(self, numbers: tuple[int, ...]) -> int | None:
        """The cost, or None where it cannot be."""
        rows = {hand: self._row(hand, numbers) for hand in ("R", "L")}
        for row in rows.values():
            if any(demand.factor < 1 - 1e-9 for demand in demands(row, skill=self.wish.skill)):
                return None
        inside = {hand: [each for each in row if each.span == self.own] for hand, row in rows.items()}
        across = self._across(inside)
        if across is None:
            return None
        return across + self._efforts(rows) + sum(map(self._shape, inside.values())) + self._single(numbers)

    def _row(self, hand: str, numbers: tuple[int, ...]) -> list[Moment]:
        return [self._with_voice(moment, numbers) for moment in self.moments.by_limb[hand]]  # type: ignore[index]

    def _with_voice(self, moment: Moment, numbers: tuple[int, ...]) -> Moment:
        number = self._choice(moment)
        return moment if number is None else moment._replace(voice=self.puzzle.voices[numbers[number]])

    def _choice(self, moment: Moment) -> int | None:
        span = self.moments.played[moment.span].span
        if span.bar is not self.bar or span.kind != "bar":
            return None
        landed = {"crash"} if span.landing and moment.place == 0 and moment.accented else set()
        limb = OTHER_HAND[moment.limb] if moment.grace else moment.limb
        for number, choice in enumerate(self.puzzle.material.choices):
            if (choice.limb, choice.place) == (limb, moment.place):
                keeps = moment.grace and not self.kit.voice(choice.stroke.voice).drum
                return None if keeps or (not moment.grace and moment.voice.name in landed) else number
        return None

    def _efforts(self, rows: dict[str, list[Moment]]) -> int:
        """Each way of a hand once: within the bar's own playing, and each different seam."""
        total, seen = 0, set()
        for hand, row in rows.items():
            for first, second in pairwise(row):
                ways = (self._choice(first), self._choice(second))
                if ways == (None, None):
                    continue
                names = [
                    moment.voice.name if way is None else "" for way, moment in zip(ways, (first, second), strict=True)
                ]
                key = (hand, ways, *names, first.grace, second.grace, first.accented, second.accented,
                       round(second.at_s - first.at_s, 9), first.span == second.span == self.own)  # fmt: skip
                known = key in seen and not key[-1]
                seen.add(key)
                if not known and distance_cm(first.voice, second.voice) > 0:
                    demand = next(iter(demands([first, second], skill=self.wish.skill)))
                    total += cost.effort(1.0, demand.factor)
        return total

    def _shape(self, row: list[Moment]) -> int:
        total = 0
        last: dict[bool, tuple[Voice, int]] = {}
        latest: tuple[bool, Voice, int] | None = None
        for moment in row:
            number = self._choice(moment)
            if moment.grace or number is None:
                continue
            choice = self.puzzle.material.choices[number]
            accented = choice.stroke.level == "accent"
            if latest is not None and latest[0] != accented and latest[2] == choice.figure:
                total += cost.accent_and_taps(latest[1], moment.voice, self.kit)
            latest = (accented, moment.voice, choice.figure)
            if accented in last:
                before, figure = last[accented]
                total += cost.shape(
                    before,
                    moment.voice,
                    accented=accented,
                    same_figure=figure == choice.figure,
                    fill=self.bar.role != "groove",
                    order=self.order,
                )
            last[accented] = (moment.voice, choice.figure)
        return total

    def _across(self, inside: dict[str, list[Moment]]) -> int | None:
        total = 0
        last: dict[str, Moment] = {}
        for moment in sorted(
            (*inside["R"], *inside["L"]), key=lambda each: (each.at_s, each.grace == 0, each.limb == "L")
        ):
            other = last.get("L" if moment.limb == "R" else "R")
            last[moment.limb] = moment
            if other is None or moment.at_s - other.at_s >= REST_S:
                continue
            own = self._choice(moment)
            if own is not None and own == self._choice(other):
                continue
            if own is None and self._choice(other) is None:
                continue
            right, left = (moment, other) if moment.limb == "R" else (other, moment)
            if crossed(right.voice, left.voice):
                return None
            if not (moment.grace or other.grace):
                total += cost.company(other.voice, moment.voice, self.kit)
        return total

    def _single(self, numbers: tuple[int, ...]) -> int:
        total, carrier = 0, None
        fill = self.bar.role != "groove"
        choices = self.puzzle.material.choices
        for i, (choice, number) in enumerate(zip(choices, numbers, strict=True)):
            voice: Voice = self.puzzle.voices[number]
            total += cost.speaking(voice, choice.stroke.level, with_kick=choice.with_kick, kit=self.kit)
            if fill and self.bar.landing:
                total += cost.leading(voice, self.kit, self.order, last=i == len(choices) - 1)
            if fill and choice.carrier:
                total += cost.direction(carrier, voice, self.order) if carrier else 0
                carrier = voice
        return total
