"""Reading a take from a MIDI file: the strokes of the drum channel, one tempo map and one meter map for all tracks.

Only onsets count (note lengths mean nothing for a drum). Every oddity is one remark with its byte or its bar. Strokes
of keys that the kit has no voice for are kept and listed; other channels are counted and named; nothing is filtered
unless it is asked for.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import compress, pairwise
from typing import TYPE_CHECKING

from drumgen.amounts import amount
from drumgen.errors import DrumgenError, Fault
from drumgen.kit import FOOT_OF
from drumgen.midi.chunks import AFTERTOUCH, CONTROL, NOTE_ON, PEDAL_CONTROLLER, PROGRAM
from drumgen.midi.division import ticks_of
from drumgen.midi.maps import meter_map, said, tempo_map
from drumgen.midi.oddities import Oddities
from drumgen.midi.pedal import OPENNESS, under_pedal
from drumgen.midi.scan import scan
from drumgen.midi.track import CANNOT_BE_READ
from drumgen.performance import Clock, Hit
from drumgen.take import Bars, Struck, Take
from drumgen.trade.general_midi import percussion_key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.kit import Kit, Voice
    from drumgen.midi.pedal import Pedal
    from drumgen.midi.scan import Scanned
    from drumgen.midi.track import Event
    from drumgen.performance import MeterChange


@dataclass(frozen=True, slots=True)
class Reading:
    """How a take is read: on another ``channel`` than the kit's; ``strict`` refuses what breaks the file format.

    ``pedal`` says how the hi-hat's openness is told from controller 4, where the kit does not say it itself.
    ``debounce_ms``: a stroke of one key so soon after another is a double trigger and left out; 0 keeps all.
    ``meter_known``: whoever reads it knows the meter, so that of a file without one nothing is said.
    """

    channel: int | None = None
    pedal: Pedal | None = None
    debounce_ms: float = 0.0
    strict: bool = False
    meter_known: bool = False


def read_take(content: bytes, *, kit: Kit, reading: Reading | None = None) -> Take:
    """The take in a MIDI file's bytes, its strokes on the voices of ``kit``.

    Raises DrumgenError, in a line that says why, where the file cannot be read at all.
    """
    reading = reading or Reading()
    scanned = scan(content)
    if reading.strict and scanned.oddities:
        raise DrumgenError(*(Fault(str(oddity)) for oddity in scanned.oddities))
    return _Reader(scanned, kit, reading).take()


class _Reader:
    """One file while it is being read."""

    def __init__(self, scanned: Scanned, kit: Kit, reading: Reading) -> None:
        self.scanned, self.kit, self.reading = scanned, kit, reading
        self.channel = reading.channel or kit.channel
        self.oddities = Oddities()
        self.ppq, self.fixed_us = ticks_of(scanned.division, self.oddities)
        self.by_key: dict[int, list[Voice]] = {}
        for voice in kit.voices.values():
            self.by_key.setdefault(voice.key, []).append(voice)
        self._voices: dict[tuple[int, int | None], Voice | None] = {}
        self.others: Counter[int] = Counter()
        self.hits: list[Hit] = []
        self.pedals: list[int | None] = []
        self.chokes: list[int | None] = []
        self.program: int | None = None

    def take(self) -> Take:
        tracks = self._placed()
        events = sorted((event for track in tracks for event in track), key=lambda event: event.tick)
        self._play(events)
        tempos, tempo_said = tempo_map(tracks, self.fixed_us, self.oddities)
        meters, meter_said = meter_map(tracks, self.oddities)
        end_tick = self._end(tracks, Clock(tempos))
        self._name_cut_bars(meters)
        unmapped = Counter(hit.key for hit in self.hits if not hit.voice)
        if self.reading.debounce_ms:
            self._debounce(Clock(tempos))
        names, markers = said(tracks, self.oddities)
        self._remark(unmapped, tempo_said=tempo_said, meter_said=meter_said)
        lost = [oddity for oddity in self.scanned.oddities if oddity.words.endswith(CANNOT_BE_READ)]
        if lost and not self.hits and not self.others:
            raise DrumgenError(*(Fault(str(oddity)) for oddity in lost))
        return Take(
            kit=self.kit,
            ppq=self.ppq,
            hits=tuple(self.hits),
            pedals=tuple(self.pedals),
            chokes=tuple(self.chokes),
            tempos=tempos,
            meters=meters,
            markers=markers,
            end_tick=end_tick,
            title=names[0] if names else "",
            names=names,
            channel=self.channel,
            program=self.program,
            tempo_said=tempo_said,
            meter_said=meter_said,
            unmapped=tuple(Struck(key, times) for key, times in sorted(unmapped.items())),
            other_channels=tuple(sorted(self.others.items())),
            oddities=(*self.scanned.oddities, *self.oddities.all),
        )

    def _placed(self) -> list[Sequence[Event]]:
        """The tracks; those of format 2, which are patterns by themselves, one after the other."""
        tracks: list[Sequence[Event]] = list(self.scanned.tracks)
        if self.scanned.format != 2:
            return tracks
        self.oddities.add(f"format 2: {len(tracks)} patterns, read one after the other")
        start = 0
        for index, track in enumerate(tracks):
            tracks[index] = [event._replace(tick=event.tick + start) for event in track]
            start = tracks[index][-1].tick
        return tracks

    def _play(self, events: Sequence[Event]) -> None:
        """The hits, with the pedal and the chokes, and what plays elsewhere."""
        pedal: int | None = None
        last: dict[int, int] = {}
        for tick, _, status, data in events:
            kind = status & 0xF0
            if (status & 0x0F) + 1 != self.channel:
                if kind == NOTE_ON and data[1]:
                    self.others[(status & 0x0F) + 1] += 1
            elif kind == NOTE_ON and data[1]:
                last[data[0]] = len(self.hits)
                self._strike(tick, data[0], data[1], pedal)
            elif kind == CONTROL and data[0] == PEDAL_CONTROLLER:
                pedal = data[1]
            elif kind == AFTERTOUCH and data[1] and data[0] in last and self.chokes[last[data[0]]] is None:
                self.chokes[last[data[0]]] = tick
            elif kind == PROGRAM:
                self.program = data[0]

    def _strike(self, tick: int, key: int, velocity: int, pedal: int | None) -> None:
        voice = self._voice(key, pedal)
        limb = FOOT_OF.get(voice.limb, "") if voice else ""
        self.hits.append(Hit(tick, key, velocity, voice.name if voice else "", limb))
        self.pedals.append(pedal)
        self.chokes.append(None)

    def _voice(self, key: int, pedal: int | None) -> Voice | None:
        """The voice of a key under the pedal, worked out once for each."""
        asked = (key, pedal)
        if asked not in self._voices:
            self._voices[asked] = self._find_voice(key, pedal)
        return self._voices[asked]

    def _find_voice(self, key: int, pedal: int | None) -> Voice | None:
        """The voice of a key under the pedal: by the kit's own values, else as the reading says."""
        voices = self.by_key.get(key)
        if not voices:
            return None
        found = under_pedal(voices, pedal)
        says_itself = any(voice.pedal is not None for voice in voices)
        if pedal is None or says_itself or self.reading.pedal is None or found.name not in OPENNESS:
            return found
        return self.kit.voices.get(self.reading.pedal.voice(pedal), found)

    def _end(self, tracks: Sequence[Sequence[Event]], clock: Clock) -> int:
        """Where the tracks with drums end; what goes on long after is said once, not counted."""
        own = [track for track in tracks if any(self._is_own(event) for event in track)]
        ends = [track[-1].tick for track in own or tracks]
        end = max(*ends, self.hits[-1].tick if self.hits else 0, 0)
        longest = max(track[-1].tick for track in tracks)
        if longest > end:
            seconds = clock.parts(longest) / (self.ppq * 1_000_000)
            words = f"another track goes on to {_length(seconds)}; the length is that of the drums"
            self.oddities.add(words)
        return end

    def _is_own(self, event: Event) -> bool:
        return event.status == (NOTE_ON | self.channel - 1) and event.data[1] > 0

    def _name_cut_bars(self, meters: tuple[MeterChange, ...]) -> None:
        bars = Bars(meters, self.ppq)
        for bar in bars.cut_bars():
            beats = (bar.end - bar.tick) * bar.meter.lower / (4 * self.ppq)
            following = bars.at(bar.end).meter
            words = f"the meter changes to {following} inside the bar, which is cut to {beats:g} of {bar.meter.upper}"
            self.oddities.add(words, bar=bar.number)

    def _debounce(self, clock: Clock) -> None:
        """Leave out what follows a stroke of its own key too soon."""
        least = self.reading.debounce_ms * 1000 * self.ppq
        last: dict[int, int] = {}
        keep = [self._is_apart(hit, clock, last, least) for hit in self.hits]
        dropped = keep.count(False)
        self.hits = list(compress(self.hits, keep))
        self.pedals = list(compress(self.pedals, keep))
        self.chokes = list(compress(self.chokes, keep))
        words = f"{amount(dropped, 'double trigger')} within {self.reading.debounce_ms:g} ms left out"
        self.oddities.add(words)

    @staticmethod
    def _is_apart(hit: Hit, clock: Clock, last: dict[int, int], least: float) -> bool:
        now = clock.parts(hit.tick)
        apart = hit.key not in last or now - last[hit.key] >= least
        if apart:
            last[hit.key] = now
        return apart

    def _remark(self, unmapped: Counter[int], *, tempo_said: bool, meter_said: bool) -> None:
        add = self.oddities.add
        if unmapped:
            listed = ", ".join(f"{_key_words(key)} ({times})" for key, times in sorted(unmapped.items()))
            add(f"notes that the kit {self.kit.name} has no voice for: {listed}")
        if self.others:
            listed = ", ".join(f"channel {channel} ({times})" for channel, times in sorted(self.others.items()))
            hint = f"; --channel {self.others.most_common(1)[0][0]} reads it" if not self.hits else ""
            add(f"notes on other channels than {self.channel}: {listed}{hint}")
        if not tempo_said and not self.fixed_us:
            add("no tempo in the file, 120 quarters a minute assumed")
        if not meter_said and not self.reading.meter_known:
            add("no meter in the file, 4/4 assumed")
        twins = sum((one.tick, one.key) == (other.tick, other.key) for one, other in pairwise(self.hits))
        if twins:
            add(f"{amount(twins, 'stroke')} of one key on one tick with another")


def _key_words(key: int) -> str:
    known = percussion_key(key)
    return f"{key} {known.name}" if known and known.level == 1 else str(key)


def _length(seconds: float) -> str:
    return (
        f"{seconds:.1f} s"
        if seconds < 120
        else f"{seconds / 60:.0f} min"
        if seconds < 7200
        else f"{seconds / 3600:.1f} h"
    )
