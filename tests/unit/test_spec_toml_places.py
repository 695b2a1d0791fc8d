"""Places of keys and values; every document here is one that tomllib accepts."""

import tomllib

import pytest

from drumgen.spec.toml_places import Place, Places, find_places
from drumgen.spec.toml_scan import DEEPEST_LEVEL, KeyPath


def places_of(text: str) -> Places:
    tomllib.loads(text)
    return find_places(text)


def place_of(text: str, *path: str | int) -> Place:
    return places_of(text)[path]


def under_value(place: Place) -> str:
    return place.text[place.column : place.end]


def under_key(place: Place) -> str:
    return place.key_text[place.key_column : place.key_end]


def test_a_value_stands_on_its_line_with_its_key() -> None:
    assert place_of('tempo = 92\n\n  title =  "Slipway"  # a name\n', "title") == Place(
        line=3,
        text='  title =  "Slipway"  # a name',
        column=11,
        end=20,
        key_line=3,
        key_text='  title =  "Slipway"  # a name',
        key_column=2,
        key_end=7,
        content=12,
    )


def test_a_document_has_a_place_of_its_own() -> None:
    place = place_of("# nothing\n")
    assert (place.line, place.text, place.column, place.end) == (1, "# nothing", 0, 0)


def test_an_empty_document_has_only_itself() -> None:
    assert list(places_of("")) == [()]


@pytest.mark.parametrize(
    ("source", "content"),
    [
        ('"RLRR"', 5),
        ("'RLRR'", 5),
        (r"'RL\RR'", 5),
        (r'"RL\"RR"', None),
        (r'"\u0052"', None),
        ('"""RLRR"""', None),
        ("'''RLRR'''", None),
        ('""', 5),
        ("''", 5),
        ("92", None),
        ("[]", None),
    ],
)
def test_content_starts_where_a_plain_string_stands_verbatim(source: str, content: int | None) -> None:
    place = place_of(f"k = {source} # after", "k")
    assert (under_value(place), place.content) == (source, content)


@pytest.mark.parametrize(
    "source",
    [
        "true",
        "-12_000",
        "6.02e+23",
        "inf",
        "0xFF",
        "1979-05-27",
        "07:32:00.999",
        "1979-05-27T07:32:00Z",
        "1979-05-27 07:32:00",
        "1979-05-27 07:32:00.5-07:00",
        "[1, [2, 'a]'], {b = 3}]",
        "{ a = 1, b.c = [2] }",
        '"a # b"',
        "'a \" b'",
        '"""a"b""c"""',
        '"""a"""""',
        '"""\\""""',
        '""""""',
        "'''a''b'''''",
        '"日本"',
    ],
)
@pytest.mark.parametrize("after", ["", "#c", "  # c", "\nl = 0"])
def test_a_value_ends_where_it_ends(source: str, after: str) -> None:
    assert under_value(place_of(f"k={source}{after}", "k")) == source


def test_a_value_of_several_lines_goes_to_the_end_of_its_first() -> None:
    text = 'a = """one\ntwo"""\nb = 1\n'
    assert under_value(place_of(text, "a")) == '"""one'
    assert places_of(text).source(("a",)) == '"""one\ntwo"""'
    assert place_of(text, "b").line == 3


def test_a_line_that_ends_in_a_backslash_goes_on() -> None:
    assert place_of('a = """one \\\n   two"""\nb = 1\n', "b").line == 3


def test_keys_in_quotes_and_in_dots() -> None:
    text = 'hands . "R" . \'2& 2a\' = "snare"\n'
    place = place_of(text, "hands", "R", "2& 2a")
    assert (under_key(place), under_value(place)) == ("'2& 2a'", '"snare"')
    assert under_key(place_of(text, "hands")) == "hands"
    assert under_value(place_of(text, "hands", "R")) == '"R"'
    assert place_of(text, "hands", "R").content is None


def test_a_key_with_escapes_is_known_by_what_it_means() -> None:
    assert under_value(place_of(r'"\u0052\"\\" = 1', 'R"\\')) == "1"


def test_a_key_may_hold_any_sign() -> None:
    text = '"a.b]=#" = 1\n\'c=[\' = 2\n["d]".x]\ny = 3\n'
    places = places_of(text)
    found = [places.source(path) for path in [("a.b]=#",), ("c=[",), ("d]", "x", "y")]]
    assert found == ["1", "2", "3"]


def test_a_table_stands_on_its_header() -> None:
    text = "\n [ bars . verse ] # first\nrole = 'fill'\n"
    place = place_of(text, "bars", "verse")
    assert (place.line, under_value(place), under_key(place)) == (2, "[ bars . verse ]", "verse")
    assert under_value(place_of(text, "bars")) == "bars"
    assert place_of(text, "bars", "verse", "role").line == 3


def test_a_header_beats_what_only_named_the_table_before() -> None:
    assert place_of("[bars.verse]\n[bars]\n", "bars").line == 2


def test_a_table_inside_a_longer_key_stands_where_it_is_first_named() -> None:
    place = place_of('feet.kick = "1"\nfeet.hihat-foot = "2"\n', "feet")
    assert (place.line, under_value(place)) == (1, "feet")


def test_arrays_of_tables_are_numbered_within_their_own() -> None:
    text = "[[a]]\n[[a.b]]\n[[a.b]]\nx = 1\n[[a]]\n[[a.b]]\n[a.b.c]\ny = 2\n[a.d]\n"
    lines = {path: place.line for path, place in places_of(text).items()}
    assert lines == {
        (): 1,
        ("a",): 1,
        ("a", 0): 1,
        ("a", 0, "b"): 2,
        ("a", 0, "b", 0): 2,
        ("a", 0, "b", 1): 3,
        ("a", 0, "b", 1, "x"): 4,
        ("a", 1): 5,
        ("a", 1, "b"): 6,
        ("a", 1, "b", 0): 6,
        ("a", 1, "b", 0, "c"): 7,
        ("a", 1, "b", 0, "c", "y"): 8,
        ("a", 1, "d"): 9,
    }


def test_elements_of_an_array_over_several_lines() -> None:
    text = "phrase = [\n  'verse x3', # thrice ]\n\n  ['turn',\n   7],\n]\nlast = 1\n"
    places = places_of(text)
    assert under_value(places["phrase",]) == "["
    assert (places["phrase", 0].line, places["phrase", 0].content) == (2, 3)
    assert under_value(places["phrase", 1]) == "['turn',"
    assert (places["phrase", 1, 1].line, under_value(places["phrase", 1, 1])) == (5, "7")
    assert (places["phrase", 1, 1].key_line, under_key(places["phrase", 1, 1])) == (1, "phrase")
    assert places["last",].line == 7


def test_inline_tables() -> None:
    text = 'hands.R = { main = "snare", deep.er = [{ x = 1 }, {}], "4& 4a" = \'tom\' }\n'
    places = places_of(text)
    assert under_value(places["hands", "R"]) == text[10:-1]
    assert under_value(places["hands", "R", "main"]) == '"snare"'
    assert under_key(places["hands", "R", "deep"]) == "deep"
    assert under_value(places["hands", "R", "deep", "er", 0]) == "{ x = 1 }"
    assert under_value(places["hands", "R", "deep", "er", 0, "x"]) == "1"
    assert under_value(places["hands", "R", "deep", "er", 1]) == "{}"
    assert under_key(places["hands", "R", "4& 4a"]) == '"4& 4a"'


def test_line_breaks_of_two_characters_are_one() -> None:
    text = "a = 1\r\n# note\r\nb = [\r\n 2,\r\n]\r\nc = '''\r\nx\r\n'''\r\nd = 'e'"
    places = places_of(text)
    assert [places[path].line for path in [("a",), ("b",), ("b", 0), ("c",), ("d",)]] == [1, 3, 4, 6, 9]
    assert places["d",].text == "d = 'e'"
    assert under_value(places["b", 0]) == "2"


def test_only_line_feeds_break_lines() -> None:
    assert place_of("a = '\u2028\u0085'\nb = 1\n", "b").line == 2


def test_comments_and_white_space_to_the_end() -> None:
    assert place_of("#\n\t \n#[x]\na = 1 #=\n#", "a").line == 4


def test_the_nearest_place_of_what_is_not_there() -> None:
    places = places_of("[bars.verse]\nhands = { R = 'snare' }\n")
    assert under_value(places.nearest(("bars", "verse", "sticking"))) == "[bars.verse]"
    assert under_value(places.nearest(("bars", "verse", "hands", "R"))) == "'snare'"
    assert under_value(places.nearest(("bars", "verse", "hands", "L", 3))) == "{ R = 'snare' }"
    assert places.nearest(("tempo",)) == places[()]


def test_it_is_a_mapping() -> None:
    places = places_of("a = [1]")
    assert len(places) == 3
    assert ("a",) in places
    assert ("b",) not in places
    assert places.get(("b",)) is None


def nested(levels: int) -> str:
    return "a = " + "[" * levels + "7" + "]" * levels


def test_the_deepest_level_that_is_told_apart() -> None:
    deepest: KeyPath = ("a", *[0] * (DEEPEST_LEVEL - 1))
    places = places_of(nested(DEEPEST_LEVEL - 1))
    assert places.source(deepest) == "7"
    assert len(places) == DEEPEST_LEVEL + 1


def test_sixty_four_levels_are_told_apart() -> None:
    assert [len(places_of(nested(levels))) for levels in (62, 63, 64, 65)] == [64, 65, 65, 65]


def test_below_the_deepest_level_places_are_shared() -> None:
    assert len(places_of(nested(DEEPEST_LEVEL + 20))) == DEEPEST_LEVEL + 1
    assert len(places_of(".".join(["a"] * 1000) + " = 1")) == DEEPEST_LEVEL + 1


def test_text_that_is_no_toml_is_the_callers_mistake() -> None:
    with pytest.raises(TypeError, match="tomllib accepts"):
        find_places("= 1")


def test_a_text_without_some_of_its_keys() -> None:
    text = 'title = "Weir" # a\nnote = """two\nlines"""\nphrase = ["a"]\n'
    assert find_places(text).without(("title",), ("note",), ("tempo",)) == ' # a\nphrase = ["a"]\n'
