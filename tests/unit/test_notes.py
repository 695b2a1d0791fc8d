"""Strokes as keys, velocities and ticks, before spread and grace notes."""

from drum_room import HIHAT, KICK, SNARE, one_bar, performed, phrase, ticks

from drumgen.notes import NoteMaker
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.strokes import strokes


def velocities(body: str, *, top: str = "", key: int = SNARE) -> list[int]:
    return [hit.velocity for hit in performed(one_bar(body, top=top)).hits if hit.key == key]


QUARTERS = 'subdivision = "quarters"\n'


def test_levels_become_velocities() -> None:
    assert velocities(QUARTERS + 'sticking = ">R L (R) L"') == [112, 82, 36, 82]


def test_a_files_own_velocities() -> None:
    top = "dynamics = { accent = 100, normal = 70, ghost = 20 }\n"
    assert velocities(QUARTERS + 'sticking = ">R L (R)"\nacross = "once"', top=top) == [100, 70, 20]


def test_a_dynamic_mark_scales_the_bar() -> None:
    assert velocities(QUARTERS + 'sticking = ">RL"\ndynamics = "p"\nmeter = "2/4"') == [71, 52]  # 71.68 52.48
    assert velocities(QUARTERS + 'sticking = ">R"\ndynamics = "fff"\nmeter = "1/4"') == [127]


def test_a_hairpin_grows_through_the_bar() -> None:
    # mp 0.82, f 1.15: 0.82, 0.902, 0.985, 1.067 of 82
    assert velocities(QUARTERS + 'sticking = "R"\ndynamics = "mp to f"') == [67, 73, 80, 87]


def test_feet_have_levels_too() -> None:
    assert velocities('feet.kick = ">1 (2) 3"', key=KICK) == [112, 36, 82]


def test_two_limbs_on_one_voice_are_one_note_the_louder() -> None:
    hits = performed(one_bar(QUARTERS + 'sticking = "B"\naccents.L = "1"\nmeter = "1/4"')).hits
    assert [(hit.key, hit.velocity, hit.limb) for hit in hits] == [(SNARE, 112, "L")]
    hits = performed(one_bar(QUARTERS + 'sticking = "B"\nmeter = "1/4"')).hits
    assert [(hit.key, hit.velocity, hit.limb) for hit in hits] == [(SNARE, 82, "R")]


def test_a_note_of_two_limbs_is_of_both() -> None:
    plan = arrange(phrase(one_bar(QUARTERS + 'sticking = "B"\nmeter = "1/4"')))
    (note,) = NoteMaker(plan, 960).notes(strokes(plan)[0])
    assert (note.limb, note.limbs) == ("R", ("R", "L"))


def test_silencing_the_louder_leaves_the_softer() -> None:
    text = one_bar(QUARTERS + 'sticking = "B"\naccents.L = "1"\nghosts.R = "1"\nmeter = "1/4"')
    hits = performed(text, Practice(limbs=("R",))).hits
    assert [(hit.velocity, hit.limb) for hit in hits] == [(36, "R")]
    hits = performed(text, Practice(limbs=("L",))).hits
    assert [(hit.velocity, hit.limb) for hit in hits] == [(112, "L")]


def test_two_hands_on_two_voices_are_two_notes() -> None:
    hits = performed(one_bar(QUARTERS + 'sticking = "B"\nhands.R = "hihat"\nmeter = "1/4"')).hits
    assert [(hit.tick, hit.key) for hit in hits] == [(0, HIHAT), (0, SNARE)]


def test_both_hands_flam_no_matter_which_is_louder() -> None:
    text = one_bar(QUARTERS + 'sticking = "R lR"\naccents = "2"\nfeet.kick = "2"\nmeter = "2/4"')
    assert ticks(performed(text).hits, kind="grace") == [960 - 36]  # 25 ms at 90 is 36 ticks


def test_swing_moves_eighths_feet_and_nothing_else() -> None:
    top = 'feel.swing = { of = "eighths", ratio = "2:1" }\n'
    body = 'subdivision = ["eighths", "triplets", "quintuplets", "sixteenths"]\nsticking = "R"\nfeet.kick = "*&"\n'
    hits = performed(one_bar(body, top=top)).hits
    assert ticks(hits, key=SNARE) == [
        *(0, 640),
        *(960, 1280, 1600),
        *(1920, 2112, 2304, 2496, 2688),
        *(2880, 3200, 3520, 3680),
    ]
    assert ticks(hits, key=KICK) == [640, 960 + 640, 1920 + 640, 2880 + 640]


def test_swing_is_rounded_to_the_nearest_tick() -> None:
    top = 'feel.swing = { of = "sixteenths", ratio = "4:3" }\n'
    hits = performed(one_bar('sticking = "R"\nmeter = "1/4"', top=top)).hits
    assert ticks(hits) == [0, 274, 480, 754]  # 480 * 4 / 7 = 274.29


def test_a_bar_that_comes_again_is_the_same_again() -> None:
    hits = performed('phrase = ["a x3"]\n[bars.a]\nsubdivision = "quarters"\nsticking = ">RL(R)L"\n').hits
    assert [hit.tick for hit in hits] == [960 * index for index in range(12)]
    assert [hit.velocity for hit in hits] == [112, 82, 36, 82] * 3
    assert [hit.span for hit in hits] == [0] * 4 + [1] * 4 + [2] * 4
