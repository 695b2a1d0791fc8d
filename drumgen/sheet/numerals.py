"""Numerals: how numbers are written, and a decimal point while verovio writes, whatever locale the program is in.

Verovio prints numbers as the C library does, with a comma in a Turkish or German program; its own option for that
leaves the whole program in another locale.
"""

from __future__ import annotations

import locale
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction


def number(value: float | Fraction) -> str:
    """A number with at most three decimals, always written the same way.

    >>> number(12.5), number(3.0), number(-0.0001)
    ('12.5', '3', '0')
    """
    text = f"{float(value):.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@contextmanager
def plain_numerals() -> Iterator[None]:
    """Decimal points for so long; nothing is touched where they are points already."""
    if locale.localeconv()["decimal_point"] == ".":
        yield
        return
    own = locale.setlocale(locale.LC_NUMERIC)
    locale.setlocale(locale.LC_NUMERIC, "C")
    try:
        yield
    finally:
        locale.setlocale(locale.LC_NUMERIC, own)
