"""Transcribing: from a take to a phrase: a likely sticking, the subdivision of every beat, levels, feet and rudiments.

Nothing is made to fit: what the strokes do not say is assumed and said to be, and each stroke tells how sure its hand
is. Written down and rendered again, the phrase has the take's strokes, each exactly on its place of the grid.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING, Any, Literal

from drumgen.amounts import amount
from drumgen.counts import spoken
from drumgen.errors import DrumgenError, Fault
from drumgen.study.transcribe_click import click_keys, without_keys
from drumgen.study.transcribe_file import BarNotes, bar_names, phrase_table
from drumgen.study.transcribe_gestures import gestures_of
from drumgen.study.transcribe_grid import fit
from drumgen.study.transcribe_levels import find_levels
from drumgen.study.transcribe_notes import LeftOut, Note, write_notes
from drumgen.study.transcribe_rudiments import Found, find_rudiments
from drumgen.study.transcribe_swing import SwingFound, find_swing
from drumgen.study.transcribe_tempo import TempoGuess, retimed, with_guessed_tempo

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.kit import Kit
    from drumgen.levels import Dynamics
    from drumgen.meter import Meter
    from drumgen.study.transcribe_costs import Weights
    from drumgen.study.transcribe_gestures import Gesture
    from drumgen.study.transcribe_grid import Grid
    from drumgen.take import Take
    from drumgen.tempo import Tempo

MOST_LISTED = 12


@dataclass(frozen=True, slots=True)
class Transcribing:
    """How a take is transcribed: in another ``tempo`` or ``meter`` than the file's, or with the tempo ``guessed``.

    ``lead`` is the hand that leads, else the kit's. ``kit_name`` is what the phrase file calls the kit.
    """

    tempo: Tempo | None = None
    meter: Meter | None = None
    guessed: bool = False
    lead: Literal["R", "L"] | None = None
    title: str = ""
    kit_name: str = ""
    weights: Weights | None = None


@dataclass(frozen=True, slots=True)
class Transcription:
    """What a take says, written down: ``table`` is a phrase file's content; ``names`` has the name of every bar.

    ``take`` is what was transcribed, without a click. ``spread_ms`` is how far its strokes were from their places
    (standard deviation), ``tempo`` how the tempo was told where the file did not say it; ``left_out`` are the strokes
    that a phrase cannot say.
    """

    take: Take
    bars: tuple[BarNotes, ...]
    names: tuple[str, ...]
    table: dict[str, Any]
    rudiments: tuple[Found, ...]
    swing: SwingFound | None
    spread_ms: float
    tempo: TempoGuess | None
    left_out: tuple[LeftOut, ...]
    remarks: tuple[str, ...]

    @property
    def notes(self) -> tuple[Note, ...]:
        """All notes, in order."""
        return tuple(note for bar in self.bars for note in bar.notes)

    @property
    def text(self) -> str:
        """The phrase file, read once to be sure that it can be. Raises DrumgenError where it cannot."""
        from drumgen.spec.loading import read_phrase  # noqa: PLC0415 - for those who want the file
        from drumgen.spec.phrase_file import PhraseFile  # noqa: PLC0415 - as above
        from drumgen.spec.validation import valid  # noqa: PLC0415 - as above
        from drumgen.spec.writing import render_phrase_file  # noqa: PLC0415 - as above

        text = render_phrase_file(valid(PhraseFile, self.table))
        read_phrase(text, file="the phrase", name="take")
        return text


def transcribe(take: Take, how: Transcribing | None = None) -> Transcription:
    """The phrase that a take is, without a click that is heard in it.

    Raises DrumgenError where it has no strokes of the kit, or too many bars.
    """
    how = how or Transcribing()
    clicks = click_keys(take)
    clicked = sum(hit.key in clicks for hit in take.hits)
    take = without_keys(take, clicks) if clicks else take
    if not any(hit.voice for hit in take.hits):
        raise _nothing_to_transcribe(take, clicked)
    take, guess = _timed(take, how)
    gestures = gestures_of(take)
    swing = find_swing(gestures, take)
    grid = fit(gestures, take, swing)
    levels = find_levels(gestures, take)
    kit = take.kit if how.lead is None else _led(take.kit, how.lead)
    written = write_notes(gestures, grid, levels.each, kit, how.weights)
    bars = _bars(written.notes, grid, take)
    names = bar_names(bars)
    head = _head(take, how, gestures, levels.dynamics, swing)
    table = phrase_table(bars, names, take.kit, how.kit_name or take.kit.name, head)
    starts = [0]
    for bar in bars:
        starts.append(starts[-1] + bar.meter.grains)
    return Transcription(
        take=take,
        bars=tuple(bars),
        names=tuple(names),
        table=table,
        rudiments=find_rudiments(written.notes, starts),
        swing=swing,
        spread_ms=grid.spread_s * 1000,
        tempo=guess,
        left_out=written.left_out,
        remarks=(*_remarks(written.left_out, grid, take), *_click_remarks(clicks, clicked, take.kit)),
    )


def _nothing_to_transcribe(take: Take, clicked: int) -> DrumgenError:
    others = ", ".join(f"channel {channel} ({times})" for channel, times in take.other_channels)
    where = f"; there are notes on {others}" if others else ""
    got = f"{'only its click' if clicked else 'none'}{where}"
    return DrumgenError(Fault(f"strokes of the kit {take.kit.name} on channel {take.channel}", got=got))


def _timed(take: Take, how: Transcribing) -> tuple[Take, TempoGuess | None]:
    """The take with the tempo and meter that hold: asked for, said in the file, or guessed."""
    if how.meter is not None:
        meter = how.meter
        changes = [
            change._replace(meter=meter) if _same_size(change.meter, meter) else change for change in take.meters
        ]
        if not any(_same_size(change.meter, meter) for change in take.meters):
            changes = [take.meters[0]._replace(meter=meter)]
        take = replace(take, meters=tuple(changes), meter_said=True)
    if how.tempo is not None:
        return retimed(take, how.tempo), None
    if how.guessed or not take.tempo_said:
        return with_guessed_tempo(take, asked=how.guessed)
    return take, None


def _same_size(one: Meter, other: Meter) -> bool:
    return (one.upper, one.lower) == (other.upper, other.lower)


def _led(kit: Kit, lead: Literal["R", "L"]) -> Kit:
    return replace(kit, hand="left" if lead == "L" else "right")


def _bars(notes: Sequence[Note], grid: Grid, take: Take) -> list[BarNotes]:
    by_bar: list[list[Note]] = [[] for _ in grid.meters]
    for note in notes:
        by_bar[note.bar].append(note)
    while len(by_bar) > 1 and not by_bar[-1] and len(by_bar) > take.bars:
        by_bar.pop()
    rows = []
    tick, at = 0.0, 0
    for bar, meter, names in zip(by_bar, grid.meters, grid.names, strict=False):
        while at + 1 < len(take.tempos) and take.tempos[at + 1].tick <= tick + 0.5:
            at += 1
        rows.append(BarNotes(meter, names, take.tempos[at].us_per_quarter, tuple(bar)))
        tick += meter.upper * 4 * take.ppq / meter.lower
    return rows


def _head(
    take: Take, how: Transcribing, gestures: Sequence[Gesture], dynamics: Dynamics, swing: SwingFound | None
) -> dict[str, Any]:
    """What the phrase file says at its top."""
    head: dict[str, Any] = {"title": (how.title or take.title or "A take")[:200]}
    feel: dict[str, Any] = {}
    if swing is not None:
        feel["swing"] = {"of": swing.of, "ratio": f"{swing.long}:{swing.short}"}
    for key, number in (("flam_ms", 1), ("drag_ms", 2)):
        gaps = [gesture.gap_s * 1000 for gesture in gestures if gesture.grace == number]
        if gaps:
            feel[key] = max(1, min(200, round(median(gaps))))
    if feel:
        head["feel"] = feel
    figures = {name: getattr(dynamics, name) for name in ("accent", "normal", "ghost", "grace")}
    return {**head, "dynamics": figures}


def _remarks(left_out: Sequence[LeftOut], grid: Grid, take: Take) -> list[str]:
    """What the phrase does not say of the take, each stroke with its place, the first dozen of them."""
    places = [(spoken(each.place, meter=grid.meters[each.bar]), each) for each in left_out[:MOST_LISTED]]
    remarks = [f"{each.voice} on {place} of bar {each.bar + 1} left out: it {each.why}" for place, each in places]
    if len(left_out) > MOST_LISTED:
        remarks.append(f"and {amount(len(left_out) - MOST_LISTED, 'more stroke')} left out for such reasons")
    unmapped = sum(struck.times for struck in take.unmapped)
    if unmapped:
        words = f"{amount(unmapped, 'stroke')} left out of notes that the kit {take.kit.name} has no voice for"
        remarks.append(f"{words}; --kit with one that has them keeps them (kits learn makes one)")
    return remarks


def _click_remarks(clicks: Iterable[int], clicked: int, kit: Kit) -> list[str]:
    """What was taken for the click, on which MIDI keys, if anything was."""
    notes = ", ".join(f"note {key}" for key in sorted(clicks))
    words = f"{amount(clicked, 'stroke')} left out as the click of the kit {kit.name} ({notes})"
    return [f"{words}; --kit with another click keeps them"] if clicked else []
