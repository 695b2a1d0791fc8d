"""How grace notes and bounces are spaced in ticks."""

import pytest

from drumgen.ornaments import bounce_ticks, bounce_velocity, grace_ticks


@pytest.mark.parametrize(
    ("number", "gap", "room", "before"),
    [
        (1, 48, 3840, (48,)),
        (2, 77, 3840, (154, 77)),
        (1, 48, 480, (48,)),
        (1, 200, 480, (160,)),  # a third of the room
        (2, 200, 480, (160, 80)),  # both within a third
        (1, 0, 3840, (1,)),
        (1, 48, 2, (1,)),
        (2, 48, 3, (2, 1)),
        (1, 48, 1, ()),
        (2, 48, 2, ()),
        (1, 48, 0, ()),
    ],
)
def test_grace_notes_hang_before_and_shrink_to_a_third(
    number: int, gap: int, room: int, before: tuple[int, ...]
) -> None:
    assert grace_ticks(number, gap_ticks=gap, room_ticks=room) == before


@pytest.mark.parametrize(
    ("gap", "place", "after"),
    [
        (58, 480, (58, 116, 174, 232, 290)),
        (58, 960, tuple(range(58, 58 * 12, 58))),  # eleven within 640
        (10, 960, tuple(range(10, 130, 10))),  # twelve at most
        (500, 240, (80, 160)),  # two at least
        (58, 3, (1, 2)),
        (58, 1, ()),
    ],
)
def test_bounces_fill_two_thirds_of_their_place(gap: int, place: int, after: tuple[int, ...]) -> None:
    assert bounce_ticks(gap_ticks=gap, place_ticks=place) == after


def test_bounces_die_away() -> None:
    assert [bounce_velocity(100, number) for number in (1, 2, 3)] == [80, 64, 51]
    assert bounce_velocity(1, 12) == 1
