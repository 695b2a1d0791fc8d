"""The outputs of one command line: which file holds what, all written together or none."""

from __future__ import annotations

from typing import TYPE_CHECKING, BinaryIO

from drumgen.amounts import amount
from drumgen.cli.phrases import open_phrase
from drumgen.cli.practising import plans_of, practice_of, remark_on_page, remark_on_paper
from drumgen.cli.saying import remark, say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from drumgen.cli.options import Asked
    from drumgen.composing import Composition, Settings, Writer
    from drumgen.performance import Performance
    from drumgen.phrase import Phrase

LONG_S = 600
"""Of more seconds than this a plan asks for enough repetition to say a word on strain."""

MOST_TITLES = 4
"""So many phrases of a sheet or page are told by their titles."""


def write_outputs(phrases: list[str], outputs: list[str], asked: Asked, settings: Settings) -> None:
    """Write every file, all together or none, and say what was written."""
    from drumgen.cli.progress import shown_progress  # noqa: PLC0415 - commands import late
    from drumgen.file_names import DOCUMENT_SUFFIXES, suffix_of  # noqa: PLC0415 - as above
    from drumgen.saving import save_together  # noqa: PLC0415 - as above

    opened = [open_phrase(text, asked) for text in phrases]
    for phrase in opened:
        remark(*phrase.remarks)
    documents = [wanted for wanted in outputs if suffix_of(wanted) in DOCUMENT_SUFFIXES]
    with shown_progress() as progress:
        made = _Outputs(asked, settings._replace(progress=progress))
        made.add_plans(opened, [wanted for wanted in outputs if wanted not in documents])
        made.add_documents(opened, documents)
        save_together(made.files)
    made.tell()


class _Outputs:
    """The files of one command line, and what is told of each."""

    def __init__(self, asked: Asked, settings: Settings) -> None:
        self.asked, self.settings = asked, settings
        self.files: dict[Path, Callable[[BinaryIO], None]] = {}
        self.told: dict[Path, tuple[str, ...]] = {}
        self.compositions: dict[Path, Composition] = {}

    def add_plans(self, opened: list[Phrase], outputs: list[str]) -> None:
        """MIDI and audio: a file a phrase, or with rungs apart a file a rung."""
        from drumgen.composing import Composition  # noqa: PLC0415 - as above
        from drumgen.file_names import check_name  # noqa: PLC0415 - as above

        if not outputs:
            return
        for phrase in opened:
            paths = [_place(wanted, name=phrase.name) for wanted in outputs]
            for ending, plan in plans_of(phrase, self.asked):
                composition = Composition(plan, self.settings)
                composition.check_length(path.suffix for path in paths)
                remark(*composition.performance.remarks)
                for path in (each.with_stem(each.stem + ending) for each in paths):
                    check_name(path, phrase.kit)
                    self.compositions[path] = composition
                    self._add(path, composition.writer(path))

    def add_documents(self, opened: list[Phrase], outputs: list[str]) -> None:
        """Sheets and pages: all phrases in one, or with a suffix alone one a phrase."""
        from drumgen.file_names import is_suffix_alone  # noqa: PLC0415 - as above

        apart = [[phrase] for phrase in opened]
        wished = [(each, group) for each in outputs for group in (apart if is_suffix_alone(each) else [opened])]
        placed = [(_place(each, name=group[0].name), group) for each, group in wished]
        if any(path.suffix.lower() == ".html" for path, _ in placed):
            remark_on_page(self.asked)
        elif outputs and not self.files:
            remark_on_paper(opened, self.asked)
        for path, group in placed:
            self._add_document(path, group)

    def _add_document(self, path: Path, group: list[Phrase]) -> None:
        """One sheet, its pages in files of their own where its format has one a file; or one page."""
        from drumgen.composing import compose_document  # noqa: PLC0415 - as above

        suffix = path.suffix.lower()
        practice = [practice_of(phrase, self.asked) for phrase in group]
        document = compose_document(group, suffix, settings=self.settings, practice=practice)
        remark(*document.remarks)
        words = f"{'a page' if suffix == '.html' else 'a sheet'} of {_titles(group)}"
        for number, content in enumerate(document.pages, start=1):
            ending = f"-{number}" if len(document.pages) > 1 else ""
            self._add(path.with_stem(path.stem + ending), _writer(content, words))

    def _add(self, path: Path, write: Writer) -> None:
        from drumgen.saving import check_distinct  # noqa: PLC0415 - as above

        check_distinct([*self.files, path])

        def run(out: BinaryIO) -> None:
            self.told[path] = write(out)

        self.files[path] = run

    def tell(self) -> None:
        """Say what was written, and the usual cautions beside what sounds or goes on for long."""
        from drumgen.file_names import AUDIO_SUFFIXES  # noqa: PLC0415 - as above

        for path in self.files:
            first, *others = self.told[path] or ("",)
            remark(*others)
            composition = self.compositions.get(path)
            words = [summary(composition.performance)] if composition else []
            say(f"wrote {path}: {'; '.join([*words, *([first] if first else [])])}")
        longest_s = max((each.performance.seconds for each in self.compositions.values()), default=0.0)
        caution(longest_s, sounds=any(path.suffix.lower() in AUDIO_SUFFIXES for path in self.files))


def _place(wanted: str, *, name: str) -> Path:
    """Where an output is written. Raises DrumgenError where it cannot be."""
    from drumgen.file_names import out_path  # noqa: PLC0415 - as above
    from drumgen.saving import check_place  # noqa: PLC0415 - as above

    path = out_path(wanted, name=name)
    check_place(path)
    return path


def _titles(phrases: Sequence[Phrase]) -> str:
    """The titles of phrases: of many the first, and how many more."""
    names = ", ".join(phrase.title for phrase in phrases[:MOST_TITLES])
    more = len(phrases) - MOST_TITLES
    return f"{names} and {more} more" if more > 0 else names


def _writer(content: bytes, words: str) -> Writer:
    def write(out: BinaryIO) -> tuple[str, ...]:
        out.write(content)
        return (words,)

    return write


def caution(longest_s: float, *, sounds: bool = True) -> None:
    """The usual caution on hearing of what ``sounds``, and on strain where much is repeated, once and short."""
    from drumgen.trade.cautions import HEARING_LINE, STRAIN_LINE  # noqa: PLC0415 - only here

    if sounds:
        remark(HEARING_LINE)
    if longest_s > LONG_S:
        remark(STRAIN_LINE)


def summary(performance: Performance) -> str:
    """What was written, in a few words."""
    bars = len(performance.markers) - 1
    seconds = f"{performance.seconds:.1f} s"
    words = f"{amount(bars, 'bar')}, {len(performance.hits)} strokes, {seconds}"
    return f"{words}, kit {performance.kit.name}{', a loop' if performance.loop else ''}"
