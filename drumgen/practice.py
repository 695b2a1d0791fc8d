"""Practice: what is played how often, around a phrase. Options only; ``arrange`` makes a plan of them.

Bars are counted from 1 (a pickup is 0). Nothing has a count-in or click unless it is asked for.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from drumgen.clicks import ClickSound
from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.sticking import LIMBS
from drumgen.tempo import Tempo, matched_number, matched_unit

if TYPE_CHECKING:
    from drumgen.clicks import ClickOn
    from drumgen.sticking import Limb

MOST_TIMES = 10_000
MOST_COUNT_IN = 8
MOST_RUNGS = 400

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
    """How a phrase is practised; the defaults play it once, as it stands.

    ``rungs`` are the tempos of a ladder; ``gap`` is (bars with the click, bars without); ``answer`` so many bars played
    and as many for the player; ``rest`` is (bars of rest, after so many times through).
    """

    tempo: Tempo | None = None
    times: int = 1
    bars: tuple[tuple[int, int], ...] = ()
    only: str = ""
    limbs: tuple[Limb, ...] = ()
    mute: tuple[str, ...] = ()
    count_in: int = 0
    loop: bool = False
    click: ClickOn | None = None
    click_sound: ClickSound = field(default_factory=ClickSound)
    only_click: bool = False
    rungs: tuple[Tempo, ...] = ()
    rungs_apart: bool = False
    gap: tuple[int, int] | None = None
    answer: int = 0
    rest: tuple[int, int] | None = None

    def __post_init__(self) -> None:
        numbers = (
            ("times", self.times, 1, MOST_TIMES),
            ("count-in", self.count_in, 0, MOST_COUNT_IN),
            ("answer", self.answer, 0, 64),
        )
        faults = [
            Fault(f"a number from {least} to {most}", got=str(value), path=(key,))
            for key, value, least, most in numbers
            if not least <= value <= most
        ]
        faults += [Fault(rule, path=(key,)) for wrong, rule, key in self._contradictions() if wrong]
        if faults:
            raise DrumgenError(*faults)

    def _contradictions(self) -> tuple[tuple[bool, str, str], ...]:
        """What cannot be asked for together, each with its reason."""
        clickless = self.click is None
        return (
            (
                self.tempo is not None and not self.tempo.steady,
                "a steady tempo: it is a bar that slows from one to another",
                "tempo",
            ),
            (
                self.loop and self.count_in > 0,
                "a loop or a count-in, not both: the count-in would come round with the loop",
                "loop",
            ),
            (
                self.loop and bool(self.rungs),
                "a loop or a ladder, not both: a loop comes back to its first tempo",
                "loop",
            ),
            (
                self.loop and self.rest is not None,
                "a loop or a rest, not both: a loop goes on without end",
                "loop",
            ),
            (
                bool(self.rungs) and self.tempo is not None,
                "a ladder or a tempo, not both: the ladder names its own tempos",
                "ladder",
            ),
            (clickless and self.gap is not None, "a click beside the gap, which is a gap in the click", "gap"),
            (clickless and self.answer > 0, "a click beside the answer, so that the player keeps time", "answer"),
            (
                self.rungs_apart and not self.rungs,
                "a ladder beside rungs apart",
                "rungs",
            ),
            (clickless and self.only_click, "a click beside only-click", "only-click"),
        )


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
    return tuple(limb for limb in LIMBS if limb in chosen)


def parse_bar_ranges(text: str) -> tuple[tuple[int, int], ...]:
    """The bar numbers named in ``text``: ``ranges := range {"," range}`` · ``range := number ["-" number]``."""
    ranges = []
    for part in text.split(","):
        match = re.fullmatch(r"\s*(\d{1,6})(?:\s*-\s*(\d{1,6}))?\s*", part, re.ASCII)
        if match is None:
            raise DrumgenError(Fault('bar numbers such as "4" or "4-5, 8"', got=f'"{text}"'))
        first, last = int(match[1]), int(match[2] or match[1])
        if first > last:
            raise DrumgenError(Fault("a range of bars from low to high", got=f'"{part.strip()}"'))
        ranges.append((first, last))
    return tuple(ranges)


_LADDER = re.compile(
    r"\s*(?:(?P<unit>[a-z][a-z -]*?)\s+)?(?P<first>\d{1,4}(?:\.\d{1,3})?)\s+to\s+(?P<last>\d{1,4}(?:\.\d{1,3})?)"
    r"\s+by\s+(?P<step>\d{1,4}(?:\.\d{1,3})?)\s*",
    re.ASCII,
)


def parse_ladder(text: str) -> tuple[Tempo, ...]:
    """The tempos of a ladder: ``ladder := [note value] tempo "to" tempo "by" step``, up or down, both ends in it.

    >>> " ".join(map(str, parse_ladder("60 to 120 by 25")))
    '60 85 110 120'
    """
    match = _LADDER.fullmatch(text)
    if match is None:
        raise DrumgenError(Fault('a ladder such as "60 to 120 by 5"', got=f'"{text}"'))
    first, last = matched_number(match, "first"), matched_number(match, "last")
    step = Fraction(match["step"])
    if step == 0 or abs(last - first) / step > MOST_RUNGS:
        rule = f"a step that makes at most {MOST_RUNGS} rungs"
        raise DrumgenError(Fault(rule, got=match["step"], text=text, span=match.span("step")))
    number = int(abs(last - first) / step)
    sign = 1 if last >= first else -1
    tempos = [first + sign * step * index for index in range(number + 1)]
    unit = matched_unit(match)
    rungs = [*tempos, last] if tempos[-1] != last else tempos
    model = Tempo(first, first, unit)
    return tuple(replace(model, start=tempo, end=tempo) for tempo in rungs)


def parse_gap(text: str) -> tuple[int, int]:
    """The gap in the click: ``gap := bars "on" bars "off"``, each 1 to 64."""
    match = re.fullmatch(r"\s*(\d{1,3})\s+on\s+(\d{1,3})\s+off\s*", text, re.ASCII)
    if match is None or not (1 <= int(match[1]) <= 64 and 1 <= int(match[2]) <= 64):
        raise DrumgenError(Fault('a gap of 1 to 64 bars such as "2 on 2 off"', got=f'"{text}"'))
    return int(match[1]), int(match[2])


def parse_rest(text: str) -> tuple[int, int]:
    """The rest: ``rest := bars "after" times``, so many bars after every so many times through."""
    match = re.fullmatch(r"\s*(\d{1,3})\s+after\s+(\d{1,4})\s*", text, re.ASCII)
    if match is None or not (1 <= int(match[1]) <= 64 and 1 <= int(match[2]) <= MOST_TIMES):
        rule = 'a rest of 1 to 64 bars after some times through, such as "1 after 10"'
        raise DrumgenError(Fault(rule, got=f'"{text}"'))
    return int(match[1]), int(match[2])
