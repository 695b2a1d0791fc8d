"""The audition page put together: its sound, its staff, what it refuses, and that it is the same every time."""

import base64
import io
import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from audio_fonts import CRASH_KEY, INSTANT_ATTACK, TONE_KEY, kit_sound, sine
from drum_room import phrase
from soundfont_writer import Font, Recording, Region, write_font

from drumgen.audio.clips import make_clips
from drumgen.audio.shots import Shot, Shots, choose_sound, reference_gain_db, render_shot
from drumgen.audio.soundfont import read_soundfont
from drumgen.audition import render_page
from drumgen.errors import DrumgenError
from drumgen.practice import Practice, parse_ladder
from drumgen.sheet.strips import phrase_strips

SLIP = """
title  = "Slip"
phrase = ["a x2", "b"]
[bars.a]
sticking  = "RLRR LRLL"
hands.R   = "hihat"
feet.kick = "1 3"
[bars.b]
sticking = "lR-L- R-L-"
"""


BRUSHES = """
title   = "Brushes, invented"
program = 40
[voices.hihat]
note = 42
[voices.snare]
note = 38
[voices.kick]
note = 36
played_by = "kick foot"
[voices.click]
note = 76
[voices.click-accent]
note = 77
"""


def data_of(text: str) -> Any:  # noqa: ANN401 - whatever JSON holds
    return json.loads(text.partition('id="phrases">')[2].partition("</script>")[0])


def test_the_page_holds_every_stroke_as_a_flac_file() -> None:
    table = data_of(render_page(phrase(SLIP)).text)
    voices = {voice["name"]: voice for voice in table["phrases"][0]["voices"]}
    assert {"hihat", "snare", "kick", "click", "click-accent"} <= set(voices)
    for shape in table["phrases"][0]["shapes"]:
        for row in shape["strokes"]:
            key = table["phrases"][0]["voices"][row[3]]["sounds"]
            number, gain = table["sound"]["uses"][f"{key} {row[4]}"]
            frames, rate = soundfile.read(io.BytesIO(base64.b64decode(table["sound"]["clips"][number]["flac"])))
            assert rate == 44_100
            assert len(frames) > 1000
            assert 0 < gain <= 1


def test_the_page_plays_each_stroke_as_loud_in_each_ear_as_its_clip_says() -> None:
    """A tone to the left: what is in the page is what ``make_clips`` made."""
    font = Font((Recording(sine(441, 0.2), "tone"),), ((Region(((17, -250), INSTANT_ATTACK), 0),),))
    sound = choose_sound(read_soundfont(write_font(font), name="left.sf2"))
    table = data_of(render_page(phrase(SLIP), sound=sound).text)["sound"]
    strokes = [(int(key), int(force)) for _, key, force in map(str.split, table["uses"])]
    made = make_clips(sound, strokes)
    assert len(table["clips"]) == len(made.clips) > 0
    for key, force in strokes:
        number, gain = table["uses"][f"0 {key} {force}"]
        clip, use = table["clips"][number], made.uses[key, force]
        assert clip.keys() == {"flac", "left", "right"}
        assert base64.b64decode(clip["flac"]) == made.clips[use.clip].flac
        ears = made.clips[use.clip].left, made.clips[use.clip].right
        assert (clip["left"], clip["right"], gain) == pytest.approx((*ears, use.gain), abs=1e-5)
    assert any(each.left > 1.1 * each.right for each in made.clips)


def test_the_same_phrases_give_the_same_text() -> None:
    one, other = (render_page([phrase(SLIP), phrase(SLIP)], title="Both").text for _ in range(2))
    assert one == other


def test_a_page_begins_with_its_note_only_where_it_has_one() -> None:
    page = render_page(phrase(SLIP)).text
    assert '<section class="front">' not in page
    assert "note-line" not in page.partition("</head>")[2].partition("<script")[0]
    front = render_page(phrase(SLIP), note="Let it slip.").text.partition('<section class="front">')[2]
    assert front.partition("</section>")[0].count('<p class="note-line">Let it slip.</p>') == 1


def test_practice_options_and_what_is_shown_go_into_the_page() -> None:
    text = render_page(phrase(SLIP), practice=[Practice(count_in=2)], sticking=False, counts=True).text
    table = data_of(text)
    assert table["practice"][0]["countIn"] == 2
    assert table["show"] == {"sticking": False, "counts": True}


def test_several_phrases_without_a_title_are_called_after_the_first() -> None:
    text = render_page([phrase(SLIP), phrase(SLIP), phrase(SLIP)]).text
    assert "<title>Slip and 2 more</title>" in text


def test_a_page_without_phrases_or_with_too_few_options_is_a_callers_mistake() -> None:
    words = "a page needs at least one phrase, and practice options for each or for none"
    with pytest.raises(TypeError, match=words):
        render_page([])
    with pytest.raises(TypeError, match=words):
        render_page([phrase(SLIP)], practice=[])


def test_a_phrase_of_more_than_four_hours_is_refused_before_work_starts() -> None:
    long = phrase(SLIP.replace('"a x2"', '"a x4000"').replace("title", "tempo = 10\ntitle"))
    with pytest.raises(DrumgenError, match=r"at most 4 hours on a page, got 26\.7 hours"):
        render_page(long)


def test_phrases_of_more_than_four_hours_in_all_are_refused() -> None:
    long = phrase(SLIP.replace('"a x2"', '"a x400"').replace("title", "tempo = 10\ntitle"))
    assert render_page([long]).text
    with pytest.raises(DrumgenError, match=r"^expected phrases of at most 4 hours together on a page, got 5\.3 hours"):
        render_page([long, long])


def test_a_page_of_several_phrases_has_its_own_title_and_note() -> None:
    text = render_page([phrase(SLIP), phrase(SLIP)], title="A term", note="Warm up.\nRest.").text
    assert "<title>A term</title>" in text
    assert '<p class="note-line">Warm up.</p><p class="note-line">Rest.</p>' in text


def test_rungs_apart_are_told_to_be_one_ladder_on_a_page() -> None:
    ladder = Practice(rungs=parse_ladder("60 to 80 by 10"), rungs_apart=True)
    page = render_page(phrase(SLIP), practice=[ladder])
    assert page.remarks == ("a page has the whole ladder in it: --rungs apart is for MIDI and audio files",)
    assert data_of(page.text)["practice"][0]["ladder"]["to"] == 80


def test_more_phrases_than_a_page_is_good_for_are_refused() -> None:
    with pytest.raises(DrumgenError, match="at most 500 phrases on a page, got 501"):
        render_page([phrase(SLIP)] * 501)


def test_a_voice_that_the_font_lacks_is_told_and_silent() -> None:
    page = render_page(phrase(SLIP), sound=kit_sound())
    assert any("has no sound for key" in line for line in page.remarks)
    assert data_of(page.text)["sound"]["clips"]


# -- clips


def test_a_clip_with_its_gains_is_the_stroke_at_its_level() -> None:
    """The invented kit's tone, at a velocity of its own: what is decoded, panned and turned is the stroke."""
    sound = kit_sound()
    made = make_clips(sound, [(TONE_KEY, 90), (TONE_KEY, 127), (CRASH_KEY, 127)])
    level = 10 ** (reference_gain_db(Shots(sound)) / 20)
    for key, velocity in ((TONE_KEY, 90), (TONE_KEY, 127), (CRASH_KEY, 127)):
        use = made.uses[key, velocity]
        clip = made.clips[use.clip]
        frames, _ = soundfile.read(io.BytesIO(clip.flac), dtype="float32", always_2d=True)
        ears = np.stack([frames[:, 0] * clip.left, frames[:, -1] * clip.right], axis=1) * use.gain
        wanted = render_shot(sound, Shot(key, velocity))[: len(ears)] * level
        body = slice(0, max(1, len(ears) - 441))
        assert np.abs(ears[body] - wanted[body]).max() < 2e-4 * max(1, np.abs(wanted).max() * 10)
    assert len(made.clips) == 2, "velocities that differ in loudness alone share a clip"


def test_a_stroke_the_font_lacks_has_no_clip() -> None:
    made = make_clips(kit_sound(), [(99, 100)])
    assert (made.clips, made.uses) == ((), {})
    assert made.remarks == ("kit.sf2 has no sound for key 99: its strokes are silent",)


def test_a_stroke_with_another_sound_in_each_ear_stays_stereo_and_one_that_is_cut_is_faded() -> None:
    recordings = (Recording(sine(441, 1.0), "left"), Recording(sine(700, 1.0), "right"))
    apart = tuple(Region(((17, pan), INSTANT_ATTACK, (36, -2000), (37, 1000)), at) for at, pan in ((0, -500), (1, 500)))
    sound = choose_sound(read_soundfont(write_font(Font(recordings, (apart,))), name="apart.sf2"))
    made = make_clips(sound, [(60, 127)])
    frames, _ = soundfile.read(io.BytesIO(made.clips[0].flac), dtype="float32")
    assert frames.shape[1] == 2
    assert made.clips[0].left == made.clips[0].right
    whole = render_shot(sound, Shot(60, 127))
    assert 0 < len(frames) < len(whole), "it ends where it is 60 dB under its peak"
    assert abs(frames[-1]).max() < 1e-4


def test_each_phrase_sounds_on_the_kit_of_the_font_that_its_own_asks_for(tmp_path: Path) -> None:
    (tmp_path / "brushes.toml").write_text(BRUSHES)
    brushed = phrase(SLIP.replace("title", 'kit = "brushes.toml"\ntitle'), beside=tmp_path)
    page = render_page([phrase(SLIP), brushed])
    first, second = (each["voices"] for each in data_of(page.text)["phrases"])
    sounds = {each["name"]: each["sounds"] for each in second}
    assert {each["name"]: each["sounds"] for each in first}["snare"] == "0 38"
    assert sounds["snare"] == "40 38"
    assert any(use.startswith("40 38 ") for use in data_of(page.text)["sound"]["uses"]) or page.remarks


# -- the staff on the page


def test_a_kit_with_voices_in_free_places_has_its_legend_on_the_page(tmp_path: Path) -> None:
    (tmp_path / "brushes.toml").write_text(BRUSHES.replace("hihat", "biscuit-tin"))
    text = SLIP.replace("title", 'kit = "brushes.toml"\ntitle').replace("hihat", "biscuit-tin")
    tinny = phrase(text, beside=tmp_path)
    strips = phrase_strips(tinny)
    assert len(strips.legend) == 1
    assert f'<div class="legend-row">{strips.legend[0]}</div>' in render_page([phrase(SLIP), tinny]).text
    assert "legend-row" not in render_page(phrase(SLIP)).text.partition("<main")[2]
    assert "biscuit-tin" in strips.legend[0]
    assert "data-bars" not in strips.legend[0]


def test_every_stroke_has_a_note_to_be_found_by_its_place_in_both_lengths() -> None:
    strips = phrase_strips(phrase(SLIP))
    for lines in (strips.long, strips.short):
        text = "".join(lines)
        bars = re.findall(r'data-bars="([^"]*)"', text)
        assert bars == ["1 2", "3"]
        first = text.partition('data-bars="3"')[0]
        places = {(int(at), limb) for at, limb in re.findall(r'data-at="(\d+)" data-limb="(\w)"', first)}
        hands = {(2520 * index, hand) for index, hand in enumerate("RLRRLRLLRLRRLRLL")}
        assert places == hands | {(0, "K"), (20_160, "K")}
        assert re.findall(r'data-grace="(\d+)" data-limb="(\w)"', text) == [("0", "L"), ("20160", "L")]


def test_letters_and_counts_are_told_apart() -> None:
    text = "".join(phrase_strips(phrase(SLIP)).long)
    letters = re.findall(r'class="letter"[^>]*><tspan>([^<]*)', text)
    counts = re.findall(r'class="count"[^>]*><tspan>([^<]*)', text)
    assert set(letters) == {"R", "L", "l"}
    assert {"1", "e", "&amp;", "a", "4"} <= set(counts)
    assert not set(letters) & set(counts)


def test_no_id_is_given_twice_and_every_sign_is_there() -> None:
    text = render_page([phrase(SLIP), phrase(SLIP)]).text
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert sorted(ids) == sorted(set(ids))
    assert {each.removeprefix("#") for each in re.findall(r'href="(#[^"]+)"', text)} <= set(ids)
