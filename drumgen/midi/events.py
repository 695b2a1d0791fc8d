"""Events: what a performance puts into the tracks of a file, in one order.

At equal ticks: note-offs, then names, meter, tempo, markers, letters, program, pedal, note-ons, and the end of the
track last. A note lasts a thirty-second, or until the next of its key; a drum's note-off means nothing, but a file
must have one (Standard MIDI Files 1.0; release velocity 64 where there is none).
"""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import count, groupby
from operator import attrgetter, itemgetter
from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.midi.chunks import PEDAL_CONTROLLER
from drumgen.midi.texts import fit_text
from drumgen.sticking import LIMB_NAMES

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from drumgen.kit import Kit
    from drumgen.performance import Hit, Performance

Tracks = Literal["one", "voices", "limbs"]
TRACK_WAYS: tuple[Tracks, ...] = ("one", "voices", "limbs")

OFF, NAME, METER, TEMPO, MARKER, LETTERS, PROGRAM, PEDAL, ON, END = range(10)
RELEASE_VELOCITY = 64

_NAMES = {**LIMB_NAMES, "click": "click"}


class RankedEvent(NamedTuple):
    """One event: its tick, its rank among those of its tick, and what it says (a key and velocity, a text…)."""

    tick: int
    rank: int
    first: int = 0
    second: int = 0
    text: str = ""


def make_tracks(performance: Performance, way: Tracks) -> Iterator[Iterator[RankedEvent]]:
    """The tracks of a file: all in one; or what is said about the whole in the first, and one a voice or a limb.

    Each is its events in order, made one after the other; the end of the track is the last. Voices stand in the order
    of their kit, limbs by theirs.
    """
    hits = sorted(performance.hits, key=attrgetter("tick"))
    said, lengths = _said(performance), _lengths(performance, hits)
    if way == "one":
        yield _track(performance, said, hits, lengths)
        return
    yield _track(performance, said, (), ())
    name: Callable[[Hit], str] = (lambda hit: hit.voice) if way == "voices" else (lambda hit: _NAMES[hit.limb])
    by_track: dict[str, tuple[list[Hit], list[int]]] = {}
    for hit, length in zip(hits, lengths, strict=True):
        row = by_track.setdefault(name(hit), ([], []))
        row[0].append(hit)
        row[1].append(length)
    order = [*performance.kit.voices] if way == "voices" else [*_NAMES.values()]
    for track_name in sorted(by_track, key=order.index):
        named = [] if performance.kit.limits.notes_only else [RankedEvent(0, NAME, text=track_name)]
        yield _track(performance, named, *by_track[track_name])


def _track(
    performance: Performance, said: list[RankedEvent], hits: Sequence[Hit], lengths: Sequence[int]
) -> Iterator[RankedEvent]:
    """What is said and the end, woven into the notes of the hits, which last ``lengths`` ticks: they share no rank."""
    waiting = sorted([*said, RankedEvent(performance.end_tick, END)], key=itemgetter(0, 1))
    waiting.reverse()
    for event in _notes(performance.kit, hits, lengths):
        while waiting and waiting[-1] < event:
            yield waiting.pop()
        yield event
    yield from reversed(waiting)


def _said(performance: Performance) -> list[RankedEvent]:
    """What is said about the whole: title, meters, tempos, markers, the sticking, the program."""
    kit = performance.kit
    meters = [
        RankedEvent(tick, METER, meter.upper << 8 | meter.lower, meter.clocks) for tick, meter in performance.meters
    ]
    tempos = [RankedEvent(tick, TEMPO, us) for tick, us in performance.tempos]
    if kit.limits.notes_only:
        return [*meters, *tempos]
    title = [RankedEvent(0, NAME, text=fit_text(performance.title, kit))]
    markers = [RankedEvent(tick, MARKER, text=fit_text(text, kit)) for tick, text in performance.markers]
    letters = [RankedEvent(tick, LETTERS, text=text) for tick, text in performance.letters]
    program = [RankedEvent(0, PROGRAM, kit.program)] if kit.program is not None else []
    return [*title, *meters, *tempos, *markers, *letters, *program]


def _lengths(performance: Performance, hits: Sequence[Hit]) -> list[int]:
    """How long the note of each hit lasts: a thirty-second, cut at the next note of its key and at the end."""
    usual = max(1, performance.ppq // 8)
    lengths: list[int] = []
    following: dict[int, int] = {}
    for hit in reversed(hits):
        until = following.get(hit.key, performance.end_tick)
        lengths.append(min(usual, until - hit.tick))
        following[hit.key] = hit.tick
    lengths.reverse()
    return lengths


def _notes(kit: Kit, hits: Sequence[Hit], lengths: Sequence[int]) -> Iterator[RankedEvent]:
    """Note-ons and note-offs, and the pedal before the notes of a tick whose voice has another value of it."""
    pedals, numbers, lasting = _Pedals(kit), count(), iter(lengths)
    sounding: list[tuple[int, int, int]] = []  # a heap: when each ends, its number, its key
    for tick, group in groupby(hits, key=attrgetter("tick")):
        while sounding and sounding[0][0] <= tick:
            yield _off(*heappop(sounding))
        struck = [*group]
        yield from pedals.before(struck)
        for hit in struck:
            yield RankedEvent(tick, ON, hit.key, hit.velocity)
            heappush(sounding, (tick + next(lasting), next(numbers), hit.key))
    while sounding:
        yield _off(*heappop(sounding))


def _off(tick: int, _number: int, key: int) -> RankedEvent:
    return RankedEvent(tick, OFF, key, RELEASE_VELOCITY)


class _Pedals:
    """The hi-hat pedal of one track: its value by voice, and where it stands."""

    def __init__(self, kit: Kit) -> None:
        voices = {} if kit.limits.notes_only else kit.voices
        self.values = {name: voice.pedal for name, voice in voices.items() if voice.pedal is not None}
        self.at = -1

    def before(self, struck: list[Hit]) -> Iterator[RankedEvent]:
        """What the pedal does before the hits of one tick."""
        for hit in struck if self.values else ():
            value = self.values.get(hit.voice, self.at)
            if value != self.at:
                self.at = value
                yield RankedEvent(hit.tick, PEDAL, PEDAL_CONTROLLER, value)
