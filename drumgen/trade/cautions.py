"""Ears and wrists: what is safe to hear for how long, and the usual cautions about strain.

Levels are in dBA at the ear, which no file can know: a program can limit its own full scale and give advice, not
measure. Nothing here is medical advice. Marks are those of `limits`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drumgen.trade.limits import Mark


@dataclass(frozen=True, slots=True)
class ListeningRule:
    """A dose: ``level_dba`` for ``hours`` in each ``period``; every ``exchange_db`` more halves the time."""

    name: str
    level_dba: float
    hours: float
    period: str
    exchange_db: float
    mark: Mark
    source: str

    def hours_at(self, level_dba: float) -> float:
        """Hours in each period at another level: ``hours / 2 ** ((L - level) / exchange)``.

        >>> 60 * NIOSH.hours_at(94)
        60.0
        """
        return float(self.hours / 2 ** ((level_dba - self.level_dba) / self.exchange_db))


NIOSH = ListeningRule("NIOSH recommended limit", 85, 8, "day", 3, "published", "NIOSH, in a copy")
OSHA = ListeningRule("OSHA permissible limit", 90, 8, "day", 5, "published", "beside NIOSH in the same copy")
WHO_ADULTS = ListeningRule(
    "WHO-ITU mode 1, adults", 80, 40, "week", 3, "published", "ITU-T H.870, in summaries of 2019"
)
WHO_CHILDREN = ListeningRule(
    "WHO-ITU mode 2, children", 75, 40, "week", 3, "published", "ITU-T H.870, in summaries of 2019"
)
LISTENING_RULES: tuple[ListeningRule, ...] = (NIOSH, OSHA, WHO_ADULTS, WHO_CHILDREN)


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence for the player, with where it comes from."""

    text: str
    mark: Mark
    source: str


SAFE_LISTENING: tuple[Caution, ...] = (
    Caution("Every 3 dB more halves the time that is safe.", "published", "NIOSH; WHO-ITU H.870"),
    Caution(
        "At 85 dBA eight hours a day are the limit, at 94 one hour, at 100 a quarter of an hour.",
        "derived",
        "NIOSH",
    ),
    Caution(
        "A drum kit is often 90 to 115 dBA at the player's ear: wear protection.",
        "reported",
        "lesson and forum pages",
    ),
    Caution("Set the play-along just loud enough to hear over the muffled kit.", "memory", "common practice"),
    Caution("If ears ring or sounds seem dull afterwards, it was too loud.", "memory", "common practice"),
)

STRAIN: tuple[Caution, ...] = (
    Caution(
        "Disorders from playing are common: 68 in 100 drummers asked have had one, wrist and lower back above all.",
        "published",
        "Azar 2020, MPPA 35(3):153-161",
    ),
    Caution(
        "Bent-away postures, much repetition and vibration raise the risk: keep wrists straight, the grip loose, "
        "and seat and kit within easy reach.",
        "published",
        "Azar 2022, Frontiers; what to do about it is common practice",
    ),
    Caution(
        "Those who were taught prevention report fewer disorders: learn it early.",
        "published",
        "Azar 2021, JPME",
    ),
    Caution("Warm up slowly; raise tempo and length bit by bit.", "memory", "common practice"),
    Caution("Play loud or fast in short turns, with breaks.", "memory", "common practice"),
    Caution("Stop at pain, tingling or numbness, and see a clinician.", "memory", "common practice"),
)

HEARING_LINE = (
    "mind your ears: at 85 dBA eight hours a day are the limit (NIOSH), "
    "every 3 dB more halves it (NIOSH, WHO-ITU H.870)"
)
"""The usual caution on hearing, in a line."""

HEARING_SENTENCE = f"{HEARING_LINE[:1].upper()}{HEARING_LINE[1:]}."
"""The same as a sentence."""

STRAIN_LINE = "much repetition: warm up, take breaks, and stop at pain, tingling or numbness and see a clinician"
"""The usual caution on strain, in a line; general, and no medical advice."""

STRAIN_SENTENCE = f"{STRAIN_LINE[:1].upper()}{STRAIN_LINE[1:]}."
"""The same as a sentence."""
