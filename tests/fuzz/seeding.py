"""Seeds: whole files that are damaged, and the command lines they go through, each kind with how often.

The files are drumgen's own demonstration, kits, and the invented cases of these tests; MIDI files are made from them by
drumgen itself, SoundFonts by the writer of these tests. ``CASE`` in a command line is the damaged file, ``OUT`` the
folder to write into.
"""

from __future__ import annotations

import struct
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from golden_case import cases, parse_case
from mutating import SIGNS, WORDS, damaged_bytes, damaged_text, turned_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

ROOT = Path(__file__).parents[2]
PHRASE = """title = "Sluice"
phrase = ["a"]
[bars.a]
sticking = ">RLRlR LRz"
hands.R = "hihat"
feet.kick = "1 3"
"""
BOOK = 'title = "Locks"\nnote = "slowly"\nmake = ["midi"]\n[[phrases]]\nfile = "whole.toml"\nheading = "One"\n'
GENTLE = 0.7
"""The share of texts in which words are exchanged for others of their like."""
TOML_LIMIT = 30_000
"""Longer texts are cut: bounds on long ones have tests of their own, and cases are to be many."""


class Case(NamedTuple):
    """A damaged file's name and content (no name: nothing is written), and the arguments of one command line."""

    name: str
    content: bytes
    arguments: tuple[str, ...]


Command = tuple[int, str]
"""How often of all, and the arguments."""

PHRASE_COMMANDS: tuple[Command, ...] = (
    (300, "check CASE"),
    (250, "show CASE"),
    (300, "render CASE -o OUT/x.mid"),
    (50, "render CASE -o OUT/x.mid --tracks limbs --count-in 1 --click quarters --times 2"),
    (40, "render CASE -o OUT/.mid --loop --plain --lead L --handed left"),
    (40, "render CASE -o OUT/x.mid --kit four-piece --tracks voices --ppq 480"),
    (30, "render CASE -o OUT/x.musicxml"),
    (15, "render CASE -o OUT/x.svg --counts"),
    (4, "render CASE -o OUT/x.pdf"),
    (1, "render CASE -o OUT/x.png"),
    (3, "render CASE -o OUT/x.html"),
    (4, "render CASE -o OUT/x.wav --bars 1"),
    (20, "vary CASE -k 2 -o OUT"),
    (3, "assess CASE TAKE"),
    (3, "book FOLDER -o OUT --jobs 1"),
)
KIT_COMMANDS: tuple[Command, ...] = (
    (250, "kits CASE"),
    (200, "check PHRASE --kit CASE"),
    (200, "render PHRASE --kit CASE -o OUT/x.mid"),
    (60, "render PHRASE --kit CASE -o OUT/x.mid --tracks voices --click quarters"),
    (20, "render PHRASE --kit CASE -o OUT/x.musicxml"),
    (60, "kits remap TAKE --from CASE --to general-midi -o OUT/y.mid"),
    (60, "kits remap TAKE --from general-midi --to CASE -o OUT/y.mid"),
    (40, "transcribe TAKE --kit CASE -o OUT/x.toml"),
    (3, "render PHRASE --kit CASE -o OUT/x.wav"),
    (40, "kits learn CAPTURE --order kick,snare,hihat --base CASE -o OUT/x.toml"),
)
MIDI_COMMANDS: tuple[Command, ...] = (
    (300, "transcribe CASE -o OUT/x.toml"),
    (60, "transcribe CASE -o OUT/x.toml --strict"),
    (40, "transcribe CASE -o OUT/x.toml --tempo 100 --meter 6/8 --channel 10 --debounce 20"),
    (20, "assess PHRASE CASE"),
    (5, "assess PHRASE CASE --json --start 0"),
    (200, "kits remap CASE --from general-midi --to five-piece -o OUT/y.mid"),
    (200, "kits learn CASE --order kick,snare,hihat -o OUT/x.toml"),
)
FONT_COMMANDS: tuple[Command, ...] = (
    (100, "render PHRASE --soundfont CASE -o OUT/x.wav"),
    (10, "render PHRASE --soundfont CASE -o OUT/x.flac --rate 48000"),
    (4, "render PHRASE --soundfont CASE -o OUT/x.html"),
)
BOOK_COMMANDS: tuple[Command, ...] = ((1, "book CASE -o OUT --jobs 1"),)
ARGUMENT_COMMANDS: tuple[Command, ...] = (
    (4, "check"),
    (4, "show"),
    (4, "render -o OUT/x.mid"),
    (2, "render -o OUT/.mid"),
    (3, "new"),
    (2, "new --fill -o OUT/x.toml"),
    (1, "vary -k 2"),
    (1, "rudiments"),
    (1, "kits"),
)
OPTIONS = """
    tempo times bars only limbs mute count-in click click-voices click-level click-side ladder rungs gap answer
    rest kit lead handed hands subdivision meter across accents kick ghosts title tracks ppq keep voices for
""".split()  # noqa: SIM905 - as in a book
STICKINGS = ("RLRR LRLL", ">R(L)R|L", "lR rrL Rz B K H -", "paradiddle", "flam tap", "R" * 40, "-RL", "", "x.toml")


@lru_cache(maxsize=1)
def phrase_texts() -> tuple[str, ...]:
    """The phrase files of the demonstration and of the golden cases."""
    demo = [path.read_text("utf-8") for path in sorted((ROOT / "demo").rglob("*.toml"))]
    whole, broken = (
        [parse_case(path.read_text("utf-8")).file for path in cases(name)] for name in ("phrases", "broken-phrases")
    )
    sound = [text for text in (*demo, *whole) if "[bars." in text]
    return (PHRASE, *sound * 20, *(text for text in broken if "[bars." in text))


@lru_cache(maxsize=1)
def kit_texts() -> tuple[str, ...]:
    """The kits that are shipped, and those of the golden cases."""
    shipped = [path.read_text("utf-8") for path in sorted((ROOT / "kits").glob("*.toml"))]
    whole, broken = (
        [parse_case(path.read_text("utf-8")).file for path in cases(name)] for name in ("kits", "broken-kits")
    )
    return (*[*shipped, *whole] * 3, *broken)


@lru_cache(maxsize=1)
def midi_files() -> tuple[bytes, ...]:
    """MIDI files of the demonstration's phrases, in every way of tracks, and the takes of these tests."""
    from drumgen import arrange, perform, render_midi
    from drumgen.spec.loading import read_phrase

    made: list[bytes] = []
    for text in phrase_texts()[:9]:
        performance = perform(arrange(read_phrase(text, file="seed.toml", name="seed").phrase))
        made += [render_midi(performance), render_midi(performance, tracks="voices")]
    takes = [path.read_bytes() for path in sorted((ROOT / "tests/oracle/takes").rglob("*.mid"))]
    return (*made, capture(), *takes)


@lru_cache(maxsize=1)
def capture() -> bytes:
    """Three pads struck four times each, with a pause between them, as a kit is learnt from."""
    strokes = [(note, 240 if number else 1920) for note in (36, 38, 42) for number in range(4)]
    body = b"".join(_delta(ticks) + bytes((0x99, note, 100, 60, note, 0)) for note, ticks in strokes) + b"\0\xff\x2f\0"
    return b"MThd" + struct.pack(">IHHH", 6, 0, 1, 480) + b"MTrk" + struct.pack(">I", len(body)) + body


def _delta(ticks: int) -> bytes:
    return bytes((0x80 | ticks >> 7, ticks & 0x7F))


@lru_cache(maxsize=1)
def take() -> bytes:
    """A small MIDI file that is whole."""
    return midi_files()[0]


@lru_cache(maxsize=1)
def fonts() -> tuple[bytes, ...]:
    """Small SoundFonts: loops, layers, tunings, filters, modulators, 24 bits, and compressed samples."""
    from audio_fonts import sine
    from soundfont_writer import Font, Preset, Recording, Region, range_amount, write_font

    tone, low = Recording(sine(441, 0.05), loop=(100, 300)), Recording(sine(90, 0.2), "low", loop=(20, 4000))
    deep = Recording(sine(900, 0.02), "deep", low_bytes=bytes(range(256)) * 4)
    zones = (
        Region(((48, 20), (17, -100)), None),
        Region(((43, range_amount(30, 60)), (54, 1), (36, -1200), (37, 1000), (8, 9000), (11, 2000)), 0),
        Region(((43, range_amount(36, 90)), (7, 300), (51, 2), (5, 20)), 1, ((0x0502, 48, 700, 0, 0),)),
    )
    plain = (Region(((54, 1), (57, 1), (38, 1200)), 0), Region(((44, range_amount(0, 90)),), 1))
    presets = (Preset(), Preset((Region((), 1),), 8, 128, "other"))
    return (
        write_font(Font((tone, low), (zones,))),
        write_font(Font((low, tone), (plain, zones), presets)),
        write_font(Font((deep,))),
    )


def _command(commands: tuple[Command, ...], rng: Random) -> str:
    return rng.choices([typed for _, typed in commands], [weight for weight, _ in commands])[0]


def _text_case(name: str, texts: tuple[str, ...], commands: tuple[Command, ...], rng: Random) -> Case:
    text = rng.choice(texts)
    damaged = turned_text(text, rng) if rng.random() < GENTLE else damaged_text(text, texts, rng)[:TOML_LIMIT]
    return Case(name, damaged.encode("utf-8", "surrogatepass"), tuple(_command(commands, rng).split()))


def phrase_case(rng: Random) -> Case:
    """A damaged phrase file."""
    return _text_case("x.toml", phrase_texts(), PHRASE_COMMANDS, rng)


def kit_case(rng: Random) -> Case:
    """A damaged kit file."""
    return _text_case("kit.toml", kit_texts(), KIT_COMMANDS, rng)


def book_case(rng: Random) -> Case:
    """A damaged book file."""
    return _text_case("book.toml", (BOOK, *phrase_texts()[:4]), BOOK_COMMANDS, rng)


def midi_case(rng: Random) -> Case:
    """A damaged MIDI file."""
    files = midi_files()
    return Case("x.mid", damaged_bytes(rng.choice(files), files, rng), tuple(_command(MIDI_COMMANDS, rng).split()))


def font_case(rng: Random) -> Case:
    """A damaged SoundFont, mostly in its tables."""
    content = rng.choice(fonts())
    damaged = damaged_bytes(content, fonts(), rng, first=content.index(b"pdta"), order="<")
    return Case("x.sf2", damaged, tuple(_command(FONT_COMMANDS, rng).split()))


def argument_case(rng: Random) -> Case:
    """Odd arguments: a damaged sticking, and options with odd values."""
    text = damaged_text(rng.choice(STICKINGS), STICKINGS, rng)[:2000]
    options: list[str] = []
    for option in rng.sample(OPTIONS, rng.choice((0, 1, 1, 2, 3))):
        values = [
            rng.choice((*WORDS, *SIGNS, "60 to 120 by 20", "2 on 2 off", "hihat/snare", "1 after 2", "eighth 180"))
        ]
        options += [f"--{option}", damaged_text(values[0], values, rng) if rng.random() < 0.4 else values[0]]
    first, *others = _command(ARGUMENT_COMMANDS, rng).split()
    return Case("", b"", (first, *others, *options, "--", text))


KINDS: dict[str, Callable[[Random], Case]] = {
    "phrases": phrase_case,
    "kits": kit_case,
    "midi": midi_case,
    "soundfonts": font_case,
    "books": book_case,
    "arguments": argument_case,
}
