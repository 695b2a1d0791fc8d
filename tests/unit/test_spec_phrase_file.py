"""The phrase file as it is written: frozen, equal when it says the same, and silent on what it does not say."""

import pytest
from drum_room import loaded, one_bar
from pydantic import ValidationError

from drumgen.spec.phrase_file import BarTable


def test_files_that_say_the_same_are_equal() -> None:
    one = loaded(one_bar('sticking = "RLRR LRLL"\naccents = "1  3"', top="tempo = 92\n")).file
    other = loaded(one_bar('accents = "1 3"\nsticking = "RLRRLRLL"', top='tempo = "92"\n')).file
    assert one == other
    assert one != loaded(one_bar('sticking = "RLRR LRLL"', top="tempo = 92\n")).file


def test_what_is_said_and_what_is_not() -> None:
    table = loaded(one_bar('role = "fill"\nlanding = []')).file.bars["a"]
    assert table.said() == {"role": "fill", "landing": ()}
    assert table.tempo is None


def test_what_is_said_comes_in_the_order_of_the_keys_whatever_the_order_of_the_file() -> None:
    keys = {"sticking": '"RL"', "lead": '"R"', "start": "1", "across": '"once"', "role": '"fill"', "note": '"x"'}
    written = [f"{key} = {value}" for key, value in keys.items()]
    for lines in (written, written[::-1]):
        assert list(loaded(one_bar("\n".join(lines))).file.bars["a"].said()) == list(keys)


def test_none_is_not_said() -> None:
    assert BarTable.model_validate({"role": None, "note": "here"}).said() == {"note": "here"}


def test_it_cannot_be_changed() -> None:
    table = loaded(one_bar('role = "fill"')).file.bars["a"]
    with pytest.raises(ValidationError, match=r"\brole\n +Instance is frozen\b"):
        table.role = "groove"
    assert isinstance(table, BarTable)


def test_hyphens_of_practice_options() -> None:
    practice = loaded('phrase = ["a"]\n[practice]\ncount-in = 2\n[bars.a]\n').file.practice
    assert practice is not None
    assert practice.count_in == 2
