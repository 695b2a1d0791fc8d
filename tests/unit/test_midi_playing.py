"""Playing to a port on a clock of the test's own: what is sent when, seams, interruptions, and how late it was."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from io import BytesIO
from itertools import islice, pairwise, takewhile
from math import ceil
from typing import Any

import mido
import pytest
from drum_room import phrase

from drumgen import Practice, arrange, perform, render_midi
from drumgen.errors import DrumgenError
from drumgen.midi.playing import FINE_S, LEAD_S, Cue, Lateness, Player, cues
from drumgen.performance import Performance
from drumgen.practice import parse_ladder

START_S = 1000.0
OFF_MESSAGES = ["control_change channel=9 control=123 value=0", "control_change channel=9 control=120 value=0"]


def performed(text: str, **practice: Any) -> Performance:  # noqa: ANN401 - any option
    return perform(arrange(phrase(text), Practice(**practice)))


def with_kit(performance: Performance, **said: object) -> Performance:
    return replace(performance, kit=replace(performance.kit, **said))  # type: ignore[arg-type]


def worded(message: Any) -> str:  # noqa: ANN401 - mido has no types
    return str(message.copy(time=0)).removesuffix(" time=0")


def is_on(cue: Cue) -> bool:
    return cue.message is not None and bool(cue.message.type == "note_on")


def is_program(cue: Cue) -> bool:
    return cue.message is not None and bool(cue.message.type == "program_change")


def sent_of(performances: list[Performance]) -> list[Cue]:
    """The messages of performances that end, without the ends of their rounds."""
    return [cue for cue in cues(performances) if cue.message is not None]


@dataclass
class Room:
    """A clock that goes on by a little at each look, a sleep that oversleeps, and a port that may fail or interrupt."""

    now: float = START_S
    tick_s: float = 0.000_01
    oversleep_s: float = 0.0
    sent: list[tuple[float, str]] = field(default_factory=list)
    slept: list[float] = field(default_factory=list)
    fail_at: int = -1
    error: BaseException | None = None
    takes_s: Callable[[int], float] = lambda _: 0.0

    def clock(self) -> float:
        self.now += self.tick_s
        return self.now

    def sleep(self, seconds: float) -> None:
        self.slept.append(seconds)
        self.now += seconds + self.oversleep_s

    def send(self, message: Any) -> None:  # noqa: ANN401 - mido has no types
        if self.error is not None and len(self.sent) == self.fail_at:
            self.fail_at = -1 if isinstance(self.error, KeyboardInterrupt) else self.fail_at
            raise self.error
        self.now += self.takes_s(len(self.sent))
        self.sent.append((self.now - START_S - LEAD_S, worded(message)))

    def play(self, row: Iterable[Cue]) -> Lateness:
        player = Player(self, clock=self.clock, sleep=self.sleep)
        with suppress(KeyboardInterrupt):
            player.play(row)
        return player.lateness


GROOVE = """
title = "Ropeyard"
tempo = 92
phrase = ["a", "b"]
[feel]
swing = { of = "eighths", ratio = "2:1" }
[bars.a]
sticking = "RLRR LRLL"
hands.R = "hihat"
feet.kick = "1 2& 3"
[bars.b]
role = "fill"
meter = "3/4"
tempo = "120 to 80"
sticking = "lR rrL Rz"
subdivision = "triplets"
"""
LOOP = """
title = "Capstan"
tempo = 127
phrase = ["a"]
[bars.a]
sticking = "lRLRR"
"""


def of_file(performance: Performance) -> Iterator[tuple[float, str]]:
    """The channel messages of the MIDI file of a performance with their seconds, as mido's reader plays it."""
    now = 0.0
    for message in mido.MidiFile(file=BytesIO(render_midi(performance))):
        now += message.time
        if not message.is_meta:
            yield now, worded(message)


@pytest.mark.parametrize(
    "practice",
    [
        {},
        {"count_in": 1},
        {"times": 3},
        {"rungs": parse_ladder("60 to 120 by 20"), "count_in": 1},
        {"mute": ("hihat",)},
    ],
)
@pytest.mark.parametrize("kit", ["general-midi", "pedal-hihat"])
def test_it_is_what_the_file_says_at_the_files_times(practice: dict[str, Any], kit: str) -> None:
    performance = performed(f'kit = "{kit}"\n{GROOVE}', **practice)
    row = sent_of([performance])
    expected = list(of_file(performance))
    assert [worded(cue.message) for cue in row] == [message for _, message in expected]
    assert [cue.due_s for cue in row] == pytest.approx([seconds for seconds, _ in expected], abs=1e-6)
    assert len(row) > 2 * len(performance.hits) - 1


def test_each_message_is_sent_at_its_time() -> None:
    room, row = Room(), sent_of([performed(GROOVE)])
    late = room.play(row)
    *sent, all_off, sound_off = room.sent
    assert [message for _, message in sent] == [worded(cue.message) for cue in row]
    assert all(0 <= at - cue.due_s < 0.000_2 for (at, _), cue in zip(sent, row, strict=True))
    assert [all_off[1], sound_off[1]] == OFF_MESSAGES
    assert late.strokes_by_us.total() == len(performed(GROOVE).hits)


def test_it_sleeps_until_shortly_before() -> None:
    room = Room()
    room.play(cues([performed(GROOVE)]))
    assert room.slept[0] == pytest.approx(LEAD_S - FINE_S, abs=0.001)
    assert len(room.slept) <= len(performed(GROOVE).hits) * 2 + 2


def test_oversleeping_is_told_and_does_not_add_up() -> None:
    room, row = Room(oversleep_s=0.009), sent_of([performed(LOOP, times=50)])
    late = room.play(row)
    assert room.sent[len(row) - 1][0] - row[-1].due_s < 0.01
    assert late.median_us() == pytest.approx(7000, abs=100)
    assert str(late).endswith("ms, 100.00 % later than 5 ms")


def test_phrases_follow_each_other_without_a_gap() -> None:
    first, second = performed(GROOVE), performed(LOOP, loop=False)
    alone = [cue.due_s for cue in sent_of([second])]
    both = sent_of([first, second])
    number = len(sent_of([first]))
    assert [cue.due_s for cue in both[number:]] == pytest.approx([first.seconds + due for due in alone], abs=1e-9)


def rounds(performance: Performance, number: int) -> list[list[Cue]]:
    """So many rounds of a loop, each with its own messages."""
    each = len(list(cues([replace(performance, loop=False)])))
    row = list(islice(cues([performance]), each * number))
    return [row[start : start + each] for start in range(0, len(row), each)]


def test_the_seam_of_a_loop_is_seamless() -> None:
    performance = performed(LOOP, loop=True)
    for number, row in enumerate(rounds(performance, 200)):
        begins = number * performance.seconds
        first = next(cue for cue in row if is_on(cue))
        assert first.due_s == pytest.approx(begins, abs=1e-9)
        assert all(begins - 1e-9 <= cue.due_s <= begins + performance.seconds + 1e-9 for cue in row)


def test_a_grace_note_at_the_end_of_a_loop_is_before_the_next_downbeat() -> None:
    performance = performed(LOOP, loop=True)
    ons = [cue for row in rounds(performance, 3) for cue in row if is_on(cue)]
    downbeats = [number * performance.seconds for number in (1, 2)]
    graces = [max(cue.due_s for cue in ons if cue.due_s < downbeat - 1e-6) for downbeat in downbeats]
    assert [downbeat - grace for downbeat, grace in zip(downbeats, graces, strict=True)] == pytest.approx(
        [0.025] * 2, abs=0.001
    )


def test_in_a_loop_no_note_sounds_over_the_next_of_its_key() -> None:
    sounding: set[int] = set()
    ordered = [cue for row in rounds(performed(LOOP, loop=True), 5) for cue in row]
    assert all(before.due_s <= after.due_s + 1e-12 for before, after in pairwise(ordered))
    for _, message in ordered:
        if message is None:
            continue
        if message.type == "note_on":
            assert message.note not in sounding
            sounding.add(message.note)
        elif message.type == "note_off":
            sounding.discard(message.note)
    assert not sounding


def test_a_program_is_sent_once() -> None:
    performance = with_kit(performed(LOOP, loop=True), program=8)
    row = takewhile(lambda cue: cue.due_s < 3 * performance.seconds, cues([performance]))
    assert [cue.due_s for cue in row if is_program(cue)] == [0.0]


def test_a_loop_is_played_alone() -> None:
    with pytest.raises(DrumgenError) as caught:
        cues([performed(GROOVE), performed(LOOP, loop=True)])
    assert str(caught.value) == (
        'loop: "Capstan" is a loop, which never ends, and is played alone (--plain leaves a file\'s own aside)'
    )


def test_an_interruption_leaves_silence_and_the_lateness_so_far() -> None:
    room = Room(fail_at=7, error=KeyboardInterrupt())
    late = room.play(cues([performed(LOOP, loop=True)]))
    assert [message for _, message in room.sent[7:]] == OFF_MESSAGES
    assert late.strokes_by_us.total() == 4


def test_every_channel_played_on_is_silenced() -> None:
    one, room = performed(LOOP), Room()
    room.play(cues([one, with_kit(one, channel=3)]))
    assert [message.split()[1] for _, message in room.sent[-4:]] == ["channel=2", "channel=2", "channel=9", "channel=9"]


def test_a_port_that_goes_away_is_a_fault_and_no_more_is_sent() -> None:
    room = Room(fail_at=5, error=OSError("no such device"))
    with pytest.raises(DrumgenError) as caught:
        room.play(cues([performed(LOOP)]))
    assert str(caught.value) == "port: the MIDI port cannot be played to any more: no such device"
    assert len(room.sent) == 5


def test_after_a_standstill_it_goes_on_from_there() -> None:
    room, row = Room(takes_s=lambda number: 30.0 if number == 10 else 0.0), sent_of([performed(LOOP)])
    late = room.play(row)
    played = [at for at, _ in room.sent[: len(row)]]
    assert [at - cue.due_s for at, cue in zip(played, row, strict=True)][11:] == pytest.approx(
        [30.0] * (len(row) - 11), abs=0.001
    )
    assert max(late.strokes_by_us) > 29_999_999
    assert sum(late.strokes_by_us[us] for us in late.strokes_by_us if us > 5000) == 1


@dataclass
class QuarterRoom(Room):
    """One whose clock stands on whole quarters of a second, which are exact, and goes on in sending and sleeping."""

    tick_s: float = 0.0

    def sleep(self, seconds: float) -> None:
        self.now = ceil(4 * (self.now + seconds)) / 4


@pytest.mark.parametrize(("late_s", "then_s"), [(0.75, 2.0), (1.0, 2.0), (1.25, 3.25), (4.0, 6.0)])
def test_up_to_a_second_is_caught_up_and_no_more(late_s: float, then_s: float) -> None:
    room = QuarterRoom(takes_s=lambda number: 0.0 if number else late_s)
    message = mido.Message("note_on", channel=9, note=38, velocity=90)
    late = room.play([Cue(0.0, message), Cue(2.0, message)])
    assert [at for at, _ in room.sent[:2]] == [late_s, then_s]
    assert late.strokes_by_us == {int(late_s * 1_000_000): 1, 0: 1}


def lateness(*late_us: int) -> Lateness:
    late = Lateness()
    late.strokes_by_us.update(late_us)
    return late


def test_lateness_in_words() -> None:
    assert str(lateness(*[100] * 97, 5000, 5001, 12_340)) == (
        "100 strokes sent: median 0.10 ms late, worst 12.34 ms, 2.00 % later than 5 ms"
    )
    assert str(lateness(40)) == "1 stroke sent: median 0.04 ms late, worst 0.04 ms, 0.00 % later than 5 ms"
    assert str(lateness()) == "no strokes were played"


@pytest.mark.parametrize(("late_us", "median"), [((3,), 3), ((1, 2), 2), ((1, 1, 9), 1), ((9, 1, 5, 7), 7)])
def test_the_median_is_the_middle_stroke(late_us: tuple[int, ...], median: int) -> None:
    assert lateness(*late_us).median_us() == median


def test_nothing_has_no_median() -> None:
    with pytest.raises(TypeError, match=r"^no strokes have a median$"):
        lateness().median_us()


@pytest.mark.parametrize("loop", [False, True])
def test_a_silenced_phrase_lasts_as_long_and_sends_nothing(loop: bool) -> None:  # noqa: FBT001 - a case
    performance, room = performed(LOOP, limbs=("K",), loop=loop), Room()
    late = room.play(islice(cues([performance]), 1))
    assert room.now - START_S - LEAD_S == pytest.approx(performance.seconds, abs=0.001)
    assert str(late) == "no strokes were played"
    assert not room.sent
