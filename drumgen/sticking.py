"""Stickings: which hand plays each stroke.

A sticking is a row of signs: ``R L`` hands, ``B`` both, ``K`` bass-drum foot, ``H`` hi-hat foot, ``-`` rest, with
``>R`` accent, ``(R)`` ghost note, ``lR`` flam, ``llR`` drag, ``Rz`` buzz. Spaces and ``|`` are for the eye.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal, get_args

from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from drumgen.levels import Level

Limb = Literal["R", "L", "K", "H"]
SignLimb = Literal["R", "L", "B", "K", "H", "-"]

LIMBS: tuple[Limb, ...] = get_args(Limb)
LIMB_NAMES: dict[str, str] = {"R": "right hand", "L": "left hand", "K": "kick foot", "H": "hi-hat foot"}
OTHER_HAND: dict[str, Literal["R", "L"]] = {"R": "L", "L": "R"}
HANDS_OF: dict[str, tuple[Limb, ...]] = {
    "R": ("R",),
    "L": ("L",),
    "B": ("R", "L"),
    "K": ("K",),
    "H": ("H",),
    "-": (),
}
_SPACE = " |\t\r\n"
_LIMBS = "R, L, B, K, H or -"


@dataclass(frozen=True, slots=True)
class Sign:
    """One stroke or rest as it is written: ``grace`` is the number of grace notes by the other hand (0-2)."""

    limb: SignLimb
    level: Level = "normal"
    grace: int = 0
    buzz: bool = False

    def __str__(self) -> str:
        body = self.bare
        return f">{body}" if self.level == "accent" else f"({body})" if self.level == "ghost" else body

    @property
    def bare(self) -> str:
        """The sign without accent or brackets: the letters printed under the notes."""
        grace = OTHER_HAND[self.limb].lower() * self.grace if self.grace else ""
        return f"{grace}{self.limb}{'z' if self.buzz else ''}"

    @property
    def by_hand(self) -> bool:
        """Whether a hand strikes, or both."""
        return HANDS_OF[self.limb][:1] in (("R",), ("L",))

    def mirrored(self) -> Sign:
        """The same stroke by the other hand; feet, both hands and rests stay."""
        return replace(self, limb=OTHER_HAND[self.limb]) if self.limb in OTHER_HAND else self


@dataclass(frozen=True)
class Sticking:
    """A row of signs, one a place; with a ``rhythm`` (grains, one a sign) each sign has its own length instead.

    >>> str(parse_sticking("> R (L)(R) lRz | -").mirrored())
    Traceback (most recent call last):
        ...
    drumgen.errors.DrumgenError: expected a hand or foot after the accent, got a space
        > R (L)(R) lRz | -
         ^
    >>> str(parse_sticking(">R (L)(R) lRz | -").mirrored())
    '>L(RL)rLz-'
    """

    signs: tuple[Sign, ...]
    rhythm: tuple[int, ...] = ()

    def __str__(self) -> str:
        size = len(self.signs)
        group = next((n for n in (4, 6, 3, 5, 7) if size % n == 0), size) if size > 8 else 4 if size == 8 else size
        out: list[str] = []
        for index, sign in enumerate(self.signs):
            ghost = sign.level == "ghost"
            if ghost and index and self.signs[index - 1].level == "ghost":
                out[-1] = out[-1].removesuffix(")")
                out.append(" " * (index % group == 0) + sign.bare + ")")
            else:
                out.append(" " * (index > 0 and index % group == 0) + str(sign))
        return "".join(out)

    @cached_property
    def strokes(self) -> int:
        """How many strokes it has; rests are none."""
        return sum(sign.limb != "-" for sign in self.signs)

    @cached_property
    def lead(self) -> Literal["R", "L"] | None:
        """The hand of its first hand stroke; None where no single hand plays."""
        return next((sign.limb for sign in self.signs if sign.limb in ("R", "L")), None)

    def mirrored(self) -> Sticking:
        """The sticking with the hands exchanged; twice is nothing."""
        return replace(self, signs=tuple(sign.mirrored() for sign in self.signs))

    def led_by(self, hand: Literal["R", "L"]) -> Sticking:
        """The sticking whose first hand stroke is played by ``hand``."""
        return self if self.lead in (hand, None) else self.mirrored()

    def started_at(self, number: int) -> Sticking:
        """The sticking begun with its ``number``-th stroke (1 is as written), its rhythm turning with it."""
        if number <= 1:
            return self
        if number > self.strokes:
            rule = f"a stroke from 1 to {max(1, self.strokes)}"
            raise DrumgenError(Fault(rule, got=str(number), path=("start",)))
        index = [place for place, sign in enumerate(self.signs) if sign.limb != "-"][number - 1]
        return self.turned(index)

    def turned(self, index: int) -> Sticking:
        """The sticking begun with its sign ``index`` (from 0, rests counted)."""
        return Sticking(self.signs[index:] + self.signs[:index], self.rhythm[index:] + self.rhythm[:index])

    def without_accents(self) -> Sticking:
        """The sticking with its accented strokes played as taps."""
        taps = (replace(sign, level="normal") if sign.level == "accent" else sign for sign in self.signs)
        return replace(self, signs=tuple(taps))


class _Reader:
    """The text of a sticking and how far it has been read."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0

    def peek(self) -> str:
        return self.text[self.at : self.at + 1]

    def fault(self, rule: str, *, start: int, end: int, got: str, nearest: str = "") -> DrumgenError:
        hint = f'nearest: "{nearest}"' if nearest else ""
        return DrumgenError(Fault(rule, got=got, nearest=hint, text=self.text, span=(start, end)))

    def expected(self, rule: str) -> DrumgenError:
        char = self.peek()
        got = "the end" if not char else "a space" if char in " \t\r\n" else char if char.isprintable() else ascii(char)
        return self.fault(rule, start=self.at, end=self.at + 1, got=got)


def parse_sticking(text: str) -> Sticking:
    """The sticking written in ``text``.

    ``sticking := { sign | "(" sign { sign } ")" }`` · ``sign := "-" | [">"] [grace] limb ["z"]``
    ``limb := R | L | B | K | H`` · ``grace := l | ll`` before R, ``r | rr`` before L.
    Raises DrumgenError with the span of what is wrong.
    """
    reader, ghost_from = _Reader(text), -1
    signs: list[Sign] = []
    while char := reader.peek():
        if char in _SPACE:
            reader.at += 1
        elif char == "(":
            if ghost_from >= 0:
                raise reader.expected("one bracket around ghost notes")
            ghost_from, first = reader.at, len(signs)
            reader.at += 1
        elif char == ")":
            if ghost_from < 0 or len(signs) == first:
                raise reader.expected("a stroke inside brackets" if ghost_from >= 0 else f"{_LIMBS}")
            ghost_from = -1
            reader.at += 1
        else:
            signs.append(_read_sign(reader, ghost=ghost_from >= 0))
    if ghost_from >= 0:
        raise reader.fault('")" after the ghost notes', start=ghost_from, end=ghost_from + 1, got="the end")
    if not signs:
        raise DrumgenError(Fault(f"a sticking of {_LIMBS}", got="none"))
    return Sticking(tuple(signs))


def _read_sign(reader: _Reader, *, ghost: bool) -> Sign:
    level: Level = "ghost" if ghost else "normal"
    if reader.peek() == ">":
        if ghost or reader.text[reader.at + 1 : reader.at + 2] == "(":
            raise reader.fault("an accent or a ghost note", start=reader.at, end=reader.at + 1, got="both")
        level = "accent"
        reader.at += 1
    start = reader.at
    while reader.peek() in ("r", "l"):
        reader.at += 1
    grace = reader.text[start : reader.at]
    limb = _read_limb(reader, grace, accented=level == "accent")
    buzz = reader.peek() == "z"
    if buzz and limb not in ("R", "L", "B"):
        raise reader.expected("a buzz on a hand")
    reader.at += buzz
    if limb == "-":
        if level == "accent":
            raise reader.fault("a stroke after the accent", start=start, end=start + 1, got="a rest")
        return Sign("-")
    return Sign(limb, level, len(grace), buzz)


def _read_limb(reader: _Reader, grace: str, *, accented: bool) -> SignLimb:
    start, char = reader.at - len(grace), reader.peek()
    limb: SignLimb
    match char:
        case "R" | "L" | "B" | "K" | "H" | "-":
            limb = char
        case _ if not grace:
            raise reader.expected("a hand or foot after the accent" if accented else _LIMBS)
        case _:
            raise _grace_fault(reader, grace, start)
    if grace and (limb not in ("R", "L") or set(grace) != {OTHER_HAND[limb].lower()} or len(grace) > 2):
        near = OTHER_HAND[limb].lower() * min(2, len(grace)) + limb if limb in ("R", "L") else ""
        rule = "one or two grace notes by the other hand"
        raise reader.fault(rule, start=start, end=reader.at + 1, got=f'"{grace}{limb}"', nearest=near)
    reader.at += 1
    return limb


def _grace_fault(reader: _Reader, grace: str, start: int) -> DrumgenError:
    rule = "R or L after the grace note (small letters are grace notes)"
    capitals = reader.text.upper()
    near = capitals if set(capitals) <= set("RLBKH-" + _SPACE) else ""
    return reader.fault(rule, start=start, end=reader.at, got=f'"{grace}"', nearest=near)
