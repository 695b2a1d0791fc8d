"""The click in a take: strokes that a machine made on the notes of the kit's click, and that nobody's hands played.

It is heard where a voice sounds that is nothing but a click. Then the kit's other click may stand on a note that it
plays something else on too (General MIDI's woodblock): its strokes are the click's as well. On either note they are so
only if all of them are as loud as each other, as a click's are: a player's are not.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from itertools import compress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet

    from drumgen.take import Take

CLICKS = frozenset({"click", "click-accent"})
"""The trade's names of voices that are nothing but a click; a kit may click with others too, which hands play."""


def click_keys(take: Take) -> frozenset[int]:
    """The MIDI keys on which only the click of a take's kit is heard."""
    kit = take.kit
    keys = {kit.voice(voice).key for voice in (kit.click, kit.click_accent)}
    forces: dict[int, set[int]] = defaultdict(set)
    for hit in take.hits:
        if hit.key in keys:
            forces[hit.key].add(hit.velocity)
    even = frozenset(key for key, own in forces.items() if len(own) == 1)
    is_heard = any(hit.voice in CLICKS and hit.key in even for hit in take.hits)
    return even if is_heard else frozenset()


def without_keys(take: Take, keys: AbstractSet[int]) -> Take:
    """The take without its hits on these MIDI keys."""
    keep = [hit.key not in keys for hit in take.hits]
    pedals, chokes = (tuple(compress(row, keep)) for row in (take.pedals, take.chokes))
    return replace(take, hits=tuple(compress(take.hits, keep)), pedals=pedals, chokes=chokes)
