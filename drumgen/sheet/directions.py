"""Directions: what stands over and under a measure besides its notes — names, tempos, swing, dynamics, hairpins.

Each is printed where it changes, and where a repeat comes back to something other than what went before. A tempo that
changes evenly through a bar is printed as its start, and "rit." or "accel." with where it goes. Dynamics that a bar
does not name are mezzo-forte, printed where another came before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.sheet.numerals import number

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from drumgen.feel import Swing
    from drumgen.levels import Hairpin
    from drumgen.sheet.score import Measure, TempoMark

PLAIN_DYNAMIC = "mf"


class Named(NamedTuple):
    """A bar's name and role, and how often what begins here is played."""

    name: str
    role: str
    times: int


class Sped(NamedTuple):
    """A tempo mark; ``sounds`` is quarters a minute."""

    mark: TempoMark
    sounds: Fraction


class Changing(NamedTuple):
    """A tempo that changes to the end of the bar."""

    mark: TempoMark


class Swung(NamedTuple):
    """Swing from here on; of equal parts it is straight again."""

    swing: Swing


class Loud(NamedTuple):
    """A dynamic mark."""

    mark: str


class Wedge(NamedTuple):
    """The start or the end of a hairpin."""

    kind: Literal["crescendo", "diminuendo", "stop"]


class Told(NamedTuple):
    """A line to the player."""

    text: str


Direction = Named | Sped | Changing | Swung | Loud | Wedge | Told


class At(NamedTuple):
    """A direction and its place in the bar, in grains."""

    place: int
    direction: Direction


def directions(measures: Sequence[Measure]) -> list[list[At]]:
    """The directions of every measure, in order."""
    state = _State()
    out: list[list[At]] = []
    for index, measure in enumerate(measures):
        returns = next(each for each in measures[index:] if each.times > 1) if measure.opens else None
        out.append(state.of(measure, returns, measures[index - 1] if index else None))
    return out


def has_swing(swing: Swing) -> bool:
    """Whether the parts of a pair differ."""
    return swing.long != swing.short


def swing_words(swing: Swing) -> str:
    """What is printed where swing begins or ends: its ratio where it is not the usual one."""
    if not has_swing(swing):
        return "Straight"
    return f"Swing {swing.of}" + ("" if (swing.long, swing.short) == (2, 1) else f" {swing.ratio}")


def changing_words(mark: TempoMark) -> str:
    """What is printed over a bar whose tempo changes."""
    return f"{'rit.' if mark.end < mark.per_minute else 'accel.'} to {number(mark.end)}"


class _State:
    """What holds from the measures before."""

    def __init__(self) -> None:
        self.loud = ""
        self.quarters: Fraction | None = None
        self.unit = 0
        self.swing: Swing | None = None
        self.told: set[str] = set()

    def of(self, measure: Measure, returns: Measure | None, before: Measure | None) -> list[At]:
        """The directions of one measure; ``returns`` is the last of the block that it opens, if it opens one."""
        found = [*self._names(measure, before), *self._tempo(measure, returns), *self._swing(measure, returns)]
        placed = [At(measure.start, direction) for direction in (*found, *self._told(measure))]
        return placed + self._dynamics(measure, returns)

    def _names(self, measure: Measure, before: Measure | None) -> list[Direction]:
        same = before is not None and (before.name, before.role) == (measure.name, measure.role)
        name, role = ("", "") if same and not measure.opens else (measure.name, measure.role)
        times = measure.block_times if measure.opens else 1
        return [Named(name, role, times)] if name or role or times > 1 else []

    def _tempo(self, measure: Measure, returns: Measure | None) -> list[Direction]:
        mark = measure.tempo
        comes_back = returns is not None and returns.tempo.end_quarters != mark.quarters
        found: list[Direction] = []
        if (self.quarters, self.unit) != (mark.quarters, mark.unit_grains) or comes_back:
            found.append(Sped(mark, mark.quarters))
        if mark.quarters != mark.end_quarters:
            found.append(Changing(mark))
        self.quarters, self.unit = mark.end_quarters, mark.unit_grains
        return found

    def _swing(self, measure: Measure, returns: Measure | None) -> list[Direction]:
        swing = measure.span.feel.swing
        before = self.swing
        self.swing = swing
        back = returns is not None and _differs(returns.span.feel.swing, swing)
        if (before is None and has_swing(swing)) or (before is not None and _differs(before, swing)) or back:
            return [Swung(swing)]
        return []

    def _told(self, measure: Measure) -> list[Direction]:
        """A bar's line to the player, the first time that it is printed."""
        bar = measure.span.bar
        if bar is None or measure.span.kind != "bar" or not bar.note or bar.note in self.told:
            return []
        self.told.add(bar.note)
        return [Told(bar.note)]

    def _dynamics(self, measure: Measure, returns: Measure | None) -> list[At]:
        pin = _hairpin(measure)
        start, end = (pin.start, pin.end) if pin else (PLAIN_DYNAMIC, PLAIN_DYNAMIC)
        back = _end(returns) if returns is not None else start
        before = self.loud or (PLAIN_DYNAMIC if pin is None and back == start else "")
        self.loud = end
        found = [At(measure.start, Loud(start))] if before != start or back != start or start != end else []
        if start != end and pin is not None:
            kind: Literal["crescendo", "diminuendo"] = (
                "crescendo" if pin.per_mille(1, 1) > pin.per_mille(0, 1) else "diminuendo"
            )
            last = _last_note(measure)
            found += [At(measure.start, Wedge(kind)), At(last, Wedge("stop")), At(last, Loud(end))]
        return found


def _differs(one: Swing, other: Swing) -> bool:
    return one != other and (has_swing(one) or has_swing(other))


def _hairpin(measure: Measure) -> Hairpin | None:
    bar = measure.span.bar
    return bar.dynamics if bar is not None and measure.span.kind == "bar" else None


def _end(measure: Measure) -> str:
    pin = _hairpin(measure)
    return pin.end if pin else PLAIN_DYNAMIC


def _last_note(measure: Measure) -> int:
    """Where a hairpin ends: at the last note of the upper line, or at the bar's end where that is the only one."""
    notes = [event.place for event in measure.lines[0].events if event.struck]
    return notes[-1] if len(notes) > 1 else measure.meter.grains
