"""The demonstration: every file is clean, can be performed, and can be played by two hands and two feet."""

import re
from itertools import pairwise
from math import hypot
from pathlib import Path

import pytest
from drum_room import DEMO, DEMO_PHRASES

from drumgen.performance import Clock, Hit, Performance
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.book_loading import load_book
from drumgen.spec.loading import Loaded, load_phrase, read_phrase, shipped_kits
from drumgen.spec.writing import render_phrase_file
from drumgen.strokes import strokes
from drumgen.trade.limits import FOOT_REPEATED, HAND_REBOUND, SHANNON_FIT

FILES = DEMO_PHRASES


@pytest.fixture(params=FILES, ids=lambda path: path.stem)
def loaded(request: pytest.FixtureRequest) -> Loaded:
    return load_phrase(request.param)


def performed(loaded: Loaded) -> Performance:
    return perform(arrange(loaded.phrase))


def test_there_are_eight_and_the_readme_tells_of_each() -> None:
    readme = (DEMO / "README.md").read_text(encoding="utf-8")
    told = sorted(line.split("`")[1] for line in readme.splitlines() if line.startswith("| `"))
    assert [path.name for path in FILES] == told
    assert len(FILES) >= 8
    assert "invented" in readme


def test_a_file_has_a_title_a_tempo_and_a_note_and_no_remarks(loaded: Loaded) -> None:
    assert loaded.file.title
    assert loaded.file.tempo
    assert loaded.file.note
    assert loaded.phrase.remarks == ()


def test_a_file_is_performed_without_remarks(loaded: Loaded) -> None:
    played = performed(loaded)
    assert played.remarks == ()
    assert {hit.limb for hit in played.hits} >= {"R", "L", "K"}
    assert 8 < played.seconds < 40


def test_a_file_can_be_looped(loaded: Loaded) -> None:
    played = perform(arrange(loaded.phrase, Practice(loop=True)))
    assert all(0 <= hit.tick < played.end_tick for hit in played.hits)


def test_a_file_written_again_is_the_same_phrase(loaded: Loaded) -> None:
    text = render_phrase_file(loaded.file)
    again = read_phrase(text, file="again.toml", name=loaded.phrase.name)
    assert again.file == loaded.file
    assert performed(again) == performed(loaded)


def test_a_file_stands_as_it_would_be_written(loaded: Loaded) -> None:
    """But for its comments, and the spaces by which a sticking is grouped for the eye."""
    comments = [line for line in loaded.document.text.splitlines(keepends=True) if line.startswith("#")]
    assert ungrouped(loaded.document.text) == ungrouped("".join(comments) + render_phrase_file(loaded.file))


def ungrouped(text: str) -> str:
    return re.sub(r'(sticking +)= "(.*)"', lambda found: f'{found[1]}= "{found[2].replace(" ", "")}"', text)


@pytest.mark.parametrize("kit", shipped_kits())
def test_a_file_is_played_on_every_kit(loaded: Loaded, kit: str) -> None:
    other = load_phrase(DEMO / f"{loaded.phrase.name}.toml", kit=kit).phrase
    assert perform(arrange(other)).hits
    assert all("is played on" in str(remark) for remark in other.remarks)


def by_limb(played: Performance) -> dict[str, list[Hit]]:
    limbs: dict[str, list[Hit]] = {}
    for hit in played.hits:
        limbs.setdefault(hit.limb, []).append(hit)
    return limbs


def test_no_limb_strikes_two_voices_at_once(loaded: Loaded) -> None:
    for _, laid in strokes(arrange(loaded.phrase)):
        struck = [(stroke.place, stroke.limb) for stroke in laid.strokes]
        assert len(struck) == len(set(struck))


def test_every_limb_has_the_time_that_its_move_takes(loaded: Loaded) -> None:
    """From one voice to another as Fitts' law has it; on one voice no faster than a rebound, or a foot."""
    played = performed(loaded)
    clock, kit = Clock(played.tempos), loaded.phrase.kit
    for limb, hits in by_limb(played).items():
        for one, other in pairwise(hits):
            gap_ms = (clock.parts(other.tick) - clock.parts(one.tick)) / played.ppq / 1000
            here, there = kit.voice(one.voice), kit.voice(other.voice)
            reach = hypot(there.x_cm - here.x_cm, there.y_cm - here.y_cm)
            again = HAND_REBOUND if limb in ("R", "L") else FOOT_REPEATED
            needed = SHANNON_FIT.move_ms(reach=reach, width=there.width_cm) if reach else again.at("player")
            assert gap_ms >= needed or (one.kind, other.kind) == ("grace", "grace"), (one, other, gap_ms, needed)


def played_by(name: str) -> tuple[Loaded, Performance]:
    loaded = load_phrase(DEMO / f"{name}.toml")
    return loaded, performed(loaded)


def test_the_millrace_has_ghost_notes_under_a_backbeat() -> None:
    loaded, _ = played_by("millrace")
    laid = strokes(arrange(loaded.phrase))[0].laid
    left = {stroke.place // 2520: stroke.level for stroke in laid.strokes if stroke.limb == "L"}
    assert {place for place, level in left.items() if level == "accent"} == {4, 12}
    assert {level for place, level in left.items() if place not in (4, 12)} == {"ghost"}


def test_the_towpath_is_a_shuffle_in_triplets() -> None:
    loaded, _ = played_by("towpath")
    laid = strokes(arrange(loaded.phrase))[0].laid
    hat = [stroke.place for stroke in laid.strokes if stroke.voice == "hihat"]
    assert hat == [beat * 10_080 + third for beat in range(4) for third in (0, 6720)]


def test_the_fog_bell_takes_its_slow_four() -> None:
    loaded, played = played_by("fog-bell")
    assert str(loaded.phrase.meter) == "12/8 in 4"
    assert played.seconds == pytest.approx(5 * 4 * 60 / 54, abs=1e-3)


def test_the_crooked_steps_begin_each_group_with_an_accent() -> None:
    loaded, _ = played_by("crooked-steps")
    laid = strokes(arrange(loaded.phrase))[0].laid
    accents = [stroke.place // 5040 + 1 for stroke in laid.strokes if stroke.level == "accent"]
    assert accents == [1, 3, 5, 7]


def test_the_rope_walk_flams_every_beat_and_drags_into_the_crash() -> None:
    loaded, played = played_by("rope-walk")
    plan = arrange(loaded.phrase)
    knots, made_fast = (strokes(plan)[number].laid for number in (2, 3))
    flams = [(stroke.limb, stroke.voice) for stroke in knots.strokes if stroke.grace == 1]
    assert flams == [("R", "floor-tom"), ("L", "mid-tom"), ("R", "high-tom"), ("L", "snare")]
    crash = next(stroke for stroke in made_fast.strokes if stroke.voice == "crash")
    assert (crash.place, crash.limb, crash.grace, crash.grace_voice) == (0, "R", 2, "snare")
    graces = [hit for hit in played.hits if hit.kind == "grace" and hit.span == 3]
    assert [(hit.limb, hit.voice) for hit in graces] == [("L", "snare"), ("L", "snare")]


def test_the_water_wheel_comes_round_after_three_bars() -> None:
    loaded, _ = played_by("water-wheel")
    accents = [
        number * 16 + stroke.place // 2520
        for number, (_, laid) in enumerate(strokes(arrange(loaded.phrase))[:3])
        for stroke in laid.strokes
        if stroke.voice == "ride-bell"
    ]
    assert accents == list(range(0, 48, 6))


def test_the_lantern_round_is_linear() -> None:
    loaded, _ = played_by("lantern-round")
    for span, laid in strokes(arrange(loaded.phrase)):
        places = [stroke.place for stroke in laid.strokes]
        assert span.landing or len(places) == len(set(places)) == 16


def test_the_gate_call_begins_on_its_last_beat_and_answers_in_one() -> None:
    loaded, _ = played_by("gate-call")
    played = strokes(arrange(loaded.phrase))
    assert loaded.phrase.first_number == 0
    assert min(stroke.place for stroke in played[0].laid.strokes) == 3 * 10_080
    gate, answer = played[2].laid, played[4].laid
    assert [s for s in gate.strokes if s.place < 30_240] == [s for s in answer.strokes if s.place < 30_240]
    assert [s.voice for s in answer.strokes if s.place >= 30_240 and s.limb == "R"] == ["high-tom", "floor-tom"]


def test_the_book_is_a_course_of_all_eight_at_tempos_that_a_player_has_room_in() -> None:
    book = load_book(DEMO)
    assert sorted(Path(entry.file).name for entry in book.entries) == [path.name for path in FILES]
    for entry in book.entries:
        phrase = load_phrase(entry.file).phrase
        tempo = dict(entry.options).get("tempo", phrase.tempo)
        assert tempo.quarters(phrase.meter)[0] <= phrase.tempo.quarters(phrase.meter)[0]
