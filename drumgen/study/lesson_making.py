"""Making a lesson: its steps on a kit, each with its top tempo, its ladder and its share of the time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import inf
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import load_kit
from drumgen.study.lesson import FEWEST_MINUTES, MOST_MINUTES, Exercise, Lesson, LessonWish
from drumgen.study.lesson_draft import PAD, Draft, draft
from drumgen.study.lesson_fills import fill_orchestrations, fill_steps
from drumgen.study.lesson_ground import Ground
from drumgen.study.lesson_material import lesson_material
from drumgen.study.lesson_steps import (
    Step,
    accents_step,
    around_step,
    count_aloud,
    dynamics_step,
    elsewhere_step,
    feet_step,
    first_steps,
    groove_step,
    other_setting_step,
    surfaces_step,
)
from drumgen.study.lesson_tempos import FASTEST_SONG, FASTEST_TOP, Climb, PageLength, climb, shared_out
from drumgen.study.top_tempo import shown_tempo, top_tempo
from drumgen.subdivision import places_in
from drumgen.tempo import parse_tempo
from drumgen.trade.cautions import HEARING_SENTENCE, STRAIN_LINE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.kit import Kit
    from drumgen.study.lesson_material import LessonMaterial

USUAL_WISH = LessonWish()
FASTEST_VOICE = 400
"""Syllables a minute that are the top of counting aloud: three quarters of it are five a second (from memory)."""

SLOW_SONG = {"": 70, "eighth": 140}
"""Under it the last page is not called a song's (ours)."""
_NEEDED = ("hihat", "snare", "kick", "floor-tom", "crash")


def make_lesson(text: str, wish: LessonWish = USUAL_WISH, *, kit: Kit | None = None) -> Lesson:
    """The lesson of a sticking or a rudiment's name; ``kit`` is the loaded kit where the wish's name is not a path.

    Raises DrumgenError where no lesson can be made of it: no hand strokes, too long, a kit without the drums that a
    groove needs, minutes out of bounds, a tempo over the top tempo of the last page.
    """
    if not FEWEST_MINUTES <= wish.minutes <= MOST_MINUTES:
        rule = f"--minutes from {FEWEST_MINUTES} to {MOST_MINUTES}"
        raise DrumgenError(Fault(rule, got=str(wish.minutes)))
    kit = kit or load_kit(wish.kit)
    if len({kit.voice(name).name for name in _NEEDED}) < len(_NEEDED):
        raise DrumgenError(Fault(f"a kit with {', '.join(_NEEDED)}, each of its own", got=f'"{kit.name}"'))
    material = lesson_material(text)
    pages = _Maker(material, wish, kit).pages()
    rungs, times = shared_out(wish.minutes, lambda rungs: [page.length(rungs) for page in pages])
    exercises = tuple(page.exercise(rungs, times[number]) for number, page in enumerate(pages) if number in times)
    minutes = round(sum(exercise.seconds for exercise in exercises) / 60)
    whom = "at record speed" if wish.skill == "record" else f"for a {wish.skill}"
    name = material.said(exchanged=is_left(wish, kit))
    size = f"{len(exercises)} exercises on {name}, {minutes} minutes of playing, {whom}"
    notes = (
        f"{size}; every step with both leads. Rests come on top.",
        "Each page climbs from about half its own top tempo to three quarters; none is faster than one counts aloud.",
        "Once through is little: begin the track again, or loop the page, until a tempo is easy.",
        'In a bar "change over" only the foot plays: get ready for the other lead.',
        f"Before you start: {STRAIN_LINE}.",
        HEARING_SENTENCE,
    )
    return Lesson(f"{name[:1].upper() if material.named else name[:1]}{name[1:]}: a lesson", notes, exercises)


def is_left(wish: LessonWish, kit: Kit) -> bool:
    """Whether its hands are exchanged."""
    return "left" in (wish.handed, kit.hand)


@dataclass(frozen=True)
class _Page:
    """A step on its kit, with its top tempo."""

    step: Step
    kit: Kit
    head: dict[str, Any]
    least_top: float | None
    wish: LessonWish

    @property
    def unit(self) -> str:
        return self.step.ground.setting.unit

    @cached_property
    def top(self) -> float | None:
        """Its top tempo, played more than once over; no higher than that of the page it goes with."""
        drafted = self._draft(FASTEST_TOP[self.unit] // 2, {}, title=self.step.heading)
        top = top_tempo(arrange(drafted.phrase, Practice(times=2)), skill=self.wish.skill).top
        tops = [each for each in (top, self.least_top) if each is not None]
        return min(tops, default=None)

    @property
    def heading(self) -> str:
        """Its heading; the last page of a slow lesson is about the click."""
        slow = self.step.goal and self.wish.tempo is None and (self.top or inf) * 3 / 4 < SLOW_SONG[self.unit]
        return "Without the click" if slow else self.step.heading

    def _draft(self, tempo: int | str, practice: dict[str, Any], *, title: str) -> Draft:
        said = f"{self.unit} {tempo}" if self.unit and isinstance(tempo, int) else tempo
        table = {
            "title": title,
            "note": self.step.aim[:1].upper() + self.step.aim[1:],
            "tempo": said,
            **self.head,
            **self.step.extra,
        }
        if practice:
            table["practice"] = practice
        return draft({**table, "phrase": list(self.step.order), "bars": self.step.bars}, self.kit)

    def _climb(self, rungs: int) -> Climb:
        climbed = climb(self.top, unit=self.unit, rungs=rungs)
        if not self.step.goal:
            return climbed
        top = min(self.top or FASTEST_TOP[self.unit], FASTEST_TOP[self.unit])
        song = min(int(top * 3 / 4), FASTEST_SONG[self.unit])
        return Climb(song, song, 0)

    def made(self, rungs: int, times: int) -> Draft:
        """Its phrase file as it is practised."""
        climbed = self._climb(rungs)
        practice: dict[str, Any] = {"times": times, "count-in": 1, "click": "beats"}
        if climbed.step:
            practice["ladder"] = climbed.ladder(self.unit)
        if not self.step.goal:
            return self._draft(climbed.lowest, practice, title=self.heading)
        practice["gap"] = "2 on 2 off"
        return self._draft(self._song(climbed.lowest), practice, title=self.heading)

    def _song(self, usual: int) -> int | str:
        """The tempo of the last page. Raises DrumgenError where the one that is asked for is over its top tempo."""
        tempo = self.wish.tempo
        if tempo is None:
            return usual
        meter = self.step.ground.meter
        if self.unit and not tempo.unit:
            tempo = replace(tempo, unit=self.unit)
        asked, top = tempo.quarters(meter)[0], self.top
        one = parse_tempo(f"{self.unit} 100".strip()).quarters(meter)[0] / 100
        if top is not None and asked > top * float(one):
            unit = f"{self.unit} " if self.unit else ""
            rule = f"--tempo up to {unit}{shown_tempo(top)}, the top tempo of the last page for a {self.wish.skill}"
            raise DrumgenError(Fault(rule, got=str(tempo)))
        return str(tempo)

    def length(self, rungs: int) -> PageLength:
        """How long it lasts."""
        once, twice = (float(arrange(self.made(rungs, times).phrase).least_s) for times in (1, 2))
        return PageLength(once, twice - once, self.step.weight, self.step.rank)

    def exercise(self, rungs: int, times: int) -> Exercise:
        """The finished page."""
        made, climbed, step = self.made(rungs, times), self._climb(rungs), self.step
        song = int(made.phrase.tempo.start)
        lowest, highest = (song, song) if step.goal else (climbed.lowest, climbed.highest)
        return Exercise(
            name=step.name,
            heading=self.heading,
            aim=step.aim,
            listen=step.listen,
            move_on=step.move_on,
            why=step.why,
            file=made.file,
            lowest=lowest,
            highest=highest,
            unit=made.phrase.tempo.unit,
            top=self.top,
            seconds=float(arrange(made.phrase).least_s),
        )


class _Maker:
    """The pages of one lesson."""

    def __init__(self, material: LessonMaterial, wish: LessonWish, kit: Kit) -> None:
        self.material, self.wish, self.kit = material, wish, kit
        self.pad = load_kit(PAD)
        self.ground = Ground(material, material.home)

    def pages(self) -> list[_Page]:
        """All pages, in order, those of the count no quicker than the whole sticking on the pad."""
        name = self.material.said(exchanged=is_left(self.wish, self.kit))
        said, hands = (self._page(step) for step in first_steps(self.ground, count_aloud(self.ground), name))
        before = [self._page(step) for step in self._steps_before_the_groove()]
        groove = self._page(groove_step(self.ground))
        aloud = min(FASTEST_VOICE / self._places_a_beat(), *([hands.top] if hands.top is not None else []))
        return [self._page(said.step, aloud), hands, *before, groove, *self._pages_after(groove)]

    def _places_a_beat(self) -> int:
        """How many syllables are said to a beat of the tempo."""
        if self.material.rudiment:
            return 2
        beat = GRAINS_PER_QUARTER // 2 if self.ground.setting.unit else GRAINS_PER_QUARTER
        return max(1, places_in(self.ground.setting.subdivision, beat))

    def _steps_before_the_groove(self) -> Iterator[Step]:
        for make in (feet_step, accents_step, dynamics_step, surfaces_step):
            yield make(self.ground)
        yield around_step(self.ground, self.kit)

    def _pages_after(self, groove: _Page) -> Iterator[_Page]:
        unit = groove.unit
        climbed = climb(groove.top, unit=unit)
        tempo = parse_tempo(f"{unit} {(climbed.lowest + climbed.highest) // 2}".strip())
        made = fill_orchestrations(self.ground, self.kit, skill=self.wish.skill, tempo=tempo, head=groove.head)
        *fills, last = fill_steps(self.ground, self.kit, made, skill=self.wish.skill)
        elsewhere = elsewhere_step(self.ground)
        others = (other_setting_step(self.material, number) for number in range(len(self.material.others)))
        for step in (*fills, *([elsewhere] if elsewhere else []), *others, last):
            yield self._page(step)

    def _page(self, step: Step, least_top: float | None = None) -> _Page:
        pad = step.on == "pad"
        left = self.wish.handed or (self.kit.hand if pad else None)
        head: dict[str, Any] = {"meter": step.ground.setting.meter, "kit": PAD if pad else self.wish.kit}
        if left == "left":
            head["handed"] = left
        return _Page(step, self.pad if pad else self.kit, head, least_top, self.wish)
