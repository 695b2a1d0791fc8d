"""Which sign stands in which place: restart, carry and once; a rhythm of its own."""

import pytest
from drum_room import laid, laid_in_turn, said

from drumgen.bar import Across, Layer
from drumgen.counts import Slot
from drumgen.filling import Progress, fill
from drumgen.layout import Laid
from drumgen.meter import Meter, parse_meter
from drumgen.orchestration import HandMap
from drumgen.sticking import Sticking, parse_sticking
from drumgen.subdivision import subdivided

FOUR_FOUR = parse_meter("4/4")


def layer(
    text: str, *names: str, across: Across = "restart", rhythm: tuple[int, ...] = (), meter: Meter = FOUR_FOUR
) -> Layer:
    sticking = Sticking(parse_sticking(text).signs, rhythm) if text else None
    by_beat = subdivided(meter, names) if names else ()
    return Layer(sticking, by_beat, {"R": HandMap(), "L": HandMap()}, across)


def signs(one: Layer, *, meter: Meter = FOUR_FOUR, progress: Progress | None = None, part: int = -1) -> str:
    last = len(meter.beats) - 1
    _, given = fill(one, meter=meter, first=0, last=last, part=part, progress=progress or Progress())
    return "".join(str(each.sign) for each in given)


def slots(one: Layer, *, meter: Meter = FOUR_FOUR, progress: Progress | None = None) -> list[Slot]:
    last = len(meter.beats) - 1
    return fill(one, meter=meter, first=0, last=last, part=-1, progress=progress or Progress())[0]


def letters(bar: Laid) -> str:
    return "".join(text for _, text in bar.letters)


def test_a_sticking_shorter_than_its_bar_repeats() -> None:
    assert signs(layer("RLL", "eighths")) == "RLLRLLRL"


def test_once_it_rests_after() -> None:
    assert signs(layer("RLL", "eighths", across="once")) == "RLL"
    assert signs(layer("RLRLRLRL", "eighths", across="once")) == "RLRLRLRL"


def test_carried_it_runs_on_over_the_bar_line_and_comes_round() -> None:
    # six strokes against sixteen places come round after three bars
    one, progress = layer("RLRRLL", "sixteenths", across="carry"), Progress()
    bars = [signs(one, progress=progress) for _ in range(4)]
    assert bars == ["RLRRLLRLRRLLRLRR", "LLRLRRLLRLRRLLRL", "RRLLRLRRLLRLRRLL", "RLRRLLRLRRLLRLRR"]


def test_a_sticking_longer_than_the_bar_may_be_carried() -> None:
    one, progress = layer("RRLLRRLLR", "quarters", across="carry"), Progress()
    assert [signs(one, progress=progress) for _ in range(3)] == ["RRLL", "RRLL", "RRRL"]


@pytest.mark.parametrize("across", ["restart", "once"])
def test_else_it_is_an_error_that_names_carry(across: Across) -> None:
    assert said(lambda: signs(layer("RLRLR", "quarters", across=across))) == (
        'sticking: expected at most 4 places, or across = "carry", got 5'
    )


def test_in_a_part_it_cannot_be_carried_and_the_error_does_not_say_so() -> None:
    one = layer("RLRLR", "quarters")
    assert said(lambda: signs(one, part=0)) == "sticking: expected at most 4 places, got 5"


def test_how_often_it_has_come_round() -> None:
    _, given = fill(layer("RLL", "eighths"), meter=FOUR_FOUR, first=0, last=3, part=-1, progress=Progress())
    assert [each.turn for each in given] == [0, 0, 0, 1, 1, 1, 2, 2]


def test_slots_of_mixed_subdivisions() -> None:
    found = slots(layer("", "triplets", "sixteenths", "quintuplets", "septuplets"))
    assert [slot.grains for slot in found] == [3360] * 3 + [2520] * 4 + [2016] * 5 + [1440] * 7
    assert [slot.beat for slot in found] == [0] * 3 + [1] * 4 + [2] * 5 + [3] * 7
    assert [slot.straight for slot in found] == [False] * 3 + [True] * 4 + [False] * 12
    ends = [slot.start + slot.grains for slot in found]
    assert [slot.start for slot in found[1:]] + [FOUR_FOUR.grains] == ends


def test_progress_counts_places_even_where_nothing_is_played() -> None:
    progress = Progress()
    slots(layer("", "eighths"), progress=progress)
    assert (progress.slots, progress.sign) == (8, 0)


RUDIMENT_RHYTHM = (1680, 1680, 1680, 5040)  # a triplet of sixteenths and an eighth: a quarter


def test_a_rhythm_of_its_own() -> None:
    one = layer("RLRL", rhythm=RUDIMENT_RHYTHM)
    found = slots(one, meter=parse_meter("2/4"))
    assert found == [
        Slot(0, 1680, 0, straight=False),
        Slot(1680, 1680, 0, straight=False),
        Slot(3360, 1680, 0, straight=False),
        Slot(5040, 5040, 0, straight=True),
        Slot(10_080, 1680, 1, straight=False),
        Slot(11_760, 1680, 1, straight=False),
        Slot(13_440, 1680, 1, straight=False),
        Slot(15_120, 5040, 1, straight=True),
    ]
    assert signs(one) == "RLRL" * 4


def test_a_rhythm_is_cut_at_the_bar_line_unless_carried() -> None:
    meter = parse_meter("3/8")
    restart = slots(layer("RL", rhythm=(10_080, 2520), meter=meter), meter=meter)
    assert restart == [
        Slot(0, 10_080, 0, straight=True),
        Slot(10_080, 2520, 2, straight=True),
        Slot(12_600, 2520, 2, straight=True),
    ]


def test_a_carried_rhythm_rings_over_the_bar_line() -> None:
    meter = parse_meter("3/8")
    one, progress = layer("RL", rhythm=(10_080, 2520), across="carry", meter=meter), Progress()
    bars = [[slot.start for slot in slots(one, meter=meter, progress=progress)] for _ in range(3)]
    # from the start: 0 10080 | 12600 ends after 15120; the next L is at 22680, R at 25200, L at 35280, R at 37800
    assert bars == [[0, 10_080, 12_600], [22_680 - 15_120, 25_200 - 15_120], [35_280 - 30_240, 37_800 - 30_240]]


def test_a_rhythm_once() -> None:
    assert signs(layer("RLRL", rhythm=RUDIMENT_RHYTHM, across="once")) == "RLRL"


def test_a_rhythm_longer_than_the_bar() -> None:
    one = layer("RL", rhythm=(40_320, 5040))
    assert said(lambda: signs(one)) == (
        "rudiment: expected a rhythm of at most 4 quarters, a subdivision beside it, "
        'or across = "carry", got 4.5 quarters'
    )
    assert said(lambda: signs(one, part=0)) == (
        "rudiment: expected a rhythm of at most 4 quarters, or a subdivision beside it, got 4.5 quarters"
    )


def test_rudiments_fill_their_bars() -> None:
    # common practice: a single paradiddle is eight strokes and comes round in two beats of sixteenths;
    # a double paradiddle is twelve, and fills a bar of 4/4 in eighth triplets
    assert letters(laid('sticking = "RLRR LRLL"\nmeter = "2/4"')) == "RLRRLRLL"
    assert letters(laid('rudiment = "double paradiddle"\nsubdivision = "triplets"')) == "RLRLRRLRLRLL"


def test_a_carried_sticking_in_a_phrase() -> None:
    bars = laid_in_turn('sticking = "RLRRLL"\nacross = "carry"\nmeter = "2/4"\n', 3)
    assert [letters(bar) for bar in bars] == ["RLRRLLRL", "RRLLRLRR", "LLRLRRLL"]
