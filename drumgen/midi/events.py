"""Events: what a performance puts into the tracks of a file, in one order.

At equal ticks: note-offs, then names, meter, tempo, markers, letters, program, pedal, note-ons, and the end of the
track last. A note lasts a thirty-second, or until the next of its key; a drum's note-off means nothing, but a file
must have one (Standard MIDI Files 1.0; release velocity 64 where there is none).
"""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING, Literal, NamedTuple

from drumgen.midi.texts import fit_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from drumgen.performance import Hit, Performance

Tracks = Literal["one", "voices", "limbs"]
TRACK_WAYS: tuple[Tracks, ...] = ("one", "voices", "limbs")

OFF, NAME, METER, TEMPO, MARKER, LETTERS, PROGRAM, PEDAL, ON, END = range(10)
PEDAL_CONTROLLER = 4
RELEASE_VELOCITY = 64

LIMB_NAMES = {"R": "right hand", "L": "left hand", "K": "kick foot", "H": "hi-hat foot", "click": "click"}


class Event(NamedTuple):
    """One event: its tick, its rank among those of its tick, and what it says (a key and velocity, a text…)."""

    tick: int
    rank: int
    first: int = 0
    second: int = 0
    text: str = ""


class Track(NamedTuple):
    """The events of one track, in order; the end of the track is the last."""

    events: list[Event]


def make_tracks(performance: Performance, way: Tracks) -> list[Track]:
    """The tracks of a file: all in one; or what is said about the whole in the first, and one a voice or a limb.

    Voices stand in the order of their kit, limbs as in ``LIMB_NAMES``.
    """
    lengths = _lengths(performance)
    said = _said(performance)
    end = Event(performance.end_tick, END)
    if way == "one":
        return [_track([*said, *_notes(performance, performance.hits, lengths), end])]
    name: Callable[[Hit], str] = (lambda hit: hit.voice) if way == "voices" else (lambda hit: LIMB_NAMES[hit.limb])
    by_track: dict[str, list[Hit]] = {}
    for hit in performance.hits:
        by_track.setdefault(name(hit), []).append(hit)
    order = [*performance.kit.voices] if way == "voices" else [*LIMB_NAMES.values()]
    tracks = [_track([*said, end])]
    for track_name, hits in sorted(by_track.items(), key=lambda row: order.index(row[0])):
        named = [] if performance.kit.limits.notes_only else [Event(0, NAME, text=track_name)]
        tracks.append(_track([*named, *_notes(performance, hits, lengths), end]))
    return tracks


def _track(events: list[Event]) -> Track:
    events.sort(key=itemgetter(0, 1))
    return Track(events)


def _said(performance: Performance) -> list[Event]:
    """What is said about the whole: title, meters, tempos, markers, the sticking, the program."""
    kit = performance.kit
    meters = [Event(tick, METER, meter.upper << 8 | meter.lower, meter.clocks) for tick, meter in performance.meters]
    tempos = [Event(tick, TEMPO, us) for tick, us in performance.tempos]
    if kit.limits.notes_only:
        return [*meters, *tempos]
    title = [Event(0, NAME, text=fit_text(performance.title, kit))]
    markers = [Event(tick, MARKER, text=fit_text(text, kit)) for tick, text in performance.markers]
    letters = [Event(tick, LETTERS, text=text) for tick, text in performance.letters]
    program = [Event(0, PROGRAM, kit.program)] if kit.program is not None else []
    return [*title, *meters, *tempos, *markers, *letters, *program]


def _lengths(performance: Performance) -> dict[tuple[int, int], int]:
    """How long each note lasts, by (tick, key): a thirty-second, cut at the next note of its key and at the end."""
    usual = max(1, performance.ppq // 8)
    lengths: dict[tuple[int, int], int] = {}
    following: dict[int, int] = {}
    for hit in reversed(performance.hits):
        until = following.get(hit.key, performance.end_tick)
        lengths[hit.tick, hit.key] = min(usual, until - hit.tick)
        following[hit.key] = hit.tick
    return lengths


def _notes(performance: Performance, hits: Iterable[Hit], lengths: dict[tuple[int, int], int]) -> list[Event]:
    """Note-ons and note-offs, and the pedal before a note whose voice has another value of it."""
    voices = performance.kit.voices
    pedals = {name: voice.pedal for name, voice in voices.items() if voice.pedal is not None}
    if performance.kit.limits.notes_only:
        pedals = {}
    events: list[Event] = []
    at = -1
    for hit in hits:
        tick, key = hit.tick, hit.key
        pedal = pedals.get(hit.voice) if pedals else None
        if pedal is not None and pedal != at:
            events.append(Event(tick, PEDAL, PEDAL_CONTROLLER, pedal))
            at = pedal
        events.append(Event(tick, ON, key, hit.velocity))
        events.append(Event(tick + lengths[tick, key], OFF, key, RELEASE_VELOCITY))
    return events
