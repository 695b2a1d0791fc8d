"""The forty International Drum Rudiments: what they are, and finding one by its name.

Source: Percussive Arts Society International Drum Rudiments; the other names in use are *common practice*.
Durations are in grains, 10 080 to the quarter. The left lead is the right lead with R and L exchanged.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from drumgen.errors import DrumgenError, fail, nearest
from drumgen.sticking import Sticking, parse_sticking
from drumgen.trade.rudiment_rows import ROWS, Row, Sure


@dataclass(frozen=True, slots=True)
class Rudiment:
    """One rudiment, once through from the right hand: its *side*.

    ``family`` is roll, diddle, flam or drag; ``group`` divides the rolls. ``sticking`` is in the language's own
    signs without spaces. ``durations`` has one length a stroke (a flam or drag is one), from each main stroke
    to the next; ``rest`` follows the last. ``alternates``: the next side begins with the other hand.
    ``accents_sure``, ``rhythm_sure``: see `rudiment_rows`. The stickings are sure throughout.
    """

    number: int
    name: str
    family: str
    group: str
    sticking: str
    alternates: bool
    durations: tuple[int, ...]
    rest: int
    side: int
    accents_sure: Sure
    rhythm_sure: Sure
    rhythm: str
    other_rhythms: str
    note: str

    def __str__(self) -> str:
        """The name as a phrase file writes it; `find_rudiment` gives the rudiment again."""
        return self.name.lower()

    @property
    def cycle(self) -> int:
        """Grains until it begins again with the right hand: both sides where it alternates."""
        return self.side * 2 if self.alternates else self.side


# Other names, common practice. A name that ends in "roll" is known without it too ("five stroke").
OTHER_NAMES = (
    ("single stroke 4", "single stroke four"),
    ("single stroke 7", "single stroke seven"),
    ("buzz roll", "multiple bounce roll"),
    ("press roll", "multiple bounce roll"),
    ("closed roll", "multiple bounce roll"),
    ("double stroke roll", "double stroke open roll"),
    ("double stroke", "double stroke open roll"),
    ("open roll", "double stroke open roll"),
    ("long roll", "double stroke open roll"),
    ("paradiddle", "single paradiddle"),
    ("paradiddle-diddle", "single paradiddle-diddle"),
    ("flammed mill", "single flammed mill"),
    ("swiss triplet", "swiss army triplet"),
    ("ruff", "drag"),
    ("drag tap", "single drag tap"),
    ("dragadiddle", "single dragadiddle"),
    ("ratamacue", "single ratamacue"),
)

_TEENS = ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen")
_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", *_TEENS)
_NUMBERS = frozenset(map(str, range(len(_DIGITS))))
_SKIPPED = frozenset({"the", "no", "number", "rudiment"})
_LONGEST_NAME = 60
_SIGNS = "RLBKHrlz"


def _rudiment(row: Row) -> Rudiment:
    number, name, (family, group), sticking, alternates, runs = row[:6]
    durations = tuple([grains for count, grains in runs for _ in range(count)])
    return Rudiment(number, name, family, group, sticking, alternates, durations, *row[6:])


RUDIMENTS: tuple[Rudiment, ...] = tuple(_rudiment(row) for row in ROWS)


def known_rudiment(name: str) -> Rudiment | None:
    """The rudiment of that name, or ``None``.

    Capitals, spaces, hyphens, ``#``, a plural and digits for number words make no difference.

    >>> str(known_rudiment("5-Stroke Rolls")), str(known_rudiment("Drag Paradiddle No. 1"))
    ('five stroke roll', 'drag paradiddle #1')
    """
    return _names().get("".join(_words(name)))


def find_rudiment(name: str) -> Rudiment:
    """The rudiment of that name, as `known_rudiment`; raises `DrumgenError` naming the nearest."""
    found = known_rudiment(name)
    if found is None:
        names = [str(rudiment) for rudiment in RUDIMENTS] + [other for other, _ in OTHER_NAMES]
        raise fail(
            "the name of one of the forty rudiments",
            got=f'"{name}"',
            nearest=nearest(name.casefold()[:_LONGEST_NAME], names),
        )
    return found


def rudiment_or_sticking(text: str, *, rule: str) -> Rudiment | Sticking:
    """The rudiment of that name, or the sticking that the text is.

    Raises `DrumgenError`: of a sticking with what is wrong in it; of a word, where ``rule`` was expected, with the
    nearest name.
    """
    rudiment = known_rudiment(text)
    if rudiment is not None:
        return rudiment
    try:
        return parse_sticking(text)
    except DrumgenError as error:
        wordy = sum(char.isalpha() and char not in _SIGNS for char in text) > len(text) // 3
        if not wordy:
            raise
        names = [*(other for other, _ in OTHER_NAMES), *map(str, RUDIMENTS)]
        hint = nearest(text.lower()[:_LONGEST_NAME], names)
        raise fail(rule, got=f'"{text[:_LONGEST_NAME]}"', nearest=hint) from error


def search_rudiments(words: str) -> tuple[Rudiment, ...]:
    """Those whose name, other names, family or group have a word beginning with each of ``words``.

    >>> [rudiment.number for rudiment in search_rudiments("flam para")]
    [24, 26]
    """
    wanted = _words(words)
    return tuple(
        rudiment
        for rudiment in RUDIMENTS
        if all(any(word.startswith(start) for word in _search_words(rudiment)) for start in wanted)
    )


def _words(text: str) -> tuple[str, ...]:
    """Its words in one form: small letters, singular, numbers to seventeen as words."""
    words = re.findall(r"[a-z]+|[0-9]+", text.casefold())
    return tuple(_one_form(word) for word in words if word not in _SKIPPED)


def _one_form(word: str) -> str:
    if word in _NUMBERS:
        return _DIGITS[int(word)]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


@cache
def _names() -> dict[str, Rudiment]:
    """Every name in use, its words run together: "paradiddlediddle" is a "paradiddle-diddle"."""
    names = {"".join(_words(rudiment.name)): rudiment for rudiment in RUDIMENTS}
    rolls = {name.removesuffix("roll"): rudiment for name, rudiment in names.items()}
    others = {"".join(_words(other)): names["".join(_words(name))] for other, name in OTHER_NAMES}
    return rolls | names | others


@cache
def _search_words(rudiment: Rudiment) -> tuple[str, ...]:
    others = " ".join(other for other, name in OTHER_NAMES if name == str(rudiment))
    return _words(f"{rudiment.name} {rudiment.family} {rudiment.group} {others}")
