"""What limbs can do: published numbers, and the working limits drawn from them.

Units stand in the names: milliseconds, hertz, bits, inches where the source has them. Every row has its source and a
mark: *published* was read in an abstract, report or page; *reported* is a news page or blog, unchecked;
*derived* is drawn from other rows, and no surer than they are; *memory* is neither, and unconfirmed.
Fitts' law on a kit is a model, not a measurement: no source read fits it to moves between drums. It ranks
difficulty. It says nothing of a stroke repeated on one spot, which is quicker than its shortest time.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2
from typing import Literal

Mark = Literal["published", "reported", "derived", "memory"]
Skill = Literal["learner", "player", "record"]

FITTS = "P. M. Fitts 1954, J. Exp. Psychol. 47:381-391, as in I. S. MacKenzie 2018, table 17.1"


@dataclass(frozen=True, slots=True)
class TappingRow:
    """One condition of Fitts' reciprocal tapping: sixteen people, a 1-oz stylus.

    ``reach_in`` is the distance of the targets' centres, ``width_in`` their width, ``effective_width_in`` the
    width that the scatter of the hits amounts to.
    """

    reach_in: float
    width_in: float
    move_ms: int
    errors_percent: float
    effective_width_in: float


FITTS_TAPPING: tuple[TappingRow, ...] = (
    TappingRow(2, 0.25, 392, 3.35, 0.243),
    TappingRow(2, 0.5, 281, 1.99, 0.444),
    TappingRow(2, 1, 212, 0.44, 0.725),
    TappingRow(2, 2, 180, 0.00, 1.020),
    TappingRow(4, 0.25, 484, 3.41, 0.244),
    TappingRow(4, 0.5, 372, 2.72, 0.468),
    TappingRow(4, 1, 260, 1.09, 0.812),
    TappingRow(4, 2, 203, 0.08, 1.233),
    TappingRow(8, 0.25, 580, 2.78, 0.235),
    TappingRow(8, 0.5, 469, 2.05, 0.446),
    TappingRow(8, 1, 357, 2.38, 0.914),
    TappingRow(8, 2, 279, 0.87, 1.576),
    TappingRow(16, 0.25, 731, 3.65, 0.247),
    TappingRow(16, 0.5, 595, 2.73, 0.468),
    TappingRow(16, 1, 481, 1.30, 0.832),
    TappingRow(16, 2, 388, 0.65, 1.519),
)

Index = Literal["fitts", "welford", "shannon"]


@dataclass(frozen=True, slots=True)
class MoveFit:
    """A straight line from an index of difficulty in bits to the time of a move; ``r`` where it is known.

    The index is log2(2A/W) (fitts), log2(A/W + 0.5) (welford) or log2(A/W + 1) (shannon), of reach A and width W.
    """

    name: str
    index: Index
    intercept_ms: float
    slope_ms: float
    r: float | None
    mark: Mark
    source: str

    def bits(self, *, reach: float, width: float) -> float:
        """The index of difficulty; both lengths above 0, in one unit."""
        ratio = reach / width
        return log2({"fitts": 2 * ratio, "welford": ratio + 0.5, "shannon": ratio + 1}[self.index])

    def move_ms(self, *, reach: float, width: float) -> float:
        """How long the move takes.

        >>> round(SHANNON_FIT.move_ms(reach=16, width=14))
        150
        """
        return self.intercept_ms + self.slope_ms * self.bits(reach=reach, width=width)


FITTS_FIT = MoveFit("Fitts", "fitts", 12.8, 94.7, 0.9831, "published", f"{FITTS}; fit as in MacKenzie 1992")
WELFORD_FIT = MoveFit("Welford", "welford", 65.4, 103.8, 0.9900, "derived", FITTS)
SHANNON_FIT = MoveFit("Shannon", "shannon", 27.7, 111.5, 0.9936, "derived", FITTS)
EFFECTIVE_FIT = MoveFit("Shannon, effective width", "shannon", -31.4, 122.0, 0.9938, "derived", FITTS)
FOOT_FIT = MoveFit("foot on pedals", "fitts", 187, 85, None, "published", "Drury 1975, in a survey")
MOVE_FITS: tuple[MoveFit, ...] = (FITTS_FIT, WELFORD_FIT, SHANNON_FIT, EFFECTIVE_FIT, FOOT_FIT)


@dataclass(frozen=True, slots=True)
class Rate:
    """How often something was seen to be struck in a second, from ``low_hz`` to ``high_hz``."""

    what: str
    low_hz: float
    high_hz: float
    mark: Mark
    source: str


FUJII_2009 = "S. Fujii et al. 2009, Neurosci. Lett. 459:69-73"

RATES: tuple[Rate, ...] = (
    Rate("one hand or finger tapping, general ceiling", 5, 7, "published", FUJII_2009),
    Rate(
        "index finger, fastest: mean and one standard deviation",
        5.74,
        7.18,
        "published",
        "J. Physiol. Anthropol., doi 10.2114/jpa.23.105",
    ),
    Rate("one hand, stick, winner of a contest", 10, 10, "published", FUJII_2009),
    Rate("one hand, stick, where timing was worst", 6.67, 6.67, "published", "Motor Control 2021, 25:644-679"),
    Rate("both hands alternating, record over 60 s", 20.1, 20.1, "reported", "a news page of 2013"),
    Rate("two feet on a double pedal, trained players", 16, 16, "reported", "a blog"),
    Rate("one foot, bass drum, sustained", 4, 6, "memory", "none"),
    Rate("one foot, bass drum, short bursts", 7, 8, "memory", "none"),
    Rate("both hands alternating, skilled amateurs, short stretches", 10, 14, "memory", "none"),
)


@dataclass(frozen=True, slots=True)
class WorkingLimit:
    """What a checker asks of one limb at three skills; cautious, not published as such.

    ``unit`` is "ms", the shortest gap before the stroke, or "times", a factor. ``marks`` are of the three figures
    in turn.
    """

    what: str
    learner: float
    player: float
    record: float
    unit: Literal["ms", "times"]
    marks: tuple[Mark, Mark, Mark]
    source: str

    def at(self, skill: Skill) -> float:
        """The figure for that skill.

        >>> HAND_REPEATED.at("player")
        150
        """
        return {"learner": self.learner, "player": self.player, "record": self.record}[skill]


_DERIVED: tuple[Mark, Mark, Mark] = ("derived", "derived", "derived")
_MEMORY: tuple[Mark, Mark, Mark] = ("memory", "memory", "memory")

HAND_REPEATED = WorkingLimit(
    "hand, repeated full strokes", 200, 150, 100, "ms", _DERIVED, f"{FUJII_2009}; Motor Control 2021"
)
HAND_REBOUND = WorkingLimit(
    "hand, second note of a rebound double",
    90,
    60,
    45,
    "ms",
    ("derived", "derived", "memory"),
    "32nds at 120 are 62 ms apart; no published gap of a double is known",
)
FOOT_REPEATED = WorkingLimit("foot, repeated", 250, 150, 125, "ms", _DERIVED, "the rates of feet above")
FOOT_PAIR = WorkingLimit("foot, second of a pair, then a rest", 180, 120, 90, "ms", _MEMORY, "none")
MOVE_FACTOR = WorkingLimit(
    "on the time of a move", 1.3, 1.0, 0.7, "times", ("memory", "derived", "memory"), f"1.0 is the fit to {FITTS}"
)
WORKING_LIMITS: tuple[WorkingLimit, ...] = (
    HAND_REPEATED,
    HAND_REBOUND,
    FOOT_REPEATED,
    FOOT_PAIR,
    MOVE_FACTOR,
)


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far apart the sounds of one gesture stand."""

    what: str
    low_ms: float
    high_ms: float
    mark: Mark
    source: str


SPACINGS: tuple[Spacing, ...] = (
    Spacing("double, between its two notes", 60, 120, "memory", "usual in practice; no published figure known"),
    Spacing("double-stroke roll in 32nds at 120, between notes", 62.5, 62.5, "derived", "60 000 / 120 / 8"),
    Spacing("multiple bounce, between contacts", 20, 50, "memory", "none"),
    Spacing("flam, grace before main", 10, 40, "memory", "no measured mean known"),
    Spacing("flam, a sound default", 20, 30, "memory", "no measured mean known"),
    Spacing("order of two sounds told right 75 % of the time", 22, 22, "published", "notes at mazurka.org.uk"),
    Spacing("order of two sounds clear", 60, 60, "published", "notes at mazurka.org.uk"),
    Spacing("drag, two grace notes before the main", 30, 60, "memory", "none"),
)
