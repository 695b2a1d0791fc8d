"""Numerals: a decimal point is a point while verovio writes, whatever locale the program around us has taken over.

Verovio prints numbers as the C library does, with a comma in a Turkish or German program; its own option for that
leaves the whole program in another locale.
"""

from __future__ import annotations

import locale
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


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
