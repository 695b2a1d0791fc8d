"""Where the click sounds in a bar, and how it sounds."""

import pytest
from drum_room import said

from drumgen.clicks import ClickOn, bar_clicks, parse_click, parse_click_voices
from drumgen.meter import parse_meter

EIGHTH = 5_040


@pytest.mark.parametrize(
    ("on", "meter", "eighths"),
    [
        ("quarters", "4/4", [0, 2, 4, 6]),
        ("eighths", "3/4", [0, 1, 2, 3, 4, 5]),
        ("off-beats", "4/4", [1, 3, 5, 7]),
        ("off-beats", "2/2", [2, 6]),
        ("off-beats", "6/8", [1, 2, 4, 5]),
        ("off-beats", "7/8 2+2+3", [1, 3, 5, 6]),
        ("off-beats", "4/4 3+1", [1, 2, 3, 4, 5, 7]),
        ("off-beats", "3/8", [0.5, 1.5, 2.5]),
        ("off-beats", "3/16", [0.25, 0.75, 1.25]),
        ("2 and 4", "4/4", [2, 6]),
        ("2 and 4", "6/8", [3]),
        ("beats", "6/8", [0, 3]),
        ("beats", "7/8 2+2+3", [0, 2, 4]),
        ("beats", "2/2", [0, 4]),
        ("first", "4/4", [0]),
        ("quarters", "7/8 2+2+3", [0, 2, 4, 6]),
    ],
)
def test_the_clicks_of_a_bar(on: ClickOn, meter: str, eighths: list[int]) -> None:
    clicks = bar_clicks(on, parse_meter(meter))
    assert [click.place / EIGHTH for click in clicks] == eighths
    assert [click.accented for click in clicks] == [place == 0 for place in eighths]


@pytest.mark.parametrize("text", ["quarters", "eighths", "off-beats", "2 and 4", "beats", "first"])
def test_where_it_sounds_is_read(text: str) -> None:
    assert parse_click(f" {text.replace(' ', '  ')} ") == text


def test_no_such_click() -> None:
    assert said(lambda: parse_click("quarter")) == (
        "expected a click on one of quarters, eighths, off-beats, 2 and 4, beats, first, "
        'got "quarter" (nearest: "quarters")'
    )


def test_its_voices() -> None:
    assert parse_click_voices("cowbell / woodblock") == ("cowbell", "woodblock")
    assert parse_click_voices("cowbell") == ("cowbell", "cowbell")


@pytest.mark.parametrize("text", ["", "/woodblock", "cowbell/"])
def test_what_are_no_voices(text: str) -> None:
    assert said(lambda: parse_click_voices(text)) == (
        f'expected the plain and the marked click, such as cowbell/woodblock, got "{text}"'
    )
