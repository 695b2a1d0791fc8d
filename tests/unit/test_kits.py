"""The shipped kits: every one loads, speaks General MIDI, and plays every voice of the trade."""

from dataclasses import replace
from pathlib import Path

import pytest
from key_names import KEY_NAMES

from drumgen.kit import Kit, Limits
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.spec.document import read_document
from drumgen.spec.kit_file import KitFile
from drumgen.spec.loading import kits_folder, load_kit, read_phrase, shipped_kit, shipped_kits
from drumgen.spec.validation import without_faulty
from drumgen.spec.writing import render_kit_file
from drumgen.trade.general_midi import keys_muted_by, percussion_key
from drumgen.trade.staff import STAFF_PLACES

KITS = ("five-piece", "four-piece", "general-midi", "left-handed", "pedal-hihat", "practice-pad")

PEDAL_KEYS = KEY_NAMES | {"hihat-half": "Closed Hi Hat", "hihat-open": "Closed Hi Hat"}

FOUR_TOMS = """
kit = "five-piece"
phrase = ["turn"]
[bars.turn]
sticking = "RLRR LRLL"
hands.R = { around = ["high-tom", "mid-tom", "low-tom", "floor-tom"], every = "beat" }
"""


@pytest.fixture(params=KITS)
def kit(request: pytest.FixtureRequest) -> Kit:
    return shipped_kit(str(request.param))


def file_of(name: str) -> KitFile:
    text = kits_folder().joinpath(f"{name}.toml").read_text(encoding="utf-8")
    file, faults = without_faulty(KitFile, read_document(text, file=name).table)
    assert file is not None
    assert not faults
    return file


def test_six_kits_are_shipped() -> None:
    assert shipped_kits() == KITS


@pytest.mark.parametrize("name", KITS)
def test_a_kit_is_loaded_by_its_name_and_by_its_path(name: str) -> None:
    assert load_kit(str(kits_folder().joinpath(f"{name}.toml"))) == load_kit(name)


@pytest.mark.parametrize("name", KITS)
def test_a_kit_written_again_is_the_same_kit(name: str) -> None:
    text = kits_folder().joinpath(f"{name}.toml").read_text(encoding="utf-8")
    comments = [line for line in text.splitlines(keepends=True) if line.startswith("#")]
    assert text == "".join(comments) + render_kit_file(file_of(name))


def test_every_voice_has_the_key_that_general_midi_names(kit: Kit) -> None:
    names = PEDAL_KEYS if kit.name == "pedal-hihat" else KEY_NAMES
    for voice in kit.voices.values():
        known = percussion_key(voice.key)
        assert known is not None
        assert (voice.name, known.name) == (voice.name, names[voice.name])


def test_every_voice_of_the_trade_is_played_by_the_limb_that_plays_it(kit: Kit) -> None:
    for name in (*STAFF_PLACES, *general_voices()):
        feet = {"kick": "kick foot", "hihat-foot": "hi-hat foot"}
        assert kit.voice(name).limb == feet.get(name, "hands")


def general_voices() -> tuple[str, ...]:
    return tuple(shipped_kit("general-midi").voices)


def test_every_voice_of_its_own_has_a_place_on_the_staff(kit: Kit) -> None:
    for voice in kit.voices.values():
        clicks = (kit.click, kit.click_accent)
        assert voice.name in STAFF_PLACES or voice.name in clicks or (voice.staff and voice.limb == "hands")


def test_the_general_kit_has_no_figures_of_its_own() -> None:
    assert {voice.velocity for voice in shipped_kit("general-midi").voices.values()} == {0}


def test_figures_of_a_kit_are_modest(kit: Kit) -> None:
    assert all(-12 <= voice.velocity <= 6 for voice in kit.voices.values())


def test_only_hi_hats_choke_as_general_midi_mutes(kit: Kit) -> None:
    hats = {voice.key for voice in kit.voices.values() if voice.choke}
    assert {voice.choke for voice in kit.voices.values()} <= {"", "hi-hat"}
    for voice in kit.voices.values():
        muted = set(keys_muted_by(voice.key))
        assert bool(voice.choke) == bool(muted)
        if voice.choke:
            assert hats <= muted | {voice.key}


def test_a_kit_has_no_limits_and_clicks_on_the_wood_blocks(kit: Kit) -> None:
    assert kit.limits == Limits()
    assert (kit.channel, kit.voice(kit.click).key, kit.voice(kit.click_accent).key) == (10, 77, 76)


def test_places_are_within_reach_and_widths_are_those_of_drums(kit: Kit) -> None:
    for voice in kit.voices.values():
        if voice.name not in (kit.click, kit.click_accent):
            assert 30 <= (voice.x_cm**2 + voice.y_cm**2) ** 0.5 <= 125
            assert voice.y_cm > 0
            assert 8 <= voice.width_cm <= 41
            assert voice.drum or voice.width_cm <= 40
    heads = [
        kit.voices[name].width_cm for name in ("high-tom", "mid-tom", "low-tom", "floor-tom") if name in kit.voices
    ]
    assert heads == sorted(heads)


def test_what_is_struck_at_one_place_is_one_instrument(kit: Kit) -> None:
    by_place: dict[tuple[float, float], set[str]] = {}
    for voice in kit.voices.values():
        if voice.name not in (kit.click, kit.click_accent):
            by_place.setdefault((voice.x_cm, voice.y_cm), set()).add(voice.name)
    instruments = ({"snare", "cross-stick", "rimshot"}, {"hihat", "hihat-half", "hihat-open"}, {"ride", "ride-bell"})
    for names in by_place.values():
        assert len(names) == 1 or any(names <= instrument for instrument in instruments)


def test_the_left_handed_kit_is_the_five_piece_in_a_mirror() -> None:
    left, right = shipped_kit("left-handed"), shipped_kit("five-piece")
    assert (left.hand, right.hand) == ("left", "right")
    assert left.instead == right.instead
    mirrored = {name: replace(voice, x_cm=-voice.x_cm) for name, voice in right.voices.items()}
    assert left.voices == mirrored
    assert {name: voice for name, voice in left.voices.items() if voice.x_cm} != right.voices


def test_the_hi_hat_of_the_pedal_kit_is_one_key_and_a_pedal() -> None:
    kit = shipped_kit("pedal-hihat")
    hats = [kit.voices[name] for name in ("hihat-open", "hihat-half", "hihat")]
    assert {voice.key for voice in hats} == {42}
    assert [voice.pedal for voice in hats] == [0, 64, 127]
    assert kit.voices["hihat-foot"].pedal == 127
    assert all(voice.pedal is None for voice in kit.voices.values() if voice.choke != "hi-hat")
    five = shipped_kit("five-piece")
    assert {name: replace(voice, pedal=None, key=five.voices[name].key) for name, voice in kit.voices.items()} == (
        five.voices
    )


def test_the_practice_pad_takes_everything_that_hands_play() -> None:
    kit = shipped_kit("practice-pad")
    assert kit.home == "pad"
    assert set(kit.instead.values()) == {"pad"}
    assert {voice.name for voice in kit.voices.values() if voice.limb == "hands"} == {"pad", "click", "click-accent"}


def test_four_toms_on_a_five_piece_are_its_three_and_one_remark() -> None:
    phrase = read_phrase(FOUR_TOMS, file="turn.toml", name="turn").phrase
    assert list(map(str, phrase.remarks)) == [
        'turn.toml:6: bars.turn.hands.R.around[3]: "low-tom" is played on "floor-tom", as the kit "five-piece" has none'
    ]
    toms = [hit.voice for hit in perform(arrange(phrase)).hits if hit.limb == "R"]
    assert toms == [*["high-tom"] * 3, "mid-tom", *["floor-tom"] * 3, "floor-tom"]


def test_kit_files_begin_by_saying_where_their_figures_come_from() -> None:
    for name in KITS:
        text = Path(str(kits_folder().joinpath(f"{name}.toml"))).read_text(encoding="utf-8")
        head = text[: text.index("title")]
        assert "General MIDI System Level 1" in head
        assert "centimetres" in head
        assert "from memory" in head
