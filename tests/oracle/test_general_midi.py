"""The percussion keys against tables that others made.

Sources: General MIDI System Level 1 percussion key map, as pretty_midi and music21 carry it. Neither has the keys of
General MIDI Level 2; these are checked by their number alone.
"""

import pytest
from key_names import KEY_NAMES
from music21 import instrument

from drumgen.trade.general_midi import (
    CHANNEL,
    DRUM_KIT_PROGRAMS,
    FIRST_KEY,
    LAST_KEY,
    PERCUSSION_KEYS,
    VOICE_KEYS,
    keys_muted_by,
    percussion_key,
)
from drumgen.trade.staff import STAFF_PLACES

# Spelt otherwise by pretty_midi: key, its name, ours.
PRETTY_MIDI_SPELLS = {
    44: ("Pedal Hi Hat", "Pedal Hi-Hat"),
    46: ("Open Hi Hat", "Open Hi-Hat"),
    48: ("Hi-Mid Tom", "Hi Mid Tom"),
}

# music21 has a class for these and no key: RideCymbals, SplashCymbals, Castanets, SleighBells and such. Its
# keys by class and modifier:
MUSIC21_NAMES = {
    "BassDrum acoustic": "Acoustic Bass Drum",
    "BassDrum 1": "Bass Drum 1",
    "SnareDrum side": "Side Stick",
    "SnareDrum acoustic": "Acoustic Snare",
    "SnareDrum electric": "Electric Snare",
    "TomTom low floor": "Low Floor Tom",
    "TomTom high floor": "High Floor Tom",
    "TomTom low": "Low Tom",
    "TomTom low-mid": "Low-Mid Tom",
    "TomTom high-mid": "Hi Mid Tom",
    "TomTom high": "High Tom",
    "HiHatCymbal closed": "Closed Hi Hat",
    "HiHatCymbal pedal": "Pedal Hi-Hat",
    "HiHatCymbal open": "Open Hi-Hat",
    "CrashCymbals 1": "Crash Cymbal 1",
    "CrashCymbals 2": "Crash Cymbal 2",
    "Tambourine": "Tambourine",
    "Cowbell": "Cowbell",
    "Vibraslap": "Vibraslap",
    "BongoDrums high": "Hi Bongo",
    "BongoDrums low": "Low Bongo",
    "CongaDrum mute high": "Mute Hi Conga",
    "CongaDrum open high": "Open Hi Conga",
    "CongaDrum low": "Low Conga",
    "Timbales high": "High Timbale",
    "Timbales low": "Low Timbale",
    "Agogo": "High Agogo",
    "Maracas": "Maracas",
    "Woodblock high": "Hi Wood Block",
    "Woodblock hi": "Hi Wood Block",
    "Woodblock low": "Low Wood Block",
    "Woodblock lo": "Low Wood Block",
    "Triangle mute": "Mute Triangle",
    "Triangle open": "Open Triangle",
}


def music21_keys() -> dict[str, int]:
    """Every unpitched percussion of music21 that has a General MIDI key, by class and modifier."""
    found: dict[str, int] = {}
    for cls in vars(instrument).values():
        if isinstance(cls, type) and issubclass(cls, instrument.UnpitchedPercussion) and cls().inGMPercMap:
            keys = cls()._modifierToPercMapPitch or {"": cls().percMapPitch}  # noqa: SLF001  # its only table
            found |= {f"{cls.__name__} {modifier}".strip(): key for modifier, key in keys.items()}
    return found


def pretty_midis_name(key: int) -> str:
    import pretty_midi

    return str(pretty_midi.note_number_to_drum_name(key))


def name_of(key: int) -> str:
    percussion = percussion_key(key)
    assert percussion is not None
    return percussion.name


def test_the_keys_of_both_levels() -> None:
    levels = {percussion.key: percussion.level for percussion in PERCUSSION_KEYS}
    assert list(levels) == list(range(27, 88))
    assert [key for key, level in levels.items() if level == 1] == list(range(FIRST_KEY, LAST_KEY + 1))


@pytest.mark.parametrize("key", range(35, 82))
def test_pretty_midis_names(key: int) -> None:
    theirs = pretty_midis_name(key)
    assert (theirs, name_of(key)) == PRETTY_MIDI_SPELLS.get(key, (name_of(key), name_of(key)))


@pytest.mark.parametrize("key", [0, 26, 27, 34, 82, 87, 88, 127])
def test_pretty_midi_knows_only_level_1(key: int) -> None:
    assert pretty_midis_name(key) == ""
    assert (percussion_key(key) is None) == (key < 27 or key > 87)


def test_music21s_keys() -> None:
    ours = {words: next(p.key for p in PERCUSSION_KEYS if p.name == name) for words, name in MUSIC21_NAMES.items()}
    assert music21_keys() == ours


def test_names_are_told_apart() -> None:
    assert len({percussion.name for percussion in PERCUSSION_KEYS}) == len(PERCUSSION_KEYS)


# The exclusive classes of free General MIDI sound fonts; 29 and 30 from memory.
GROUPS = [(42, 44, 46), (71, 72), (73, 74), (78, 79), (80, 81), (86, 87), (29, 30)]


@pytest.mark.parametrize("group", GROUPS, ids=str)
def test_mute_groups(group: tuple[int, ...]) -> None:
    for key in group:
        assert keys_muted_by(key) == tuple(other for other in group if other != key)


def test_nothing_else_is_muted() -> None:
    muting = {percussion.key for percussion in PERCUSSION_KEYS if keys_muted_by(percussion.key)}
    assert muting == {key for group in GROUPS for key in group}
    assert keys_muted_by(100) == ()


def test_the_drum_channel_is_the_tenth() -> None:
    assert CHANNEL + 1 == 10


def test_the_standard_kit_is_program_0() -> None:
    assert DRUM_KIT_PROGRAMS[0] == (0, "Standard")


# The keys that General MIDI Level 2 added; from memory.
LEVEL_2 = {
    27: "High Q",
    28: "Slap",
    29: "Scratch Push",
    30: "Scratch Pull",
    31: "Sticks",
    32: "Square Click",
    33: "Metronome Click",
    34: "Metronome Bell",
    82: "Shaker",
    83: "Jingle Bell",
    84: "Belltree",
    85: "Castanets",
    86: "Mute Surdo",
    87: "Open Surdo",
}


def test_the_names_of_level_2() -> None:
    assert {percussion.key: percussion.name for percussion in PERCUSSION_KEYS if percussion.level == 2} == LEVEL_2


def test_other_names_are_names_too_and_no_keys_own() -> None:
    others = [percussion.other_name for percussion in PERCUSSION_KEYS if percussion.other_name]
    assert len(set(others)) == len(others)
    assert all(name[0].isupper() for name in others)
    assert not {*others} & {percussion.name for percussion in PERCUSSION_KEYS}


def test_every_voice_of_the_staff_and_both_clicks_have_a_key() -> None:
    assert VOICE_KEYS.keys() == {*STAFF_PLACES, "click", "click-accent"}


@pytest.mark.parametrize("voice", VOICE_KEYS)
def test_a_voice_has_the_key_of_its_name(voice: str) -> None:
    assert name_of(VOICE_KEYS[voice]) == KEY_NAMES[voice]


def test_programs_of_kits_ascend_and_are_named() -> None:
    programs = [program for program, _ in DRUM_KIT_PROGRAMS]
    assert programs == sorted({*programs})
    assert all(0 <= program <= 127 and name[0].isupper() for program, name in DRUM_KIT_PROGRAMS)
