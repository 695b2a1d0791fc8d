"""Kit files: what a kit is unless said, and what is wrong with one as a whole."""

from dataclasses import asdict

import pytest
from drum_room import said

from drumgen.kit import Kit, Limits, Voice
from drumgen.spec.kit_file import read_place
from drumgen.spec.loading import read_kit

CLICKS = "[voices.click]\nnote = 77\n[voices.click-accent]\nnote = 76\n"


def kit(text: str) -> Kit:
    return read_kit(text, name="shed", file="shed.toml")


def lines(text: str) -> list[str]:
    return said(lambda: kit(text)).split("\n")


def test_what_is_not_said() -> None:
    found = kit(f"[voices.snare]\nnote = 38\n{CLICKS}")
    assert asdict(found.voices["snare"]) == asdict(Voice("snare", 38))
    assert (found.name, found.title, found.channel, found.program, found.hand) == ("shed", "shed", 10, None, "right")
    assert (found.click, found.click_accent, found.instead) == ("click", "click-accent", {})
    assert asdict(found.limits) == asdict(Limits())


def test_what_is_said() -> None:
    found = kit(
        'title = "A shed kit"\nchannel = 3\nprogram = 0\nhand = "left"\nclick = "bell"\nclick-accent = "snare"\n'
        '[limits]\nppq = 96\nname_length = 8\nname_characters = "A-Z"\ntext_characters = "ascii"\nlongest_s = 60\n'
        "largest_kib = 32\nnotes_only = true\n"
        '[voices.bell]\nnote = 53\nplayed_by = "hands"\nkind = "metal"\nat = [-4.5, 70]\nwidth = 12\nstaff = "F5"\n'
        'notehead = "diamond"\nchoke = "bells"\nvelocity = -6\npedal = 90\n'
        '[voices.snare]\nnote = 0\n[voices.boom]\nnote = 35\nplayed_by = "kick foot"\n[voices.kick]\ninstead = "boom"\n'
    )
    assert (found.title, found.channel, found.program, found.hand) == ("A shed kit", 3, 0, "left")
    assert (found.click, found.click_accent) == ("bell", "snare")
    assert asdict(found.limits) == asdict(Limits(96, 8, "A-Z", "ascii", 60, 32, notes_only=True))
    bell = Voice("bell", 53, "hands", False, -4.5, 70.0, 12.0, "F5", "diamond", "bells", -6, 90)  # noqa: FBT003
    assert asdict(found.voices["bell"]) == asdict(bell)
    assert found.voices["snare"].key == 0
    assert found.voice("kick").name == "boom"


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("[voices.snare]\n", ["shed.toml:1: voices.snare"]),
        ('[voices.snare]\nnote = 38\ninstead = "pad"\n[voices.pad]\nnote = 37\n', ["shed.toml:2: voices.snare.note"]),
        (
            '[voices.snare]\nnote = 38\n[voices.pad]\ninstead = "snair"\n',
            ["shed.toml:4: voices.pad.instead"],
        ),
        (
            '[voices.snare]\nnote = 38\n[voices.pad]\ninstead = "tom"\n[voices.tom]\ninstead = "snare"\n',
            ["shed.toml:4: voices.pad.instead"],
        ),
        ('click = "clack"\n[voices.snare]\nnote = 38\n', ["shed.toml:1: click"]),
    ],
)
def test_what_is_wrong_with_it_as_a_whole(text: str, places: list[str]) -> None:
    found = [line.split(": expected")[0] for line in lines(text + CLICKS)]
    assert found == places


def test_hands_have_to_have_something_to_play() -> None:
    feet = CLICKS.replace("[voices", 'played_by = "kick foot"\n[voices').removeprefix('played_by = "kick foot"\n')
    assert lines(f'{feet}played_by = "kick foot"\n') == [
        "shed.toml:1: voices: expected at least one voice that hands play, got none"
    ]


def test_clicks_have_to_be_there() -> None:
    found = lines("[voices.snare]\nnote = 38\n")
    assert len(found) == 2
    assert all(line.startswith("shed.toml:1: voices: expected a voice") for line in found)


def test_faults_of_a_voice_do_not_bring_others() -> None:
    text = (
        '[voices.snare]\nnote = 128\n[voices.pad]\ninstead = "snare"\n'
        '[voices.click]\nnote = "x"\n[voices.click-accent]\nnote = 1\n'
    )
    assert [line.split(": expected")[0] for line in lines(text)] == [
        "shed.toml:2: voices.snare.note",
        "shed.toml:6: voices.click.note",
    ]


def test_reading_and_meaning_at_once() -> None:
    text = f'[voices.snare]\nnote = 38\nwidth = 0\n[voices.pad]\ninstead = "gong"\n{CLICKS}'
    assert [line.split(": expected")[0] for line in lines(text)] == [
        "shed.toml:3: voices.snare.width",
        "shed.toml:5: voices.pad.instead",
    ]


def test_a_kit_file_without_voices() -> None:
    assert lines("channel = 10\n")[0].startswith("shed.toml: voices: expected ")


def test_places_on_the_plan() -> None:
    assert read_place([-45, 50.5]) == (-45.0, 50.5)
    assert read_place((1, 2)) == (1.0, 2.0)


@pytest.mark.parametrize(
    ("value", "got"),
    [
        (3, "3"),
        ([], "an empty list"),
        ([1], "a list of 1"),
        ([1, 2, 3], "a list of 3"),
        ([1, "2"], '"2"'),
        ([True, 1], "true"),
        ([501, 1], "501"),
        ([1, float("nan")], "nan"),
    ],
)
def test_what_is_no_place(value: object, got: str) -> None:
    assert said(lambda: read_place(value)) == (
        f"expected two numbers of centimetres from -500 to 500, such as [-45, 50], got {got}"
    )


def test_faults_of_one_line_come_in_the_order_of_the_keys() -> None:
    rim = 'rim = { pedal = 3, width = 40, note = 3, instead = "snare", kind = "metal", notehead = "x", velocity = 3 }'
    clicks = "snare = { note = 38 }\nclick = { note = 37 }\nclick-accent = { note = 37 }"
    found = [line.split(": ")[1] for line in lines(f"[voices]\n{clicks}\n{rim}\n")]
    assert found == [f"voices.rim.{key}" for key in ("note", "kind", "width", "notehead", "velocity", "pedal")]
