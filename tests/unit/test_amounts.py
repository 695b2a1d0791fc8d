"""How many of something there are, in words."""

from __future__ import annotations

from fractions import Fraction

import pytest

from drumgen.amounts import amount


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0, "0 strokes"),
        (1, "1 stroke"),
        (2, "2 strokes"),
        (1_234_567, "1234567 strokes"),
        (1.0, "1 stroke"),
        (2.5, "2.5 strokes"),
        (Fraction(1), "1 stroke"),
        (Fraction(3, 2), "1.5 strokes"),
    ],
)
def test_one_alone_has_no_s(number: float | Fraction, words: str) -> None:
    assert amount(number, "stroke") == words
