"""What is printed is what is played: MusicXML against its schema, and read back by music21 and by verovio.

Sources: MusicXML 4.0 (its schema); the readers are music21 and verovio's timemap and MEI. The rows expected are made
from the strokes, in ``sheet_reading``.
"""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from drum_room import DEMO_PHRASES, bar, phrase
from musicxml_schema import faults
from sheet_reading import QUARTER, Reading, expected, read_by_music21, read_by_verovio

from drumgen.levels import velocity
from drumgen.performing import perform
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.sheet.musicxml import render_musicxml
from drumgen.spec.loading import load_phrase
from drumgen.trade.rudiments import RUDIMENTS


def rudiment_phrase(name: str) -> Phrase:
    across = 'across = "carry"'
    return phrase(f'title = "{name}"\nphrase = ["a x3"]\n[bars.a]\nrudiment = "{name}"\n{across}\n')


def check(one: Phrase) -> None:
    text = render_musicxml(one)
    assert faults(text) == []
    by_music21 = read_by_music21(text)
    assert by_music21 == expected(one, by_music21.lengths)
    assert read_by_verovio(text) == by_music21


@pytest.mark.parametrize("file", DEMO_PHRASES, ids=lambda file: file.stem)
def test_demo_phrases(file: Path) -> None:
    check(load_phrase(file).phrase)


@pytest.mark.parametrize("meter", ["7/1 2+2+3", "8/1 4+4", "3/1", "6/2 4+2"])
def test_beats_of_several_whole_notes(meter: str) -> None:
    check(
        bar('sticking = "RL"\nsubdivision = "quarters"\nacross = "once"\nfeet.kick = "1"', top=f'meter = "{meter}"\n')
    )


@pytest.mark.parametrize("rudiment", RUDIMENTS, ids=str)
def test_rudiments(rudiment: object) -> None:
    check(rudiment_phrase(str(rudiment)))


@pytest.mark.parametrize("file", DEMO_PHRASES, ids=lambda file: file.stem)
def test_counts_and_no_sticking_are_valid_and_change_no_note(file: Path) -> None:
    one = load_phrase(file).phrase
    counted, bare = render_musicxml(one, counts=True), render_musicxml(one, sticking=False)
    assert faults(counted) == faults(bare) == []
    assert "<lyric" not in bare
    assert read_by_music21(bare).rows == read_by_music21(counted).rows == read_by_music21(render_musicxml(one)).rows


@pytest.mark.parametrize("file", DEMO_PHRASES, ids=lambda file: file.stem)
def test_dynamics_of_notes_are_the_velocities_that_are_played(file: Path) -> None:
    one = load_phrase(file).phrase
    root = ET.fromstring(render_musicxml(one))  # noqa: S314 - it was made here
    keys = {each.attrib["id"]: int(each.findtext("midi-unpitched", "")) - 1 for each in root.iter("midi-instrument")}
    played = perform(arrange(one, Practice())).hits
    wanted = {(hit.key, round(hit.velocity * 100 / 90, 2)) for hit in played if hit.kind in ("stroke", "grace")}
    printed = {
        (keys[note.find("instrument").attrib["id"]], float(note.attrib["dynamics"]))  # type: ignore[union-attr]
        for note in root.iter("note")
        if note.find("instrument") is not None
    }
    assert printed == wanted
    assert min(number for _, number in printed) > 0


def test_every_note_points_to_an_instrument_on_channel_ten() -> None:
    root = ET.fromstring(render_musicxml(bar('sticking = "RLRL"\nhands.R = "hihat"\nfeet.kick = "1"')))  # noqa: S314
    names = {each.attrib["id"]: each.findtext("instrument-name") for each in root.iter("score-instrument")}
    assert set(names.values()) == {"kick", "snare", "hihat"}
    keys = {names[each.attrib["id"]]: each.findtext("midi-unpitched") for each in root.iter("midi-instrument")}
    assert keys == {"kick": "37", "snare": "39", "hihat": "43"}
    assert {each.findtext("midi-channel") for each in root.iter("midi-instrument")} == {"10"}
    struck = [note for note in root.iter("note") if note.find("unpitched") is not None]
    assert len(struck) == 17
    pointed = [each.attrib["id"] for note in struck for each in note.findall("instrument")]
    assert len(pointed) == len(struck)
    assert set(pointed) == set(names)


def test_repeats_are_counted_and_expand() -> None:
    text = 'phrase = ["a x3", "b", "a x3", "b"]\n[bars.a]\nsticking = "RLRR LRLL"\n[bars.b]\nsticking = "RRLL"\n'
    one = phrase(text)
    document = render_musicxml(one)
    assert document.count("<measure ") == 4  # a a a b, once, in one repeat of the four
    assert 'times="2"' in document
    assert len(read_by_music21(document).lengths) == 8
    check(one)


def test_a_pickup_is_short_and_numbered_0() -> None:
    text = (
        'phrase = ["up", "a"]\n[bars.up]\nrole = "pickup"\nsticking = "---- ---- ---- -RLR"\n'
        '[bars.a]\nsticking = "RLRR"\n'
    )
    document = render_musicxml(phrase(text))
    assert re.search(r'<measure number="0" implicit="yes"', document)
    assert read_by_music21(document).lengths == [3 * QUARTER // 4, 4 * QUARTER]
    check(phrase(text))


def test_a_pickup_in_a_tuplet_begins_with_the_tuplet() -> None:
    text = (
        'phrase = ["up", "a"]\n[bars.up]\nrole = "pickup"\nsubdivision = "triplets"\nsticking = "--- --- --- -RL"\n'
        '[bars.a]\nsticking = "RLRR"\n'
    )
    assert read_by_music21(render_musicxml(phrase(text))).lengths == [QUARTER, 4 * QUARTER]
    check(phrase(text))


# Kinds of faults that are reported in public against programs that write notation.


def test_swing_is_plain_notes_with_a_mark_and_the_swing_element() -> None:
    body = 'sticking = "RLRL RLRL"\nsubdivision = "eighths"\nfeel.swing = { of = "eighths", ratio = "%s" }'
    straight = read_by_music21(render_musicxml(bar(body % "1:1")))
    for ratio, (first, second) in (("2:1", ("2", "1")), ("3:1", ("3", "1"))):
        document = render_musicxml(bar(body % ratio))
        swing = ET.fromstring(document).find(".//sound/swing")  # noqa: S314 - it was made here
        assert swing is not None
        assert [each.text for each in swing] == [first, second, "eighth"]
        assert "Swing" in document
        assert "tuplet" not in document
        assert read_by_music21(document) == straight


def test_rests_stay_in_their_own_tuplets() -> None:
    document = render_musicxml(bar('sticking = "RL- --R --- RLR"\nsubdivision = "triplets"'))
    notes = [note for note in ET.fromstring(document).iter("note")]  # noqa: S314, C416 - it was made here
    seen = [
        (note.findtext("type"), note.find("rest") is not None, [each.attrib["type"] for each in note.iter("tuplet")])
        for note in notes
    ]
    assert seen == [
        ("eighth", False, ["start"]),
        ("quarter", False, ["stop"]),
        ("quarter", True, ["start"]),
        ("eighth", False, ["stop"]),
        ("quarter", True, []),
        ("eighth", False, ["start"]),
        ("eighth", False, []),
        ("eighth", False, ["stop"]),
    ]


@pytest.mark.parametrize(
    ("subdivision", "ratio"),
    [("triplets", "3:2"), ("quintuplets", "5:4"), ("sextuplets", "6:4"), ("septuplets", "7:4")],
)
def test_tuplets_are_in_their_usual_ratios(subdivision: str, ratio: str) -> None:
    document = render_musicxml(bar(f'sticking = "RL"\nsubdivision = "{subdivision}"'))
    found = set(re.findall(r"<actual-notes>(\d)</actual-notes>\s*<normal-notes>(\d)</normal-notes>", document))
    assert {":".join(pair) for pair in found} == {ratio}
    assert document.count('<tuplet type="start"') == document.count('<tuplet type="stop"') == 4
    assert document.count('bracket="yes"') == 4


@pytest.mark.parametrize("subdivision", ["triplets", "quintuplets", "sextuplets", "septuplets"])
def test_tuplets_full_of_rests_are_whole_and_keep_their_own_rests(subdivision: str) -> None:
    one = bar(f'sticking = "R-- -L-- -"\nsubdivision = "{subdivision}"\nacross = "carry"')
    root = ET.fromstring(render_musicxml(one))  # noqa: S314 - it was made here
    quarter = int(root.findtext(".//divisions", ""))
    sums: list[int] = []
    inside = False
    for note in root.iter("note"):
        edges = [each.attrib["type"] for each in note.iter("tuplet")]
        if "start" in edges:
            assert not inside
            sums.append(0)
        inside = inside or "start" in edges
        assert inside == (note.find("time-modification") is not None)
        if inside:
            sums[-1] += int(note.findtext("duration", ""))
        inside = inside and "stop" not in edges
    assert not inside
    assert sums
    assert all(each in (quarter, quarter // 2) for each in sums)  # half a beat: three of a sextuplet's places
    check(one)


def test_a_flam_on_the_first_downbeat_inside_a_repeat() -> None:
    one = phrase('phrase = ["a x2"]\n[bars.a]\nsticking = "lR-L-"\n')
    document = render_musicxml(one)
    assert 'repeat direction="forward"' in document
    assert '<grace slash="yes" />' in document
    reading = read_by_music21(document)
    assert reading.graces[0] == (0, 0, "C5")
    assert re.findall(r"<text>(\w)</text>", document)[:2] == ["l", "R"]
    check(one)


@pytest.mark.parametrize("file", DEMO_PHRASES, ids=lambda file: file.stem)
def test_every_voice_fills_its_measure(file: Path) -> None:
    root = ET.fromstring(render_musicxml(load_phrase(file).phrase))  # noqa: S314 - it was made here
    assert {each.findtext("sign") for each in root.iter("clef")} == {"percussion"}
    for measure in root.iter("measure"):
        sums: dict[str, int] = {}
        for note in measure.iter("note"):
            if note.find("chord") is None and note.find("grace") is None:
                voice = note.findtext("voice", "")
                sums[voice] = sums.get(voice, 0) + int(note.findtext("duration", ""))
        assert len(set(sums.values())) == 1
        backs = [int(each.findtext("duration", "")) for each in measure.iter("backup")]
        assert backs == [*sums.values()][:-1]


def test_a_flam_on_the_first_downbeat_keeps_the_feet_in_step() -> None:
    one = phrase('phrase = ["a x2"]\n[bars.a]\nsticking = "lR-L-"\nfeet.kick = "1 3"\n')
    document = render_musicxml(one)
    first = ET.fromstring(document).find(".//measure")  # noqa: S314 - it was made here
    assert first is not None
    grace = first.find("note")
    assert grace is not None
    assert grace.find("grace") is not None
    assert grace.find("duration") is None
    assert first.find("backup") is not None
    check(one)


def warnings_of_verovio(text: str, capfd: pytest.CaptureFixture[str]) -> str:
    """What verovio has to say of a document: nothing, where it is sound."""
    import verovio

    verovio.enableLog(verovio.LOG_WARNING)
    capfd.readouterr()
    toolkit = verovio.toolkit()
    assert toolkit.loadData(text)
    toolkit.renderToSVG(1)
    return capfd.readouterr().err


@pytest.mark.parametrize("file", DEMO_PHRASES, ids=lambda file: file.stem)
def test_an_engraver_warns_of_nothing(file: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert warnings_of_verovio(render_musicxml(load_phrase(file).phrase), capfd) == ""


def test_an_engraver_warns_of_no_grace_notes_at_a_repeat(capfd: pytest.CaptureFixture[str]) -> None:
    text = 'phrase = ["a x2", "b x2"]\n[bars.a]\nsticking = "lR-L-"\nfeet.kick = "1"\n'
    text += '[bars.b]\nsticking = "llR-L-"\n'
    assert warnings_of_verovio(render_musicxml(phrase(text)), capfd) == ""


def test_a_reading_of_what_verovio_warns_of_fails() -> None:
    broken = render_musicxml(bar('sticking = "RLRR"')).replace("<type>16th</type>", "<type>no</type>", 1)
    with pytest.raises(AssertionError, match="note-type-value"):
        read_by_verovio(broken)


def test_the_engravers_warnings_are_heard(capfd: pytest.CaptureFixture[str]) -> None:
    sound = render_musicxml(bar('sticking = "RLRR"'))
    broken = sound.replace("<type>16th</type>", "<type>no</type>", 1)
    assert broken != sound
    assert "note-type-value" in warnings_of_verovio(broken, capfd)


def test_ghosts_accents_signs_and_dynamics_that_are_never_0() -> None:
    text = 'sticking = ">R(L)(R)L"\nsubdivision = "quarters"\nhands.L = "hihat-open"\n'
    text += "[dynamics]\naccent = 112\nghost = 1\n"
    one = bar(text)
    document = render_musicxml(one)
    assert document.count("<accent ") == 1
    assert document.count('parentheses="yes"') == 2
    assert document.count("<open-string") == 2
    numbers = [float(number) for number in re.findall(r'<note [^>]*dynamics="([\d.]+)"', document)]
    assert numbers == pytest.approx(
        [112 / 0.9, 1 / 0.9, 1 / 0.9, velocity(82, offset=0, per_mille=1000) / 0.9], abs=0.01
    )


def test_lines_heads_stems_and_voices() -> None:
    document = render_musicxml(bar('sticking = "RRRR"\nsubdivision = "eighths"\nhands.R = "hihat"\nfeet.kick = "1 3"'))
    root = ET.fromstring(document)  # noqa: S314 - it was made here
    looks = {
        (n.findtext("voice"), n.findtext("stem"), n.findtext("notehead"), n.findtext("unpitched/display-step"))
        for n in root.iter("note")
        if n.find("rest") is None
    }
    assert looks == {("1", "up", "x", "G"), ("2", "down", "normal", "F")}
    assert root.findtext(".//clef/sign") == "percussion"
    assert root.find(".//clef/line") is None


def test_a_linear_figure_stands_in_one_line_without_rests() -> None:
    document = render_musicxml(bar('sticking = "RLKK"\nhands.R = "hihat"'))
    assert set(re.findall(r"<voice>(\d)</voice>", document)) == {"1"}
    assert "<rest" not in document
    assert "<backup>" not in document


def test_two_readers_are_not_blind() -> None:
    """The comparison fails where something is moved, so that it can find a fault."""
    document = render_musicxml(bar('sticking = ">RLRR"'))
    reading = read_by_music21(document)
    assert reading.rows
    assert reading.accents
    moved = document.replace("<display-step>C</display-step>", "<display-step>D</display-step>", 1)
    assert read_by_music21(moved) != reading
    assert read_by_verovio(moved) != reading
    assert Reading() != reading
