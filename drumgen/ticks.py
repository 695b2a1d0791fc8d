"""Ticks: from exact grains to the whole ticks of a file, and whether they can hold the strokes at all.

A file has 960 ticks to the quarter, or 10 080 (one a grain) where 960 cannot hold the strokes; a number that a kit or
the user fixes must hold them, or it is an error that names the first stroke that does not fit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.counts import spoken
from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import GRAINS_PER_QUARTER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.errors import Path
    from drumgen.spans import Span
    from drumgen.strokes import Played

USUAL_PPQ = 960
FINEST_PPQ = GRAINS_PER_QUARTER
MOST_PPQ = 32_767


def nearest_tick(above: int, below: int, ppq: int) -> int:
    """The tick nearest to ``above / below`` grains; half a tick goes up."""
    below *= GRAINS_PER_QUARTER
    return (2 * above * ppq + below) // (2 * below)


def choose_ppq(played: Sequence[Played], *, fixed: int | None, fixed_by: Path = ("ppq",)) -> tuple[int, str]:
    """Ticks to the quarter that hold every stroke, and a remark where they are not the usual ones.

    ``fixed`` is the number that ``fixed_by`` (the path of an option, of a kit's limit) asks for; raises DrumgenError
    where it is too coarse, naming the first stroke that does not fit.
    """
    if fixed is not None:
        misfit = _misfit(played, fixed)
        if misfit:
            rule = f"strokes that {fixed} ticks to the quarter hold"
            raise DrumgenError(Fault(rule, got=misfit, path=fixed_by))
        return fixed, ""
    misfit = _misfit(played, USUAL_PPQ)
    if not misfit:
        return USUAL_PPQ, ""
    return FINEST_PPQ, f"{FINEST_PPQ} ticks to the quarter, as {USUAL_PPQ} do not hold {misfit}"


def _misfit(played: Sequence[Played], ppq: int) -> str:
    """The first place that does not stand on a tick, in words; nothing where all do."""
    seen: set[int] = set()
    for span, laid in played:
        if span.start * ppq % GRAINS_PER_QUARTER:
            return f"the bar line of bar {span.number}"
        for click in span.clicks:
            if click.place * ppq % GRAINS_PER_QUARTER:
                return _named(span, click.place, "click")
        if id(laid) in seen:
            continue
        seen.add(id(laid))
        for stroke in laid.strokes:
            if stroke.place * ppq % GRAINS_PER_QUARTER:
                return _named(span, stroke.place, stroke.limb)
    last = played[-1].span
    if (last.start + last.meter.grains) * ppq % GRAINS_PER_QUARTER:
        return "the last bar line"
    return ""


def _named(span: Span, place: int, limb: str) -> str:
    name = f' "{span.bar.name}"' if span.bar else ""
    return f"bar {span.number}{name}, {spoken(place, meter=span.meter)} ({limb})"
