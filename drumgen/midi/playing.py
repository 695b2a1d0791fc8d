"""Playing performances to a MIDI port, as it happens: what is sent when, and how late it was.

Every message has its own time from the beginning, worked out from ticks and tempo map, and never from the message
before it, so that nothing adds up, however long it goes on. Times are seconds. The clock and the sleep are given.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import count
from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.amounts import amount
from drumgen.errors import DrumgenError, Fault
from drumgen.midi import events
from drumgen.midi.write import message_of
from drumgen.performance import Clock

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from drumgen.performance import Performance

LEAD_S = 0.25
"""From the start of playing to the first tick, so that the first stroke is no later than the others."""
FINE_S = 0.002
"""How long before its time the clock is watched instead of sleeping: no system wakes more exactly."""
STANDSTILL_S = 1.0
"""Later than this, the machine stood still or the program was stopped: it goes on from there, catching up nothing."""
LATE_MS = 5
_US = 1_000_000
ALL_SOUND_OFF, ALL_NOTES_OFF = 120, 123
"""Controllers of the MIDI 1.0 Detailed Specification, channel mode messages."""

_SENT = {events.PROGRAM, events.PEDAL, events.ON, events.OFF}


class Cue(NamedTuple):
    """One message of mido's, and when it is due; None is the end of a round, which is waited for."""

    due_s: float
    message: Any


def cues(performances: Sequence[Performance]) -> Iterator[Cue]:
    """The messages of performances one after the other, in the order of the files; without an end where one loops.

    Each begins where the one before it ends, to the tick, and so does each round of a loop. A program is sent once.
    Raises DrumgenError where one of several is a loop, after which the next could not come.
    """
    looped = next((each for each in performances if each.loop), None)
    if looped and len(performances) > 1:
        rule = f'"{looped.title}" is a loop, which never ends, and is played alone (--plain leaves a file\'s own aside)'
        raise DrumgenError(Fault(rule, path=("loop",)))
    return _cues(performances)


def _cues(performances: Iterable[Performance]) -> Iterator[Cue]:
    start = Fraction(0)
    for performance in performances:
        length = Fraction(Clock(performance.tempos).parts(performance.end_tick), performance.ppq * _US)
        messages = _messages(performance)
        for turn in count() if performance.loop else (0,):
            for after, message in messages:
                if not (turn and message.type == "program_change"):
                    yield Cue(float(start) + after, message)
            start += length
            yield Cue(float(start), None)


def _messages(performance: Performance) -> list[tuple[float, Any]]:
    """The messages of one round, each with its seconds from the round's start."""
    clock, channel = Clock(performance.tempos), performance.kit.channel - 1
    (row,) = events.make_tracks(performance, "one")
    made: dict[tuple[int, int, int], Any] = {}
    messages = []
    for tick, rank, first, second, _ in row:
        if rank in _SENT:
            if (rank, first, second) not in made:
                made[rank, first, second] = message_of(channel, rank, first, second, "")
            messages.append((clock.parts(tick) / (performance.ppq * _US), made[rank, first, second]))
    return messages


class Lateness:
    """How late strokes were sent: so many strokes of so many whole microseconds."""

    def __init__(self) -> None:
        self.strokes_by_us: Counter[int] = Counter()

    def __str__(self) -> str:
        """In words: the median, the worst, and the share that was later than 5 ms."""
        number = self.strokes_by_us.total()
        if not number:
            return "no strokes were played"
        late = sum(strokes for us, strokes in self.strokes_by_us.items() if us > LATE_MS * 1000)
        words = f"{amount(number, 'stroke')} sent: median {self.median_us() / 1000:.2f} ms late"
        worst = max(self.strokes_by_us) / 1000
        return f"{words}, worst {worst:.2f} ms, {100 * late / number:.2f} % later than {LATE_MS} ms"

    def median_us(self) -> int:
        """The lateness of the middle stroke, the later of two, in microseconds."""
        before, middle = 0, self.strokes_by_us.total() // 2
        for us in sorted(self.strokes_by_us):
            before += self.strokes_by_us[us]
            if before > middle:
                return us
        raise TypeError("no strokes have a median")


class Player:
    """Sends to a port when it is time; ``lateness`` is that of the strokes so far, each once it was sent."""

    def __init__(self, port: Any, *, clock: Callable[[], float], sleep: Callable[[float], None]) -> None:  # noqa: ANN401 - mido has no types
        self._port, self._clock, self._sleep = port, clock, sleep
        self._channels: set[int] = set()
        self.lateness = Lateness()

    def play(self, row: Iterable[Cue]) -> None:
        """Send each message when it is due. However it ends, the channels that were played on are silent after it.

        Raises DrumgenError where the port is gone.
        """
        try:
            self._send(row)
        except OSError as error:
            raise DrumgenError(Fault(f"the MIDI port cannot be played to any more: {error}", path=("port",))) from None
        finally:
            self._silence()

    def _send(self, row: Iterable[Cue]) -> None:
        start = self._clock() + LEAD_S
        for due_s, message in row:
            self._wait_until(start + due_s)
            if message is None:
                continue
            self._channels.add(message.channel)
            self._port.send(message)
            late = self._clock() - (start + due_s)
            if message.type == "note_on":
                self.lateness.strokes_by_us[int(late * _US)] += 1
            if late > STANDSTILL_S:
                start += late

    def _wait_until(self, moment: float) -> None:
        while (left := moment - self._clock()) > 0:
            if left > FINE_S:
                self._sleep(left - FINE_S)

    def _silence(self) -> None:
        from mido import Message

        for channel in sorted(self._channels):
            for control in (ALL_NOTES_OFF, ALL_SOUND_OFF):
                try:
                    self._port.send(Message("control_change", channel=channel, control=control, value=0))
                except OSError:  # the port is gone, which is said elsewhere
                    return
