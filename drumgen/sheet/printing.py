"""Printing: how sheets are printed, the same for every file of paper."""

from __future__ import annotations

from typing import Literal, NamedTuple

Paper = Literal["A4", "Letter"]


class Printing(NamedTuple):
    """How sheets are printed: the paper, with the sticking under the notes or not, with spoken counts or not."""

    paper: Paper = "A4"
    sticking: bool = True
    counts: bool = False


USUAL_PRINTING = Printing()
