"""The one shape of an error: place, key, rule, value, hint, and the text with a caret."""

import pytest

from drumgen.errors import DrumgenError, Fault, Path, fail, key_text, nearest


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ((), ""),
        (("tempo",), "tempo"),
        (("bars", "turn", "parts", 0, "beats"), "bars.turn.parts[1].beats"),
        (("bars", "verse", "hands", "L", "4& 4a"), 'bars.verse.hands.L."4& 4a"'),
        (("bars", 'say "hush"'), "bars.\"say 'hush'\""),
        (("bars", "a\x1bb"), 'bars."a\N{REPLACEMENT CHARACTER}b"'),
        (("phrase", 2), "phrase[3]"),
    ],
)
def test_a_path_is_shown_as_people_read_it(path: Path, text: str) -> None:
    assert key_text(path) == text


def test_a_fault_with_everything() -> None:
    fault = Fault(
        "R, L, B, K, H or -",
        got="X",
        nearest='nearest: "R"',
        path=("bars", "verse", "sticking"),
        file="slipway.toml",
        line=14,
        text="RLRR LXLL",
        span=(6, 7),
        via="used by bars.turn",
    )
    assert str(fault) == (
        'slipway.toml:14: bars.verse.sticking: expected R, L, B, K, H or -, got X (nearest: "R") [used by bars.turn]\n'
        "    RLRR LXLL\n"
        "          ^"
    )


def test_what_is_not_known_is_left_out() -> None:
    assert str(Fault("there is no such file")) == "there is no such file"
    assert str(Fault("there is no such file", file="slipway.toml")) == "slipway.toml: there is no such file"
    assert str(Fault("a sticking", got="none", line=4)) == "expected a sticking, got none"


def test_the_caret_is_one_wide_at_least_and_needs_a_text() -> None:
    assert str(Fault("more", text="RL", span=(2, 2))) == "more\n    RL\n      ^"
    assert str(Fault("more", text="RLRL", span=(1, 3))) == "more\n    RLRL\n     ^^"
    assert str(Fault("more", span=(2, 2))) == "more"
    assert str(Fault("more", text="RL")) == "more"


def test_what_cannot_be_printed_keeps_its_place_over_the_caret() -> None:
    assert str(Fault("R or L", text="R\x07X", span=(2, 3))) == "R or L\n    R\N{REPLACEMENT CHARACTER}X\n      ^"


def test_what_cannot_be_printed_is_not_printed_anywhere() -> None:
    mark = "\N{REPLACEMENT CHARACTER}"
    fault = Fault("a tempo", got='"9\x9f"', nearest='nearest: "\x1b"', path=("\x07",), file="\x1b[31m.toml", line=1)
    assert str(fault) == f'{mark}[31m.toml:1: "{mark}": expected a tempo, got "9{mark}" (nearest: "{mark}")'


def test_a_fault_moves_under_a_longer_path() -> None:
    assert Fault("x", path=("R",)).under("bars", "a", "hands").path == ("bars", "a", "hands", "R")


def test_an_error_says_all_its_faults_in_order() -> None:
    error = DrumgenError(Fault("one", file="a.toml", line=1), Fault("two", file="a.toml", line=2))
    assert str(error) == "a.toml:1: one\na.toml:2: two"
    assert isinstance(error, ValueError)


def test_an_error_of_one_fault() -> None:
    assert str(fail("a kit", got="none", nearest='nearest: "pad"', path=("kit",))) == (
        'kit: expected a kit, got none (nearest: "pad")'
    )


def test_the_nearest_word_or_none() -> None:
    assert nearest("snair", ["kick", "snare", "hihat"]) == 'nearest: "snare"'
    assert nearest("zzz", ["kick", "snare"]) == ""
