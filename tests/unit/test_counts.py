"""Every form of a written place in every kind of meter: where it stands, or what the meter has instead."""

from itertools import chain

import pytest
from drum_room import said

from drumgen.counts import Slot, Where, described, find, parse_places, spoken
from drumgen.meter import Meter, parse_meter
from drumgen.subdivision import is_straight, places_in, subdivided

CLOCK = 420  # grains: the table is in MIDI's clocks, 24 to the quarter


def slots_of(meter: Meter, *names: str) -> tuple[Slot, ...]:
    slots = []
    for index, (name, beat) in enumerate(zip(subdivided(meter, names), meter.beats, strict=True)):
        number = places_in(name, beat.grains)
        grains, straight = beat.grains // number, is_straight(name, beat.grains)
        slots += [Slot(beat.start + i * grains, grains, index, straight) for i in range(number)]
    return tuple(slots)


METERS = ("4/4", "2/2", "6/8", "6/8 in 2", "12/8 in 4", "7/8 2+2+3", "7/8 2+2+3 in 3", "8/8 3+3+2")

# Every form under sixteenths, in clocks from the bar line (a quarter 24, an eighth 12, a sixteenth 6, a third of a
# quarter 8). 0..90 is every sixteenth from 0 to 90, 0..90:18 every third one; "no" is a count that the meter has not.
TABLE = """
form    | 4/4         | 2/2         | 6/8     | 6/8 in 2 | 12/8 in 4 | 7/8 2+2+3 | 7/8 2+2+3 in 3 | 8/8 3+3+2
2       | 24          | 48          | 12      | 36       | 36        | 12        | 24             | 12
2e      | 30          | 60          | no      | no       | no        | no        | 30             | no
2&      | 36          | 72          | 18      | 48       | 48        | 18        | 36             | 18
2a      | 42          | 84          | no      | 60       | 60        | no        | 42             | no
2t      | 32          | 64          | no      | 48       | 48        | no        | 32             | no
2l      | 40          | 80          | no      | 60       | 60        | no        | 40             | no
2&t     | 40          | 80          | no      | no       | no        | no        | 40             | no
2&l     | 44          | 88          | no      | no       | no        | no        | 44             | no
2.3     | 36          | 60          | 48      | 48       | 48        | 36        | 36             | 48
2*      | 24..42      | 48..90      | 12..18  | 36..66   | 36..66    | 12..18    | 24..42         | 12..18
2.*     | 24..42      | 48..90      | 36..66  | 36..66   | 36..66    | 24..42    | 24..42         | 36..66
*&      | 12..84:24   | 24 72       | 6..66:12| 12 48    | 12..120:36| 6..78:12  | 12 36 60       | 6..90:12
*e      | 6..78:24    | 12 60       | no      | no       | no        | no        | 6 30           | no
*a      | 18..90:24   | 36 84       | no      | 24 60    | 24..132:36| no        | 18 42 72       | no
*t      | 8..80:24    | 16 64       | no      | 12 48    | 12..120:36| no        | 8 32 60        | no
*l      | 16..88:24   | 32 80       | no      | 24 60    | 24..132:36| no        | 16 40 72       | no
*&t     | 16..88:24   | 32 80       | no      | no       | no        | no        | 16 40          | no
*&l     | 20..92:24   | 40 88       | no      | no       | no        | no        | 20 44          | no
3       | 48          | no          | 24      | no       | 72        | 24        | 48             | 24
3e      | 54          | no          | no      | no       | no        | no        | no             | no
3l      | 64          | no          | no      | no       | 96        | no        | 72             | no
8       | no          | no          | no      | no       | no        | no        | no             | 84
0       | no          | no          | no      | no       | no        | no        | no             | no
3*      | 48..66      | no          | 24..30  | no       | 72..102   | 24..30    | 48..78         | 24..30
all     | 0..90       | 0..90       | 0..66   | 0..66    | 0..138    | 0..78     | 0..78          | 0..90
every 3 | 0..90:18    | 0..90:18    | 0..54:18| 0..54:18 | 0..126:18 | 0..72:18  | 0..72:18       | 0..90:18
every 1 | 0..90       | 0..90       | 0..66   | 0..66    | 0..138    | 0..78     | 0..78          | 0..90
every 99| 0           | 0           | 0       | 0        | 0         | 0         | 0              | 0
"""

HAS = {
    "4/4": "1 to 4, each with e & a t l &t &l",
    "2/2": "1 to 2, each with e & a t l &t &l",
    "6/8": "1 to 6, each with &",
    "6/8 in 2": "1 to 2, each with & a t l",
    "12/8 in 4": "1 to 4, each with & a t l",
    "7/8 2+2+3": "1 to 7, each with &",
    "7/8 2+2+3 in 3": "1 to 3: 1 e & a t l &t &l; 2 e & a t l &t &l; 3 & a t l",
    "8/8 3+3+2": "1 to 8, each with &",
}


def numbers(cell: str) -> list[int]:
    out: list[int] = []
    for word in cell.split():
        first, _, rest = word.partition("..")
        last, _, step = rest.partition(":")
        out += range(int(first), int(last or first) + 1, int(step or 6))
    return out


def cells() -> list[tuple[str, str, str]]:
    head, *lines = [[cell.strip() for cell in line.split("|")] for line in TABLE.strip().splitlines()]
    assert tuple(head[1:]) == METERS
    return [(line[0], meter, cell) for line in lines for meter, cell in zip(METERS, line[1:], strict=True)]


@pytest.mark.parametrize(("form", "name", "cell"), cells())
def test_every_form_in_every_kind_of_meter(form: str, name: str, cell: str) -> None:
    meter = parse_meter(name)
    (where,) = parse_places(form, signs=False).wheres
    slots = slots_of(meter, "sixteenths")
    if cell == "no":
        message = f'expected a count of {name} ({HAS[name]}), got "{form}"\n    {form}\n    {"^" * len(form)}'
        assert said(lambda: find(where, meter=meter, slots=slots, text=form)) == message
    else:
        found = find(where, meter=meter, slots=slots, text=form)
        assert [place / CLOCK for place in found] == numbers(cell)


def test_the_table_has_every_form() -> None:
    forms = {form for form, _, _ in cells()}
    every_form = ("2", "2e", "2&", "2a", "2t", "2l", "2&t", "2&l", "2.3", "2*", "2.*", "*&", "*e", "*a", "*t", "*l")
    assert forms >= {*every_form, "all", "every 3"}


def test_the_and_is_the_half_even_under_triplets() -> None:
    meter = parse_meter("4/4")
    triplets = slots_of(meter, "triplets")
    (half, late) = parse_places("2& 2l", signs=False).wheres
    assert find(half, meter=meter, slots=triplets) == (15_120,)
    assert find(late, meter=meter, slots=triplets) == (16_800,)


def test_places_of_a_beat_are_those_of_its_own_subdivision() -> None:
    meter = parse_meter("4/4")
    slots = slots_of(meter, "sixteenths", "quintuplets", "septuplets", "quarters")
    (fifth,) = parse_places("2.5", signs=False).wheres
    assert find(fifth, meter=meter, slots=slots) == (10_080 + 4 * 2016,)
    (all_of_three,) = parse_places("3.*", signs=False).wheres
    assert find(all_of_three, meter=meter, slots=slots) == tuple(20_160 + 1440 * i for i in range(7))


def test_every_goes_on_from_the_places_that_went_by() -> None:
    meter = parse_meter("4/4")
    slots = slots_of(meter, "eighths")
    (third,) = parse_places("every 3", signs=False).wheres
    assert find(third, meter=meter, slots=slots, counter=8) == (5040, 20_160, 35_280)  # 9, 12 and 15 of all


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ("5.1", 'expected a beat from 1 to 4, got "5.1"\n    1 5.1\n      ^^^'),
        ("0.*", 'expected a beat from 1 to 4, got "0.*"\n    1 0.*\n      ^^^'),
        ("2.5", 'expected a place of beat 2, 2.1 to 2.4, got "2.5"\n    1 2.5\n      ^^^'),
        ("2.0", 'expected a place of beat 2, 2.1 to 2.4, got "2.0"\n    1 2.0\n      ^^^'),
    ],
)
def test_places_that_a_beat_does_not_have(form: str, message: str) -> None:
    meter = parse_meter("4/4")
    text = f"1 {form}"
    where = parse_places(text, signs=False).wheres[1]
    assert said(lambda: find(where, meter=meter, slots=slots_of(meter, "sixteenths"), text=text)) == message


def test_without_the_text_there_is_no_caret() -> None:
    meter = parse_meter("4/4")
    message = 'expected a count of 4/4 (1 to 4, each with e & a t l &t &l), got "9"'
    assert said(lambda: find(Where("count", 9), meter=meter, slots=())) == message


@pytest.mark.parametrize(("name", "text"), [*HAS.items(), ("1/4", "1, each with e & a t l &t &l")])
def test_what_a_meter_has_in_words(name: str, text: str) -> None:
    assert described(parse_meter(name)) == text


def test_groups_without_named_parts_are_numbers() -> None:
    assert described(parse_meter("10/8 5+5 in 2")) == "1 to 2"
    assert described(parse_meter("7/8 2+5 in 2")) == "1 to 2: 1 e & a t l &t &l; 2"


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("1  2& >3 (4&)", "1 2& >3 (4&)"),
        ("(1 2)", "(1) (2)"),
        ("( 1 2e )>3", "(1) (2e) >3"),
        (">2.3 (2.*) 1* *&t", ">2.3 (2.*) 1* *&t"),
        ("all", "all"),
        (">all", ">all"),
        ("(every   3)", "(every 3)"),
        ("every 3 1", "every 3 1"),
        ("", ""),
        ("  ", ""),
        ("1\t2", "1 2"),
    ],
)
def test_places_print_themselves(text: str, printed: str) -> None:
    places = parse_places(text, signs=True)
    assert str(places) == printed
    again = parse_places(printed, signs=True)
    assert again == places
    assert hash(again) == hash(places)


def test_places_are_equal_when_they_say_the_same() -> None:
    assert parse_places("1 2", signs=True) != parse_places("1 >2", signs=True)
    assert parse_places("1", signs=True) != "1"


def test_starred_forms_are_never_remarked_on() -> None:
    wheres = chain(parse_places("2 2.3", signs=False).wheres, parse_places("2* 2.* *& all every 2", signs=False).wheres)
    assert [where.starred for where in wheres] == [False, False, True, True, True, True, True]


FORMS = "expected a count such as 2, 2&, 2.3, 2*, *&, all or every 3"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("x", f'{FORMS}, got "x"\n    x\n    ^'),
        ("1 two 3", f'{FORMS}, got "two"\n    1 two 3\n      ^^^'),
        ("2ee", f'{FORMS}, got "2ee"\n    2ee\n    ^^^'),
        ("2*&", f'{FORMS}, got "2*&"\n    2*&\n    ^^^'),
        ("*", f'{FORMS}, got "*"\n    *\n    ^'),
        ("every", f'{FORMS}, got "every"\n    every\n    ^^^^^'),
        ("allx", f'{FORMS}, got "allx"\n    allx\n    ^^^^'),
        ("12345", f'{FORMS}, got "12345"\n    12345\n    ^^^^^'),
        ("\uff12", f'{FORMS}, got "\uff12"\n    \uff12\n    ^'),
        ("1,2", f'{FORMS}, got "1,2"\n    1,2\n    ^^^'),
        ("> 3", f'{FORMS}, got " "\n    > 3\n     ^'),
        (">>3", f'{FORMS}, got ">"\n    >>3\n     ^'),
        ("(>3)", f'{FORMS}, got ">"\n    (>3)\n     ^'),
        (">(3)", f'{FORMS}, got "("\n    >(3)\n     ^'),
        ("((3))", f'{FORMS}, got "("\n    ((3))\n     ^'),
        ("3)", f'{FORMS}, got ")"\n    3)\n     ^'),
        ("every 0", "expected a number from 1 after every, got 0\n    every 0\n    ^^^^^^^"),
        ("(1 2", 'expected a ")" after the ghost notes, got the end\n    (1 2\n        ^'),
        ("1 >", "expected a count after the accent, got the end\n    1 >\n       ^"),
    ],
)
def test_what_is_no_place(text: str, message: str) -> None:
    assert said(lambda: parse_places(text, signs=True)) == message


@pytest.mark.parametrize("text", ["(2)", ">2"])
def test_signs_only_where_they_may_stand(text: str) -> None:
    assert said(lambda: parse_places(text, signs=False)).startswith(FORMS)


@pytest.mark.parametrize(
    ("name", "grains", "words"),
    [
        ("4/4", 0, "1"),
        ("4/4", 15_120, "2&"),
        ("4/4", 10_080 + 3360, "2t"),
        ("4/4", 10_080 + 2016, "2 and 1/5"),
        ("4/4", 1260, "1 and 1/8"),
        ("6/8", 7560, "2&"),
        ("6/8 in 2", 15_120 + 5040, "2&"),
        ("7/8 2+2+3 in 3", 20_160 + 10_080, "3a"),
        ("4/4", 40_320, "the bar line"),
    ],
)
def test_a_place_is_named_as_it_is_said(name: str, grains: int, words: str) -> None:
    assert spoken(grains, meter=parse_meter(name)) == words
