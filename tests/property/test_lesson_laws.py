"""Any sticking with hands makes a lesson whose every page can be read, played and practised."""

from __future__ import annotations

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from drumgen.errors import DrumgenError
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import load_kit, read_phrase
from drumgen.study.lesson import LessonWish
from drumgen.study.lesson_files import lesson_files
from drumgen.study.lesson_making import make_lesson
from drumgen.study.top_tempo import top_tempo
from drumgen.trade.rudiments import RUDIMENTS

STICKINGS = st.lists(
    st.sampled_from(["R", "L", "R", "L", "B", "K", "H", "-", "lR", "rL", "llR", "Rz", ">L", "(R)"]),
    min_size=2,
    max_size=16,
).map("".join)


@given(
    text=st.one_of(STICKINGS, st.sampled_from([str(rudiment) for rudiment in RUDIMENTS])),
    minutes=st.sampled_from([5, 20, 45]),
    kit=st.sampled_from(["five-piece", "four-piece", "left-handed", "general-midi"]),
)
@settings(max_examples=6, deadline=None)
def test_every_page_of_every_lesson_can_be_read_and_played(text: str, minutes: int, kit: str) -> None:
    try:
        lesson = make_lesson(text, LessonWish(minutes=minutes, kit=kit))
    except DrumgenError as error:
        assume("strokes of the hands" not in str(error))
        raise
    assert 0 < lesson.minutes <= minutes or len(lesson.exercises) == 1
    *phrases, _ = lesson_files(lesson).items()
    for (name, content), exercise in zip(phrases, lesson.exercises, strict=True):
        phrase = read_phrase(content, file=name, name=name, beside=None).phrase
        assert phrase.kit == load_kit(exercise.file.kit or "")
        assert phrase.remarks == (), (name, phrase.remarks)
        fastest = arrange(phrase, Practice(times=2, rungs=phrase.practice.rungs[-1:]))
        assert top_tempo(fastest).playable, (name, exercise.tempos)
