"""Laws of every little language that a person writes: its figures, its blanks, and that all of a text is read."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest

from drumgen.counts import parse_places
from drumgen.errors import DrumgenError
from drumgen.feel import parse_ratio
from drumgen.levels import parse_hairpin
from drumgen.meter import parse_meter
from drumgen.midi.pedal import parse_pedal
from drumgen.practice import parse_bar_ranges, parse_gap, parse_ladder, parse_limbs, parse_rest
from drumgen.spec.fields import read_beats, read_chained
from drumgen.sticking import parse_sticking
from drumgen.tempo import parse_tempo

if TYPE_CHECKING:
    from collections.abc import Callable

LANGUAGES: list[tuple[Callable[[str], object], tuple[str, ...]]] = [
    (partial(parse_places, signs=True), ("1 2& >3 (4&)", "2.3", "2*", "*& every 3", "1t 2&l")),
    (parse_ratio, ("2:1", "3:2")),
    (parse_hairpin, ("mp", "p to f")),
    (parse_meter, ("4/4", "6/8 in 2", "7/8 2+2+3")),
    (parse_pedal, ("closed 127, open 0", "closed 0, half 30, open 90")),
    (parse_bar_ranges, ("4", "4-5, 8")),
    (parse_gap, ("2 on 2 off",)),
    (parse_rest, ("1 after 10",)),
    (parse_ladder, ("60 to 120 by 5", "eighth 60.5 to 70 by 0.5")),
    (parse_limbs, ("R, K", "hands")),
    (parse_sticking, ("RLRR LRLL", ">lR L (RL)")),
    (parse_tempo, ("92", "eighth 192", "152 to 120.5", "dotted quarter 80")),
    (read_beats, ("3", "3-4")),
]
EACH = [(parse, text) for parse, texts in LANGUAGES for text in texts]
OTHER_FIGURES = {
    "Arabic": str.maketrans("0123456789", "\u0660\u0661\u0662\u0663\u0664\u0665\u0666\u0667\u0668\u0669"),
    "full width": str.maketrans("0123456789", "\uff10\uff11\uff12\uff13\uff14\uff15\uff16\uff17\uff18\uff19"),
    "raised": str.maketrans("0123456789", "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079"),
}

each_text = pytest.mark.parametrize(("parse", "text"), EACH, ids=lambda each: each if isinstance(each, str) else "")


@each_text
def test_more_blanks_between_its_words_and_around_it_change_nothing(parse: Callable[[str], object], text: str) -> None:
    assert parse(text) == parse(f"  {text} ") == parse(text.replace(" ", "   "))


@pytest.mark.parametrize("writing", OTHER_FIGURES)
@each_text
def test_figures_of_another_writing_are_none(parse: Callable[[str], object], text: str, writing: str) -> None:
    other = text.translate(OTHER_FIGURES[writing])
    if other != text:
        with pytest.raises(DrumgenError):
            parse(other)


@pytest.mark.parametrize("more", ["x", " ?", "\u00b2", "\n\x00", ":"])
@each_text
def test_all_of_it_is_read_or_nothing(parse: Callable[[str], object], text: str, more: str) -> None:
    for whole in (text + more, more + text):
        with pytest.raises(DrumgenError):
            parse(whole)


@pytest.mark.parametrize("writing", OTHER_FIGURES)
def test_a_bars_name_may_end_in_such_figures(writing: str) -> None:
    name = "verse x3".translate(OTHER_FIGURES[writing])
    assert (read_chained(name).name, read_chained(name).times) == (name, 1)
