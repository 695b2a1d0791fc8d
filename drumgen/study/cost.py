"""Cost: what an orchestration costs, term by term. Less is better; whole points, so that equal is equal.

Every term is of one stroke or of two, and every number is ours: weights of taste, none of them published. What a player
cannot do at all is no cost but a limit (see `material`).

| term | what it is for |
|---|---|
| effort | moves that take much of the time there is: `EFFORT` x (time needed / time there is) squared |
| direction | a fill goes around the drums, hi-hat's side to floor tom: a step back, a jump, standing still cost |
| speaking | accents on voices that speak, best with the kick under them; taps on voices that do not shout |
| shape | in a figure a hand has its taps on one voice, its accents on one, not on two toms; taps stay or go a step |
| company | one place at a time: while one hand is at a tom the other is not at another |
| leading | a fill prepares its landing: it ends on the last drum around or at home, and does not use up the crash |
| rules | by rule only: what there is to remember, one more rule, one more drum |
| feet | by rule only: how busy the foot is, and a foot other than written |

A *figure* is what is heard as one, and its *carrier* the stroke that stands for it: see `grouping`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumgen.study.crossing import azimuth

if TYPE_CHECKING:
    from drumgen.kit import Kit, Voice
    from drumgen.levels import Level
    from drumgen.orchestration import HandMap

EFFORT = 20
STANDING_STILL = 24
STEP_BACK = 30
JUMP = 10
INSIDE_FIGURE = 30
INSIDE_FIGURE_STEP = 12
TAPS_MOVE = 24
TAPS_STEP = 2
TWO_TOMS = 16
APART_ON_TOMS = 14
WEAK_END = 24
CRASH_TOO_SOON = 24
ACCENT_WITHOUT_KICK = 5
ONE_RULE = 3
ONE_DRUM = 1
OTHER_FOOT = 4
SILENT_FOOT = 20
FOOT_EFFORT = 10

TERMS = ("effort", "direction", "speaking", "shape", "company", "leading", "rules", "feet")

CRASHES = ("crash", "crash-2", "splash", "china")
_ACCENTED = {
    "snare": 4,
    "rimshot": 0,
    "cross-stick": 14,
    "hihat": 32,
    "hihat-half": 10,
    "hihat-open": 8,
    "ride": 20,
    "ride-bell": 8,
}
_TAPPED = {"snare": 0, "hihat": 0, "hihat-half": 8, "hihat-open": 16, "ride": 6, "cross-stick": 14, "rimshot": 20}
_TAPPED_TOM, _TAPPED_OTHER, _ACCENTED_OTHER = 2, 24, 16


@dataclass(frozen=True, slots=True)
class Cost:
    """A cost by its terms."""

    effort: int = 0
    direction: int = 0
    speaking: int = 0
    shape: int = 0
    company: int = 0
    leading: int = 0
    rules: int = 0
    feet: int = 0

    @property
    def total(self) -> int:
        """The sum of the terms."""
        return sum(getattr(self, term) for term in TERMS)

    def __add__(self, other: Cost) -> Cost:
        return Cost(*(getattr(self, term) + getattr(other, term) for term in TERMS))

    def __str__(self) -> str:
        terms = ", ".join(f"{term} {getattr(self, term)}" for term in TERMS if getattr(self, term))
        return f"{self.total} ({terms})" if terms else "0"


def effort(least_s: float, room_s: float) -> int:
    """The effort of a move that needs ``least_s`` of the ``room_s`` there is."""
    return round(EFFORT * min(1.0, least_s / room_s) ** 2)


def speaking(voice: Voice, level: Level, *, with_kick: bool, kit: Kit) -> int:
    """How well a voice says what it is asked to say."""
    if level == "ghost" or voice.name == kit.home:
        return (_ACCENTED["snare"] + (0 if with_kick else ACCENT_WITHOUT_KICK)) if level == "accent" else 0
    if level == "accent":
        weak = 0 if voice.drum or voice.name in CRASHES else _ACCENTED_OTHER
        return _ACCENTED.get(voice.name, weak) + (0 if with_kick else ACCENT_WITHOUT_KICK)
    return _TAPPED.get(voice.name, _TAPPED_TOM if voice.drum else _TAPPED_OTHER)


def is_tom(voice: Voice, kit: Kit) -> bool:
    """Whether a voice is a drum that stands elsewhere than the kit's home voice."""
    home = kit.voice(kit.home)
    return voice.drum and (voice.x_cm, voice.y_cm) != (home.x_cm, home.y_cm)


def drum_order(kit: Kit, voices: tuple[Voice, ...]) -> dict[str, int]:
    """The drums among ``voices`` in the order a player goes around them, counted from the hi-hat's side."""
    side = 1 if kit.hand == "right" else -1
    drums = [voice for voice in voices if voice.drum]
    places = sorted({side * azimuth(voice) for voice in drums})
    return {voice.name: places.index(side * azimuth(voice)) for voice in drums}


def direction(one: Voice, other: Voice, order: dict[str, int]) -> int:
    """From the carrier of one figure of a fill to that of the next."""
    if one.name == other.name:
        return STANDING_STILL
    if one.name not in order or other.name not in order:
        return JUMP
    steps = order[other.name] - order[one.name]
    return STEP_BACK if steps <= 0 else JUMP * (steps - 1)


def shape(one: Voice, other: Voice, *, accented: bool, same_figure: bool, fill: bool, order: dict[str, int]) -> int:
    """From one tap of a hand to its next, or from one accent to its next."""
    if one.name == other.name:
        return 0
    step = order.get(other.name, -9) - order.get(one.name, -19) == 1
    if same_figure or not fill:
        return INSIDE_FIGURE_STEP if step else INSIDE_FIGURE
    return 0 if accented else TAPS_STEP if step else TAPS_MOVE


def accent_and_taps(one: Voice, other: Voice, kit: Kit) -> int:
    """From an accent of a hand to its tap beside it in one figure, or back: on two toms it does not stand out."""
    return TWO_TOMS if _two_toms(one, other, kit) else 0


def _two_toms(one: Voice, other: Voice, kit: Kit) -> bool:
    return one.name != other.name and is_tom(one, kit) and is_tom(other, kit)


def company(one: Voice, other: Voice, kit: Kit) -> int:
    """From a stroke of one hand to the next of the other: two toms at once are two places to be."""
    return APART_ON_TOMS if _two_toms(one, other, kit) else 0


def leading(voice: Voice, kit: Kit, order: dict[str, int], *, last: bool) -> int:
    """One stroke of a fill with a landing: the last is on the last drum or at home, the crash is kept for after it."""
    if voice.name in CRASHES:
        return CRASH_TOO_SOON
    if not last:
        return 0
    low = max(order.values(), default=0)
    return 0 if voice.name == kit.home or (order and order.get(voice.name) == low) else WEAK_END


def rules(hand: HandMap) -> int:
    """What there is to remember of a hand's map: a voice alone is nothing."""
    return rules_of(len(hand.around), accent=bool(hand.accent), ghost=bool(hand.ghost))


def rules_of(around: int, *, accent: bool, ghost: bool) -> int:
    """What there is to remember of a way around so many drums, with voices of their own for accents and ghost notes."""
    return ONE_RULE * (accent + ghost + 2 * bool(around)) + ONE_DRUM * around
