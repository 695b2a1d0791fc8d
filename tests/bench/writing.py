"""A thousand phrases of eight bars to MIDI in one process, against mido building and saving the same events.

Both sides make the same bytes of every phrase, which is checked. Every round starts from phrases that were just
loaded, outside the clock, so that nothing worked out in the round before is at hand.
"""

from __future__ import annotations

import gc
import sys
from functools import partial
from typing import TYPE_CHECKING

from bench_phrases import phrase_texts
from measuring import Row, in_turn
from mido_writing import FileRows, rows_of, saved

from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.spec.loading import read_phrase

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.phrase import Phrase

PHRASES = 1000
CHUNK = 50
AGAINST = "mido building and saving the events"


def load(text: str) -> Phrase:
    """A phrase from its text."""
    return read_phrase(text, file="bench.toml", name="bench").phrase


def written(phrase: Phrase) -> bytes:
    """A loaded phrase to MIDI."""
    return render_midi(perform(arrange(phrase)))


def written_text(text: str) -> bytes:
    """A phrase's text to MIDI."""
    return written(load(text))


def every_phrase(phrases: Sequence[Phrase]) -> None:
    for phrase in phrases:
        written(phrase)


def every_text(texts: Sequence[str]) -> None:
    for text in texts:
        written_text(text)


def every_file(files: Sequence[FileRows]) -> None:
    for rows in files:
        saved(rows)


def rows(rounds: int) -> list[Row]:
    """The rows of this module."""
    texts = phrase_texts(PHRASES)
    files = [rows_of(written_text(text)) for text in texts]
    if [saved(file) for file in files] != [written_text(text) for text in texts]:
        sys.exit("mido does not write the same bytes of the same events")
    starts = range(0, PHRASES, CHUNK)
    theirs = [partial(every_file, files[start : start + CHUNK]) for start in starts]
    from_phrases, from_texts = [], []
    for index in range(rounds):
        loaded = [load(text) for text in texts]
        gc.collect()
        gc.freeze()  # the collector does not look through the bench's own values, on either side
        ours = [partial(every_phrase, loaded[start : start + CHUNK]) for start in starts]
        from_phrases.append(in_turn(ours, theirs, turn=index))
        ours = [partial(every_text, texts[start : start + CHUNK]) for start in starts]
        from_texts.append(in_turn(ours, theirs, turn=index))
    number = f"{PHRASES} phrases of 8 bars to MIDI"
    return [
        Row(f"{number}, loaded", AGAINST, 1.3, tuple(from_phrases)),
        Row(f"{number}, from text", AGAINST, 1.6, tuple(from_texts)),
    ]
