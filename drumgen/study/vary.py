"""Vary: the best other orchestrations of a phrase, all of them counted, none passed over.

Two spaces. *By rule*, as drummers do: two hand maps and a rule for the kick. *Stroke by stroke*: every hand stroke on
any voice. What it costs is said in `cost`, what may not be in `material`, what cannot be played in `reach`. Each bar is
counted once however often it comes, with each different seam. Where hardly any bars go together, it ends early and
says so. Deterministic.
"""

from __future__ import annotations

from heapq import merge
from itertools import islice
from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.spec.resolving import resolved
from drumgen.study.arrangements import Arrangements, Found, Mark
from drumgen.study.material import offered_voices
from drumgen.study.refusing import nothing_found
from drumgen.study.stickings import beginnings
from drumgen.study.wish import MOST_WANTED, Variations, Wish

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.kit import Kit, Voice
    from drumgen.phrase import Phrase
    from drumgen.spec.phrase_file import PhraseFile

MOST_READ = 20_000
"""So many orchestrations are read in the order of their cost, at most, to find some that are far enough apart."""

MOST_BARS_TOGETHER = 4
APART = 3
"""By so many strokes orchestrations differ unless it is said; by fewer where few strokes are free."""


def vary(file: PhraseFile, kit: Kit, wish: Wish | None = None) -> Variations:
    """The best other orchestrations of a phrase file on a kit.

    Raises DrumgenError where the file has faults, a word of the wish means nothing, or nothing can be played.
    """
    wish = wish or Wish()
    _check(wish)
    phrase = resolved(file, kit, name="phrase")
    names = varied_bars(phrase, wish.bars)
    offered = offered_voices(kit, wish.voices)
    written = Arrangements(file, phrase, names, offered, wish)
    sources = [written]
    if wish.from_sticking:
        sources += _with_other_beginnings(file, phrase, names, offered, wish)
    apart = wish.apart or min(APART, max(1, written.free // 2))
    together = len(names) <= MOST_BARS_TOGETHER
    remarks = [] if together else [f"{len(names)} bars are varied: each by its own best, not all together"]
    lists = (source.in_order_of_cost() if together else source.side_by_side() for source in sources)
    merged = merge(*(_from_source(each, source) for each, source in zip(lists, sources, strict=True)), key=_points)
    found, read, whole = _far_apart(merged, written.written_mark(), apart, wish.number)
    cut = any(source.cut for source in sources)
    tried = sum(source.tried for source in sources)
    if not read:
        raise nothing_found(phrase, wish, names, tried=tried if cut else None)
    if cut:
        remarks.append(f"{tried} combinations of bars were tried, not all")
    if len(found) < wish.number:
        differ = f"{len(found) or 'none'} of those read {'differs' if len(found) == 1 else 'differ'}"
        remarks.append(f"{differ} by {amount(apart, 'stroke')} from what is written and from each other")
    variations = [source.variation(each) for each, source in found]
    if wish.order == "easiest":
        variations.sort(key=lambda variation: variation.cost.effort)
    covered = sum(source.covered for source in sources)
    return Variations(tuple(variations), covered, read, whole and not cut, tuple(remarks))


def _with_other_beginnings(
    file: PhraseFile, phrase: Phrase, names: tuple[str, ...], offered: tuple[Voice, ...], wish: Wish
) -> Iterator[Arrangements]:
    """What the phrase can be with other accents and another first stroke, where that can be at all."""
    for beginning in islice(beginnings(file, phrase, names), 1, None):
        try:
            other = resolved(beginning.file, phrase.kit, name="phrase")
            yield Arrangements(beginning.file, other, names, offered, wish, beginning)
        except DrumgenError:
            continue


_Sourced = tuple[Found, Arrangements]


def _from_source(source: Iterator[Found], arrangements: Arrangements) -> Iterator[_Sourced]:
    return ((found, arrangements) for found in source)


def _points(sourced: _Sourced) -> int:
    return sourced[0][0]


def _check(wish: Wish) -> None:
    if not 1 <= wish.number <= MOST_WANTED:
        raise DrumgenError(Fault(f"a number from 1 to {MOST_WANTED}", got=str(wish.number), path=("k",)))
    if wish.apart is not None and wish.apart < 1:
        raise DrumgenError(Fault("at least 1 stroke apart", got=str(wish.apart), path=("apart",)))


def varied_bars(phrase: Phrase, asked: tuple[str, ...]) -> tuple[str, ...]:
    """The bars to vary, in the order of the phrase: those of these names or roles, else the fills, else all."""
    played = tuple(name for name in dict.fromkeys(phrase.order) if phrase.bars[name].layer.sticking is not None)
    known = {*played, *(phrase.bars[name].role for name in played)}
    for word in asked:
        if word not in known:
            rule = f"the name or role of a bar with a sticking ({', '.join(sorted(known)) or 'there is none'})"
            raise DrumgenError(Fault(rule, got=f'"{word}"', nearest=nearest(word, known), path=("bars",)))
    if asked:
        return tuple(name for name in played if name in asked or phrase.bars[name].role in asked)
    fills = tuple(name for name in played if phrase.bars[name].role == "fill")
    if not played:
        raise DrumgenError(Fault("a phrase with a bar whose sticking can be varied", got="none", path=("bars",)))
    return fills or played


def _far_apart(
    source: Iterator[_Sourced], written: frozenset[Mark], apart: int, number: int
) -> tuple[list[_Sourced], int, bool]:
    """Read in the order of cost, those far enough from what is written and from each other; how many were read."""
    kept: list[_Sourced] = []
    marks = [written]
    read = 0
    for found, arrangements in islice(source, MOST_READ):
        read += 1
        mark = arrangements.mark(found)
        if all(len(mark - other) >= apart for other in marks):
            kept.append((found, arrangements))
            marks.append(mark)
            if len(kept) == number:
                return kept, read, False
    return kept, read, read < MOST_READ
