import tomllib

import pytest

from drumgen.spec.toml_writing import (
    Entry,
    Plain,
    render_document,
    render_entries,
    render_key,
    render_text,
    render_value,
)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("", '""'),
        ('say "ah"', r'"say \"ah\""'),
        ("a\\b", r'"a\\b"'),
        ("one\ntwo\r\n\tthree", r'"one\ntwo\r\n\tthree"'),
        ("\x00\x08\x0c\x1b\x7f\x85", r'"\u0000\b\f\u001b\u007f\u0085"'),
        ("line\u2028paragraph\u2029", r'"line\u2028paragraph\u2029"'),
        ("right\u202eto left\u2066", r'"right\u202eto left\u2066"'),
        ("太鼓\u3000の練習", '"太鼓\u3000の練習"'),
        ("नृत्\u200dय", '"नृत्\u200dय"'),
        ("🥁 Тамбур", '"🥁 Тамбур"'),
    ],
)
def test_a_text_is_one_line_in_quotes_that_reads_back(text: str, written: str) -> None:
    assert render_text(text) == written
    assert tomllib.loads(f"key = {written}") == {"key": text}


@pytest.mark.parametrize(
    ("path", "written"),
    [
        (("bars", "verse"), "bars.verse"),
        (("bars", "verse 1", "parts"), 'bars."verse 1".parts'),
        (("2& 4",), '"2& 4"'),
        (("",), '""'),
        (("épi",), '"épi"'),
        (('a"b',), r'"a\"b"'),
        (("_9-a",), "_9-a"),
        (("-9",), '"-9"'),
        (("2a",), '"2a"'),
    ],
)
def test_a_key_is_bare_where_it_is_a_word(path: tuple[str, ...], written: str) -> None:
    assert render_key(path) == written


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (True, "true"),
        (False, "false"),
        (92, "92"),
        (92.0, "92"),
        (-0.0, "0"),
        (92.5, "92.5"),
        (1e-07, "1e-07"),
        ([], "[]"),
        (["a", 1], '["a", 1]'),
        ({}, "{}"),
        ({"of": "eighths", "2& 4": "snare"}, '{ of = "eighths", "2& 4" = "snare" }'),
    ],
)
def test_a_value_stands_on_one_line(value: Plain, written: str) -> None:
    assert render_value(value) == written
    assert tomllib.loads(f"key = {written}") == {"key": value}


def test_equal_signs_stand_in_one_column() -> None:
    assert render_entries([(("title",), "Weir"), (("feet", "kick"), "1 3")]) == [
        'title     = "Weir"',
        'feet.kick = "1 3"',
    ]


def test_a_list_too_long_for_a_line_is_broken_and_reads_back() -> None:
    bars: list[Plain] = [f"bar number {number}" for number in range(30)]
    lines = render_entries([(("phrase",), bars)])
    assert lines[0] == "phrase = ["
    assert lines[-1] == "]"
    assert 3 < len(lines) < 10
    assert all(len(line) <= 110 for line in lines)
    assert tomllib.loads("\n".join(lines)) == {"phrase": bars}


@pytest.mark.parametrize(("width", "lines"), [(109, 1), (110, 1), (111, 3)])
def test_a_list_is_broken_from_111_letters_on(width: int, lines: int) -> None:
    one: list[Plain] = ["a" * (width - len('phrase = [""]'))]
    assert len(render_entries([(("phrase",), one)])) == lines


def test_one_item_wider_than_a_line_has_a_line_of_its_own() -> None:
    wide: list[Plain] = ["a" * 150, "b"]
    lines = render_entries([(("phrase",), wide)])
    assert [len(line) for line in lines] == [10, 157, 8, 1]
    assert tomllib.loads("\n".join(lines)) == {"phrase": wide}


def test_tables_stand_apart_by_a_blank_line_and_a_table_of_nothing_by_its_header() -> None:
    entry: Entry = (("note",), 36)
    assert render_document([("", []), ("[feel]", []), ("[voices.kick]", [entry])]) == (
        "[feel]\n\n[voices.kick]\nnote = 36\n"
    )
