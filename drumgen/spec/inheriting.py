"""Inheriting: a bar with everything it has from the bars it is like, and where each value was said.

Hands and feet merge limb by limb (a limb's map is replaced whole); parts, and every other key, are replaced whole.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.errors import Fault, Path, nearest

if TYPE_CHECKING:
    from drumgen.spec.phrase_file import BarTable, LayerTable, PhraseFile

LONGEST_CHAIN = 64
_SOUND_KEYS = ("sticking", "rudiment")


class Said(NamedTuple):
    """What a bar says and inherits: the values by key (hands and feet by limb and voice), and the bar each is from."""

    values: dict[str, Any]
    hands: dict[str, Any]
    feet: dict[str, Any]
    said_in: dict[Path, str]

    def get(self, key: str, default: Any = None) -> Any:  # noqa: ANN401 - any value of a file
        """A value, or ``default`` where nothing is said."""
        found = self.values.get(key)
        return default if found is None else found


def chain_of(file: PhraseFile, name: str) -> tuple[list[str], list[Fault]]:
    """The bars from the most distant that a bar is like to itself; a fault where one is missing or they circle.

    A fault of the chain is that of the bar its path names, whichever bar one started from.
    """
    chain, at = [name], name
    while (like := file.bars[at].like) is not None:
        path: Path = ("bars", at, "like")
        if like not in file.bars:
            return chain[::-1], [
                Fault("the name of a bar", got=f'"{like}"', nearest=nearest(like, file.bars), path=path)
            ]
        if like in chain:
            return chain[::-1], [_circle(chain[chain.index(like) :], list(file.bars))]
        if len(chain) == LONGEST_CHAIN:
            rule = f"at most {LONGEST_CHAIN} bars in a row, each like the next"
            return chain[::-1], [Fault(rule, got="more", path=("bars", name, "like"))]
        chain.append(like)
        at = like
    return chain[::-1], []


def _circle(bars: list[str], order: list[str]) -> Fault:
    """The fault of bars that are like each other in a circle: one for all, at the first of them in the file."""
    first = min(bars, key=order.index)
    turned = bars[bars.index(first) :] + bars[: bars.index(first)]
    got = " is like ".join([*turned, first])
    return Fault("bars that are not like each other in a circle", got=got, path=("bars", first, "like"))


def inherit(file: PhraseFile, chain: list[str]) -> Said:
    """The values of the last bar of ``chain``, each laid over those before it."""
    said = Said({}, {}, {}, {})
    for name in chain:
        _lay_over(said, file.bars[name], name)
    return said


def _lay_over(said: Said, table: BarTable, name: str) -> None:
    fields = table.said()
    if any(key in fields for key in _SOUND_KEYS):
        for key in _SOUND_KEYS:  # a sticking takes the place of a rudiment, and a rudiment of a sticking
            said.values.pop(key, None)
            said.said_in.pop((key,), None)
    for key, value in fields.items():
        if key == "hands":
            for limb, hand in hands_said(table).items():
                said.hands[limb] = hand
                said.said_in["hands", limb] = name
        elif key == "feet":
            for voice, rule in value.items():
                said.feet[voice] = rule
                said.said_in["feet", voice] = name
        elif key != "like":
            said.values[key] = value
            said.said_in[key,] = name


def hands_said(table: LayerTable) -> dict[str, Any]:
    """The maps that a bar or a part says itself, by their hands."""
    return table.hands.said() if table.hands else {}


def over(said: Said, part: LayerTable) -> Said:
    """What a part says, over what its bar says."""
    own = {key: value for key, value in part.said().items() if key not in ("hands", "feet", "beats")}
    kept = dict(said.values)
    if any(key in own for key in _SOUND_KEYS):
        for key in (*_SOUND_KEYS, "start"):
            kept.pop(key, None)
    feet = {**said.feet, **(part.feet or {})}
    return Said({**kept, **own}, {**said.hands, **hands_said(part)}, feet, said.said_in)
