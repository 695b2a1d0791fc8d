"""The files of a lesson: numbered phrase files that can be edited, and the book that makes everything of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from drumgen.spec.book_file import BookFile
from drumgen.spec.book_loading import BOOK_NAME
from drumgen.spec.validation import valid
from drumgen.spec.writing import render_book_file, render_phrase_file

if TYPE_CHECKING:
    from drumgen.study.lesson import Exercise, Lesson


def lesson_files(lesson: Lesson) -> dict[str, str]:
    """The text of each file by its name, the phrase files in order, the book file last."""
    names = [f"{number:02}-{exercise.name}.toml" for number, exercise in enumerate(lesson.exercises, start=1)]
    files = {name: render_phrase_file(exercise.file) for name, exercise in zip(names, lesson.exercises, strict=True)}
    return {**files, BOOK_NAME: render_book_file(_book(lesson, names))}


def _book(lesson: Lesson, names: list[str]) -> BookFile:
    """The book of a lesson. Raises DrumgenError where its title is too long for one."""
    entries = [_entry(name, exercise) for name, exercise in zip(names, lesson.exercises, strict=True)]
    table = {
        "title": lesson.title,
        "note": list(lesson.notes),
        "make": ["midi", "ladder", "sheet"],
        "phrases": entries,
    }
    return valid(BookFile, table)


def _entry(name: str, exercise: Exercise) -> dict[str, Any]:
    entry: dict[str, Any] = {"file": name, "heading": exercise.heading, "note": list(exercise.lines)}
    if exercise.file.practice is not None and exercise.file.practice.ladder is None:
        entry["make"] = ["midi", "play-along", "sheet"]
    return entry
