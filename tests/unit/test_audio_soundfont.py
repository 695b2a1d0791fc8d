"""A font is opened, listed and refused as the SoundFont standard 2.04 has it."""

from __future__ import annotations

import struct
from importlib.machinery import ModuleSpec
from pathlib import Path

import pytest
from audio_fonts import impulse, one_zone, sine, stroke
from soundfont_writer import Font, Preset, Recording, Region, chunk, range_amount, write_font, write_tables

from drumgen.audio.soundfont import built_in_soundfont, find_soundfont, open_soundfont, read_soundfont
from drumgen.errors import DrumgenError

CLICK = Recording(impulse())


def font_bytes(*presets: Preset) -> bytes:
    return write_font(Font((CLICK,), presets=presets))


def refusal(view: bytes) -> str:
    with pytest.raises(DrumgenError) as caught:
        read_soundfont(view, name="x.sf2")
    return str(caught.value)


def rewritten(font: Font, **tables: bytes | None) -> bytes:
    """The font with whole tables replaced, or left out."""
    whole = write_font(font)
    headers = write_tables(font, b"")
    headers["shdr"] = whole[whole.index(b"shdr") + 8 :]
    for letters, body in tables.items():
        if body is None:
            del headers[letters]
        else:
            headers[letters] = body
    at = whole.index(b"pdta") - 8
    body = b"pdta" + b"".join(chunk(letters, table) for letters, table in headers.items())
    return chunk("RIFF", whole[8:at] + chunk("LIST", body))


def test_kits_are_listed_by_number_and_name_and_melodies_are_not() -> None:
    font = read_soundfont(
        font_bytes(
            Preset(program=40, name="brushes"),
            Preset(program=0, name="sticks"),
            Preset(program=3, bank=0, name="a piano"),
            Preset(program=0, name="a second one"),
        ),
        name="x.sf2",
    )
    assert list(font.programs.items()) == [(0, "sticks"), (40, "brushes")]


def test_a_missing_kit_falls_back_to_the_standard_kit_and_says_so() -> None:
    font = read_soundfont(font_bytes(Preset(program=0, name="sticks"), Preset(program=8, name="room")), name="x.sf2")
    assert font.kit(8) == (8, "")
    assert font.kit(48) == (0, 'x.sf2 has no drum kit 48; its kit 0, "sticks", sounds instead')


def test_without_a_standard_kit_the_lowest_one_sounds() -> None:
    font = read_soundfont(font_bytes(Preset(program=25, name="b"), Preset(program=8, name="a")), name="x.sf2")
    assert font.kit(0) == (8, 'x.sf2 has no drum kit 0; its kit 8, "a", sounds instead')


def test_a_font_without_drums_is_refused() -> None:
    assert refusal(font_bytes(Preset(bank=0))) == "x.sf2: expected a SoundFont with drums (bank 128), got one without"


@pytest.mark.parametrize("view", [b"", b"RIFF", b"MThd\0\0\0\6", b"RIFF\x24\0\0\0WAVEfmt ", bytes(200)])
def test_another_kind_of_file_is_refused(view: bytes) -> None:
    assert refusal(view) == "x.sf2: expected a SoundFont (SF2 or SF3), got another kind of file"


def test_every_truncation_is_refused_as_damage() -> None:
    whole = font_bytes(Preset())
    for length in range(12, len(whole) - 1):
        assert refusal(whole[:length]).startswith("x.sf2: the SoundFont is damaged: "), length


def test_truncation_after_each_chunk_with_sizes_set_right_is_refused() -> None:
    whole = font_bytes(Preset())
    for letters in (b"INFO", b"sdta", b"pdta", b"phdr", b"pbag", b"pmod", b"pgen", b"inst", b"ibag", b"imod", b"igen"):
        cut = whole[12 : whole.index(letters) - 8]
        assert "damaged" in refusal(chunk("RIFF", b"sfbk" + cut)), letters


@pytest.mark.parametrize(
    ("letters", "body", "message"),
    [
        ("phdr", None, "the table phdr is missing"),
        ("shdr", None, "the table shdr is missing"),
        ("pgen", b"", "the table pgen has 0 bytes, no multiple of 4"),
        ("ibag", bytes(7), "the table ibag has 7 bytes, no multiple of 4"),
        ("pbag", struct.pack("<HHHH", 0, 0, 9, 0), "the table pbag points at row 9 of 2"),
        ("ibag", struct.pack("<HHHH", 0, 5, 1, 0), "the indexes of the table ibag fall"),
        ("inst", struct.pack("<20sH20sH", b"a", 0, b"EOI", 7), "the table inst points at row 7 of 2"),
    ],
)
def test_broken_tables_are_named(letters: str, body: bytes | None, message: str) -> None:
    view = rewritten(Font((CLICK,)), **{letters: body})
    assert refusal(view) == f"x.sf2: the SoundFont is damaged: {message}"


def test_a_chunk_that_runs_out_of_its_list_is_named() -> None:
    inner = b"pdta" + b"phdr" + struct.pack("<I", 500) + bytes(20)
    view = chunk("RIFF", b"sfbk" + chunk("LIST", inner))
    assert 'the chunk "phdr" says 500 bytes where 20 are left' in refusal(view)
    view = chunk("RIFF", b"sfbk" + b"\x01\xff\x02\x03" + struct.pack("<I", 500) + bytes(20))
    assert 'the chunk "?" says 500 bytes' in refusal(view)


def test_chunks_between_the_lists_are_passed_over() -> None:
    whole = font_bytes(Preset())
    assert read_soundfont(chunk("RIFF", b"sfbk" + chunk("JUNK", b"abc") + whole[12:]), name="x").programs


@pytest.mark.parametrize(
    ("font", "message"),
    [
        (Font((CLICK,), presets=(Preset((Region((), 4),)),)), "a kit asks for instrument 4, which is not there"),
        (Font((CLICK,), instruments=((Region((), 3),),)), "a zone asks for sample 3, which is not there"),
        (Font((Recording(impulse(), rate=7),)), "the sample tone has a rate of 7 Hz"),
        (Font((Recording((), "empty"),)), "the sample empty runs from 0 to 0 in a pool of 46"),
        (
            Font((Recording(impulse(), "rom", kind=0x8001),)),
            "the sample rom stands in a sound card's memory, not in the file",
        ),
        (Font((CLICK,), ((Region(((0, 70),)),),)), "the sample tone is played from 70 to 64 of 64"),
        (Font((CLICK,), ((Region(((1, 70),)),),)), "the sample tone is played from 0 to 134 of 64"),
        (
            Font((Recording(impulse(), loop=(60, 90)),), ((Region(((54, 1),)),),)),
            "the sample tone loops from 60 to 90 of 64",
        ),
        (
            Font((Recording(impulse(), loop=(9, 9)),), ((Region(((54, 3),)),),)),
            "the sample tone loops from 9 to 9 of 64",
        ),
        (Font((CLICK,), ((Region(((51, 127), (58, 0))),),)), "key 60 is tuned by more than 10 octaves"),
    ],
)
def test_what_only_a_stroke_can_find_is_named_too(font: Font, message: str) -> None:
    with pytest.raises(DrumgenError) as caught:
        stroke(read_soundfont(write_font(font), name="x.sf2"))
    assert str(caught.value) == f"x.sf2: the SoundFont is damaged: {message}"


def test_a_kit_of_too_many_zones_is_refused() -> None:
    many = tuple(Region() for _ in range(200))
    font = Font((CLICK,), (many,), (Preset(tuple(Region() for _ in range(150))),))
    with pytest.raises(DrumgenError, match="more than 20000 zones"):
        stroke(read_soundfont(write_font(font), name="x.sf2"))


def test_a_global_zone_speaks_for_the_zones_after_it_and_a_local_one_over_it() -> None:
    instrument = (
        Region(((17, -500), (48, 100)), None),
        Region(((43, range_amount(60, 60)),), 0),
        Region(((43, range_amount(61, 61)), (17, 500)), 0),
        Region(((43, range_amount(62, 62)),), None),
    )
    zones = read_soundfont(write_font(Font((CLICK,), (instrument,))), name="x").zones
    [left], [right] = zones(0, key=60, velocity=1), zones(0, key=61, velocity=1)
    assert (left.amounts[17], left.amounts[48]) == (-500, 100)
    assert (right.amounts[17], right.amounts[48]) == (500, 100)
    assert zones(0, key=62, velocity=1) == ()


def test_a_presets_generators_are_added_and_its_ranges_narrow() -> None:
    instrument = (Region(((43, range_amount(0, 64)), (44, range_amount(10, 90)), (48, 100), (52, 5), (58, 40))),)
    preset = Preset(
        (
            Region(((48, 30), (52, -9)), None),
            Region(((43, range_amount(60, 99)), (44, range_amount(80, 127)), (48, 50), (58, 99)), 0),
            Region(((43, range_amount(70, 99)),), 0),
            Region(((48, 1),), None),
        )
    )
    font = read_soundfont(write_font(Font((CLICK,), (instrument,), (preset,))), name="x")
    [zone] = font.zones(0, key=62, velocity=85)
    assert (zone.keys, zone.velocities) == ((60, 64), (80, 90))
    assert (zone.amounts[48], zone.amounts[52], zone.amounts[58]) == (150, -4, 40)
    assert font.zones(0, key=62, velocity=79) == font.zones(0, key=65, velocity=85) == ()


def test_generators_the_standard_does_not_know_are_passed_over() -> None:
    assert len(stroke(one_zone(Recording(sine(441, 0.1)), (200, 7), (60, 3)))) > 4000


def test_a_font_is_opened_from_its_file(tmp_path: Path) -> None:
    path = tmp_path / "kit.sf2"
    path.write_bytes(font_bytes(Preset(name="sticks")))
    font = open_soundfont(path)
    assert (font.name, dict(font.programs)) == ("kit.sf2", {0: "sticks"})
    assert len(font.frames(font.sample(0))) == 64


def test_files_that_cannot_be_opened_say_why(tmp_path: Path) -> None:
    empty = tmp_path / "empty.sf2"
    empty.touch()
    for path, rule in (
        (empty, "expected a SoundFont (SF2 or SF3), got an empty file"),
        (tmp_path / "none.sf2", "the SoundFont cannot be opened: No such file or directory"),
        (tmp_path, "the SoundFont cannot be opened: Is a directory"),
    ):
        with pytest.raises(DrumgenError) as caught:
            open_soundfont(path)
        assert str(caught.value) == f"{path}: {rule}"


def test_the_font_to_play_is_the_option_then_the_environment_then_the_built_in() -> None:
    named = {"DRUMGEN_SOUNDFONT": "theirs.sf3"}
    assert find_soundfont(Path("mine.sf2"), environment=named) == Path("mine.sf2")
    assert find_soundfont(None, environment=named) == Path("theirs.sf3")
    assert find_soundfont(None, environment={"DRUMGEN_SOUNDFONT": ""}) == built_in_soundfont()
    assert open_soundfont(built_in_soundfont()).programs[0]


@pytest.mark.parametrize("installed", [False, True])
def test_without_a_font_in_the_package_that_carries_it_there_is_no_built_in_font(
    installed: bool,  # noqa: FBT001 - pytest gives it
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    spec = ModuleSpec("pretty_midi", None, is_package=True)
    spec.submodule_search_locations = [str(tmp_path)]
    monkeypatch.setattr("importlib.util.find_spec", lambda _name: spec if installed else None)
    with pytest.raises(DrumgenError) as caught:
        built_in_soundfont()
    assert str(caught.value) == (
        "expected the SoundFont inside the package pretty_midi, got none (name a font with --soundfont)"
    )
