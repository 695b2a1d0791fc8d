"""Drafts: a lesson's pages while they are made, from plain tables to phrases on the lesson's kit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.layout import lay_out_fresh
from drumgen.spec.loading import load_kit
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.resolving import resolved
from drumgen.spec.validation import valid

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
    file = valid(PhraseFile, table)
    return Draft(file, resolved(file, kit or load_kit(PAD), name="lesson"))
