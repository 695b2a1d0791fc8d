"""``drumgen lesson``: a graded lesson from one sticking, as a folder of phrase files and everything made of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from drumgen.cli.options import SoundFontOption, choice, refuse_no_folder, skill_of
from drumgen.cli.phrases import kit_from
from drumgen.cli.saying import remark, say

if TYPE_CHECKING:
    from drumgen.study.lesson import Lesson

MADE = "made"
"""The folder inside the lesson's own that holds what is made of its files."""


def command(
    sticking: Annotated[str, typer.Argument(metavar="STICKING", help="A sticking, or a rudiment's name.")],
    output: Annotated[str, typer.Option("--output", "-o", metavar="FOLDER", help="The folder of the lesson.")],
    skill: Annotated[str, typer.Option("--for", metavar="WHOM", help="For a learner, a player or record.")] = "player",
    minutes: Annotated[int, typer.Option(metavar="N", help="Minutes of playing, 5 to 180.")] = 30,
    tempo: Annotated[
        str | None,
        typer.Option(metavar="TEMPO", help="The tempo of the last page; else three quarters of its top tempo, or 120."),
    ] = None,
    kit: Annotated[str, typer.Option(metavar="KIT", help="A kit's name, or its file.")] = "five-piece",
    handed: Annotated[
        str | None, typer.Option(metavar="HAND", help="right or left: exchanges the hands everywhere.")
    ] = None,
    soundfont: SoundFontOption = None,
    files_only: Annotated[  # noqa: FBT002 - a flag
        bool, typer.Option("--files-only", help="Write the phrase files and book.toml, and make nothing of them.")
    ] = False,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over files that are there.")] = False,  # noqa: FBT002 - a flag
) -> int:
    """Write a graded lesson from one sticking, as a folder of phrases and all their files.

    Said aloud, on the pad, with the feet, accents, soft and loud, around the kit, a groove, fills. The folder gets
    numbered phrase files that you can edit, a book.toml, and in its folder "made" a sheet, a MIDI file and a play-along
    that climbs for each page, one sheet and one audition page of all. After editing: drumgen book FOLDER -o FOLDER/made

    drumgen lesson "single paradiddle" -o paradiddle --minutes 20
    """
    from drumgen.study.lesson_files import lesson_files  # noqa: PLC0415 - as above

    refuse_no_folder(output)
    folder = Path(output)
    lesson = _lesson(sticking, folder, skill=skill, minutes=minutes, tempo=tempo, kit=kit, handed=handed)
    files = {folder / name: text for name, text in lesson_files(lesson).items()}
    _write(folder, files, overwrite=overwrite)
    _tell_of_others(folder, files)
    for number, exercise in enumerate(lesson.exercises, start=1):
        say(f"{number:3}. {exercise.heading}: {exercise.tempos}, {_minutes(exercise.seconds)}")
    say(f"{lesson.title}: {len(lesson.exercises)} exercises, {_minutes(lesson.minutes * 60)}, in {output}")
    if files_only:
        return 0
    from drumgen.cli.book import make_all  # noqa: PLC0415 - as above

    return make_all(str(folder), str(folder / MADE), soundfont=soundfont, overwrite=overwrite)


def _lesson(sticking: str, folder: Path, **said: Any) -> Lesson:  # noqa: ANN401 - the command's own options
    from drumgen.spec.loading import load_kit  # noqa: PLC0415 - as above
    from drumgen.study.lesson import LessonWish  # noqa: PLC0415 - as above
    from drumgen.study.lesson_making import make_lesson  # noqa: PLC0415 - as above
    from drumgen.tempo import parse_tempo  # noqa: PLC0415 - as above

    wish = LessonWish(
        skill=skill_of(said["skill"]),
        minutes=said["minutes"],
        tempo=parse_tempo(said["tempo"], ramp=False) if said["tempo"] is not None else None,
        kit=kit_from(said["kit"], folder),
        handed=choice(said["handed"], "handed", "right", "left"),
    )
    return make_lesson(sticking, wish, kit=load_kit(said["kit"]))


def _write(folder: Path, files: dict[Path, str], *, overwrite: bool) -> None:
    """Write the files of the lesson into its folder. Raises DrumgenError where one of them is there already."""
    from drumgen.errors import fail, reason_of  # noqa: PLC0415 - as above
    from drumgen.saving import check_free, folder_for, save_together, writer_of  # noqa: PLC0415 - as above

    check_free(*files, overwrite=overwrite)
    try:
        with folder_for(folder):
            save_together({path: writer_of(text.encode()) for path, text in files.items()})
    except OSError as error:
        raise fail(f"a folder that can be made ({reason_of(error)})", got=f'"{folder}"') from None


def _tell_of_others(folder: Path, files: dict[Path, str]) -> None:
    """Say which numbered phrase files in the folder are of no page of this lesson."""
    others = sorted(path.name for path in folder.glob("[0-9][0-9]-*.toml") if path not in files)
    if others:
        remark(f"left in {folder}, and not of this lesson: {', '.join(others)}")


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.1f} min"
