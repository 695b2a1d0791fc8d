"""How each product of a book is practised: the phrase's own options, and the book's laid over them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault
from drumgen.practice import Practice
from drumgen.spec.practising import with_options

if TYPE_CHECKING:
    from drumgen.book import Entry, Product
    from drumgen.phrase import Phrase


def practice_for(product: Product | str, phrase: Phrase, entry: Entry) -> Practice:
    """The practice options that a product is made with. Raises DrumgenError where they contradict each other.

    MIDI is the phrase itself at its tempo, once, without count-in and click (a loop stays a loop). A play-along has
    the phrase's own options with the book's laid over them, without the ladder; the click is the click of that
    (on the beats, where it has none). A page begins with the same, and with the ladder where no tempo is named.
    """
    said = dict(entry.options)
    if product == "midi":
        return Practice(tempo=said.get("tempo", phrase.practice.tempo), loop=phrase.practice.loop)
    if product == "ladder":
        said = {key: value for key, value in said.items() if key != "tempo"}
        said |= {"ladder": entry.ladder} if entry.ladder else {}
        practice = with_options(replace(phrase.practice, loop=False, rungs_apart=False), said)
        if not practice.rungs:
            raise DrumgenError(Fault('a line ladder = "60 to 80 by 5" in the book, or in [practice]', got="none"))
        return practice
    if product == "page" and "tempo" not in said:
        said |= {"ladder": entry.ladder} if entry.ladder else {}
        return replace(with_options(phrase.practice, said), rungs_apart=False)
    practice = replace(with_options(phrase.practice, said), rungs=(), rungs_apart=False)
    return replace(practice, click=practice.click or "beats", only_click=True) if product == "click" else practice
