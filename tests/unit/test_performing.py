"""From a plan to ticks: exact places, grace notes and bounces, loops, and what stands around the strokes."""

from itertools import pairwise

import pytest
from drum_room import CRASH, FLOOR, HIHAT, KICK, SNARE, one_bar, performed, phrase, said, ticks

from drumgen.clicks import ClickSound
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.performance import Hit, Performance
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice

QUARTERS = 'subdivision = "quarters"\n'
AT_120 = "tempo = 120\n"


def at(body: str, practice: Practice | None = None, *, top: str = AT_120) -> Performance:
    return performed(one_bar(body, top=top), practice)


def placed(done: Performance, kind: str) -> list[tuple[int, int]]:
    return [(hit.tick, hit.key) for hit in done.hits if hit.kind == kind]


# -- before feel, every stroke stands on its exact tick


@pytest.mark.parametrize("subdivision", ["sixteenths", "triplets", "quintuplets", "sextuplets", "septuplets"])
def test_every_stroke_stands_on_its_exact_tick(subdivision: str) -> None:
    done = performed(f'phrase = ["a x50"]\n[bars.a]\nsubdivision = "{subdivision}"\nsticking = "RL"\n')
    assert all(hit.tick * GRAINS_PER_QUARTER == hit.place * done.ppq for hit in done.hits)
    assert done.end_tick == 50 * 4 * done.ppq
    gaps = {after.tick - before.tick for before, after in pairwise(done.hits)}
    assert len(gaps) == 1


def test_bars_of_every_meter_add_up() -> None:
    text = (
        'phrase = ["a", "b", "c", "d"]\n[bars.a]\nmeter = "7/8 2+2+3"\n[bars.b]\nmeter = "5/16"\n'
        '[bars.c]\nmeter = "6/8"\nfeet.kick = "1"\n[bars.d]\nmeter = "2/2"\n'
    )
    done = performed(text)
    assert done.end_tick == 3360 + 1200 + 2880 + 3840
    assert [change.tick for change in done.meters] == [0, 3360, 4560, 7440]
    assert ticks(done.hits) == [4560]


def test_a_meter_that_stays_is_said_once() -> None:
    done = performed('phrase = ["a x3"]\n[bars.a]\nsticking = "R"\n')
    assert len(done.meters) == len(done.tempos) == 1


def test_markers_and_letters() -> None:
    text = (
        'landing = ["crash"]\ntitle = "Slipway"\nphrase = ["verse", "turn"]\n[bars.verse]\nsubdivision = "quarters"\n'
        'sticking = ">lR-(L)Rz"\n[bars.turn]\nlike = "verse"\nrole = "fill"\n'
    )
    done = performed(text, Practice(count_in=1))
    assert done.title == "Slipway"
    assert done.markers == (
        (0, "count-in"),
        (3840, "groove verse"),
        (7680, "fill turn"),
        (11_520, "landing"),
        (15_360, "end"),
    )
    assert done.letters[:3] == ((3840, "lR"), (5760, "L"), (6720, "Rz"))
    assert len(done.letters) == 6


def test_letters_are_swung_and_never_spread() -> None:
    top = 'feel = { spread_ms = 20, swing = { of = "eighths", ratio = "2:1" } }\n'
    done = at('sticking = "RL"\nsubdivision = "eighths"\nmeter = "2/4"', top=top)
    assert done.letters == ((0, "R"), (640, "L"), (960, "R"), (1600, "L"))


# -- grace notes


def test_a_flam_is_25_ms_before_and_a_drag_40_and_40() -> None:
    done = at(QUARTERS + 'sticking = "R lR R llR"\nmeter = "4/4"')
    # at 120 a quarter is 500 ms, and a tick 520.8 µs: 25 ms is 48 ticks, 40 ms 76.8
    assert ticks(done.hits, kind="grace") == [960 - 48, 2880 - 154, 2880 - 77]
    assert [hit.velocity for hit in done.hits if hit.kind == "grace"] == [45, 45, 45]
    assert [hit.limb for hit in done.hits if hit.kind == "grace"] == ["L", "L", "L"]
    assert [hit.moved_us for hit in done.hits if hit.kind == "grace"] == [-25_000, -80_208, -40_104]
    assert all(hit.moved_us == 0 for hit in done.hits if hit.kind == "stroke")


def test_the_grace_note_comes_first_and_the_main_stroke_keeps_the_beat() -> None:
    done = at(QUARTERS + 'sticking = "R lR"\nmeter = "2/4"')
    assert [(hit.tick, hit.kind) for hit in done.hits] == [(0, "stroke"), (912, "grace"), (960, "stroke")]


def test_spacing_of_ones_own() -> None:
    top = AT_120 + "feel = { flam_ms = 50, drag_ms = 10 }\n"
    done = at(QUARTERS + 'sticking = "R lR R llR"', top=top)
    assert ticks(done.hits, kind="grace") == [960 - 96, 2880 - 38, 2880 - 19]


def test_grace_notes_shrink_to_a_third_of_the_room() -> None:
    top = "tempo = 300\n"  # a thirty-second is 25 ms, 120 ticks
    done = at('subdivision = "thirty-seconds"\nmeter = "1/4"\nsticking = "R lR R lR"', top=top)
    assert ticks(done.hits, kind="grace")[0] == 120 - 40
    drags = at('subdivision = "thirty-seconds"\nmeter = "1/4"\nsticking = "RRR llR"', top=top)
    assert ticks(drags.hits, kind="grace")[:2] == [360 - 40, 360 - 20]


def test_the_room_is_measured_from_the_grace_hand_or_the_drum() -> None:
    top = "tempo = 400\n"  # 25 ms are 160 ticks
    apart = at('subdivision = "sixteenths"\nmeter = "1/4"\nsticking = "R lR"\nhands.R = "crash"', top=top)
    # the left hand was free since the start of the bar, and nothing else strikes the snare: there is room enough
    assert placed(apart, "grace")[0] == (240 - 80, SNARE)
    near = at(
        'subdivision = "sixteenths"\nmeter = "1/4"\nsticking = "RL lR"\nhands.R = "crash"\nacross = "once"', top=top
    )
    assert placed(near, "grace")[0] == (480 - 80, SNARE)


def test_grace_notes_on_another_drum_with_the_voices_own_velocity() -> None:
    done = at(QUARTERS + 'sticking = "R lR"\nhands = { R = "crash", L = "floor-tom" }\nmeter = "2/4"')
    assert placed(done, "grace") == [(912, FLOOR)]
    assert placed(done, "stroke") == [(0, CRASH), (960, CRASH)]


def test_grace_notes_obey_the_bars_dynamics() -> None:
    done = at(QUARTERS + 'sticking = "R lR"\nmeter = "2/4"\ndynamics = "f"')
    assert [hit.velocity for hit in done.hits] == [94, 51, 94]


@pytest.mark.parametrize(
    ("dynamics", "graces"),
    [("", [45, 45, 19]), ("ghost = 90\ngrace = 40\n", [40, 40, 40]), ("ghost = 1\ngrace = 40\n", [40, 40, 1])],
)
def test_before_a_ghost_note_grace_notes_are_as_much_softer_as_it_is(dynamics: str, graces: list[int]) -> None:
    """A flam's grace note is the softer of the two (*common practice*), so too where that stroke is a ghost note."""
    text = f'phrase = ["a"]\n[dynamics]\n{dynamics}[bars.a]\nsticking = "R lR >lR (lR)"\nsubdivision = "quarters"\n'
    done = performed(text)
    assert [hit.velocity for hit in done.hits if hit.kind == "grace"] == graces


def test_grace_notes_use_the_tempo_before_their_stroke() -> None:
    text = (
        'phrase = ["slow", "fast"]\n[bars.slow]\ntempo = 60\nsticking = "R"\nacross = "once"\n'
        '[bars.fast]\ntempo = 240\nsubdivision = "quarters"\nsticking = "lR lR"\nacross = "once"\n'
    )
    # 25 ms are 24 ticks at 60 and 96 at 240
    assert ticks(performed(text).hits, kind="grace") == [3840 - 24, 4800 - 96]


def test_grace_notes_hang_before_the_swung_stroke() -> None:
    top = AT_120 + 'feel.swing = { of = "eighths", ratio = "2:1" }\n'
    done = at('subdivision = "eighths"\nsticking = "R lR"\nmeter = "1/4"', top=top)
    assert ticks(done.hits) == [0, 640 - 48, 640]


def test_no_room_at_a_tiny_division_names_the_stroke() -> None:
    text = one_bar('subdivision = "sixteenths"\nsticking = "R lR"\nmeter = "1/4"')
    assert said(lambda: performed(text, ppq=4)) == (
        "ppq: expected room for the grace notes in 4 ticks to the quarter, got none before bar 1, 1e (R)"
    )
    drag = one_bar('subdivision = "eighths"\nsticking = "R llR"\nmeter = "1/4"')
    assert said(lambda: performed(drag, ppq=4)) == (
        "ppq: expected room for the grace notes in 4 ticks to the quarter, got none before bar 1, 1& (R)"
    )


@pytest.mark.parametrize("tempo", [40, 120, 300, 400])
def test_a_grace_note_never_sounds_before_the_start(tempo: int) -> None:
    top = f"tempo = {tempo}\n"
    done = at('subdivision = "thirty-seconds"\nsticking = "- llR"\nmeter = "1/4"\nacross = "once"', top=top)
    assert all(hit.tick >= 0 for hit in done.hits)
    assert len(ticks(done.hits, kind="grace")) == 2
    assert done.remarks == ()


# -- the first downbeat


@pytest.mark.parametrize(("tempo", "before"), [(40, 16), (120, 48), (300, 120)])
def test_an_empty_bar_in_front_where_the_first_stroke_has_grace_notes(tempo: int, before: int) -> None:
    done = at(QUARTERS + 'sticking = "lR L L L"', top=f"tempo = {tempo}\n")
    assert done.remarks == ("an empty bar stands in front, for the grace notes before the first downbeat",)
    assert ticks(done.hits) == [3840 - before, 3840, 4800, 5760, 6720]
    assert done.end_tick == 7680
    assert done.markers[0] == (0, "empty")


@pytest.mark.parametrize(("tempo", "before"), [(40, 16), (120, 48), (300, 120)])
def test_in_a_loop_the_first_grace_note_is_put_at_its_end(tempo: int, before: int) -> None:
    done = at(QUARTERS + 'sticking = "lR L L L"', Practice(loop=True), top=f"tempo = {tempo}\n")
    assert done.remarks == ()
    assert done.end_tick == 3840
    assert ticks(done.hits) == [0, 960, 1920, 2880, 3840 - before]
    assert done.hits[-1].kind == "grace"
    assert done.loop


def test_in_a_loop_the_room_is_that_of_the_round_before() -> None:
    done = at(
        'subdivision = "thirty-seconds"\nsticking = "llR L"\nmeter = "1/4"', Practice(loop=True), top="tempo = 400\n"
    )
    # L strikes 120 ticks before each flammed R: two grace notes within 40
    assert ticks(done.hits, kind="grace")[-2:] == [960 - 40, 960 - 20]


def test_a_drag_in_a_loop_keeps_its_order() -> None:
    done = at(QUARTERS + 'sticking = "llR L"\nmeter = "2/4"', Practice(loop=True))
    assert ticks(done.hits) == [0, 960, 1920 - 154, 1920 - 77]


def test_with_a_count_in_there_is_room_already() -> None:
    done = at(QUARTERS + 'sticking = "lR L L L"', Practice(count_in=1))
    assert done.remarks == ()
    assert ticks(done.hits, kind="grace") == [3840 - 48]


def test_silencing_the_grace_hand_leaves_its_stroke() -> None:
    body = QUARTERS + 'sticking = "R lR"\nhands = { R = "hihat", L = "snare" }\nmeter = "2/4"'
    whole = at(body)
    assert placed(at(body, Practice(limbs=("R",))), "grace") == []
    assert ticks(at(body, Practice(limbs=("R",))).hits) == [0, 960]
    assert placed(at(body, Practice(mute=("hihat",))), "grace") == placed(whole, "grace") == [(912, SNARE)]


# -- buzzes


def test_a_buzz_bounces_on_and_dies_away() -> None:
    done = at(QUARTERS + 'sticking = "Rz"\nmeter = "1/4"')
    # 30 ms at 120 are 58 ticks (57.6); two thirds of 960 hold eleven of them
    assert ticks(done.hits, kind="bounce") == [58 * number for number in range(1, 12)]
    assert [hit.velocity for hit in done.hits[:4]] == [82, 65, 52, 41]
    assert {(hit.limb, hit.place) for hit in done.hits} == {("R", 0)}
    assert done.hits[1].moved_us == 58 * 500_000 // 960


def test_bounces_stay_within_their_place_under_swing() -> None:
    for ratio in ("2:1", "3:1", "9:1"):
        top = AT_120 + f'feel.swing = {{ of = "eighths", ratio = "{ratio}" }}\n'
        done = at('subdivision = "eighths"\nsticking = "R Rz L L"\nmeter = "2/4"', top=top)
        assert ticks(done.hits, kind="bounce")
        assert max(ticks(done.hits, kind="bounce")) < 960


def test_a_silent_buzz_has_no_bounces() -> None:
    done = at(QUARTERS + 'sticking = "Rz L"\nhands.R = "hihat"\nmeter = "2/4"', Practice(mute=("hihat",)))
    assert ticks(done.hits) == [960]


# -- notes of one key


def test_no_two_hits_share_key_and_tick() -> None:
    text = one_bar(
        'sticking = "Bz lR >llR Rz"\nsubdivision = "thirty-seconds"\nhands.R = "snare"\nfeet.kick = "all"\n'
        'feet.hihat-foot = "all"\n',
        top="tempo = 400\nfeel = { spread_ms = 50, flam_ms = 200, drag_ms = 200 }\n",
    )
    for loop in (False, True):
        hits = performed(text, Practice(loop=loop)).hits
        assert len({(hit.tick, hit.key) for hit in hits}) == len(hits)
        assert all(1 <= hit.velocity <= 127 for hit in hits)
        assert [hit.tick for hit in hits] == sorted(hit.tick for hit in hits)


@pytest.mark.parametrize(("click_level", "limb", "velocity"), [(60, "R", 82), (82, "R", 82), (90, "click", 90)])
def test_of_two_on_one_key_and_tick_the_louder_is_heard(click_level: int, limb: str, velocity: int) -> None:
    sound = ClickSound("snare", "snare", click_level)
    done = at(QUARTERS + 'sticking = "R"\nmeter = "2/4"', Practice(click="quarters", click_sound=sound))
    second = done.hits[1]
    assert len(done.hits) == 2
    assert (second.tick, second.key, second.limb, second.velocity) == (960, SNARE, limb, velocity)


def test_simultaneous_hits_stand_right_left_kick_hihat_click() -> None:
    body = QUARTERS + 'sticking = "B"\nhands.R = "ride"\nfeet.kick = "1"\nfeet.hihat-foot = "1"\nmeter = "1/4"'
    assert [hit.limb for hit in at(body).hits] == ["R", "L", "K", "H"]


# -- counting in


def test_the_count_in_is_one_click_a_count_the_first_marked() -> None:
    done = at('feet.kick = "1"\nmeter = "3/4"', Practice(count_in=2))
    clicks = [hit for hit in done.hits if hit.kind == "click"]
    assert [hit.tick for hit in clicks] == [960 * index for index in range(6)]
    assert [(hit.key, hit.velocity) for hit in clicks[:3]] == [(76, 112), (77, 82), (77, 82)]
    assert {hit.limb for hit in clicks} == {"click"}
    assert [hit.tick for hit in done.hits if hit.key == KICK] == [5760]


def test_a_compound_bar_is_counted_in_eighths_its_beats_marked() -> None:
    done = at('feet.kick = "1"', Practice(count_in=1), top='meter = "6/8"\n')
    clicks = [(hit.tick, hit.key) for hit in done.hits if hit.kind == "click"]
    assert clicks == [(480 * index, 76 if index in (0, 3) else 77) for index in range(6)]


def test_silencing_leaves_the_click() -> None:
    done = at('feet.kick = "1"', Practice(count_in=1, limbs=("R",), mute=("kick",)))
    assert {hit.kind for hit in done.hits} == {"click"}


def test_a_fixed_division_is_used() -> None:
    done = perform(arrange(phrase(one_bar('sticking = "R"\nsubdivision = "quarters"'))), ppq=480)
    assert done.ppq == 480
    assert ticks(done.hits) == [0, 480, 960, 1440]


def test_a_hit_knows_where_it_comes_from() -> None:
    text = 'phrase = ["a x2"]\n[bars.a]\nsubdivision = "quarters"\nsticking = "-R"\nhands.R = "hihat"\nmeter = "2/4"\n'
    assert performed(text).hits == (
        Hit(960, HIHAT, 82, "hihat", "R", "stroke", 0, 10_080, 0),
        Hit(2880, HIHAT, 82, "hihat", "R", "stroke", 1, 30_240, 0),
    )


def test_more_strokes_than_a_midi_file_holds_are_refused_before_they_are_performed() -> None:
    many = 'meter = "32/4"\nphrase = ["a x40000"]\n[bars.a]\nsticking = "R"\nsubdivision = "thirty-seconds"\n'
    plan = arrange(phrase(many))
    assert said(lambda: perform(plan)) == "expected at most 8388608 strokes, got 10240000"
