"""The fields of a phrase file whose text is a language of its own: strict, and each fault with its place."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from drum_room import said

from drumgen.spec.fields import (
    Chained,
    listed,
    read_beats,
    read_chained,
    read_subdivision,
    read_tempo,
    shown,
)
from drumgen.tempo import Tempo


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "true"),
        (False, "false"),
        (92, "92"),
        (9.5, "9.5"),
        ("snare", '"snare"'),
        ("a\x1bb", '"a\N{REPLACEMENT CHARACTER}b"'),
        ("x" * 60, f'"{"x" * 60}"'),
        ("x" * 61, f'"{"x" * 60}…"'),
        ({"a": 1}, "a table"),
        ([1], "a list"),
        ({}, "an empty table"),
        ([], "an empty list"),
        ((1,), "a list"),
        (10**30, "a very large number"),
        (-(10**30), "a very large number"),
        (10**29, "1" + "0" * 29),
        (1e300, "1e+300"),
        (range(10**60), f"{'range(0, 1' + '0' * 60}"[:60] + "…"),
    ],
)
def test_a_value_is_quoted_short(value: object, text: str) -> None:
    assert shown(value) == text


@pytest.mark.parametrize(
    ("value", "start", "end", "unit"),
    [
        (92, "92", "92", ""),
        (92.5, "92.5", "92.5", ""),
        (0.1 + 100, "100.1", "100.1", ""),
        (92.123456, "92.123456", "92.123456", ""),
        ("eighth 192", "192", "192", "eighth"),
        ("152 to 120", "152", "120", ""),
    ],
)
def test_tempos(value: object, start: str, end: str, unit: str) -> None:
    assert read_tempo(value) == Tempo(Fraction(start), Fraction(end), unit)


TEMPO = 'expected a tempo from 10 to 400, such as 92, "eighth 192" or "152 to 120"'


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (True, f"{TEMPO}, got true"),
        ([92], f"{TEMPO}, got a list"),
        (9, "expected a tempo from 10 to 400 beats a minute, got 9"),
        (401.0, "expected a tempo from 10 to 400 beats a minute, got 401.0"),
        (float("nan"), "expected a tempo from 10 to 400 beats a minute, got nan"),
        (float("inf"), "expected a tempo from 10 to 400 beats a minute, got inf"),
        (10**50, "expected a tempo from 10 to 400 beats a minute, got a very large number"),
    ],
)
def test_what_is_no_tempo(value: object, message: str) -> None:
    assert said(lambda: read_tempo(value)) == message


def test_subdivisions() -> None:
    assert read_subdivision("triplets") == ("triplets",)
    assert read_subdivision(["triplets", "eighths"]) == ("triplets", "eighths")


ONE_OF = (
    "expected one of quarters, eighths, sixteenths, thirty-seconds, triplets, quintuplets, sextuplets, septuplets, got"
)


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("sixteens", f'{ONE_OF} "sixteens" (nearest: "sixteenths")'),
        (["eighths", "triplet"], f'[2]: {ONE_OF} "triplet" (nearest: "triplets")'),
        ("16ths", f'{ONE_OF} "16ths" (nearest: "sixteenths")'),
        ("16", f'{ONE_OF} "16" (nearest: "sixteenths")'),
        ("Triplets", f'{ONE_OF} "Triplets" (nearest: "triplets")'),
        ("12ths", f'{ONE_OF} "12ths"'),
        ([16], f"[1]: {ONE_OF} 16"),
        ([["eighths"]], f"[1]: {ONE_OF} a list"),
        (16, 'expected a subdivision such as "sixteenths", or a list of one a beat, got 16'),
        ([], 'expected a subdivision such as "sixteenths", or a list of one a beat, got an empty list'),
    ],
)
def test_what_is_no_subdivision(value: object, message: str) -> None:
    assert said(lambda: read_subdivision(value)) == message


@pytest.mark.parametrize(
    ("text", "name", "times"),
    [
        ("verse", "verse", 1),
        ("verse x3", "verse", 3),
        (" two words x12 ", "two words", 12),
        ("x3", "x3", 1),
        ("a x", "a x", 1),
    ],
)
def test_the_order_of_bars(text: str, name: str, times: int) -> None:
    assert read_chained(text.strip()) == Chained(name, times)


def test_it_prints_itself() -> None:
    assert str(Chained("verse", 3)) == "verse x3"
    assert str(Chained("verse")) == "verse"


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (3, 'expected a bar\'s name, such as "verse" or "verse x3", got 3'),
        ("", 'expected a bar\'s name, got ""'),
        ("  ", 'expected a bar\'s name, got "  "'),
        ("verse x0", 'expected a number of times from 1 to 100000, got "0"\n    verse x0\n           ^'),
        ("b x100001", 'expected a number of times from 1 to 100000, got "100001"\n    b x100001\n       ^^^^^^'),
        ("b x9999999", 'expected a number of times from 1 to 100000, got "9999999"\n    b x9999999\n       ^^^^^^^'),
    ],
)
def test_what_is_no_entry_of_the_order(value: object, message: str) -> None:
    assert said(lambda: read_chained(value)) == message


@pytest.mark.parametrize(("text", "beats"), [("3", (3, 3)), ("3-4", (3, 4)), (" 1 - 32 ", (1, 32))])
def test_beats(text: str, beats: tuple[int, int]) -> None:
    found = read_beats(text)
    assert (found.first, found.last, found.written) == (*beats, text)


@pytest.mark.parametrize(("text", "canonical"), [("3", "3"), (" 3 -3", "3"), ("3 - 4", "3-4")])
def test_beats_print_themselves(text: str, canonical: str) -> None:
    assert str(read_beats(text)) == canonical
    assert read_beats(canonical) == read_beats(text)


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (3, 'expected beats in quotes, such as "3" or "3-4", got 3'),
        ("", 'expected beats such as "3" or "3-4", got ""'),
        ("3-", 'expected beats such as "3" or "3-4", got "3-"'),
        ("3-4-5", 'expected beats such as "3" or "3-4", got "3-4-5"'),
        ("\uff13", 'expected beats such as "3" or "3-4", got "\uff13"'),
        ("1000", 'expected beats such as "3" or "3-4", got "1000"'),
        ("0", 'expected beats from low to high, the first 1, got "0"'),
        ("4-3", 'expected beats from low to high, the first 1, got "4-3"'),
    ],
)
def test_what_are_no_beats(value: object, message: str) -> None:
    assert said(lambda: read_beats(value)) == message


def test_lists_become_tuples_and_nothing_else() -> None:
    values: list[Any] = [[1, 2], "12", 3, {"a": 1}]
    assert [listed(value) for value in values] == [(1, 2), "12", 3, {"a": 1}]
