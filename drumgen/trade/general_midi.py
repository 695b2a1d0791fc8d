"""General MIDI percussion: what each key of the drum channel is called, and which keys cut each other off.

Source: General MIDI System Level 1 percussion key map (keys 35 to 81) and General MIDI Level 2 standard kit (27 to
34 and 82 to 87, which are new there). Mute groups are the exclusive classes of free General MIDI sound fonts,
and that of the scratch keys is from memory. Channels and programs count from 0, as on the wire.
"""

from __future__ import annotations

from dataclasses import dataclass

CHANNEL = 9
FIRST_KEY, LAST_KEY = 35, 81


@dataclass(frozen=True, slots=True)
class PercussionKey:
    """One key: ``level`` of General MIDI that brought it, another name in use, and its ``mute_group`` or ""."""

    key: int
    name: str
    level: int
    other_name: str = ""
    mute_group: str = ""


PERCUSSION_KEYS: tuple[PercussionKey, ...] = (
    PercussionKey(27, "High Q", 2),
    PercussionKey(28, "Slap", 2),
    PercussionKey(29, "Scratch Push", 2, "", "scratch"),
    PercussionKey(30, "Scratch Pull", 2, "", "scratch"),
    PercussionKey(31, "Sticks", 2),
    PercussionKey(32, "Square Click", 2),
    PercussionKey(33, "Metronome Click", 2),
    PercussionKey(34, "Metronome Bell", 2),
    PercussionKey(35, "Acoustic Bass Drum", 1, "Bass Drum 2 / Kick Drum 2"),
    PercussionKey(36, "Bass Drum 1", 1, "Kick Drum 1"),
    PercussionKey(37, "Side Stick", 1),
    PercussionKey(38, "Acoustic Snare", 1, "Snare Drum 1"),
    PercussionKey(39, "Hand Clap", 1, "Clap"),
    PercussionKey(40, "Electric Snare", 1, "Snare Drum 2"),
    PercussionKey(41, "Low Floor Tom", 1, "Low Tom 2"),
    PercussionKey(42, "Closed Hi Hat", 1, "", "hi-hat"),
    PercussionKey(43, "High Floor Tom", 1, "Low Tom 1"),
    PercussionKey(44, "Pedal Hi-Hat", 1, "", "hi-hat"),
    PercussionKey(45, "Low Tom", 1, "Mid Tom 2"),
    PercussionKey(46, "Open Hi-Hat", 1, "", "hi-hat"),
    PercussionKey(47, "Low-Mid Tom", 1, "Mid Tom 1"),
    PercussionKey(48, "Hi Mid Tom", 1, "High Tom 2"),
    PercussionKey(49, "Crash Cymbal 1", 1),
    PercussionKey(50, "High Tom", 1, "High Tom 1"),
    PercussionKey(51, "Ride Cymbal 1", 1),
    PercussionKey(52, "Chinese Cymbal", 1),
    PercussionKey(53, "Ride Bell", 1),
    PercussionKey(54, "Tambourine", 1),
    PercussionKey(55, "Splash Cymbal", 1),
    PercussionKey(56, "Cowbell", 1),
    PercussionKey(57, "Crash Cymbal 2", 1),
    PercussionKey(58, "Vibraslap", 1),
    PercussionKey(59, "Ride Cymbal 2", 1),
    PercussionKey(60, "Hi Bongo", 1),
    PercussionKey(61, "Low Bongo", 1),
    PercussionKey(62, "Mute Hi Conga", 1),
    PercussionKey(63, "Open Hi Conga", 1),
    PercussionKey(64, "Low Conga", 1),
    PercussionKey(65, "High Timbale", 1),
    PercussionKey(66, "Low Timbale", 1),
    PercussionKey(67, "High Agogo", 1),
    PercussionKey(68, "Low Agogo", 1),
    PercussionKey(69, "Cabasa", 1),
    PercussionKey(70, "Maracas", 1),
    PercussionKey(71, "Short Whistle", 1, "Short Hi Whistle", "whistle"),
    PercussionKey(72, "Long Whistle", 1, "Long Low Whistle", "whistle"),
    PercussionKey(73, "Short Guiro", 1, "", "guiro"),
    PercussionKey(74, "Long Guiro", 1, "", "guiro"),
    PercussionKey(75, "Claves", 1),
    PercussionKey(76, "Hi Wood Block", 1),
    PercussionKey(77, "Low Wood Block", 1),
    PercussionKey(78, "Mute Cuica", 1, "", "cuica"),
    PercussionKey(79, "Open Cuica", 1, "", "cuica"),
    PercussionKey(80, "Mute Triangle", 1, "", "triangle"),
    PercussionKey(81, "Open Triangle", 1, "", "triangle"),
    PercussionKey(82, "Shaker", 2),
    PercussionKey(83, "Jingle Bell", 2),
    PercussionKey(84, "Belltree", 2, "Bell Tree"),
    PercussionKey(85, "Castanets", 2),
    PercussionKey(86, "Mute Surdo", 2, "Closed Surdo", "surdo"),
    PercussionKey(87, "Open Surdo", 2, "", "surdo"),
)

_BY_KEY = {percussion.key: percussion for percussion in PERCUSSION_KEYS}

# Kits by program change on the drum channel. From a free General MIDI sound font; 56, and that Level 1 promises only
# the first, from memory.
DRUM_KIT_PROGRAMS = (
    (0, "Standard"),
    (8, "Room"),
    (16, "Power"),
    (24, "Electronic"),
    (25, "Analog"),
    (32, "Jazz"),
    (40, "Brush"),
    (48, "Orchestra"),
    (56, "SFX"),
)


def percussion_key(key: int) -> PercussionKey | None:
    """What General MIDI (either level) says of that key, or ``None``.

    >>> percussion_key(42)
    PercussionKey(key=42, name='Closed Hi Hat', level=1, other_name='', mute_group='hi-hat')
    """
    return _BY_KEY.get(key)


def keys_muted_by(key: int) -> tuple[int, ...]:
    """The other keys that a stroke on ``key`` cuts off, ascending.

    >>> keys_muted_by(42)
    (44, 46)
    """
    struck = _BY_KEY.get(key)
    if struck is None or not struck.mute_group:
        return ()
    return tuple(other.key for other in PERCUSSION_KEYS if other.mute_group == struck.mute_group and other != struck)


VOICE_KEYS: dict[str, int] = {
    "kick": 36,
    "snare": 38,
    "cross-stick": 37,
    "rimshot": 40,
    "hihat": 42,
    "hihat-half": 46,
    "hihat-open": 46,
    "hihat-foot": 44,
    "ride": 51,
    "ride-bell": 53,
    "crash": 49,
    "crash-2": 57,
    "splash": 55,
    "china": 52,
    "high-tom": 50,
    "mid-tom": 47,
    "low-tom": 45,
    "floor-tom": 43,
    "cowbell": 56,
    "woodblock": 76,
    "tambourine": 54,
    "pad": 37,
    "click": 77,
    "click-accent": 76,
}
"""The key of each trade voice; *common practice* where General MIDI names none (rimshot, half-open hat, pad, click)."""
