"""Telling: what an orchestration does, in one line a teacher could say."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from drumgen.counts import spoken
from drumgen.study.material import written_hand
from drumgen.study.words import limb_words, voice_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.orchestration import HandMap
    from drumgen.study.material import BarMaterial

_FOOT_WORDS: dict[str, str] = {
    "with accents": "the kick with every accent",
    "with R": "the kick with the {R}",
    "with L": "the kick with the {L}",
    "gaps": "the kick where the hands rest",
    "none": "no kick",
}
_EVERY = {
    "stroke": "with every stroke",
    "beat": "a drum each beat",
    "group": "a drum each time round",
    "bar": "a drum each bar",
}
_MOST_RUNS = 6


def told(
    material: BarMaterial,
    names: Sequence[str],
    maps: dict[str, HandMap | None],
    foot: str | None,
    order: dict[str, int],
) -> str:
    """The line of one bar: both hands by their maps, or by what they play, and the foot where it is another."""
    parts = []
    for hand in ("R", "L"):
        own = [i for i, choice in enumerate(material.choices) if choice.limb == hand]
        if not own:
            continue
        hand_map = maps.get(hand)
        words = map_words(hand_map, order) if hand_map is not None else _run_words(material, names, own, order)
        parts.append(f"{limb_words(hand)} {words}")
    if foot is not None:
        parts.append(_foot_words(material, foot))
    return "; ".join(parts)


def _foot_words(material: BarMaterial, foot: str) -> str:
    """What the kick does. A file's rule names the hand as written; the words name the hand that plays it."""
    hands = {written_hand(material.bar, limb): limb_words(limb) for limb in ("R", "L")}
    return _FOOT_WORDS[foot].format_map(hands)


def map_words(hand: HandMap, order: dict[str, int]) -> str:
    """What a map makes a hand do: ``walks down high tom and floor tom, a drum each beat, accents on snare``."""
    if hand.around:
        steps = [order.get(voice, -1) for voice in hand.around]
        down = steps == sorted(steps) and -1 not in steps
        head = f"{'walks down' if down else 'goes around'} {_list(hand.around)}, {_EVERY[hand.every]}"
    else:
        head = f"stays on {voice_words(hand.main)}"
    accent = f", accents on {voice_words(hand.accent)}" if hand.accent else ""
    ghost = f", ghost notes on {voice_words(hand.ghost)}" if hand.ghost else ""
    return head + accent + ghost


def _list(names: Sequence[str]) -> str:
    words = [voice_words(name) for name in names]
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]


def _run_words(material: BarMaterial, names: Sequence[str], own: list[int], order: dict[str, int]) -> str:
    """What a hand plays, by what is on its accents and its taps, or one after the other."""
    accents = _without_repeats([names[i] for i in own if material.choices[i].stroke.level == "accent"])
    taps = _without_repeats([names[i] for i in own if material.choices[i].stroke.level != "accent"])
    if len({*accents, *taps}) == 1:
        return f"stays on {voice_words((*accents, *taps)[0])}"
    if len(taps) == 1 and accents:
        steps = [order.get(name, -1) for name in accents]
        down = len(steps) > 1 and steps == sorted(steps) and -1 not in steps
        where = f"walks down {_list(accents)} with its accents" if down else f"has its accents on {_list(accents)}"
        return f"{where}, the rest on {voice_words(taps[0])}"
    runs = [list(group) for _, group in groupby(own, key=lambda i: names[i])]
    if len(runs) > _MOST_RUNS:
        return (
            f"moves between {_list(sorted(dict.fromkeys(names[i] for i in own), key=lambda name: order.get(name, -1)))}"
        )
    meter = material.bar.meter
    told_runs = [
        f"{voice_words(names[run[0]])} from {spoken(material.choices[run[0]].place, meter=meter)}" for run in runs
    ]
    return f"plays {', '.join(told_runs)}"


def _without_repeats(names: Sequence[str]) -> list[str]:
    return [name for name, _ in groupby(names)]
