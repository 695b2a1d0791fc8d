"""The catalogue against the sheet of the forty.

Source: Percussive Arts Society International Drum Rudiments (the forty). ``rudiments.csv`` beside this file is a
table of that sheet, put together from public lesson texts and, where its columns say so, from memory; it
writes the left lead of every rudiment out in full.
"""

import csv
import re
from fractions import Fraction
from pathlib import Path

import pytest

from drumgen.errors import DrumgenError
from drumgen.trade.rudiments import (
    OTHER_NAMES,
    RUDIMENTS,
    Rudiment,
    find_rudiment,
    known_rudiment,
    search_rudiments,
)

QUARTER = 10_080

with (Path(__file__).parent / "rudiments.csv").open(encoding="utf-8", newline="") as file:
    SHEET = list(csv.DictReader(file))

PAIRS = [pytest.param(rudiment, row, id=row["name"]) for rudiment, row in zip(RUDIMENTS, SHEET, strict=True)]
each = pytest.mark.parametrize(("rudiment", "row"), PAIRS)

# The sheet's order, written down here once more.
NAMES = """
    Single Stroke Roll, Single Stroke Four, Single Stroke Seven, Multiple Bounce Roll, Triple Stroke Roll,
    Double Stroke Open Roll, Five Stroke Roll, Six Stroke Roll, Seven Stroke Roll, Nine Stroke Roll,
    Ten Stroke Roll, Eleven Stroke Roll, Thirteen Stroke Roll, Fifteen Stroke Roll, Seventeen Stroke Roll,
    Single Paradiddle, Double Paradiddle, Triple Paradiddle, Single Paradiddle-Diddle, Flam, Flam Accent,
    Flam Tap, Flamacue, Flam Paradiddle, Single Flammed Mill, Flam Paradiddle-Diddle, Pataflafla,
    Swiss Army Triplet, Inverted Flam Tap, Flam Drag, Drag, Single Drag Tap, Double Drag Tap, Lesson 25,
    Single Dragadiddle, Drag Paradiddle #1, Drag Paradiddle #2, Single Ratamacue, Double Ratamacue,
    Triple Ratamacue
"""

FAMILIES = {
    ("roll", "single stroke"): "I Roll / A single stroke",
    ("roll", "multiple bounce"): "I Roll / B multiple bounce",
    ("roll", "double stroke open"): "I Roll / C double stroke open",
    ("diddle", ""): "II Diddle",
    ("flam", ""): "III Flam",
    ("drag", ""): "IV Drag",
}


def strokes(sticking: str) -> list[str]:
    """Its strokes: a main hand with the signs before and after it."""
    return re.findall(r">?[rl]*[RL]z?", sticking)


def grains(quarters: str) -> int:
    exact = Fraction(quarters) * QUARTER
    assert exact.denominator == 1
    return int(exact)


def test_there_are_forty_in_the_sheets_order() -> None:
    assert [rudiment.number for rudiment in RUDIMENTS] == list(range(1, 41))
    assert [rudiment.name for rudiment in RUDIMENTS] == [" ".join(n.split()) for n in NAMES.split(",")]


@pytest.mark.parametrize(("family", "count"), [("roll", 15), ("diddle", 4), ("flam", 11), ("drag", 10)])
def test_the_four_families(family: str, count: int) -> None:
    assert sum(rudiment.family == family for rudiment in RUDIMENTS) == count


@pytest.mark.parametrize(
    ("group", "numbers"),
    [("single stroke", [1, 2, 3]), ("multiple bounce", [4, 5]), ("double stroke open", list(range(6, 16)))],
)
def test_the_three_groups_of_rolls(group: str, numbers: list[int]) -> None:
    assert [rudiment.number for rudiment in RUDIMENTS if rudiment.group == group] == numbers


@each
def test_number_name_and_family(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert (rudiment.number, rudiment.name) == (int(row["number"]), row["name"])
    assert FAMILIES[rudiment.family, rudiment.group] == row["family"]


@each
def test_the_right_leads_sticking(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert rudiment.sticking == row["right_lead"].replace(" ", "")
    assert strokes(rudiment.sticking) == row["right_lead"].split()


@each
def test_the_left_lead_is_the_mirror(rudiment: Rudiment, row: dict[str, str]) -> None:
    mirror = rudiment.sticking.translate(str.maketrans("RLrl", "LRlr"))
    assert mirror == row["left_lead"].replace(" ", "")


@each
def test_whether_the_lead_changes(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert {True: "alternates", False: "same lead"}[rudiment.alternates] == row["lead_behaviour"]
    assert rudiment.cycle == grains(row["side_length_quarters"]) * (2 if rudiment.alternates else 1)


@each
def test_durations_rest_and_length(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert list(rudiment.durations) == [grains(quarters) for quarters in row["durations_quarters"].split()]
    assert rudiment.rest == grains(row["trailing_rest_quarters"])
    assert rudiment.side == grains(row["side_length_quarters"])


@each
def test_durations_add_up_and_every_stroke_has_one(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert sum(rudiment.durations) + rudiment.rest == rudiment.side
    assert len(rudiment.durations) == len(row["right_lead"].split())


@each
def test_how_sure_a_row_is(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert f"({rudiment.accents_sure})" in row["accents_confirmed"]
    assert rudiment.rhythm_sure == row["rhythm_confirmed"]
    assert row["sticking_confirmed"].endswith("(high)")


@each
def test_accents_from_memory_are_not_called_sure(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert (rudiment.accents_sure == "high") == ("public text" in row["accents_confirmed"])


def test_a_roll_of_n_strokes_has_n_strokes() -> None:
    spoken = {"five": 5, "six": 6, "seven": 7, "nine": 9, "ten": 10, "eleven": 11}
    spoken |= {"thirteen": 13, "fifteen": 15, "seventeen": 17}
    for word, count in spoken.items():
        assert len(find_rudiment(f"{word} stroke roll").durations) == count


# Names that drummers say: common practice.


@pytest.mark.parametrize("rudiment", RUDIMENTS, ids=str)
def test_each_is_found_by_its_name_in_any_dress(rudiment: Rudiment) -> None:
    name = rudiment.name
    dresses = [name, name.upper(), str(rudiment), f"  {name}s ", name.replace(" ", "-"), name.replace(" ", "")]
    assert {known_rudiment(dress) for dress in [*dresses, name.replace("#", "")]} == {rudiment}


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("paradiddle", 16),
        ("Paradiddles", 16),
        ("double paradiddle", 17),
        ("paradiddlediddle", 19),
        ("single stroke", 1),
        ("single stroke 7", 3),
        ("single stroke four", 2),
        ("double stroke", 6),
        ("double stroke roll", 6),
        ("5 stroke roll", 7),
        ("five stroke", 7),
        ("17-stroke", 15),
        ("buzz roll", 4),
        ("flam-a-cue", 23),
        ("pata fla fla", 27),
        ("lesson 25", 34),
        ("drag paradiddle 1", 36),
        ("Drag Paradiddle No. 2", 37),
        ("drag paradiddle two", 37),
        ("ratamacue", 38),
        ("the drag", 31),
    ],
)
def test_names_in_use(said: str, number: int) -> None:
    assert find_rudiment(said).number == number


def test_every_other_name_leads_somewhere_and_hides_no_rudiment() -> None:
    names = {str(rudiment) for rudiment in RUDIMENTS}
    for other, name in OTHER_NAMES:
        assert str(find_rudiment(other)) == name
        assert other not in names


@pytest.mark.parametrize("said", ["", "RLRR", "25", "roll", "stroke", "drag paradiddle", "日本", "²"])
def test_names_of_nothing(said: str) -> None:
    assert known_rudiment(said) is None


@pytest.mark.parametrize(
    ("said", "message"),
    [
        (
            "padaridle",
            'expected the name of one of the forty rudiments, got "padaridle" (nearest: "paradiddle")',
        ),
        (
            "drag paradiddle",
            'expected the name of one of the forty rudiments, got "drag paradiddle" (nearest: "drag paradiddle #2")',
        ),
        ("xyzzy", 'expected the name of one of the forty rudiments, got "xyzzy"'),
    ],
)
def test_a_name_that_is_none_names_the_nearest(said: str, message: str) -> None:
    with pytest.raises(DrumgenError) as error:
        find_rudiment(said)
    assert str(error.value) == message


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ("", list(range(1, 41))),
        ("ratamacues", [38, 39, 40]),
        ("DIDDLE", [16, 17, 18, 19, 26]),
        ("triplet", [28]),
        ("bounce", [4, 5]),
        ("drag tap", [32, 33]),
        ("buzz", [4]),
        ("nothing", []),
    ],
)
def test_search(words: str, numbers: list[int]) -> None:
    assert [rudiment.number for rudiment in search_rudiments(words)] == numbers


# Where the catalogue's words for the rhythm are not those of the table: its own.
OWN_WORDS = {
    4: "unmetered; pulse eighths or sixteenths",
    **dict.fromkeys((17, 19, 26), "16th-note triplets (a sextuplet)"),
    21: "8th-note triplet",
    **dict.fromkeys((22, 32), "eighths"),
    33: "eighths in 6/8",
    37: "two eighths, four 16ths",
    40: "two eighths, 16th-note triplet, eighth",
}


@each
def test_the_rhythm_in_words(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert rudiment.rhythm == OWN_WORDS.get(rudiment.number, row["rhythm"])
    assert bool(rudiment.other_rhythms) == bool(row["alternative_rhythm"])


@each
def test_notes_are_sentences(rudiment: Rudiment, row: dict[str, str]) -> None:
    assert not rudiment.note or (rudiment.note[0].isupper() and rudiment.note.endswith("."))
    assert not rudiment.note or row["notes"]
    assert not rudiment.note.isupper()
