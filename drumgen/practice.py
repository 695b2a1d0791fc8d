"""Practice: what is played how often, around a phrase. Options only; ``arrange`` makes a plan of them.

Bars are counted from 1 (a pickup is 0). Nothing has a count-in or click unless it is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault, nearest

if TYPE_CHECKING:
    from drumgen.sticking import Limb
    from drumgen.tempo import Tempo

MOST_TIMES = 10_000
MOST_COUNT_IN = 8

LIMB_WORDS: dict[str, tuple[Limb, ...]] = {
    "hands": ("R", "L"),
    "feet": ("K", "H"),
    "right hand": ("R",),
    "left hand": ("L",),
    "kick foot": ("K",),
    "hi-hat foot": ("H",),
    "R": ("R",),
    "L": ("L",),
    "K": ("K",),
    "H": ("H",),
}


@dataclass(frozen=True, slots=True)
class Practice:
    """How a phrase is practised; the defaults play it once, as it stands."""

    tempo: Tempo | None = None
    times: int = 1
    bars: tuple[tuple[int, int], ...] = ()
    only: str = ""
    limbs: tuple[Limb, ...] = ()
    mute: tuple[str, ...] = ()
    count_in: int = 0
    loop: bool = False

    def __post_init__(self) -> None:
        for key, value, least, most in (
            ("times", self.times, 1, MOST_TIMES),
            ("count-in", self.count_in, 0, MOST_COUNT_IN),
        ):
            if not least <= value <= most:
                raise DrumgenError(Fault(f"a number from {least} to {most}", got=str(value), path=(key,)))
        if self.loop and self.count_in:
            rule = "a loop or a count-in, not both: a count-in would come round with the loop"
            raise DrumgenError(Fault(rule, path=("loop",)))


def parse_limbs(text: str) -> tuple[Limb, ...]:
    """The limbs named in ``text``, in the order R L K H.

    ``limbs := word { ("," | "and") word }`` with the words hands, feet, right hand, left hand, kick foot,
    hi-hat foot, or the letters R L K H.
    """
    words = [" ".join(word.split()) for word in text.replace(" and ", ",").split(",")]
    chosen: set[Limb] = set()
    for word in words:
        if word not in LIMB_WORDS:
            hint = nearest(word, LIMB_WORDS)
            raise DrumgenError(Fault(f"limbs of {', '.join(LIMB_WORDS)}", got=f'"{word}"', nearest=hint))
        chosen.update(LIMB_WORDS[word])
    order: tuple[Limb, ...] = ("R", "L", "K", "H")
    return tuple(limb for limb in order if limb in chosen)


def parse_bar_ranges(text: str) -> tuple[tuple[int, int], ...]:
    """The bar numbers named in ``text``: ``ranges := range {"," range}`` · ``range := number ["-" number]``."""
    ranges = []
    for part in text.split(","):
        first, dash, last = (piece.strip() for piece in part.partition("-"))
        if not all(
            piece.isascii() and piece.isdecimal() and len(piece) < 7 for piece in (first, last if dash else first)
        ):
            raise DrumgenError(Fault('bar numbers such as "4" or "4-5, 8"', got=f'"{text}"'))
        ranges.append((int(first), int(last if dash else first)))
        if ranges[-1][0] > ranges[-1][1]:
            raise DrumgenError(Fault("a range of bars from low to high", got=f'"{part.strip()}"'))
    return tuple(ranges)
