"""Amounts: how many of something there are, in words: ``1 stroke``, ``2 strokes``."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fractions import Fraction


def amount(number: float | Fraction, noun: str) -> str:
    """A number and its noun, in the plural (with an s) unless it is one; what is no whole number in six digits.

    >>> amount(1, "stroke"), amount(0, "stroke"), amount(2.5, "stroke")
    ('1 stroke', '0 strokes', '2.5 strokes')
    """
    shown = str(number) if isinstance(number, int) else f"{float(number):g}"
    return f"{shown} {noun}{'' if number == 1 else 's'}"
