"""Stickings: a phrase file whose varied bars begin with another stroke, or have other accents."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Any

from drumgen.counts import Places, parse_places
from drumgen.spec.inheriting import chain_of, inherit
from drumgen.study.rewriting import Change, rewritten

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.meter import Meter
    from drumgen.phrase import Phrase
    from drumgen.spec.phrase_file import PhraseFile

MOST_STARTS = 8
_SPOKEN = {"*&": "every &", "every 3": "every third place"}


@dataclass(frozen=True, slots=True)
class Beginning:
    """Another way to begin: the file with it, and in words; ``changes`` is how many of start and accents are other."""

    file: PhraseFile
    words: str
    changes: int


def beginnings(file: PhraseFile, phrase: Phrase, names: tuple[str, ...]) -> Iterator[Beginning]:
    """The file as it is, then with other starts and accents in the bars of these names, the same in each."""
    yield Beginning(file, "", 0)
    first = phrase.bars[names[0]]
    stickings = [phrase.bars[name].layer.sticking for name in names]
    fewest = min((sticking.strokes for sticking in stickings if sticking is not None), default=1)
    starts = (None, *range(2, min(fewest, MOST_STARTS) + 1))
    accents = (None, *_accent_lines(first.meter))
    for start, accent in product(starts, accents):
        if start is None and accent is None:
            continue
        changes = {name: Change({}, values=tuple(_values(file, name, start, accent))) for name in names}
        parts = [f"begins with stroke {start}"] if start else []
        parts += [f"accents on {_SPOKEN.get(accent, accent)}"] if accent else []
        made = rewritten(file, phrase.kit, changes, note=file.note or "")
        yield Beginning(made, ", ".join(parts), (start is not None) + (accent is not None))


def _accent_lines(meter: Meter) -> list[str]:
    """Lines of accents a teacher would try: the beats, the offbeats, every third place."""
    starts = {beat.start for beat in meter.beats}
    lines = [" ".join(str(i) for i, count in enumerate(meter.counts, start=1) if count.start in starts)]
    if all("&" in count.parts for count in meter.counts):
        lines.append("*&")
    return [*lines, "every 3"]


def _values(file: PhraseFile, name: str, start: int | None, accent: str | None) -> Iterator[tuple[str, Any]]:
    said = inherit(file, chain_of(file, name)[0])
    if start is not None:
        before = said.get("start", 1)
        sticking = said.get("sticking")
        strokes = sticking.strokes if sticking is not None else before + start
        yield "start", (before + start - 2) % max(1, strokes) + 1
    if accent is not None:
        yield "accents", (("", parse_places(accent, signs=False)),) if accent else (("", Places()),)
        if said.get("sticking") is not None:
            yield "sticking", said.get("sticking").without_accents()
