"""Lessons: from one sticking to a graded row of exercises, as a good teacher would write it, both leads at every step.

The progression and its words are our own. Each exercise has one aim, one thing to listen for, when to move on, and why
it is there; it climbs from half its top tempo to three quarters of it (`top_tempo`), within `lesson_tempos`' bounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from drumgen.spec.phrase_file import PhraseFile
    from drumgen.tempo import Tempo
    from drumgen.trade.limits import Skill

FEWEST_MINUTES, MOST_MINUTES = 5, 180


@dataclass(frozen=True, slots=True)
class LessonWish:
    """What kind of lesson is asked for.

    ``minutes`` of playing, 5 to 180. ``tempo`` is that of the last page, in its meter's beat; unsaid, three quarters of
    its top tempo, 120 (or eighth 240) at most. ``kit`` is a shipped kit or the path of a kit file as the phrase files
    say it; ``handed`` exchanges the hands where the kit does not.
    """

    skill: Skill = "player"
    minutes: int = 30
    tempo: Tempo | None = None
    kit: str = "five-piece"
    handed: Literal["right", "left"] | None = None


@dataclass(frozen=True, slots=True)
class Exercise:
    """One page of a lesson: a phrase file, and what the teacher says of it.

    ``lowest`` and ``highest`` are its tempos in its ``unit`` (nothing: the meter's beat); ``top`` is its top tempo.
    ``seconds`` is how long its practice lasts, count-ins and all.
    """

    name: str
    heading: str
    aim: str
    listen: str
    move_on: str
    why: str
    file: PhraseFile
    lowest: int
    highest: int
    unit: str
    top: float | None
    seconds: float

    @property
    def tempos(self) -> str:
        """Its range in words."""
        unit = f"{self.unit} " if self.unit else ""
        if self.lowest == self.highest:
            return f"{unit}{self.lowest}"
        return f"{unit}{self.lowest} to {self.highest}"

    @property
    def lines(self) -> tuple[str, ...]:
        """What is printed for the player, a line each."""
        return (
            f"Aim: {self.aim}",
            f"Listen for: {self.listen}",
            f"Move on: {self.move_on}",
            f"Why: {self.why}",
            f"Tempo: {self.tempos}, one bar counted in; begin the track again until it is easy",
        )


@dataclass(frozen=True, slots=True)
class Lesson:
    """A lesson: its exercises in order; ``notes`` are lines that stand at its beginning."""

    title: str
    notes: tuple[str, ...]
    exercises: tuple[Exercise, ...]

    @property
    def minutes(self) -> float:
        """How long all its practice lasts, rests between the exercises not counted."""
        return sum(exercise.seconds for exercise in self.exercises) / 60
