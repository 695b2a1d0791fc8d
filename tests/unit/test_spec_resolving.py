"""From a phrase file to the phrase it means: order, tempo, landing, feel, hands, practice; faults all at once."""

import pytest
from drum_room import bar, faults, one_bar, performed, phrase, remarks

from drumgen.feel import Feel, Swing
from drumgen.levels import Dynamics
from drumgen.practice import Practice
from drumgen.tempo import parse_tempo

BARS = '[bars.a]\nsticking = "R"\n[bars.b]\nrole = "fill"\n[bars.p]\nrole = "pickup"\n'


def test_what_is_not_said() -> None:
    found = bar('sticking = "R"')
    assert (found.name, found.title, found.note) == ("shed", "shed", "")
    assert (str(found.meter), str(found.tempo), found.kit.name) == ("4/4", "90", "general-midi")
    assert found.dynamics == Dynamics()
    assert found.practice == Practice()
    one = found.bars["a"]
    assert (one.role, one.tempo, one.feel, one.landing) == ("groove", None, Feel(), ("crash", "kick"))
    assert (one.dynamics, one.mirrored, one.note, one.parts) == (None, False, "", ())


def test_what_is_said() -> None:
    text = (
        'title = "Slipway"\nnote = "softly"\ntempo = "eighth 192"\nmeter = "7/8 2+2+3"\nkit = "five-piece"\n'
        'handed = "left"\nphrase = ["a"]\nlanding = ["china"]\n[dynamics]\nghost = 20\n[practice]\ntimes = 3\n'
        '[bars.a]\nnote = "loud"\ntempo = "quarter 60"\ndynamics = "f"\n'
    )
    found = phrase(text)
    assert (found.title, found.note, found.kit.name, str(found.tempo)) == (
        "Slipway",
        "softly",
        "five-piece",
        "eighth 192",
    )
    assert found.dynamics == Dynamics(ghost=20)
    assert found.practice == Practice(times=3)
    one = found.bars["a"]
    assert (one.note, one.tempo, str(one.dynamics), one.mirrored) == ("loud", parse_tempo("quarter 60"), "f", True)
    assert one.landing == ("china",)


def test_the_order_of_the_bars() -> None:
    found = phrase(f'phrase = ["p", "a x2", "b", "a"]\n{BARS}')
    assert found.order == ("p", "a", "a", "b", "a")
    assert found.first_number == 0
    assert phrase(f'phrase = ["a", "b"]\n{BARS}').first_number == 1


def test_bars_that_are_not_in_the_phrase_are_allowed_and_looked_at() -> None:
    assert phrase(f'phrase = ["a"]\n{BARS}').order == ("a",)
    assert faults('phrase = ["a"]\n[bars.a]\n[bars.b]\nhands.R = "snair"\n') != []


@pytest.mark.parametrize(
    ("order", "message"),
    [
        ('["a", "c"]', 'phrase[2]: expected the name of a bar, got "c"'),
        ('["a", "p"]', 'phrase[2]: expected a pickup once, first in the phrase, got "p"'),
        ('["p x2", "a"]', 'phrase[1]: expected a pickup once, first in the phrase, got "p x2"'),
        ('["a x99999", "b x2"]', "phrase: expected at most 100000 bars, got 100001"),
    ],
)
def test_what_is_no_order(order: str, message: str) -> None:
    assert faults(f"phrase = {order}\n{BARS}") == [f"shed.toml:1: {message}"]


def test_an_inherited_pickup_is_a_pickup() -> None:
    text = f'phrase = ["a", "q"]\n{BARS}[bars.q]\nlike = "p"\n'
    assert faults(text) == ['shed.toml:1: phrase[2]: expected a pickup once, first in the phrase, got "q"']


def test_each_entry_of_a_long_order_has_its_own_line() -> None:
    assert faults(f'phrase = [\n  "a",\n  "c",\n]\n{BARS}') == [
        'shed.toml:3: phrase[2]: expected the name of a bar, got "c"'
    ]


# -- tempo


def test_a_bare_tempo_in_an_uneven_meter() -> None:
    message = "expected a tempo with its note value, as the beats of 7/8 2+2+3 have no one note value, such as"
    assert faults(one_bar("", top='tempo = 92\nmeter = "7/8 2+2+3"\n')) == [
        f'shed.toml:1: tempo: {message} "eighth 92", got 92'
    ]
    assert faults(one_bar('meter = "7/8 2+2+3"\ntempo = 92')) == [
        f'shed.toml:4: bars.a.tempo: {message} "eighth 92", got 92'
    ]
    assert str(bar("", top='meter = "7/8 2+2+3"\n').tempo) == "eighth 90"


# -- landing


AT_MOST = "expected at most two voices for the hands and one for each foot"


@pytest.mark.parametrize(
    ("body", "top", "message"),
    [
        (
            'landing = ["gong"]',
            "",
            'shed.toml:3: bars.a.landing[1]: expected a voice of the kit "general-midi", got "gong"',
        ),
        (
            "",
            'landing = ["crash", "gong"]\n',
            'shed.toml:1: landing[2]: expected a voice of the kit "general-midi", got "gong"',
        ),
        (
            'landing = ["crash", "china", "ride"]',
            "",
            f"shed.toml:3: bars.a.landing: {AT_MOST}, got crash, china, ride",
        ),
        (
            'landing = ["kick", "kick"]',
            "",
            f"shed.toml:3: bars.a.landing: {AT_MOST}, got kick, kick",
        ),
    ],
)
def test_landings(body: str, top: str, message: str) -> None:
    assert faults(one_bar(body, top=top)) == [message]


# -- feel


def test_a_bars_feel_lies_over_the_files() -> None:
    top = 'feel = { spread_ms = 3, flam_ms = 20, swing = { of = "eighths", ratio = "3:2" } }\n'
    one = bar("feel = { spread_ms = 0, seed = 9 }", top=top).bars["a"]
    assert one.feel == Feel(Swing("eighths", 3, 2), spread_ms=0, seed=9, flam_ms=20)


def test_swing_that_a_meter_cannot_have() -> None:
    swing = 'swing = { of = "eighths", ratio = "2:1" }'
    rule = "expected swing of sixteenths in 6/8, whose beats are groups of three eighths, got"
    assert faults(one_bar(f'meter = "6/8"\nfeel = {{ {swing} }}')) == [
        f'shed.toml:4: bars.a.feel.swing.of: {rule} "eighths"'
    ]
    assert faults(one_bar('meter = "6/8"', top=f"feel = {{ {swing} }}\n")) == [
        f'shed.toml:1: feel.swing.of: {rule} "eighths" [used by bars.a]'
    ]
    one_by_one = bar(
        'meter = "6/8"\nfeel = { swing = { of = "eighths", ratio = "1:1" } }', top=f"feel = {{ {swing} }}\n"
    )
    assert one_by_one.bars["a"].feel.swing.ratio == "1:1"


# -- handed


@pytest.mark.parametrize(
    ("file", "own", "mirrored"),
    [("", "", False), ("left", "", True), ("", "left", True), ("left", "right", False), ("right", "left", True)],
)
def test_handed(file: str, own: str, mirrored: bool) -> None:  # noqa: FBT001
    top = f'handed = "{file}"\n' if file else ""
    assert bar(f'handed = "{own}"' if own else "", top=top).bars["a"].mirrored is mirrored


def test_a_kit_of_the_other_hand_implies_it() -> None:
    assert bar("", top='kit = "left-handed"\n').bars["a"].mirrored
    assert not bar("", top='kit = "left-handed"\nhanded = "right"\n').bars["a"].mirrored


# -- practice


def test_practice_in_the_file() -> None:
    options = 'times = 2\nbars = "2-3"\nlimbs = "hands"\nmute = ["kick"]\ncount-in = 1\n'
    text = f'phrase = ["a x4"]\n[practice]\n{options}[bars.a]\n'
    assert phrase(text).practice == Practice(times=2, bars=((2, 3),), limbs=("R", "L"), mute=("kick",), count_in=1)
    assert performed(text).end_tick == 5 * 3840


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('bars = "x"', 'practice.bars: expected bar numbers such as "4" or "4-5, 8", got "x"'),
        ('limbs = "tail"', "practice.limbs: expected limbs of"),
        ('mute = ["gong"]', 'practice.mute[1]: expected a voice of the kit "general-midi", got "gong"'),
        ("loop = true\ncount-in = 1", "practice.loop: a loop or a count-in, not both"),
        ("tempo = true", 'practice.tempo: expected a tempo that stays, such as 92 or "eighth 192", got true'),
        (
            'tempo = "80 to 90"',
            'practice.tempo: expected a steady tempo, as only a bar\'s own may change through it, got "80 to 90"',
        ),
    ],
)
def test_faults_of_practice(line: str, message: str) -> None:
    (fault,) = faults(f'phrase = ["a"]\n[practice]\n{line}\n[bars.a]\n')
    assert fault.startswith(f"shed.toml:3: {message}")


# -- all at once


def test_a_fault_of_a_bar_does_not_hide_those_of_others() -> None:
    text = (
        'phrase = ["a", "b", "c", "x"]\n[bars.a]\nmeter = "4/5"\naccents = "9"\n[bars.b]\naccents = "9"\nghosts = "8"\n'
        '[bars.c]\nrole = "solo"\naccents = "9"\n[bars.d]\nlike = "a"\naccents = "9"\n'
    )
    assert [fault.split(": expected")[0] for fault in faults(text)] == [
        "shed.toml:1: phrase[4]",
        "shed.toml:3: bars.a.meter",
        "shed.toml:6: bars.b.accents",
        "shed.toml:7: bars.b.ghosts",
        "shed.toml:9: bars.c.role",
        "shed.toml:10: bars.c.accents",
    ]


def test_a_broken_bar_that_is_named_elsewhere_is_told_once() -> None:
    text = 'phrase = ["a", "b"]\n[bars]\na = 3\n[bars.b]\nlike = "a"\n'
    assert [fault.split(": expected")[0] for fault in faults(text)] == ["shed.toml:3: bars.a"]


def test_entries_after_a_broken_bar_are_looked_at_too() -> None:
    text = 'phrase = ["x", "a", "y"]\n[bars]\na = 3\n[bars.b]\n'
    assert [fault.split(": expected")[0] for fault in faults(text)] == [
        "shed.toml:1: phrase[1]",
        "shed.toml:1: phrase[3]",
        "shed.toml:3: bars.a",
    ]


def test_a_broken_order_is_told_once() -> None:
    text = 'phrase = ["a", 3]\n[bars.b]\n'
    assert [fault.split(": expected")[0] for fault in faults(text)] == ["shed.toml:1: phrase[2]"]


def test_a_foot_that_the_kit_does_not_have(tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("kits")
    voices = "".join(f"[voices.{name}]\nnote = {40 + i}\n" for i, name in enumerate(("snare", "click", "click-accent")))
    folder.joinpath("bare.toml").write_text(voices, encoding="utf-8")
    text = one_bar('sticking = "RK"', top='kit = "bare.toml"\n')
    assert faults(text, beside=folder) == [
        'shed.toml:3: bars.a: expected hands alone, as the kit "bare" has no voice for the kick foot, got K'
    ]
    both = faults(text.replace('"RK"', '"RK"\nhands.R = "snair"'), beside=folder)
    assert [fault.split(": expected")[0] for fault in both] == ["shed.toml:5: bars.a.hands.R"]
    from_bare = phrase(one_bar('sticking = "RL"\nrole = "fill"', top='kit = "bare.toml"\n'), beside=folder)
    assert from_bare.bars["a"].landing == ()


# -- remarks


def test_a_remark_where_it_is_unused_in_every_playing_only() -> None:
    body = 'meter = "2/4"\nsubdivision = "eighths"\nsticking = "R-L"\nacross = "carry"\naccents = "1&"\n'
    assert remarks(one_bar(body)) != []
    assert remarks(one_bar(body).replace('["a"]', '["a x2"]')) == []


def test_remarks_of_a_pickup() -> None:
    pickup = 'role = "pickup"\nsticking = "-R"\nsubdivision = "quarters"\naccents = "1"\n'
    text = f'phrase = ["p", "a"]\n[bars.a]\n[bars.p]\n{pickup}'
    assert remarks(text) == ['shed.toml:7: bars.p.accents: nothing is played on "1", so it changes nothing']


def test_a_remark_on_an_inherited_line_says_who() -> None:
    text = 'phrase = ["b"]\n[bars.a]\naccents = "1"\nsticking = "R"\n[bars.b]\nlike = "a"\nsticking = "-R"\n'
    assert remarks(text) == [
        'shed.toml:3: bars.a.accents: nothing is played on "1", so it changes nothing [used by bars.b]'
    ]
