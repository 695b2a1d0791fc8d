"""Every fault of a file in one go, each in the one shape, strictly."""

import pytest
from drum_room import faults, one_bar

from drumgen.errors import DrumgenError
from drumgen.spec.kit_file import KitFile
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.validation import valid, without_faulty


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
        "shed.toml:6: bars.b.hands.R",
    ]


@pytest.mark.parametrize(
    ("body", "place", "words"),
    [
        ('start = "3"', "start", ["a whole number", 'got "3"']),
        ("start = 3.0", "start", ["a whole number", "got 3.0"]),
        ("start = 0", "start", ["at least 1, got 0"]),
        ("start = 1001", "start", ["at most 1000, got 1001"]),
        (f"start = {2**70}", "start", ["at most 1000"]),
        ("start = true", "start", ["a whole number", "got true"]),
        ("start = nan", "start", ["a whole number", "got nan"]),
        ("note = 5", "note", ["a text in quotes, got 5"]),
        (f'note = "{"x" * 2001}"', "note", ["at most 2000 characters", f'got "{"x" * 60}…"']),
        ('like = ""', "like", ['got ""']),
        ('landing = "crash"', "landing", ['a list such as ["crash"], got "crash"']),
        ('landing = ""', "landing", ['a list such as landing = ["crash", "kick"], got ""']),
        ("landing = 'a\"b'", "landing", ['a list such as landing = ["crash", "kick"], got "a"b"']),
        ("landing = 3", "landing", ['a list such as landing = ["crash", "kick"], got 3']),
        (f'landing = "{"x" * 80}"', "landing", ['a list such as landing = ["crash", "kick"], got "xxx']),
        ("feel = 3", "feel", ["a table", "got 3"]),
        (
            'feel = { swing = { of = "eighth", ratio = "2:1" } }',
            "feel.swing.of",
            ["one of eighths, sixteenths", 'got "eighth"', 'nearest: "eighths"'],
        ),
        ('feel = { swing = { of = "eighths" } }', "feel.swing.ratio", ["ratio"]),
        ('feel = { swing = { of = "eighths", ratio = 2 } }', "feel.swing.ratio", ["a ratio in quotes", "got 2"]),
        ("feel = { spread_ms = -1 }", "feel.spread_ms", ["at least 0, got -1"]),
        ("feel = { spread_ms = 51 }", "feel.spread_ms", ["at most 50, got 51"]),
        ("accents = 1", "accents", ["counts in quotes", "got 1"]),
        ('parts = "1"', "parts", ['a list such as [[bars.verse.parts]], got "1"']),
        ('parts = ""', "parts", ['a list such as [[bars.verse.parts]], got ""']),
        ("feel = { spread_ms = inf }", "feel.spread_ms", ["a whole number", "got inf"]),
        ('lead = "left"', "lead", ["one of R, L", 'got "left"']),
        ("lead = 1", "lead", ["one of R, L", "got 1"]),
        ('feet = { "" = "1" }', 'feet.""', ["a name of 1 to 100 characters", 'got ""']),
        ('feet = "1"', "feet", ["a table", 'got "1"']),
        ("feet = { kick = 1 }", "feet.kick", ["counts in quotes", "got 1"]),
        ('hands = { F = "snare" }', "hands.F", ["one of the keys R, L", 'got "F"']),
        ("parts = [3]", "parts[1]", ["a table", "got 3"]),
        ('parts = [{ accents = "1" }]', "parts[1].beats", ["beats"]),
        ('parts = [{ beats = "1", beat = "b" }]', "parts[1].beat", ['got "beat"', 'nearest: "beats"']),
        ('stiking = "RL"', "stiking", ['got "stiking"', 'nearest: "sticking"']),
        ("zzz = 1", "zzz", ["one of the keys sticking, rudiment, lead", 'got "zzz"']),
    ],
)
def test_each_kind_of_fault_on_its_line(body: str, place: str, words: list[str]) -> None:
    (fault,) = faults(one_bar(body))
    assert fault.startswith(f"shed.toml:3: bars.a.{place}: expected ")
    for word in words:
        assert word in fault


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("practice.bars = 3", 'practice.bars: expected a text in quotes such as bars = "4-5", got 3'),
        ("practice.mute = [3]", "practice.mute[1]: expected a text in quotes, got 3"),
        ("bars = 3", "bars: expected a table such as [bars.verse], got 3"),
        ("bars.file = 3", "bars.file: expected a table, got 3"),
        ("bars.feel.of = 3", "bars.feel.of: expected one of the keys sticking, rudiment, lead"),
        ("feel.of = 3", "feel.of: expected one of the keys swing, spread_ms, seed"),
    ],
)
def test_a_key_is_told_by_the_table_it_is_of(text: str, message: str) -> None:
    """A name of the player's own, such as a bar's, is no key, and a key of another table may be called alike."""
    bars = "" if text.startswith("bars") else "\n[bars.a]"
    told = faults(f'phrase = ["a"]\n{text}{bars}\n')
    assert any(line.startswith(f"shed.toml:2: {message}") for line in told), told


def test_keys_with_a_hyphen_are_offered_as_they_are_written() -> None:
    (fault,) = faults('phrase = ["a"]\n[practice]\ncount_in = 1\n[bars.a]\n')
    assert fault.startswith("shed.toml:3: practice.count_in: expected ")
    assert 'got "count_in" (nearest: "count-in")' in fault


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("", ["shed.toml: phrase", "shed.toml: bars"]),
        ("phrase = []\nbars = {}\n", ["shed.toml:1: phrase", "shed.toml:2: bars"]),
        ('phrase = "a"\n[bars.a]\n', ["shed.toml:1: phrase"]),
        ('phrase = ["a"]\nbars = 3\n', ["shed.toml:2: bars"]),
        ('tempo = 0\nphrase = ["a"]\n', ["shed.toml: bars", "shed.toml:1: tempo"]),
        ("[bars.a]\nlead = 0\n", ["shed.toml: phrase", "shed.toml:2: bars.a.lead"]),
    ],
)
def test_what_must_be_there(text: str, places: list[str]) -> None:
    assert [fault.split(": expected")[0] for fault in faults(text)] == places


def test_a_hole_in_a_list_is_no_fault_of_its_own() -> None:
    assert faults('phrase = ["a", 1, 2]\n[bars.a]\n') == [
        'shed.toml:1: phrase[2]: expected a bar\'s name, such as "verse" or "verse x3", got 1',
        'shed.toml:1: phrase[3]: expected a bar\'s name, such as "verse" or "verse x3", got 2',
    ]


def test_what_is_sound_is_kept() -> None:
    table = {"phrase": ["a"], "tempo": "fast", "title": "Slipway", "bars": {"a": {"start": "1", "note": "here"}}}
    found, problems = without_faulty(PhraseFile, table)
    assert found is not None
    assert (found.title, found.tempo, found.bars["a"].note, found.bars["a"].start) == ("Slipway", None, "here", None)
    assert len(problems) == 2
    assert table["tempo"] == "fast"


def test_a_sound_table_has_no_faults() -> None:
    found, problems = without_faulty(PhraseFile, {"phrase": ["a"], "bars": {"a": {}}})
    assert found is not None
    assert problems == []
    assert valid(PhraseFile, {"phrase": ["a"], "bars": {"a": {}}}) == found


@pytest.mark.parametrize("table", [{"phrase": ["a"], "bars": {"a": {}}, "tempo": "fast"}, {"phrase": 3}])
def test_a_table_that_must_be_valid_is_refused_with_all_its_faults(table: dict[str, object]) -> None:
    with pytest.raises(DrumgenError) as refused:
        valid(PhraseFile, table)
    assert list(refused.value.faults) == without_faulty(PhraseFile, table)[1]


def test_numbers_of_a_kit() -> None:
    table = {
        "channel": 17,
        "voices": {
            "x": {"note": 128, "width": 0.0, "velocity": 61, "staff": "H9"},
            "y": {"note": 1, "width": float("inf")},
        },
    }
    _, problems = without_faulty(KitFile, table)
    assert [str(problem) for problem in problems] == [
        "channel: expected a number of at most 16, got 17",
        "voices.x.note: expected a number of at most 127, got 128",
        "voices.x.width: expected a number of more than 0, got 0.0",
        'voices.x.staff: expected a place on the staff from C3 to G6, such as "C5", got "H9"',
        "voices.x.velocity: expected a number of at most 60, got 61",
        "voices.y.width: expected a finite number, got inf",
    ]
