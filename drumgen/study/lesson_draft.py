"""Drafts: a lesson's pages while they are made, from plain tables to phrases on the lesson's kit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.errors import DrumgenError
from drumgen.layout import lay_out_fresh
from drumgen.spec.layering import Overrides
from drumgen.spec.loading import load_kit
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.resolving import Resolver
from drumgen.spec.validation import validated

if TYPE_CHECKING:
    from drumgen.counts import Slot
    from drumgen.kit import Kit
    from drumgen.phrase import Phrase

PAD = "practice-pad"


class Draft(NamedTuple):
    """A phrase file that was made here, and its phrase on a kit."""

    file: PhraseFile
    phrase: Phrase

    @property
    def slots(self) -> tuple[Slot, ...]:
        """The places of the hands in its first bar."""
        bar = self.phrase.bars[self.phrase.order[0]]
        return lay_out_fresh(bar, self.phrase.kit).slots


def draft(table: dict[str, Any], kit: Kit | None = None) -> Draft:
    """The phrase of a table as a phrase file says it, on a kit (unsaid: the pad). Raises DrumgenError."""
    file, faults = validated(PhraseFile, table)
    if file is None or faults:
        raise DrumgenError(*faults)
    return Draft(file, resolved(file, kit or load_kit(PAD)))


def resolved(file: PhraseFile, kit: Kit) -> Phrase:
    """The phrase of a file on a kit. Raises DrumgenError with all its faults."""
    resolver = Resolver(file, kit, Overrides())
    phrase = resolver.phrase("lesson")
    if phrase is None:
        raise DrumgenError(*resolver.gathering.faults)
    return phrase
