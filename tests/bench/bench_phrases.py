"""Phrases to measure with, invented by a seeded generator: eight bars of four or five different ones.

Every phrase has grooves and fills, accents, ghost notes, feet, moves around the drums, flams, and a landing after each
fill. The same seed gives the same texts on every machine.
"""

from __future__ import annotations

from random import Random

STICKINGS = (
    "RLRR LRLL",
    "RLRLRR LRLRLL",
    "RLLR",
    "RLRL",
    "RRLL",
    "RLRRLL",
    "RLR LRL RL",
    "RL(RL) >RL(RL)",
    ">RLRL >RLRL",
)
FILLS = ("RLRR LRLL", "lR LRLR L", "RLRLRL rL", "RRLL", "RLLR LRRL", "llR LRL")
CYMBALS = ("hihat", "ride", "floor-tom", "cross-stick", "hihat-open")
DRUMS = ("high-tom", "mid-tom", "low-tom", "floor-tom", "snare")
SUBDIVISIONS = ("sixteenths", "sixteenths", "sixteenths", "eighths", "triplets", "sextuplets")
COUNTS = {
    "sixteenths": ("1", "2", "3", "4", "1&", "2&", "3&", "4&", "2a", "4a", "1e", "3e"),
    "eighths": ("1", "2", "3", "4", "1&", "2&", "3&", "4&"),
    "triplets": ("1", "2", "3", "4", "1l", "2l", "3t", "4t"),
    "sextuplets": ("1", "2", "3", "4", "1&", "2&", "2l", "4t"),
}
EVERY = ("stroke", "beat")

SLIPWAY = """
title   = "Slipway, four bars"
tempo   = 92
meter   = "4/4"
phrase  = ["verse x3", "turn"]
landing = ["crash", "kick"]

[bars.verse]
role        = "groove"
sticking    = "RLRR LRLL"
subdivision = "sixteenths"
accents     = "2 4"
ghosts.L    = "all"
hands.R     = "hihat"
hands.L     = "snare"
feet.kick   = "1 2& >3 (4&)"

[bars.turn]
role        = "fill"
like        = "verse"
accents     = "1 2 3 4"
ghosts      = ""
hands.R     = { around = ["high-tom", "mid-tom", "low-tom", "floor-tom"], every = "beat" }
hands.L     = { main = "snare", "4& 4a" = "floor-tom" }
feet.kick   = "with accents"
dynamics    = "mp to f"
"""
"""One phrase as a drummer writes it, for the measures of a single file."""


def counts(random: Random, subdivision: str, least: int, most: int) -> str:
    """Counts on which the hands play something."""
    return " ".join(sorted(random.sample(COUNTS[subdivision], random.randint(least, most))))


def signed(random: Random, subdivision: str) -> str:
    """A foot's line: counts, some accented, some ghosted."""
    signs = ("{}", "{}", "{}", ">{}", "({})")
    return " ".join(random.choice(signs).format(count) for count in counts(random, subdivision, 2, 5).split())


def groove(random: Random, name: str) -> str:
    subdivision = random.choice(SUBDIVISIONS)
    return f"""
[bars.{name}]
sticking = "{random.choice(STICKINGS)}"
subdivision = "{subdivision}"
across = "{random.choice(("carry", "restart")) if subdivision != "eighths" else "carry"}"
accents = "{counts(random, subdivision, 1, 3)}"
ghosts.L = "all"
hands.R = {{ main = "{random.choice(CYMBALS)}", accent = "{random.choice(CYMBALS)}" }}
hands.L = {{ main = "snare", "{random.randint(1, 4)}*" = "{random.choice(DRUMS)}" }}
feet.kick = "{signed(random, subdivision)}"
feet.hihat-foot = "{random.choice(("2 4", "1 2 3 4", "*&"))}"
"""


def fill(random: Random, name: str) -> str:
    subdivision = random.choice(SUBDIVISIONS)
    around = ", ".join(f'"{voice}"' for voice in random.sample(DRUMS, 4))
    return f"""
[bars.{name}]
role = "fill"
sticking = "{random.choice(FILLS)}"
subdivision = "{subdivision}"
accents = "{counts(random, subdivision, 2, 4)}"
hands.R = {{ around = [{around}], every = "{random.choice(EVERY)}" }}
hands.L = {{ main = "snare", accent = "{random.choice(DRUMS)}" }}
feet.kick = "with accents"
dynamics = "mp to f"
"""


def phrase_text(random: Random, number: int) -> str:
    """One phrase file of eight bars."""
    order = random.choice(
        (
            '["one x3", "turn", "two x3", "close"]',
            '["one", "two", "one", "turn", "three", "two", "three", "close"]',
            '["one x2", "two", "turn", "one", "three", "one", "close"]',
        )
    )
    bars = [groove(random, name) for name in ("one", "two", "three")]
    fills = [fill(random, name) for name in ("turn", "close")]
    head = f'title = "Bench {number}"\ntempo = {random.randint(60, 180)}\nphrase = {order}\n'
    return head + "".join(bars + fills)


def phrase_texts(number: int, *, seed: int = 1) -> list[str]:
    """So many phrase files, all different."""
    random = Random(seed)  # noqa: S311 - for variety, not for secrets
    return [phrase_text(random, index) for index in range(number)]
