"""Every sign of a sticking, the laws of lead and start, and each error whole with its caret."""

import pytest
from drum_room import said

from drumgen.sticking import HANDS_OF, Sign, Sticking, parse_sticking

LIMBS = "R, L, B, K, H or -"
AFTER_GRACE = "expected R or L after the grace note (small letters are grace notes)"


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("R", Sign("R")),
        ("L", Sign("L")),
        ("B", Sign("B")),
        ("K", Sign("K")),
        ("H", Sign("H")),
        ("-", Sign("-")),
        (">R", Sign("R", "accent")),
        (">B", Sign("B", "accent")),
        (">K", Sign("K", "accent")),
        ("(L)", Sign("L", "ghost")),
        ("(K)", Sign("K", "ghost")),
        ("lR", Sign("R", grace=1)),
        ("rL", Sign("L", grace=1)),
        ("llR", Sign("R", grace=2)),
        ("rrL", Sign("L", grace=2)),
        ("Rz", Sign("R", buzz=True)),
        ("Bz", Sign("B", buzz=True)),
        (">lRz", Sign("R", "accent", 1, buzz=True)),
        ("(llRz)", Sign("R", "ghost", 2, buzz=True)),
    ],
)
def test_every_sign(text: str, sign: Sign) -> None:
    assert parse_sticking(text) == Sticking((sign,))
    assert str(sign) == text


def test_spaces_and_bars_are_for_the_eye() -> None:
    assert parse_sticking(" RL\tRR |\r\n LRLL ") == parse_sticking("RLRRLRLL")


def test_brackets_hold_several_ghost_notes() -> None:
    assert parse_sticking("R(L R)L") == parse_sticking("R(L)(R)L")


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("RLRRLRLL", "RLRR LRLL"),
        ("RLR", "RLR"),
        ("RLRLRR", "RLRLRR"),
        ("RLRLRRLRLRLL", "RLRL RRLR LRLL"),
        ("RRLLRRLLR", "RRL LRR LLR"),
        ("RLLRLLRLLL", "RLLRL LRLLL"),
        ("RLRLRLR RLRLRLR", "RLRLRLR RLRLRLR"),
        ("RRLLRRLLRRL", "RRLLRRLLRRL"),
        (">R(L)(R)L", ">R(LR)L"),
        ("RLR(L)(R)LRL", "RLR(L R)LRL"),
        ("(R-L)", "(R)-(L)"),
        ("llR>L - KH", "llR>L-KH"),
    ],
)
def test_printing_is_canonical_and_reads_back(text: str, printed: str) -> None:
    sticking = parse_sticking(text)
    assert str(sticking) == printed
    assert parse_sticking(printed) == sticking


@pytest.mark.parametrize(
    ("text", "letters"),
    [(">lR", "lR"), ("(L)", "L"), ("Rz", "Rz"), ("rrL", "rrL"), ("-", "-"), (">B", "B")],
)
def test_the_letters_under_the_notes(text: str, letters: str) -> None:
    assert parse_sticking(text).signs[0].bare == letters


def test_what_each_sign_strikes() -> None:
    assert HANDS_OF == {"R": ("R",), "L": ("L",), "B": ("R", "L"), "K": ("K",), "H": ("H",), "-": ()}


@pytest.mark.parametrize(
    ("text", "strokes", "lead"),
    [("RLRR", 4, "R"), ("-LR-", 2, "L"), ("KLR", 3, "L"), ("B-K", 2, None), ("BL", 2, "L"), ("---", 0, None)],
)
def test_strokes_and_lead(text: str, strokes: int, lead: str | None) -> None:
    sticking = parse_sticking(text)
    assert sticking.strokes == strokes
    assert sticking.lead == lead


def test_mirrored_exchanges_the_hands_and_their_grace_notes_only() -> None:
    assert str(parse_sticking(">lR(L)B-KH rrLz").mirrored()) == ">rL(R)B-KH llRz".replace(" ", "")


@pytest.mark.parametrize("text", ["RLRRLRLL", ">lRLKB-", "BKH-", "llR(LR)Lz"])
def test_mirrored_twice_is_nothing(text: str) -> None:
    assert parse_sticking(text).mirrored().mirrored() == parse_sticking(text)


def test_the_lead_is_the_hand_of_the_first_hand_stroke() -> None:
    sticking = parse_sticking("KRLL")
    assert sticking.led_by("R") == sticking
    assert str(sticking.led_by("L")) == "KLRR"
    assert sticking.led_by("L").led_by("R") == sticking
    assert parse_sticking("BK").led_by("L") == parse_sticking("BK")


def test_start_counts_strokes_not_rests() -> None:
    sticking = parse_sticking("R-LRK")
    assert sticking.started_at(1) == sticking
    assert str(sticking.started_at(2)) == "LRKR-"
    assert str(sticking.started_at(4)) == "KR-LR"


def test_the_rhythm_turns_with_the_start() -> None:
    sticking = Sticking(parse_sticking("RLR").signs, (5040, 2520, 2520))
    assert sticking.started_at(3) == Sticking(parse_sticking("RRL").signs, (2520, 5040, 2520))


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5])
def test_starting_from_a_stroke_and_back_is_nothing(number: int) -> None:
    sticking = parse_sticking("RL-RRL")
    back = sticking.strokes + 2 - number
    assert sticking.started_at(number).started_at(back if back <= sticking.strokes else 1) == sticking


def test_start_beyond_the_last_stroke() -> None:
    assert said(lambda: parse_sticking("R-L").started_at(3)) == "start: expected a stroke from 1 to 2, got 3"


def test_a_sticking_of_rests_has_nothing_to_start_with() -> None:
    assert parse_sticking("--").started_at(1) == parse_sticking("--")
    assert said(lambda: parse_sticking("--").started_at(2)) == "start: expected a stroke from 1 to 1, got 2"


def test_without_accents_the_rest_stays() -> None:
    sticking = Sticking(parse_sticking(">lR(L)>K").signs, (1, 2, 3))
    assert sticking.without_accents() == Sticking(parse_sticking("lR(L)K").signs, (1, 2, 3))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"expected a sticking of {LIMBS}, got none"),
        (" | ", f"expected a sticking of {LIMBS}, got none"),
        ("RLRR LXLL", f"expected {LIMBS}, got X\n    RLRR LXLL\n          ^"),
        ("R\x07", f"expected {LIMBS}, got '\\x07'\n    R\N{REPLACEMENT CHARACTER}\n     ^"),
        (
            "rR",
            'expected one or two grace notes by the other hand, got "rR" (nearest: "lR")\n    rR\n    ^^',
        ),
        (
            "R llL",
            'expected one or two grace notes by the other hand, got "llL" (nearest: "rrL")\n    R llL\n      ^^^',
        ),
        (
            "lllR",
            'expected one or two grace notes by the other hand, got "lllR" (nearest: "llR")\n    lllR\n    ^^^^',
        ),
        ("rlR", 'expected one or two grace notes by the other hand, got "rlR" (nearest: "llR")\n    rlR\n    ^^^'),
        ("lB", 'expected one or two grace notes by the other hand, got "lB"\n    lB\n    ^^'),
        ("l-", 'expected one or two grace notes by the other hand, got "l-"\n    l-\n    ^^'),
        ("rK", 'expected one or two grace notes by the other hand, got "rK"\n    rK\n    ^^'),
        (
            "rlrr",
            f'{AFTER_GRACE}, got "rlrr" (nearest: "RLRR")\n    rlrr\n    ^^^^',
        ),
        (
            "Rl x",
            f'{AFTER_GRACE}, got "l"\n    Rl x\n     ^',
        ),
        ("R>", "expected a hand or foot after the accent, got the end\n    R>\n      ^"),
        ("> R", "expected a hand or foot after the accent, got a space\n    > R\n     ^"),
        (">>R", "expected a hand or foot after the accent, got >\n    >>R\n     ^"),
        ("R>-", "expected a stroke after the accent, got a rest\n    R>-\n      ^"),
        (">(R)", "expected an accent or a ghost note, got both\n    >(R)\n    ^"),
        ("(>R)", "expected an accent or a ghost note, got both\n    (>R)\n     ^"),
        ("(R(L))", "expected one bracket around ghost notes, got (\n    (R(L))\n      ^"),
        ("R()", "expected a stroke inside brackets, got )\n    R()\n      ^"),
        ("R)", f"expected {LIMBS}, got )\n    R)\n     ^"),
        ("R(L", 'expected ")" after the ghost notes, got the end\n    R(L\n     ^'),
        ("Kz", "expected a buzz on a hand, got z\n    Kz\n     ^"),
        ("Hz", "expected a buzz on a hand, got z\n    Hz\n     ^"),
        ("-z", "expected a buzz on a hand, got z\n    -z\n     ^"),
        ("zR", f"expected {LIMBS}, got z\n    zR\n    ^"),
    ],
)
def test_errors_whole_with_their_caret(text: str, message: str) -> None:
    assert said(lambda: parse_sticking(text)) == message


def test_a_space_of_another_kind_is_named() -> None:
    assert said(lambda: parse_sticking("RL\u00a0RR")) == (
        f"expected {LIMBS}, got '\\xa0'\n    RL\N{REPLACEMENT CHARACTER}RR\n      ^"
    )
