"""Lessons: what is in them, in which order, how fast and how long, and what cannot be made into one."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from drum_room import said

from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.book_file import read_book
from drumgen.spec.loading import load_kit, read_phrase
from drumgen.spec.resolving import resolved
from drumgen.spec.writing import render_book_file, render_phrase_file
from drumgen.strokes import strokes
from drumgen.study.lesson import Exercise, Lesson, LessonWish
from drumgen.study.lesson_files import lesson_files
from drumgen.study.lesson_ground import Ground
from drumgen.study.lesson_making import make_lesson
from drumgen.study.lesson_material import Setting, lesson_material
from drumgen.study.lesson_tempos import Climb, PageLength, climb, shared_out
from drumgen.study.top_tempo import top_tempo
from drumgen.tempo import parse_tempo

if TYPE_CHECKING:
    from drumgen.layout import Stroke
    from drumgen.phrase import Phrase

FOUR = ("single paradiddle", "double paradiddle", "paradiddle-diddle", "RLRRLRL")
"""Eight, twelve and six strokes, and a row of seven of our own."""


def phrase_of(exercise: Exercise) -> Phrase:
    return resolved(exercise.file, load_kit(exercise.file.kit or ""), name="lesson")


def page(lesson: Lesson, name: str) -> Exercise:
    return next(exercise for exercise in lesson.exercises if exercise.name == name)


def bar_strokes(exercise: Exercise, number: int) -> list[Stroke]:
    """The strokes of a bar of the phrase, counted from 0."""
    return list(strokes(arrange(phrase_of(exercise), Practice()))[number].laid.strokes)


def test_the_pages_in_their_order() -> None:
    assert [exercise.name for exercise in make_lesson("single paradiddle").exercises] == [
        *("say-the-count", "on-the-pad", "feet-beneath", "accents-through-it", "soft-and-loud", "two-surfaces"),
        *("around-the-drums", "groove", "fill-of-a-beat", "fill-of-two-beats", "fill-of-a-bar", "eight-bars"),
        *("begun-elsewhere", "over-triplets", "at-the-songs-tempo"),
    ]


@pytest.mark.parametrize(
    ("text", "home", "others"),
    [
        ("single paradiddle", Setting("4/4", "sixteenths"), [Setting("4/4", "triplets", 2)]),
        ("double paradiddle", Setting("4/4", "triplets"), [Setting("4/4", "sixteenths", 3)]),
        ("RLLRRL", Setting("4/4", "triplets"), [Setting("4/4", "sixteenths", 3)]),
        ("RLRLL", Setting("5/8 2+3", "sixteenths"), [Setting("4/4", "quintuplets"), Setting("4/4", "sixteenths", 5)]),
        (
            "RLRRLRL",
            Setting("7/8 2+2+3", "sixteenths"),
            [Setting("4/4", "septuplets"), Setting("4/4", "sixteenths", 7)],
        ),
        ("RLRRLLRLRR", Setting("5/8 2+3", "sixteenths"), [Setting("4/4", "sixteenths", 5)]),
        ("RLLRLLRLL", Setting("3/4", "triplets"), []),
        ("double drag tap", Setting("3/4", "eighths"), [Setting("4/4", "sixteenths", 3)]),
        ("five stroke roll", Setting("4/4"), []),
        ("seventeen stroke roll", Setting("6/4"), []),
        ("RLRLRLRLRLRLRLRLR", Setting("4/4", "sixteenths", 17), []),
    ],
)
def test_a_sticking_stands_where_it_suits(text: str, home: Setting, others: list[Setting]) -> None:
    material = lesson_material(text)
    assert (material.home, list(material.others)) == (home, others)


@pytest.mark.parametrize("text", FOUR)
def test_every_page_has_both_leads(text: str) -> None:
    for exercise in make_lesson(text).exercises:
        letters = [laid.letters for _, laid in strokes(arrange(phrase_of(exercise), Practice())) if laid.letters]
        first = {letters_of_bar[0][1].strip("()>lr")[:1] for letters_of_bar in letters}
        assert first == {"R", "L"}, exercise.name


@pytest.mark.parametrize("text", FOUR)
def test_every_page_says_one_thing_of_each_kind_and_nothing_is_odd_in_it(text: str) -> None:
    for exercise in make_lesson(text).exercises:
        assert all((exercise.heading, exercise.aim, exercise.listen, exercise.move_on, exercise.why))
        assert [line.partition(":")[0] for line in exercise.lines] == ["Aim", "Listen for", "Move on", "Why", "Tempo"]
        assert phrase_of(exercise).remarks == (), exercise.name


@pytest.mark.parametrize("text", FOUR)
@pytest.mark.parametrize("skill", ["learner", "player"])
def test_a_page_climbs_from_half_its_top_tempo_to_three_quarters(text: str, skill: str) -> None:
    lesson = make_lesson(text, LessonWish(skill=skill))  # type: ignore[arg-type]
    for exercise in lesson.exercises[1:-1]:
        phrase = phrase_of(exercise)
        top = top_tempo(arrange(phrase, Practice(times=2)), skill=skill).top  # type: ignore[arg-type]
        assert top is not None
        held = min(top, 400 if exercise.unit else 240)
        assert held / 2 <= exercise.lowest < held / 2 + 2, exercise.name
        assert exercise.lowest <= exercise.highest <= held * 3 / 4
        assert exercise.highest >= held * 0.65
        assert [rung.start for rung in phrase.practice.rungs][:: max(1, len(phrase.practice.rungs) - 1)] in (
            [exercise.lowest, exercise.highest],
            [],
        )
        assert phrase.practice.count_in == 1


def test_the_count_is_no_quicker_than_the_sticking_nor_than_a_voice() -> None:
    lesson = make_lesson("single paradiddle")
    said_aloud, hands = page(lesson, "say-the-count"), page(lesson, "on-the-pad")
    assert said_aloud.highest < hands.highest
    assert said_aloud.highest * 4 / 60 <= 5
    assert "1 e & a 2 e & a 3 e & a 4 e & a" in said_aloud.aim
    assert page(make_lesson("RLRRLRL"), "say-the-count").highest * 2 / 60 <= 5
    assert (
        page(make_lesson("RRRRRRRRL"), "say-the-count").highest <= page(make_lesson("RRRRRRRRL"), "on-the-pad").highest
    )
    assert "1 & 2 & 3 & 4 &" in page(make_lesson("five stroke roll"), "say-the-count").aim


def test_a_title_keeps_every_sign_and_is_said_as_it_is_played() -> None:
    assert make_lesson("lRLrLR").title == "lRLrLR: a lesson"
    assert make_lesson("single paradiddle").title == "Single paradiddle: a lesson"
    left = make_lesson("RLK RLK RK", LessonWish(handed="left"))
    assert left.title.replace(" ", "") == "LRKLRKLK:alesson"
    assert "left hand" not in " ".join(page(left, "groove").lines)


def test_what_is_said_of_feet_is_what_they_play() -> None:
    assert "the hi-hat foot keeps the backbeat" in page(make_lesson("RLK"), "feet-beneath").aim
    assert "the bass drum has the other beats" in page(make_lesson("RLH"), "feet-beneath").aim
    assert "the feet have their own strokes" in page(make_lesson("RLHK"), "feet-beneath").aim
    accents = page(make_lesson("RLK"), "accents-through-it")
    assert {s.limb for number in (0, 1) for s in bar_strokes(accents, number) if s.level == "accent"} <= {"R", "L"}


def test_a_slow_last_page_is_about_the_click() -> None:
    assert make_lesson("lRLRRLL", LessonWish(skill="learner")).exercises[-1].heading == "Without the click"
    assert make_lesson("single paradiddle").exercises[-1].heading == "At the tempo of a song"


def test_a_bare_tempo_in_eighths_is_of_eighths() -> None:
    assert make_lesson("RLRLL", LessonWish(tempo=parse_tempo("110"))).exercises[-1].tempos == "eighth 110"


@pytest.mark.parametrize("text", [*FOUR, "five stroke roll"])
@pytest.mark.parametrize("minutes", [5, 30, 60])
def test_its_minutes_add_up(text: str, minutes: int) -> None:
    lesson = make_lesson(text, LessonWish(minutes=minutes))
    played_s = sum(perform(arrange(phrase_of(exercise))).seconds for exercise in lesson.exercises)
    assert lesson.minutes * 60 == pytest.approx(played_s, abs=0.01 * len(lesson.exercises))
    assert 0.8 * minutes <= lesson.minutes <= minutes
    assert f"{round(lesson.minutes)} minutes of playing" in lesson.notes[0]


def test_in_little_time_the_pages_that_matter_most_stay() -> None:
    names = [exercise.name for exercise in make_lesson("double paradiddle", LessonWish(minutes=6)).exercises]
    assert {"on-the-pad", "groove", "fill-of-a-bar", "at-the-songs-tempo"} <= {*names}
    assert len(names) < 15


@pytest.mark.parametrize(("text", "back"), [("single paradiddle", (2, 4)), ("RLRRLRL", (5,)), ("RLRLL", (3,))])
def test_the_groove_has_a_backbeat_on_the_snare_ghosts_and_a_bass_drum(text: str, back: tuple[int, ...]) -> None:
    groove = page(make_lesson(text), "groove")
    ground = Ground(lesson_material(text), lesson_material(text).home)
    places = [ground.meter.counts[count - 1].start for count in back]
    order = phrase_of(groove).order
    for number in (0, order.index("groove, other lead")):
        struck = bar_strokes(groove, number)
        assert [s.place for s in struck if s.level == "accent"] == places
        assert {s.voice for s in struck if s.level == "accent"} == {"snare"}
        assert {s.level for s in struck if s.limb == "L" and s.place not in places} == {"ghost"}
        assert {s.voice for s in struck if s.limb == "R" and s.place not in places} == {"hihat"}
        assert 0 in [s.place for s in struck if s.voice == "kick"]
        assert not {s.place for s in struck if s.voice == "kick"} & set(places)


@pytest.mark.parametrize("name", ["fill-of-a-beat", "fill-of-two-beats", "fill-of-a-bar", "eight-bars"])
def test_a_fill_comes_in_its_last_bar_and_lands(name: str) -> None:
    exercise = page(make_lesson("single paradiddle"), name)
    order = phrase_of(exercise).order
    fill = order.index("fill")
    assert fill == (7 if name == "eight-bars" else 3)
    assert {s.voice for s in bar_strokes(exercise, fill)} & {"high-tom", "mid-tom", "floor-tom"}
    landing = [s for s in bar_strokes(exercise, fill + 1) if s.place == 0]
    assert {s.voice for s in landing} >= {"crash", "kick"}
    beats = {"fill-of-a-beat": 3, "fill-of-two-beats": 2}.get(name, 0)
    before = [s for s in bar_strokes(exercise, fill) if s.place < beats * 10_080]
    assert all(s.voice in ("hihat", "snare", "kick") for s in before)


def test_each_lead_lands_with_its_own_hand() -> None:
    exercise = page(make_lesson("single paradiddle"), "fill-of-a-bar")
    order = phrase_of(exercise).order
    crashes = [s.limb for number in range(len(order)) for s in bar_strokes(exercise, number) if s.voice == "crash"]
    assert crashes == ["R", "L"]


def test_the_last_page_takes_the_tempo_that_is_asked_for_with_gaps() -> None:
    last = make_lesson("single paradiddle", LessonWish(tempo=parse_tempo("88"))).exercises[-1]
    assert (last.tempos, phrase_of(last).practice.gap) == ("88", (2, 2))
    assert phrase_of(last).tempo.start == 88
    seven = make_lesson("RLRRLRL", LessonWish(tempo=parse_tempo("eighth 150"))).exercises[-1]
    assert seven.tempos == "eighth 150"


def test_a_tempo_over_the_last_pages_top_is_refused() -> None:
    text = said(lambda: make_lesson("RLRRLRL", LessonWish(tempo=parse_tempo("eighth 390"))))
    assert re.fullmatch(
        r"expected --tempo up to eighth \d+, the top tempo of the last page for a player, got eighth 390", text
    )


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("K K", 'expected a sticking with strokes of the hands, got "K K"'),
        ("R", "expected a sticking of 2 to 32 strokes and rests, got 1"),
        ("R" * 33, "expected a sticking of 2 to 32 strokes and rests, got 33"),
    ],
)
def test_what_no_lesson_can_be_made_of(text: str, answer: str) -> None:
    assert said(lambda: make_lesson(text)) == answer


def test_minutes_out_of_bounds_and_a_kit_without_drums_are_refused() -> None:
    assert said(lambda: make_lesson("RL", LessonWish(minutes=4))) == "expected --minutes from 5 to 180, got 4"
    assert said(lambda: make_lesson("RL", LessonWish(kit="practice-pad"))) == (
        'expected a kit with hihat, snare, kick, floor-tom, crash, each of its own, got "practice-pad"'
    )


@pytest.mark.parametrize(
    "text", ["R-LK", "lR L", "Rz Lz", "BRL", "B B", "(R)L>RL", "HRLK", "-RLR", "single ratamacue", "flam", "RRRR"]
)
def test_other_signs_give_a_lesson_too(text: str) -> None:
    lesson = make_lesson(text)
    assert len(lesson.exercises) >= 10
    for exercise in lesson.exercises:
        assert phrase_of(exercise).remarks == (), (exercise.name, phrase_of(exercise).remarks)


def test_the_files_are_numbered_and_stand_as_they_are_read() -> None:
    lesson = make_lesson("double paradiddle")
    files = lesson_files(lesson)
    assert files == lesson_files(make_lesson("double paradiddle"))
    assert next(iter(files)) == "01-say-the-count.toml"
    for name, text in files.items():
        if name == "book.toml":
            book = read_book(text, file=name).file
            assert render_book_file(book) == text
            assert [entry.file for entry in book.phrases or ()] == [each for each in files if each != name]
        else:
            assert render_phrase_file(read_phrase(text, file=name, name=name).file) == text


def test_a_left_handed_lesson_is_the_mirror_of_a_right_handed_one() -> None:
    right, left = make_lesson("RLLRRL"), make_lesson("RLLRRL", LessonWish(kit="left-handed"))
    assert [exercise.name for exercise in right.exercises] == [exercise.name for exercise in left.exercises]
    pads = [page(lesson, "on-the-pad") for lesson in (right, left)]
    rows = [[s.limb for s in bar_strokes(exercise, 0)] for exercise in pads]
    assert rows[0] == [{"R": "L", "L": "R"}[limb] for limb in rows[1]]
    handed = make_lesson("RLLRRL", LessonWish(handed="left"))
    assert {s.limb for s in bar_strokes(page(handed, "groove"), 0) if s.voice == "hihat"} == {"L"}


def test_climbs() -> None:
    assert climb(None) == Climb(120, 176, 14)
    assert climb(4) == Climb(2, 3, 1)
    assert climb(2).ladder("") == ""
    for top in range(2, 400):
        for rungs in (3, 5):
            found = climb(top, rungs=rungs)
            held = min(top, 240)
            assert held / 2 <= found.lowest
            assert found.highest <= max(found.lowest, held * 3 / 4)
            assert found.step == 0 or (found.highest - found.lowest) / found.step <= rungs - 1
            assert found.step == 0 or (found.highest - found.lowest) % found.step == 0


def test_time_is_shared_out_by_weight() -> None:
    pages = [PageLength(60, 30, 1, 1), PageLength(60, 30, 3, 1), PageLength(100, 50, 1, 3)]
    rungs, times = shared_out(10, lambda _: pages)
    assert rungs == 5
    assert sum(each.seconds(times[number]) for number, each in enumerate(pages)) <= 600
    assert times[1] > 2 * times[0]
    assert shared_out(2, lambda _: pages)[1] == {0: 1, 1: 1}
    assert shared_out(1, lambda _: [PageLength(90, 1, 1, 0)])[1] == {0: 1}


def test_an_accent_goes_through_every_stroke_of_its_side() -> None:
    exercise = page(make_lesson("single paradiddle"), "accents-through-it")
    accented = [
        [s.place // 2520 % 4 for s in bar_strokes(exercise, number) if s.level == "accent"] for number in range(4)
    ]
    assert accented == [[stroke] * 4 for stroke in range(4)]


def test_a_rudiment_in_its_own_rhythm_keeps_it() -> None:
    lesson = make_lesson("five stroke roll")
    exercise = page(lesson, "on-the-pad")
    lengths = {Fraction(s.grains, 10_080) for s in bar_strokes(exercise, 0)}
    assert lengths == {Fraction(1, 8), Fraction(1, 2)}
    assert page(lesson, "accents-through-it").aim.startswith("first every stroke of one hand")


@pytest.mark.parametrize(
    ("kit", "toms"),
    [("five-piece", {"high-tom", "mid-tom", "floor-tom"}), ("four-piece", {"high-tom", "floor-tom"})],
)
def test_hands_walk_around_the_toms_that_a_kit_has(kit: str, toms: set[str]) -> None:
    lesson = make_lesson("single stroke roll", LessonWish(kit=kit))
    around = phrase_of(page(lesson, "around-the-drums"))
    struck = {stroke.voice for played in strokes(arrange(around)) for stroke in played.laid.strokes}
    assert {name for name in struck if name.endswith("tom")} == toms
    assert [phrase_of(each).remarks for each in lesson.exercises] == [()] * len(lesson.exercises)
