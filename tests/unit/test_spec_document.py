"""A TOML text and where everything stands in it; hostile input is refused in a line."""

from tomllib import TOMLDecodeError

import pytest
from drum_room import faults, loaded, one_bar, said

from drumgen.errors import DrumgenError, Fault
from drumgen.spec.document import LARGEST_BYTES, decode, read_document


def read(text: str) -> str:
    return said(lambda: read_document(text, file="shed.toml"))


def test_a_byte_order_mark_and_both_line_endings_are_welcome() -> None:
    text = 'title = "Übung 3"\nphrase = ["a"]\n[bars.a]\nsticking = "RLRR LRLL"\n'
    content = b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    again = decode(content, file="shed.toml")
    assert loaded(again).phrase.title == "Übung 3"
    assert loaded("\ufeff" + text).file == loaded(text).file == loaded(again).file


def test_lines_are_right_under_both_line_endings() -> None:
    text = one_bar('sticking = "RX"')
    message = ["shed.toml:3: bars.a.sticking: expected R, L, B, K, H or -, got X\n    RX\n     ^"]
    assert faults(text) == message
    assert faults(text.replace("\n", "\r\n")) == message


def test_a_file_larger_than_a_mebibyte() -> None:
    assert decode(b"#" * LARGEST_BYTES, file="big.toml") == "#" * LARGEST_BYTES
    assert said(lambda: decode(b"#" * (LARGEST_BYTES + 1), file="big.toml")) == (
        "big.toml: expected a file of at most 1048576 bytes (1 MiB), got more"
    )


def test_what_is_not_utf_8() -> None:
    assert said(lambda: decode(b'# one\ntitle = "\xdcbung"\n', file="shed.toml")) == (
        "shed.toml:2: expected text in UTF-8, got byte DC hex at 15"
    )


@pytest.mark.parametrize(
    ("text", "line", "shown", "caret"),
    [
        ("tempo = \n", 1, "tempo = ", "        ^"),
        ("tempo = 92 93\n", 1, "tempo = 92 93", "           ^"),
        ("a = 1\na = 2\n", 2, "a = 2", "^^^^^"),
        ('a = "', 1, 'a = "', "     ^"),
        ("a = [1,\n", 1, "a = [1,", "       ^"),
        ("x = 1\r\ny\r\n", 2, "y", " ^"),
        ("x = 1\na = 1979-99-99", 2, "a = 1979-99-99", "        ^"),
    ],
)
def test_what_is_not_toml_is_shown_where_it_stands(text: str, line: int, shown: str, caret: str) -> None:
    sentence, *under = read(text).split("\n")
    assert sentence.startswith(f"shed.toml:{line}: not TOML: ")
    assert under == [f"    {shown}", f"    {caret}"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('a = """x', "a text that is not closed by its quotes"),
        ('a = "x\n', "a text that is not closed by its quote"),
        ("a = [1", 'a list that is not closed by "]" before this'),
        ("a = yes", "expected a text in quotes, a number, true or false"),
    ],
)
def test_what_is_not_toml_is_told_in_plain_words(text: str, words: str) -> None:
    assert read(text).startswith(f"shed.toml:1: not TOML: {words}\n")


def test_a_message_without_a_place_stands_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    class OddError(TOMLDecodeError):
        def __init__(self) -> None:
            ValueError.__init__(self, "Odd\x07 thing")

    def refuse(_: str) -> None:
        raise OddError

    monkeypatch.setattr("drumgen.spec.document.tomllib.loads", refuse)
    assert read("a = 1\nb = 2") == "shed.toml:2: not TOML: odd\N{REPLACEMENT CHARACTER} thing\n    b = 2\n         ^"


def test_an_unprintable_character_is_not_printed() -> None:
    assert "\x07" not in read("a = \x07\n")


def test_a_long_line_is_not_repeated() -> None:
    message = read("a = " + "x" * 300)
    assert message.startswith("shed.toml:1: not TOML: ")
    assert "\n" not in message


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 65 + "]" * 65, "a = " + "{a=" * 65 + "1" + "}" * 65, "a = " + "[" * 20000]
)
def test_deep_nesting(text: str) -> None:
    assert read(text) == "shed.toml: expected at most 64 levels of nesting, got more"


def test_deep_keys_name_their_line() -> None:
    assert read("a = 1\n" + "b." * 64 + "b = 1\n") == "shed.toml:2: expected at most 64 levels of nesting, got more"


def test_what_is_long_and_flat_is_not_deep() -> None:
    text = "a = [" + "[1]," * 200 + "]\n" + "".join(f"[t{index}]\n" for index in range(100))
    assert len(read_document(text, file="shed.toml").table["a"]) == 200


def test_recursion_that_gets_through_is_refused_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def too_deep(_: str) -> None:
        raise RecursionError

    monkeypatch.setattr("drumgen.spec.document.tomllib.loads", too_deep)
    assert read("a = 1") == "shed.toml: expected at most 64 levels of nesting, got more"


def test_a_number_of_five_thousand_digits() -> None:
    assert read("a = 1\ntempo = " + "9" * 5000) == "shed.toml:2: expected a number of at most 4300 digits, got more"
    assert read("a = 1\ntempo = " + "_".join("9" * 5000)) == (
        "shed.toml:2: expected a number of at most 4300 digits, got more"
    )


def test_other_refusals_of_a_value(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: str) -> None:
        raise ValueError

    monkeypatch.setattr("drumgen.spec.document.tomllib.loads", refuse)
    assert read("a = 1") == "shed.toml: expected a number of at most 4300 digits, got more"


DOCUMENT = read_document('tempo = 92\n[bars.a]\nsticking = "RX"\nlanding = ["x",\n  "y"]\n', file="shed.toml")


@pytest.mark.parametrize(
    ("fault", "line"),
    [
        (Fault("x", path=("tempo",)), 1),
        (Fault("x", path=("bars", "a", "sticking"), text="RX", span=(1, 2)), 3),
        (Fault("x", path=("bars", "a", "landing", 1)), 5),
        (Fault("x", path=("bars", "a", "like")), 2),
        (Fault("x", path=("title",)), 0),
        (Fault("x"), 0),
        (Fault("x", path=("tempo",), line=7), 7),
    ],
)
def test_a_fault_stands_on_its_line_or_that_of_the_table_around_it(fault: Fault, line: int) -> None:
    placed = DOCUMENT.placed(fault)
    assert (placed.file, placed.line) == ("shed.toml", line)
    assert placed.path == fault.path


def test_a_fault_of_another_file_keeps_its_place() -> None:
    fault = Fault("x", path=("voices",), file="kit.toml", line=9)
    assert DOCUMENT.placed(fault) == fault


def test_all_faults_in_the_order_of_the_lines_each_once() -> None:
    late, early = Fault("late", path=("bars", "a", "sticking")), Fault("early", path=("tempo",))
    error = DOCUMENT.error([late, early, late])
    assert [fault.line for fault in error.faults] == [1, 3]


def test_a_hundred_faults_are_enough() -> None:
    error = DOCUMENT.error([Fault(f"fault {index}", path=("tempo",)) for index in range(103)])
    assert isinstance(error, DrumgenError)
    assert len(error.faults) == 101
    assert str(error.faults[-1]) == "shed.toml: 3 more faults"


def test_a_megabyte_of_keys() -> None:
    text = "".join(f"k{index} = 1\n" for index in range(60_000))
    found = faults(text)
    assert len(found) == 101
    assert found[0].startswith("shed.toml: phrase: expected ")
    assert found[-1] == "shed.toml: 59902 more faults"
