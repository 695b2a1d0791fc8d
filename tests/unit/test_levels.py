"""Levels, velocities and the dynamics of a bar."""

import pytest
from drum_room import said

from drumgen.levels import Dynamics, Hairpin, Level, louder, parse_hairpin, velocity


@pytest.mark.parametrize(
    ("one", "other", "louder_one"),
    [
        ("ghost", "normal", "normal"),
        ("accent", "normal", "accent"),
        ("ghost", "accent", "accent"),
        ("ghost", "ghost", "ghost"),
    ],
)
def test_the_louder_of_two(one: Level, other: Level, louder_one: Level) -> None:
    assert louder(one, other) == louder(other, one) == louder_one


def test_the_velocities_unless_said() -> None:
    dynamics = Dynamics()
    assert [dynamics.of("accent"), dynamics.of("normal"), dynamics.of("ghost"), dynamics.grace] == [112, 82, 36, 45]


@pytest.mark.parametrize("text", ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "mp to f", "ff to pp"])
def test_dynamics_read_and_print_themselves(text: str) -> None:
    assert str(parse_hairpin(text)) == text


def test_a_swell_between_equal_marks_is_one_mark() -> None:
    assert parse_hairpin(" f  to f ") == Hairpin("f", "f")
    assert str(parse_hairpin("f to f")) == "f"


def test_mezzo_forte_is_the_files_own_figures() -> None:
    assert parse_hairpin("mf").per_mille(0, 40_320) == 1000
    assert Hairpin().per_mille(40_319, 40_320) == 1000


def test_a_hairpin_grows_evenly_through_the_bar() -> None:
    hairpin = Hairpin("mp", "f")
    assert [hairpin.per_mille(place, 40_320) for place in (0, 20_160, 40_320)] == [820, 985, 1150]
    assert Hairpin("f", "mp").per_mille(20_160, 40_320) == 985


def test_louder_marks_are_louder() -> None:
    levels = [parse_hairpin(mark).per_mille(0, 1) for mark in ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")]
    assert levels == sorted(set(levels))


ONE_OF = "expected one of ppp, pp, p, mp, mf, f, ff, fff"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", 'expected a dynamic mark, or two such as "mp to f", got ""'),
        ("mp f", 'expected a dynamic mark, or two such as "mp to f", got "mp f"'),
        ("mp bis f", 'expected a dynamic mark, or two such as "mp to f", got "mp bis f"'),
        (
            "mp to fffff",
            f'{ONE_OF}, got "fffff" (nearest: "fff")\n    mp to fffff\n          ^^^^^',
        ),
        (
            "loud",
            f'{ONE_OF}, got "loud"\n    loud\n    ^^^^',
        ),
    ],
)
def test_what_is_no_dynamic_mark(text: str, message: str) -> None:
    assert said(lambda: parse_hairpin(text)) == message


@pytest.mark.parametrize(
    ("figure", "offset", "per_mille", "result"),
    [
        (82, 0, 1000, 82),
        (82, 5, 1000, 87),
        (82, 0, 1150, 94),  # 94.3
        (112, 0, 1450, 127),
        (36, -60, 1000, 1),
        (36, 0, 350, 12),  # 12.6
        (127, 0, 1000, 127),
    ],
)
def test_a_velocity_stays_a_velocity(figure: int, offset: int, per_mille: int, result: int) -> None:
    assert velocity(figure, offset=offset, per_mille=per_mille) == result


@pytest.mark.parametrize(
    ("mark", "per_mille"),
    [("ppp", 350), ("pp", 480), ("p", 640), ("mp", 820), ("mf", 1000), ("f", 1150), ("ff", 1300), ("fff", 1450)],
)
def test_each_mark_is_as_loud_as_it_always_was(mark: str, per_mille: int) -> None:
    """A change alarm: the figures are our own choice."""
    assert parse_hairpin(mark).per_mille(0, 4) == per_mille
