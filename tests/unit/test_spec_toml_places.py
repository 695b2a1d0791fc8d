"""Places and spans of keys and values; every document here is one that tomllib accepts."""

import tomllib

import pytest

from drumgen.spec.toml_places import Place, Places, find_places
from drumgen.spec.toml_scan import DEEPEST_LEVEL, KeyPath, scan_spans


def places_of(text: str) -> Places:
    tomllib.loads(text)
    return find_places(text)


def place_of(text: str, *path: str | int) -> Place:
    return places_of(text)[path]


def value_at(text: str, *path: str | int) -> str:
    """A value as it is written; of a table its header, of one inside a longer key that key's part."""
    tomllib.loads(text)
    span = scan_spans(text)[path]
    return text[span.start : span.end]


def key_at(text: str, *path: str | int) -> str:
    tomllib.loads(text)
    span = scan_spans(text)[path]
    return text[span.key_start : span.key_end]


def test_a_value_stands_on_its_line_with_its_key() -> None:
    text = 'tempo = 92\n\n  title =  "Slipway"  # a name\n'
    assert place_of(text, "title") == Place(line=3, key_line=3)
    assert (key_at(text, "title"), value_at(text, "title")) == ("title", '"Slipway"')


def test_a_document_has_a_place_of_its_own() -> None:
    assert place_of("# nothing\n").line == 1
    assert value_at("# nothing\n") == ""


def test_an_empty_document_has_only_itself() -> None:
    assert list(places_of("")) == [()]


@pytest.mark.parametrize(
    "source",
    [
        '"RLRR"',
        "'RLRR'",
        r"'RL\RR'",
        r'"RL\"RR"',
        r'"\u0052"',
        '"""RLRR"""',
        "'''RLRR'''",
        '""',
        "''",
        "92",
        "[]",
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
    assert value_at(f"k={source}{after}", "k") == source


def test_a_value_of_several_lines_stands_on_its_first() -> None:
    text = 'a = """one\ntwo"""\nb = 1\n'
    assert value_at(text, "a") == '"""one\ntwo"""'
    assert (place_of(text, "a").line, place_of(text, "b").line) == (1, 3)


def test_a_line_that_ends_in_a_backslash_goes_on() -> None:
    assert place_of('a = """one \\\n   two"""\nb = 1\n', "b").line == 3


def test_keys_in_quotes_and_in_dots() -> None:
    text = 'hands . "R" . \'2& 2a\' = "snare"\n'
    path = ("hands", "R", "2& 2a")
    assert (key_at(text, *path), value_at(text, *path)) == ("'2& 2a'", '"snare"')
    assert key_at(text, "hands") == "hands"
    assert value_at(text, "hands", "R") == '"R"'


def test_a_key_with_escapes_is_known_by_what_it_means() -> None:
    assert value_at(r'"\u0052\"\\" = 1', 'R"\\') == "1"


def test_a_key_may_hold_any_sign() -> None:
    text = '"a.b]=#" = 1\n\'c=[\' = 2\n["d]".x]\ny = 3\n'
    found = [value_at(text, *path) for path in [("a.b]=#",), ("c=[",), ("d]", "x", "y")]]
    assert found == ["1", "2", "3"]


def test_a_table_stands_on_its_header() -> None:
    text = "\n [ bars . verse ] # first\nrole = 'fill'\n"
    path = ("bars", "verse")
    assert (place_of(text, *path).line, value_at(text, *path), key_at(text, *path)) == (2, "[ bars . verse ]", "verse")
    assert value_at(text, "bars") == "bars"
    assert place_of(text, "bars", "verse", "role").line == 3


def test_a_header_beats_what_only_named_the_table_before() -> None:
    assert place_of("[bars.verse]\n[bars]\n", "bars").line == 2


def test_a_table_inside_a_longer_key_stands_where_it_is_first_named() -> None:
    text = 'feet.kick = "1"\nfeet.hihat-foot = "2"\n'
    assert (place_of(text, "feet").line, value_at(text, "feet")) == (1, "feet")


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
    assert value_at(text, "phrase") == text[9 : text.index("\nlast")]
    assert (places["phrase", 0].line, value_at(text, "phrase", 0)) == (2, "'verse x3'")
    assert value_at(text, "phrase", 1) == "['turn',\n   7]"
    assert (places["phrase", 1, 1].line, value_at(text, "phrase", 1, 1)) == (5, "7")
    assert (places["phrase", 1, 1].key_line, key_at(text, "phrase", 1, 1)) == (1, "phrase")
    assert places["last",].line == 7


def test_inline_tables() -> None:
    text = 'hands.R = { main = "snare", deep.er = [{ x = 1 }, {}], "4& 4a" = \'tom\' }\n'
    assert value_at(text, "hands", "R") == text[10:-1]
    assert value_at(text, "hands", "R", "main") == '"snare"'
    assert key_at(text, "hands", "R", "deep") == "deep"
    assert value_at(text, "hands", "R", "deep", "er", 0) == "{ x = 1 }"
    assert value_at(text, "hands", "R", "deep", "er", 0, "x") == "1"
    assert value_at(text, "hands", "R", "deep", "er", 1) == "{}"
    assert key_at(text, "hands", "R", "4& 4a") == '"4& 4a"'


def test_line_breaks_of_two_characters_are_one() -> None:
    text = "a = 1\r\n# note\r\nb = [\r\n 2,\r\n]\r\nc = '''\r\nx\r\n'''\r\nd = 'e'"
    places = places_of(text)
    assert [places[path].line for path in [("a",), ("b",), ("b", 0), ("c",), ("d",)]] == [1, 3, 4, 6, 9]
    assert value_at(text.replace("\r\n", "\n"), "b", 0) == "2"


def test_only_line_feeds_break_lines() -> None:
    assert place_of("a = '\u2028\u0085'\nb = 1\n", "b").line == 2


def test_comments_and_white_space_to_the_end() -> None:
    assert place_of("#\n\t \n#[x]\na = 1 #=\n#", "a").line == 4


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
    assert value_at(nested(DEEPEST_LEVEL - 1), *deepest) == "7"
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
