"""``drumgen vary``: other orchestrations of the same sticking, as phrase files."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from drumgen.cli.options import Asked, choice, names_in, refuse_no_folder, skill_of, with_options
from drumgen.cli.phrases import is_phrase_file, kit_beside, kit_from, refuse_for_file, sketch
from drumgen.cli.practising import PRACTICE_OPTIONS
from drumgen.cli.saying import remark, say

if TYPE_CHECKING:
    from drumgen.kit import Kit
    from drumgen.spec.phrase_file import PhraseFile
    from drumgen.study.wish import Variation, Wish

_UNUSED = ("lead", "plain", *(option for option in PRACTICE_OPTIONS if option != "bars"))
_TOLD = {"bars": "Vary these bars, by name or role, such as fill.", **dict.fromkeys(_UNUSED)}


@partial(with_options, told=_TOLD)
def command(
    phrase: Annotated[str, typer.Argument(metavar="PHRASE", help="A phrase file, a sticking or a rudiment.")],
    asked: Asked,
    number: Annotated[int, typer.Option("-k", "--number", metavar="N", help="How many.")] = 8,
    output: Annotated[
        str | None, typer.Option("--output", "-o", metavar="FOLDER", help="Write each to a file in this folder.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Write over files that are there.")] = False,  # noqa: FBT002 - a flag
    free: Annotated[bool, typer.Option("--free", help="Every stroke on its own, not by rule.")] = False,  # noqa: FBT002 - a flag
    skill: Annotated[str, typer.Option("--for", metavar="WHOM", help="For a learner, a player or record.")] = "player",
    keep: Annotated[
        list[str] | None,
        typer.Option(metavar="WHAT", help="What stays: a voice, accents, taps, ghosts, right hand, left hand, feet."),
    ] = None,
    voices: Annotated[
        str | None, typer.Option(metavar="VOICES", help="What the hands are offered: snare,floor-tom,ride.")
    ] = None,
    apart: Annotated[int | None, typer.Option(metavar="N", help="Hand strokes by which each differs.")] = None,
    easiest: Annotated[bool, typer.Option("--easiest", help="The easiest of them first.")] = False,  # noqa: FBT002 - a flag
    from_: Annotated[
        str | None, typer.Option("--from", metavar="sticking", help="Also other accents and another first stroke.")
    ] = None,
) -> None:
    """Find other orchestrations of the same sticking, as phrase files.

    Unless --bars names others the fills are varied, or all bars where there are none: two hand maps and a rule for
    the kick, or with --free every stroke on its own. Of all that can be played the best are shown, with their cost term
    by term. The phrase's own file is never touched.
    """
    from drumgen.errors import fail, readable  # noqa: PLC0415 - commands import late
    from drumgen.study.vary import vary  # noqa: PLC0415 - as above

    if from_ not in (None, "sticking"):
        raise fail("--from sticking", got=f'"{from_}"')
    for option in _UNUSED:
        if (value := getattr(asked, option)) not in (None, []) and value is not False:
            raise fail(f"no --{option.replace('_', '-')}, which changes nothing here")
    refuse_no_folder(output)
    file, kit = _read(phrase, asked, Path(output) if output is not None else Path())
    wish = _wish(asked, number=number, free=free, skill=skill, keep=keep, voices=voices, apart=apart,
                 easiest=easiest, from_sticking=from_ is not None)  # fmt: skip
    found = vary(file, kit, wish)
    remark(*found.remarks)
    paths = _paths(output, file.title or readable(Path(phrase).stem), len(found.found), overwrite=overwrite)
    _save(paths, found.found)
    for index, variation in enumerate(found.found):
        say(f"{index + 1}. {variation.words}", f"   cost {variation.cost}{f'; wrote {paths[index]}' if paths else ''}")
    say(found.summary)


def _read(text: str, asked: Asked, folder: Path) -> tuple[PhraseFile, Kit]:
    """The phrase file that an argument names, as it is written in a folder, with what the options say; and its kit."""
    from drumgen.spec.loading import DEFAULT_KIT, load_kit, load_phrase  # noqa: PLC0415 - as above

    if is_phrase_file(text):
        refuse_for_file(asked)
        loaded = load_phrase(text, kit=asked.kit)
        file, kit = loaded.file, loaded.phrase.kit
    else:
        file = sketch(text, asked)
        kit = load_kit(asked.kit or file.kit or DEFAULT_KIT)
    update: dict[str, Any] = {"kit": _kit_there(file, text, asked, folder)}
    if choice(asked.handed, "handed", "right", "left"):
        update["handed"] = asked.handed
    return file.model_copy(update=update), kit


def _kit_there(file: PhraseFile, text: str, asked: Asked, folder: Path) -> str | None:
    """What a file in the folder calls the kit; a kit file that the phrase's own file names is found from there."""
    from drumgen.spec.loading import is_kit_file  # noqa: PLC0415 - as above

    if asked.kit:
        return kit_beside(asked.kit, folder)
    if file.kit is None or not is_kit_file(file.kit) or Path(file.kit).is_absolute():
        return file.kit
    return kit_from(str(Path(text).parent / file.kit), folder)


def _wish(asked: Asked, **said: Any) -> Wish:  # noqa: ANN401 - the command's own options
    from drumgen.study.wish import Wish  # noqa: PLC0415 - as above
    from drumgen.tempo import parse_tempo  # noqa: PLC0415 - as above

    return Wish(
        number=said["number"],
        space="strokes" if said["free"] else "rules",
        skill=skill_of(said["skill"]),
        tempo=parse_tempo(asked.tempo, ramp=False) if asked.tempo is not None else None,
        bars=names_in(asked.bars, "bars"),
        voices=names_in(said["voices"], "voices"),
        keep=tuple(name for each in said["keep"] or () for name in names_in(each, "keep")),
        apart=said["apart"],
        order="easiest" if said["easiest"] else "cost",
        from_sticking=said["from_sticking"],
    )


def _paths(folder: str | None, title: str, number: int, *, overwrite: bool) -> list[Path]:
    """Where each variation is written; nowhere without a folder."""
    from drumgen.file_names import file_name  # noqa: PLC0415 - as above
    from drumgen.saving import check_free  # noqa: PLC0415 - as above

    if folder is None:
        return []
    path = Path(folder)
    paths = [path / f"{file_name(title)}-{index}.toml" for index in range(1, number + 1)]
    check_free(*paths, overwrite=overwrite)
    return paths


def _save(paths: list[Path], found: tuple[Variation, ...]) -> None:
    from drumgen.saving import folder_for, save_together, writer_of  # noqa: PLC0415 - as above

    if paths:
        with folder_for(paths[0].parent):
            save_together({path: writer_of(each.text.encode()) for path, each in zip(paths, found, strict=True)})
