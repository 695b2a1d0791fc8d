"""Strokes: from a plan to what the limbs are told to do in each of its bars.

Equal bars share one layout; a sticking that is carried goes on through repeats and into a next bar of the same sticking
and subdivision, and begins anew with each pass.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from math import lcm
from typing import TYPE_CHECKING, NamedTuple

from drumgen.filling import NOTHING_CARRIED, come_round
from drumgen.kit import FOOT_OF
from drumgen.layout import LIMB_ORDER, Laid, Stroke, lay_out_after, lay_out_fresh
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.sticking import OTHER_HAND

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from drumgen.bar import Bar
    from drumgen.counts import Where
    from drumgen.errors import Path
    from drumgen.filling import Carried
    from drumgen.kit import Kit
    from drumgen.phrase import Phrase
    from drumgen.plan import Plan
    from drumgen.spans import Span
    from drumgen.sticking import Limb

_SILENCE = Laid(())


class Played(NamedTuple):
    """One span of a plan with its strokes."""

    span: Span
    laid: Laid


def strokes(plan: Plan) -> tuple[Played, ...]:
    """The strokes of every span, silenced ones included (what is silent is still where it is).

    A landing takes the hand that plays on its downbeat (else the lead hand), and adds its foot.
    """
    kit = plan.phrase.kit
    walker = _Walker(plan.phrase)
    landings: dict[tuple[object, ...], tuple[Laid, Laid]] = {}
    played: list[Played] = []
    for index, span in enumerate(plan.spans):
        laid = walker.lay(span, span.bar) if span.kind == "bar" and span.bar else _SILENCE
        if span.landing:
            fill = plan.spans[index - 1].bar  # in a loop, the first bar's is the last
            key = (id(laid), id(span.bar), id(fill), span.meter, span.landing)
            if key not in landings:  # kept with what it is made of, so that no other layout gets the same id
                landings[key] = (laid, _land(laid, span, kit, fill=fill))
            laid = landings[key][1]
        played.append(Played(span, laid))
    return tuple(played)


class _Walker:
    """Lays out span after span, remembering what is carried.

    A bar played without the one before it (``--bars 4-5``) begins where its sticking stands in the phrase.
    """

    def __init__(self, phrase: Phrase) -> None:
        self.kit, self.first_number = phrase.kit, phrase.first_number
        self.bars = [phrase.bars[name] for name in phrase.order]
        self.before: Span | None = None
        self.carried = NOTHING_CARRIED
        self.into: dict[int, Carried] = {}

    @cached_property
    def every(self) -> int:
        """After so many places all that is counted in places comes round."""
        return lcm(*(number for bar in dict.fromkeys(self.bars) for number in _every(bar)))

    def lay(self, span: Span, bar: Bar) -> Laid:
        before, self.before = self.before, span
        if bar.layer.across != "carry":
            return lay_out_fresh(bar, self.kit)
        follows = before is not None and (before.pass_number, before.number + 1) == (span.pass_number, span.number)
        if not (follows and before is not None and _continues(before.bar, bar)):
            self.carried = self._carried_into(span.number - self.first_number)
        laid, self.carried = self._lay(bar, self.carried)
        return laid

    def _lay(self, bar: Bar, carried: Carried) -> tuple[Laid, Carried]:
        laid, carried = lay_out_after(bar, self.kit, carried)
        signs = len(bar.layer.sticking.signs) if bar.layer.sticking else 1
        return laid, come_round(carried, signs=signs, places=self.every)

    def _carried_into(self, index: int) -> Carried:
        """What the phrase carries into its bar ``index`` (from 0)."""
        bars, start = self.bars, index
        while start > 0 and start not in self.into and _continues(bars[start - 1], bars[start]):
            start -= 1
        carried = self.into.setdefault(start, NOTHING_CARRIED)
        for at in range(start, index):
            _, carried = self._lay(bars[at], carried)
            self.into[at + 1] = carried
        return carried


def _every(bar: Bar) -> Iterator[int]:
    """The n of each "every n" that is written in a bar."""
    for layer in (bar.layer, *(part.layer for part in bar.parts)):
        written = [line.places for line in (*layer.accents, *layer.ghosts)]
        written += [places for hand in layer.hands.values() for places, _ in hand.counts]
        written += [line.rule for line in layer.feet if not isinstance(line.rule, str)]
        yield from (where.number for places in written for where in places.wheres if where.form == "every")


def _continues(before: Bar | None, bar: Bar) -> bool:
    """Whether a carried sticking runs on from one bar into the next: the same sticking, the same subdivision."""
    if before is None or before.layer.across != "carry" or before.layer.sticking != bar.layer.sticking:
        return False
    one, other = before.layer.subdivision, bar.layer.subdivision
    return one == other or (len({*one, *other}) == 1)


def _land(laid: Laid, span: Span, kit: Kit, *, fill: Bar | None) -> Laid:
    """A bar with the landing of the fill before it on its downbeat, every voice of it accented."""
    lead = _lead_hand(laid, span, kit, fill=fill)
    free: list[Limb] = [lead, OTHER_HAND[lead]]
    kept = list(laid.strokes)
    for name in span.landing:
        played_by = kit.voice(name).limb
        limb = free.pop(0) if played_by == "hands" else FOOT_OF[played_by]
        _strike(kept, limb, name, hand=played_by == "hands", grains=min(GRAINS_PER_QUARTER, span.meter.unit_grains))
    kept = _without_taken_graces(kept)
    kept.sort(key=lambda stroke: (stroke.place, LIMB_ORDER[stroke.limb], stroke.voice))
    return replace(laid, strokes=tuple(kept))


def _without_taken_graces(kept: list[Stroke]) -> list[Stroke]:
    """The strokes without grace notes on the downbeat whose hand has a stroke of its own there."""
    on_one = {stroke.limb for stroke in kept if stroke.place == 0}
    return [
        replace(stroke, grace=0, grace_voice="")
        if stroke.place == 0 and stroke.grace and OTHER_HAND[stroke.limb] in on_one
        else stroke
        for stroke in kept
    ]


def _lead_hand(laid: Laid, span: Span, kit: Kit, *, fill: Bar | None) -> Limb:
    """The hand of the bar's first hand stroke, else of the fill's before it; the player's own where both begin."""
    hands = _hand_strokes(laid) or (_hand_strokes(lay_out_fresh(fill, kit)) if fill else [])
    first = [limb for place, limb in hands if place == hands[0][0]]
    mirrored = span.bar.mirrored if span.bar else kit.hand == "left"
    own: Limb = "L" if mirrored else "R"
    return first[0] if len(first) == 1 else own


def _hand_strokes(laid: Laid) -> list[tuple[int, Limb]]:
    return [(stroke.place, stroke.limb) for stroke in laid.strokes if stroke.limb in OTHER_HAND]


def _strike(kept: list[Stroke], limb: Limb, voice: str, *, hand: bool, grains: int) -> None:
    """Put one accented stroke on the downbeat: a hand's own stroke there moves to it, a foot's is joined."""
    for index, stroke in enumerate(kept):
        if stroke.place == 0 and stroke.limb == limb and (hand or stroke.voice == voice):
            kept[index] = replace(stroke, voice=voice, level="accent")
            return
    kept.append(Stroke(0, grains, limb, voice, "accent"))


def unused_places(played: Sequence[Played]) -> dict[str, set[tuple[Path, Where]]]:
    """By bar name, the written places on which, in every playing of that bar, the limb they speak of plays nothing."""
    unused: dict[str, set[tuple[Path, Where]]] = {}
    for span, laid in played:
        if span.kind == "bar" and span.bar is not None:
            name = span.bar.name
            unused[name] = unused[name] & laid.unused if name in unused else set(laid.unused)
    return unused
