"""Damage: a text or bytes changed in a few places, by a seeded generator, so that a case is named by its number."""

from __future__ import annotations

import re
import struct
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from random import Random

TOKEN = re.compile(r"[A-Za-z_-]+|\d+|\s+|.", re.DOTALL)
NUMBERS = (*"0 1 2 3 4 5 7 8 9 12 16 32 33 64 127 128 400 401 -1 1000 9999 10000 99999 100000 2147483647".split(),  # noqa: SIM905 - as below
           "4294967296", "9" * 30, "0x7f", "1e9", "nan", "-inf", "0.5", "1.", "1_000")  # fmt: skip
SIGNS = (*"= . , [ ] [[ ]] { } \" ' # ( ) > < | / : + * & % ~ - --".split(),  # noqa: SIM905 '"""', "'''", "\n", "\r\n", "\t", " ", "\\",
         "\\u0000", "\\u202e", "\0", "\x1b[31m", "\ufeff", "\u2028", "\u0663", "\uff11", "\u00e9", "e\u0301", "\u6c34",
         "\u0646\u0647\u0631", "\U0001f941", "\ufb01", "\u0130")  # fmt: skip
STROKES = ("R", "L", "K", "-", ">R", "(L)", "lR", "rrL", "Rz", "", "RL", " ")
WORDS = """
    R L B K H RL lR rL llR rrL Rz >R (R) (RL) RLRR LRLL all every none with gaps x x3 x99 e a t l 1e 2& 3a 2t 2l
    2.3 2* *& title tempo meter kit handed phrase landing feel dynamics practice bars note role like sticking
    rudiment lead start across subdivision accents ghosts hands feet grace_voice parts beats swing of ratio
    spread_ms seed flam_ms drag_ms buzz_ms main accent ghost around times only limbs mute count_in loop click
    click_voices click_level click_side only_click ladder rungs gap answer rest groove fill pickup restart carry
    once drum split stroke beat group bar left right true false eighths quarters sixteenths thirty-seconds
    triplets quintuplets sextuplets septuplets quarter eighth dotted half in 4/4 3/4 6/8 7/8 12/8 2/2 1/32 32/1
    2+2+3 kick snare hihat hihat-open hihat-foot ride crash floor-tom high-tom cross-stick splash general-midi
    five-piece four-piece left-handed practice-pad pedal-hihat voices channel program hand click_accent limits
    ppq name_length name_characters text_characters longest_s largest_kib notes_only played_by kind at width
    staff notehead choke velocity pedal instead metal mp mf ff ppp crescendo to by on off after 2:1 3:1 120
    paradiddle flam tap feet right hand make midi sheet page play-along headings phrases file files
""".split()  # noqa: SIM905 - a page of words reads best so


def turned_text(text: str, rng: Random) -> str:
    """A text in which a few values have others of their like in their place, so that it often still means something."""
    tokens = TOKEN.findall(text)
    values = _value_tokens(tokens)
    for _ in range(rng.choice((1, 1, 2, 3)) if values else 0):
        at = rng.choice(values)
        old = tokens[at]
        if old.isdecimal():
            small = (str(rng.randrange(1, 9)), str(rng.randrange(1, 9)), str(rng.randrange(200)))
            tokens[at] = rng.choice((*small, rng.choice(NUMBERS)))
        elif set(old) <= set("RLBKHrlz-"):
            place = rng.randrange(len(old) + 1)
            tokens[at] = old[:place] + rng.choice(STROKES) + old[place + 1 :]
        else:
            others = sorted({tokens[i] for i in values if not tokens[i].isdecimal()})
            tokens[at] = rng.choice((rng.choice(others), rng.choice(others), rng.choice(WORDS)))
    return "".join(tokens)


def _value_tokens(tokens: Sequence[str]) -> list[int]:
    """Where the words and numbers are that stand after a sign of equality in their line."""
    found, after = [], False
    for index, text in enumerate(tokens):
        after = (after or text == "=") and "\n" not in text
        if after and text.replace("-", "").isalnum():
            found.append(index)
    return found


def damaged_text(text: str, others: Sequence[str], rng: Random) -> str:
    """A text with a few of its words, lines and signs changed; ``others`` are texts to take pieces from."""
    tokens = TOKEN.findall(text)
    for _ in range(_few(rng)):
        start = rng.randrange(len(tokens) + 1)
        end = min(len(tokens), start + rng.choice((0, 1, 1, 1, 2, 5, 20)))
        match rng.randrange(8):
            case 0:
                tokens[start:end] = []
            case 1:
                tokens[start:end] = tokens[start:end] * rng.choice((2, 2, 3, 50))
            case 2 | 3 | 4:
                tokens[start:end] = [_word(rng)]
            case 5:
                to = rng.randrange(len(tokens) + 1)
                tokens[to:to] = tokens[start:end]
            case 6:
                lines = rng.choice(others).splitlines(keepends=True) or [""]
                at = rng.randrange(len(lines))
                tokens[start:start] = ["\n", *lines[at : at + rng.randrange(1, 4)]]
            case _:
                tokens = _with_lines_moved(tokens, rng)
    return "".join(tokens)


def _few(rng: Random) -> int:
    return rng.choice((1, 1, 1, 2, 2, 3, 5, 8))


def _word(rng: Random) -> str:
    return rng.choice(rng.choice((WORDS, WORDS, NUMBERS, SIGNS)))


def _with_lines_moved(tokens: list[str], rng: Random) -> list[str]:
    lines = "".join(tokens).splitlines(keepends=True) or [""]
    first, second = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[first], lines[second] = lines[second], lines[first]
    return TOKEN.findall("".join(lines))


def damaged_bytes(content: bytes, others: Sequence[bytes], rng: Random, *, first: int = 0, order: str = ">") -> bytes:
    """Bytes with a few places changed; ``first`` is where the interesting part begins, ``order`` that of its words."""
    view = bytearray(content)
    for _ in range(_few(rng)):
        low = first if rng.random() < 0.8 and first < len(view) else 0
        at = rng.randrange(low, len(view) + 1) if view else 0
        size = rng.choice((1, 1, 2, 3, 4, 8, 32, 300))
        match rng.randrange(9):
            case 0 if at < len(view):
                view[at] ^= 1 << rng.randrange(8)
            case 1 if at < len(view):
                view[at] = rng.choice((0, 1, 0x7F, 0x80, 0x90, 0x99, 0xC0, 0xF0, 0xF7, 0xFE, 0xFF, rng.randrange(256)))
            case 2:
                del view[at : at + size]
            case 3:
                view[at:at] = rng.randbytes(size)
            case 4:
                view[at:at] = view[at : at + size] * rng.choice((1, 1, 2, 30))
            case 5:
                other = rng.choice(others)
                start = rng.randrange(len(other) + 1)
                view[at : at + rng.choice((0, size))] = other[start : start + size]
            case 6:
                width = rng.choice("BHI")
                most = (1 << 8 * struct.calcsize(width)) - 1
                word = rng.choice((0, 1, 2, most, most // 2, most // 2 + 1, most - 1, len(view) & most))
                view[at : at + struct.calcsize(width)] = struct.pack(order + width, word)
            case 7 if rng.random() < 0.3:
                del view[at:]
            case _:
                view[at : at + size] = rng.randbytes(size)
    return bytes(view)
