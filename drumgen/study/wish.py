"""What is asked of `vary`, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from drumgen.spec.phrase_file import PhraseFile
    from drumgen.study.cost import Cost
    from drumgen.tempo import Tempo
    from drumgen.trade.limits import Skill

Space = Literal["rules", "strokes"]
MOST_WANTED = 1000


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked for.

    ``number`` is how many are wanted (1-1000). ``space``: hand maps and foot rules, or every stroke on its own.
    ``bars`` names bars or roles to vary, else the fills (every bar where there is none). ``voices`` are what the hands
    are offered; ``keep`` is what stays: voices, accents, taps, ghosts, right hand, left hand, feet. ``apart`` is by how
    many hand strokes each differs at least from what is written and from the others (unsaid: 3, or fewer where few
    strokes are free). ``order``: by cost, or the easiest of those found first. ``from_sticking``: also other accents
    and another first stroke.
    """

    number: int = 8
    space: Space = "rules"
    skill: Skill = "player"
    tempo: Tempo | None = None
    bars: tuple[str, ...] = ()
    voices: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    apart: int | None = None
    order: Literal["cost", "easiest"] = "cost"
    from_sticking: bool = False


@dataclass(frozen=True, slots=True)
class Variation:
    """One other orchestration: a phrase file that renders as it stands, its cost, and what it does in words.

    ``voices`` are, by bar, the voice of each hand stroke; ``feet`` the rule of the kick, None as written.
    """

    file: PhraseFile
    cost: Cost
    words: str
    voices: dict[str, tuple[str, ...]]
    feet: dict[str, str | None]

    @property
    def text(self) -> str:
        """The phrase file's text."""
        from drumgen.spec.writing import render_phrase_file  # noqa: PLC0415 - only where the text is wanted

        return render_phrase_file(self.file)


@dataclass(frozen=True, slots=True)
class Variations:
    """What was found, in order.

    ``covered`` is how many orchestrations there are; ``read`` how many that can be played were read in the order of
    their cost, ``whole`` whether that was all of them; ``remarks`` is what else is to be said.
    """

    found: tuple[Variation, ...]
    covered: int
    read: int
    whole: bool
    remarks: tuple[str, ...] = ()

    @property
    def summary(self) -> str:
        """How far the list was read: ``8 of 1 204 330 orchestrations; the 45 cheapest … were read``."""
        read = "all that can be played were read"
        if not self.whole:
            cheapest = "cheapest" if self.read == 1 else f"{self.read:,} cheapest"
            read = f"the {cheapest} that can be played {'was' if self.read == 1 else 'were'} read"
        plural = "" if self.covered == 1 else "s"
        return f"{len(self.found)} of {self.covered:,} orchestration{plural}; {read}".replace(",", " ")
