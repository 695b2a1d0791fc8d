from fractions import Fraction

import pytest

from drumgen.counts import Places, parse_places
from drumgen.meter import Meter
from drumgen.orchestration import HandMap
from drumgen.spec.document import read_document
from drumgen.spec.fields import Chained
from drumgen.spec.kit_file import KitFile
from drumgen.spec.phrase_file import BarTable, HandsTable, PhraseFile
from drumgen.spec.validation import without_faulty
from drumgen.spec.writing import render_kit_file, render_phrase_file
from drumgen.sticking import Sticking, parse_sticking
from drumgen.tempo import Tempo, parse_tempo

WHOLE = """\
title   = "Weir, \\"slow\\" water"
tempo   = 92
meter   = "7/8 2+2+3"
kit     = "five-piece"
handed  = "left"
phrase  = ["verse x3", "turn", "verse x2 x1"]
landing = ["crash", "kick"]
note    = "Loose wrists.\\nBreathe."

[feel]
swing     = { of = "sixteenths", ratio = "3:2" }
spread_ms = 4
seed      = 7
flam_ms   = 30

[dynamics]
accent = 110
ghost  = 30

[practice]
tempo    = "eighth 192"
times    = 2
mute     = ["hihat"]
count-in = 1
loop     = false

[bars.verse]
role        = "groove"
tempo       = "eighth 192 to 152.5"
sticking    = ">RLRR (LR)LL"
lead        = "L"
start       = 3
subdivision = "sixteenths"
across      = "carry"
accents.L   = "2 4"
ghosts      = "*& every 3 2.3 2* 2.*"
hands.R     = "hihat"
hands.L     = { main = "snare", accent = "pad", around = ["ride", "snare"], every = "beat", "2& 4" = "cowbell" }
feet.kick   = "1 2& >3 (4&) (5)"
grace_voice = "split"
dynamics    = "mp to f"
landing     = []
feel.seed   = 9
note        = "Quietly."

[bars.turn]
role           = "fill"
like           = "verse"
meter          = "12/8 in 4"
handed         = "right"
rudiment       = "double paradiddle"
subdivision    = ["sixteenths", "sixteenths", "triplets", "triplets"]
accents        = ""
feet.kick      = "with accents"
feet."my pipe" = "none"

[[bars.turn.parts]]
beats     = "1"
sticking  = "RLLR"
feet.kick = "gaps"

[[bars.turn.parts]]
beats   = "3-4"
hands.R = { }

[bars."verse x2"]
"""


def read(text: str) -> PhraseFile:
    file, faults = without_faulty(PhraseFile, read_document(text, file="weir.toml").table)
    assert file is not None
    assert not faults
    return file


def bar_of(**said: object) -> PhraseFile:
    bar = BarTable.model_construct(**said)  # type: ignore[arg-type]
    return PhraseFile.model_construct(phrase=(Chained("a"),), bars={"a": bar})


def test_every_key_is_written_as_a_person_would_have() -> None:
    assert render_phrase_file(read(WHOLE)) == WHOLE.replace("{ }", "{}")


def test_every_key_of_a_phrase_file_is_in_that_file() -> None:
    file = read(WHOLE)
    verse, turn = file.bars["verse"], file.bars["turn"]
    said = verse.model_fields_set | turn.model_fields_set
    assert said == set(BarTable.model_fields)
    assert file.model_fields_set == set(PhraseFile.model_fields)


def test_what_was_written_is_read_as_the_same_file() -> None:
    file = read(WHOLE)
    assert read(render_phrase_file(file)) == file


def test_what_is_said_but_empty_is_not_what_is_unsaid() -> None:
    text = """\
phrase = ["a"]

[feel]

[dynamics]

[bars.a]
subdivision = "sixteenths"
accents     = {}
hands       = {}
feet        = {}
landing     = []
feel        = {}
parts       = []
"""
    assert render_phrase_file(read(text)) == text


def test_a_part_that_says_nothing_more_is_its_header_and_beats() -> None:
    text = 'phrase = ["a"]\n\n[bars.a]\n\n[[bars.a.parts]]\nbeats = "2"\n'
    assert render_phrase_file(read(text)) == text


@pytest.mark.parametrize(
    ("written", "again"),
    [
        ('tempo = 92.0\nphrase = ["a"]\n[bars.a]', "tempo  = 92"),
        ('tempo = 92.123456\nphrase = ["a"]\n[bars.a]', "tempo  = 92.123456"),
        ('tempo = "92"\nphrase = ["a"]\n[bars.a]', "tempo  = 92"),
        ('tempo = "120 to 120"\nphrase = ["a"]\n[bars.a]', "tempo  = 120"),
        ('meter = "2+2+3/8"\nphrase = ["a"]\n[bars.a]', 'meter  = "7/8 2+2+3"'),
        ('meter = "4/4 in 4"\nphrase = ["a"]\n[bars.a]', 'meter  = "4/4"'),
        ('phrase = [" a   x3"]\n[bars.a]', 'phrase = ["a x3"]'),
        ('phrase = ["a"]\n[bars.a]\nsticking = "> R"'.replace("> R", ">R  L|R L"), 'sticking = ">RLRL"'),
        ('phrase = ["a"]\n[bars.a]\nsubdivision = ["eighths"]', 'subdivision = "eighths"'),
        ('phrase = ["a"]\n[bars.a]\nfeet.kick = ""', 'feet.kick = "none"'),
        ('phrase = ["a"]\n[bars.a]\nfeet.kick = "with   R"', 'feet.kick = "with R"'),
        ('phrase = ["a"]\n[bars.a]\nhands.R = { main = "snare" }', 'hands.R = "snare"'),
        (
            'phrase = ["a"]\n[bars.a]\nhands.R = { around = ["snare"], every = "stroke" }',
            'hands.R = { around = ["snare"] }',
        ),
        (
            'phrase = ["a"]\n[bars.a]\nhands.R = { "1  2" = "snare", "1 2" = "ride" }',
            'hands.R = { "1 2" = "snare", "1 2 " = "ride" }',
        ),
        ('phrase = ["a"]\n[[bars.a.parts]]\nbeats = "2-2"', 'beats = "2"'),
    ],
)
def test_other_ways_of_saying_it_become_the_usual_one(written: str, again: str) -> None:
    file = read(written)
    text = render_phrase_file(file)
    assert again in text.splitlines()
    assert read(text) == file


@pytest.mark.parametrize(
    "file",
    [
        bar_of(sticking=Sticking(parse_sticking("RL").signs, (5040, 5040))),
        bar_of(sticking=Sticking(())),
        bar_of(tempo=Tempo(Fraction(200, 3), Fraction(200, 3))),
        bar_of(tempo=Tempo(Fraction(200, 3), Fraction(90), "eighth")),
        bar_of(tempo=Tempo(Fraction(9), Fraction(9))),
        bar_of(meter=Meter(4, 4, felt=True)),
        bar_of(accents=(("", Places()), ("L", Places()))),
        bar_of(accents=(("L", Places()), ("L", Places()))),
        bar_of(hands=HandsTable.model_construct(R=HandMap(every="beat"))),
        bar_of(hands=HandsTable.model_construct(R=HandMap(counts=((parse_places(">1", signs=True), "snare"),)))),
        bar_of(feet={"kick": "with H"}),
        PhraseFile.model_construct(phrase=(Chained(" a "),), bars={" a ": BarTable.model_construct()}),
    ],
)
def test_what_no_file_can_say_is_the_callers_mistake(file: PhraseFile) -> None:
    with pytest.raises(TypeError, match="cannot be said in a file"):
        render_phrase_file(file)


def test_many_bars_are_broken_into_lines() -> None:
    bars = {f"bar-{number}": BarTable.model_construct() for number in range(40)}
    file = PhraseFile.model_construct(
        phrase=tuple(Chained(name, 2) for name in bars), bars=bars, tempo=parse_tempo("80")
    )
    text = render_phrase_file(file)
    assert max(map(len, text.splitlines())) <= 110
    assert read(text) == file


KIT = """\
title        = "Weir \\u0007"
channel      = 10
program      = 8
hand         = "left"
click        = "tock"
click-accent = "tick"

[limits]
ppq             = 480
name_length     = 8
name_characters = "A-Z0-9_"
text_characters = "ascii"
longest_s       = 600
largest_kib     = 64
notes_only      = true

[voices.snare]
note      = 38
played_by = "hands"
kind      = "drum"
at        = [-10.5, 40]
width     = 35.6
staff     = "C5"
notehead  = "normal"
choke     = "drums"
velocity  = -4
pedal     = 64

[voices.tock]
note = 77

[voices.tick]
note = 76

[voices."cross stick"]
instead = "snare"
"""


def test_every_key_of_a_kit_is_written_as_a_person_would_have() -> None:
    kit, faults = without_faulty(KitFile, read_document(KIT, file="weir.toml").table)
    assert kit is not None
    assert not faults
    text = render_kit_file(kit)
    assert text == KIT
    assert kit.model_fields_set == set(KitFile.model_fields)
