"""Tempos: what is counted, and microseconds that are rounded and never truncated."""

from fractions import Fraction

import pytest
from drum_room import said

from drumgen.meter import parse_meter
from drumgen.tempo import Tempo, default_tempo, parse_tempo, us_per_quarter

FOUR_FOUR = parse_meter("4/4")


def quarters(text: str, meter: str) -> tuple[Fraction, Fraction]:
    return parse_tempo(text).quarters(parse_meter(meter))


@pytest.mark.parametrize("bpm", range(20, 401))
def test_whole_tempos_are_rounded_and_read_back(bpm: int) -> None:
    # Standard MIDI Files 1.0, Set Tempo: microseconds a quarter; the nearest, so that 60e6 / us is bpm again
    us = us_per_quarter(Fraction(bpm))
    assert us == round(Fraction(60_000_000, bpm))
    assert round(60_000_000 / us) == bpm


@pytest.mark.parametrize(
    ("bpm", "us"), [("127", 472_441), ("120", 500_000), ("92", 652_174), ("7", 8_571_429), ("80.5", 745_342)]
)
def test_some_by_hand(bpm: str, us: int) -> None:
    assert us_per_quarter(Fraction(bpm)) == us


def test_half_a_microsecond_goes_up() -> None:
    assert us_per_quarter(Fraction(120_000_000, 1_000_001)) == 500_001


def test_slower_than_midi_can_say() -> None:
    # Set Tempo has three bytes: at most 16 777 215 microseconds, 3.576 quarters a minute
    assert us_per_quarter(Fraction(60_000_000, 16_777_215)) == 16_777_215
    message = "expected a tempo of at least 3.577 quarter notes a minute, the slowest of a MIDI file, got 2.5"
    assert said(lambda: us_per_quarter(Fraction(5, 2))) == message
    assert said(lambda: quarters("sixteenth 10", "4/4")) == message
    assert said(lambda: quarters("sixteenth 100 to 10", "4/4")) == message


@pytest.mark.parametrize(
    ("text", "meter", "start", "end"),
    [
        ("92", "4/4", 92, 92),
        ("80", "2/2", 160, 160),
        ("80", "6/8", 120, 120),
        ("80", "12/8 in 4", 120, 120),
        ("60", "9/16", 45, 45),
        ("210", "7/8", 105, 105),
        ("eighth 210", "7/8 2+2+3", 105, 105),
        ("eighth 192", "4/4", 96, 96),
        ("dotted quarter 80", "4/4", 120, 120),
        ("half 60", "4/4", 120, 120),
        ("152 to 120", "4/4", 152, 120),
        ("dotted quarter 80 to 60", "6/8", 120, 90),
        ("90.125", "4/4", Fraction("90.125"), Fraction("90.125")),
    ],
)
def test_what_is_counted(text: str, meter: str, start: Fraction, end: Fraction) -> None:
    assert quarters(text, meter) == (start, end)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("92", "92"),
        (" eighth   192 ", "eighth 192"),
        ("dotted  quarter 80.5", "dotted quarter 80.5"),
        ("152  to 120", "152 to 120"),
        ("90 to 90", "90"),
        ("100.050", "100.05"),
        ("thirty-second 399", "thirty-second 399"),
        ("10", "10"),
        ("400", "400"),
    ],
)
def test_tempos_print_themselves(text: str, printed: str) -> None:
    assert str(parse_tempo(text)) == printed
    assert parse_tempo(printed) == parse_tempo(text)


def test_a_finer_tempo_prints_all_its_decimals() -> None:
    assert str(Tempo(Fraction("120.0001"), Fraction("120.0001"))) == "120.0001"


def test_steady_or_not() -> None:
    assert parse_tempo("90").steady
    assert not parse_tempo("90 to 91").steady


def test_a_bare_number_has_nothing_to_count_where_beats_differ() -> None:
    assert said(lambda: quarters("92", "7/8 2+2+3")) == (
        "expected a tempo with its note value, as the beats of 7/8 2+2+3 have no one note value, "
        'such as "eighth 92", got 92'
    )
    assert said(lambda: quarters("92 to 80", "8/8 3+3+2")) == (
        "expected a tempo with its note value, as the beats of 8/8 3+3+2 have no one note value, "
        'such as "eighth 92 to 80", got 92 to 80'
    )


def test_the_tempo_of_a_phrase_that_names_none() -> None:
    assert default_tempo(FOUR_FOUR) == parse_tempo("90")
    assert default_tempo(parse_meter("6/8")) == parse_tempo("90")
    assert default_tempo(parse_meter("7/8 2+2+3")) == parse_tempo("eighth 90")


FORM = 'expected a tempo such as 92, "eighth 192" or "dotted quarter 80"'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f'{FORM}, got ""'),
        ("fast", f'{FORM}, got "fast"'),
        ("92 bpm", f'{FORM}, got "92 bpm"'),
        ("-92", f'{FORM}, got "-92"'),
        ("92.1234", f'{FORM}, got "92.1234"'),
        ("\uff19\uff12", f'{FORM}, got "\uff19\uff12"'),
        ("9.5", "expected a tempo from 10 to 400 beats a minute, got 9.5\n    9.5\n    ^^^"),
        ("401", "expected a tempo from 10 to 400 beats a minute, got 401\n    401\n    ^^^"),
        ("90 to 4000", "expected a tempo from 10 to 400 beats a minute, got 4000\n    90 to 4000\n          ^^^^"),
        ("eigth 192", 'expected a note value, got "eigth" (nearest: "eighth")\n    eigth 192\n    ^^^^^'),
        ("crotchet 90", 'expected a note value, got "crotchet"\n    crotchet 90\n    ^^^^^^^^'),
    ],
)
def test_what_is_no_tempo(text: str, message: str) -> None:
    assert said(lambda: parse_tempo(text)) == message


def test_a_change_only_where_it_is_wanted() -> None:
    assert said(lambda: parse_tempo("152 to 120", ramp=False)) == f'{FORM}, got "152 to 120"'
    assert parse_tempo("120", ramp=False) == Tempo(Fraction(120), Fraction(120))
