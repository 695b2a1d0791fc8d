"""Parts: what the parts of a bar say themselves, and so do not have from the bar, whatever is changed in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumgen.spec.inheriting import chain_of, hands_said, inherit

if TYPE_CHECKING:
    from drumgen.kit import Kit
    from drumgen.spec.phrase_file import PhraseFile


@dataclass(frozen=True, slots=True)
class SaidByParts:
    """The hands, as (number of the part, hand as written), that have a map there; whether a part has a kick."""

    hands: frozenset[tuple[int, str]] = frozenset()
    kick: bool = False


def said_by_parts(file: PhraseFile, name: str, kit: Kit) -> SaidByParts:
    """What the parts of a bar say themselves."""
    tables = inherit(file, chain_of(file, name)[0]).get("parts", ())
    hands = {(index, hand) for index, table in enumerate(tables) for hand in hands_said(table)}
    kick = any(kit.voice(voice).limb == "kick foot" for table in tables for voice in table.feet or {})
    return SaidByParts(frozenset(hands), kick)
