"""Every fault of a file in one go, each in the one shape, strictly."""

import pytest
from drum_room import faults, one_bar

from drumgen.spec.kit_file import KitFile
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.validation import validated


def test_all_faults_of_a_file_at_once_in_the_order_of_the_lines() -> None:
    text = """
tempo = "fast"
mettre = "4/4"
phrase = ["a", 3]
[feel]
spread_ms = 999
seed = 1.5
[bars.a]
sticking = "RLX"
role = "solo"
hands.R = { main = 3, every = "beat" }
[bars.b]
across = true
start = "3"
"""
    lines = [fault.split(": expected")[0] for fault in faults(text)]
    assert lines == [
        "shed.toml:2: tempo",
        "shed.toml:3: mettre",
        "shed.toml:4: phrase[2]",
        "shed.toml:6: feel.spread_ms",
        "shed.toml:7: feel.seed",
        "shed.toml:9: bars.a.sticking",
        "shed.toml:10: bars.a.role",
        "shed.toml:11: bars.a.hands.R.main",
        "shed.toml:11: bars.a.hands.R.every",
        "shed.toml:13: bars.b.across",
        "shed.toml:14: bars.b.start",
    ]


def test_faults_of_reading_and_of_meaning_at_once() -> None:
    text = 'landing = ["gong"]\nphrase = ["a", "c"]\n[bars.a]\nrole = "solo"\n[bars.b]\nhands.R = "snair"\n'
    assert [fault.split(": expected")[0] for fault in faults(text)] == [
        "shed.toml:1: landing[1]",
        "shed.toml:2: phrase[2]",
        "shed.toml:4: bars.a.role",
        "shed.toml:6: bars.b.hands.R.main",
    ]


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ('start = "3"', 'bars.a.start: expected a whole number, got "3"'),
        ("start = 3.0", "bars.a.start: expected a whole number, got 3.0"),
        ("start = 0", "bars.a.start: expected a number of at least 1, got 0"),
        ("start = 1001", "bars.a.start: expected a number of at most 1000, got 1001"),
        ("start = true", "bars.a.start: expected a whole number, got true"),
        ("start = nan", "bars.a.start: expected a whole number, got nan"),
        ("note = 5", "bars.a.note: expected a text in quotes, got 5"),
        (f'note = "{"x" * 2001}"', f'bars.a.note: expected at most 2000 characters, got "{"x" * 60}…"'),
        ('like = ""', 'bars.a.like: expected at least 1, got ""'),
        ('landing = "crash"', 'bars.a.landing: expected a list, got "crash"'),
        ("feel = 3", "bars.a.feel: expected a table, got 3"),
        ('feel = { swing = { of = "eighth", ratio = "2:1" } }', 'bars.a.feel.swing.of: expected one of eighths, sixteenths, got "eighth"'),
        ('feel = { swing = { of = "eighths" } }', "bars.a.feel.swing.ratio: expected the key ratio, got nothing"),
        ("feel = { spread_ms = inf }", "bars.a.feel.spread_ms: expected a whole number, got inf"),
        ('lead = "left"', 'bars.a.lead: expected one of R, L, got "left"'),
        ('feet = { "" = "1" }', 'bars.a.feet: expected a name of 1 to 100 characters, got ""'),
        ('feet = "1"', 'bars.a.feet: expected a table, got "1"'),
        ('feet = { kick = 1 }', 'bars.a.feet.kick: expected counts in quotes, such as "1 2& >3 (4&)", got 1'),
        ('hands = { F = "snare" }', 'bars.a.hands.F: expected one of the keys R, L, got "F"'),
        ("parts = [3]", "bars.a.parts[1]: expected a table, got 3"),
        ("parts = [{ accents = \"1\" }]", "bars.a.parts[1].beats: expected the key beats, got nothing"),
        ('parts = [{ beats = "1", likes = "b" }]', None),
        ('stiking = "RL"', None),
    ],
)
def test_each_kind_of_fault(body: str, message: str | None) -> None:
    (fault,) = faults(one_bar(body))
    if message is None:
        assert fault.startswith("shed.toml:3: bars.a.")
        assert "expected one of the keys " in fault
    else:
        assert fault == f"shed.toml:3: {message}"


def test_an_unknown_key_names_the_nearest_and_all_that_there_are() -> None:
    (fault,) = faults(one_bar('stiking = "RL"'))
    assert fault == (
        "shed.toml:3: bars.a.stiking: expected one of the keys sticking, rudiment, lead, start, across, subdivision, "
        "accents, ghosts, hands, feet, grace_voice, role, like, note, meter, tempo, handed, landing, dynamics, feel, "
        'parts, got "stiking" (nearest: "sticking")'
    )
    (fault,) = faults("[practice]\ncount_in = 1\n" + one_bar('sticking = "RL"').replace("phrase", "", 0).replace(
        'phrase = ["a"]\n', ""
    ).join(["", ""]) if False else 'phrase = ["a"]\n[practice]\ncount_in = 1\n[bars.a]\n')
    assert fault.endswith('got "count_in" (nearest: "count-in")')


def test_a_file_without_phrase_or_bars() -> None:
    assert faults("") == [
        "shed.toml: phrase: expected the key phrase, got nothing",
        "shed.toml: bars: expected the key bars, got nothing",
    ]
    assert faults("phrase = []\nbars = {}\n") == [
        "shed.toml:1: phrase: expected at least 1, got a list",
        "shed.toml:2: bars: expected at least 1, got a table",
    ]
    assert faults('phrase = "a"\n[bars.a]\n') == ['shed.toml:1: phrase: expected a list, got "a"']
    assert faults('phrase = ["a"]\nbars = 3\n') == ["shed.toml:2: bars: expected a table, got 3"]


def test_a_hole_in_a_list_is_no_fault_of_its_own() -> None:
    assert faults('phrase = ["a", 1, 2]\n[bars.a]\n') == [
        'shed.toml:1: phrase[2]: expected a bar\'s name, such as "verse" or "verse x3", got 1',
        'shed.toml:1: phrase[3]: expected a bar\'s name, such as "verse" or "verse x3", got 2',
    ]


def test_what_is_sound_is_kept() -> None:
    table = {"phrase": ["a"], "tempo": "fast", "title": "Slipway", "bars": {"a": {"start": "1", "note": "here"}}}
    found, problems = validated(PhraseFile, table)
    assert found is not None
    assert (found.title, found.tempo, found.bars["a"].note, found.bars["a"].start) == ("Slipway", None, "here", None)
    assert len(problems) == 2
    assert table["tempo"] == "fast"


def test_a_sound_table_has_no_faults() -> None:
    found, problems = validated(PhraseFile, {"phrase": ["a"], "bars": {"a": {}}})
    assert found is not None
    assert problems == []


def test_numbers_of_a_kit() -> None:
    table = {
        "channel": 17,
        "voices": {"x": {"note": 128, "width": 0.0, "velocity": 61, "staff": "H9"}, "y": {"note": 1, "width": float("inf")}},
    }
    _, problems = validated(KitFile, table)
    assert [str(problem) for problem in problems] == [
        "channel: expected a number of at most 16, got 17",
        "voices.x.note: expected a number of at most 127, got 128",
        "voices.x.width: expected a number of more than 0.0, got 0.0",
        'voices.x.staff: expected a value of the right kind, got "H9"',
        "voices.x.velocity: expected a number of at most 60, got 61",
        "voices.y.width: expected a finite number, got inf",
    ]
