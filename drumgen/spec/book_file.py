"""The book file as it is written: a teacher's course or a set list, its phrases in order and what is made of each.

A book file that names no phrases means every phrase file of its folder, in the order of their names.
``writing.render_book_file`` gives the text back. What is not said in the file is None here. The JSON Schema that
editors use is made of these models.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

from pydantic import Field, PlainValidator, WithJsonSchema

from drumgen.book import AudioFormat, PaperSize, Product, Whole
from drumgen.clicks import CLICKS_ON, parse_click
from drumgen.errors import DrumgenError, Fault
from drumgen.phrase import LONGEST_TITLE
from drumgen.practice import MOST_COUNT_IN, MOST_TIMES, parse_ladder
from drumgen.spec.document import Document, read_document
from drumgen.spec.fields import Listed, shown, text_of, text_schema
from drumgen.spec.kinds import BOOK, refuse_other
from drumgen.spec.phrase_file import FileName, Handed, Lead, Table
from drumgen.spec.validation import valid

MOST_ENTRIES = 20_000
"""In one book file, which is about as many as fit into the largest file that is read; a folder may hold more."""

MOST_NOTE_LINES = 100
LONGEST_LINE = 2000


def read_note(value: object) -> str:
    """A note to the player: a text, or a list of its lines; lines are joined by line ends."""
    lines = value.split("\n") if isinstance(value, str) else list(value) if isinstance(value, (list, tuple)) else None
    if lines is None or not all(isinstance(line, str) for line in lines):
        raise DrumgenError(Fault("a text in quotes, or a list of its lines", got=shown(value)))
    if len(lines) > MOST_NOTE_LINES:
        raise DrumgenError(Fault(f"at most {MOST_NOTE_LINES} lines", got=str(len(lines))))
    longest = max(map(len, lines), default=0)
    if longest > LONGEST_LINE:
        raise DrumgenError(Fault(f"lines of at most {LONGEST_LINE} characters", got=str(longest)))
    return "\n".join(lines)


def read_click(value: object) -> str:
    """Where the click sounds."""
    return parse_click(text_of(value, f"a click on one of {', '.join(CLICKS_ON)}"))


def read_ladder(value: object) -> str:
    """A ladder as it is written, its words one space apart."""
    text = text_of(value, 'a ladder such as "60 to 120 by 5"')
    parse_ladder(text)
    return " ".join(text.split())


if TYPE_CHECKING:
    from drumgen.clicks import ClickOn
    from drumgen.tempo import Tempo

    NoteField = str
    SteadyTempoField = Tempo
    ClickField = ClickOn
    LadderField = str
else:
    from drumgen.spec.fields import SteadyTempoField

    _LINES = {"type": "array", "items": {"type": "string", "maxLength": LONGEST_LINE}, "maxItems": MOST_NOTE_LINES}
    NoteField = Annotated[
        Any,
        PlainValidator(read_note),
        WithJsonSchema({"description": "A text to the player, or its lines", "anyOf": [{"type": "string"}, _LINES]}),
    ]
    ClickField = Annotated[Any, PlainValidator(read_click), WithJsonSchema({"type": "string", "enum": list(CLICKS_ON)})]
    LadderField = Annotated[Any, PlainValidator(read_ladder), text_schema("The ladder's tempos", "60 to 80 by 5")]

Products = Annotated[tuple[Product, ...], Listed]


class SharedTable(Table):
    """The keys that the book says for all its phrases, and a phrase for itself."""

    make: Products | None = Field(None, description="What is made of a phrase; midi, play-along and sheet unless said")
    kit: FileName | None = Field(
        None, description="A shipped kit, or a path from this file, instead of the phrase's own"
    )
    handed: Handed | None = None
    times: int | None = Field(None, ge=1, le=MOST_TIMES)
    count_in: int | None = Field(None, ge=0, le=MOST_COUNT_IN, alias="count-in")
    click: ClickField | None = None


class EntryTable(SharedTable):
    """``[[phrases]]``: one phrase of the book."""

    file: FileName = Field(description="Its phrase file, from this file")
    heading: str | None = Field(None, min_length=1, max_length=LONGEST_TITLE, description="Instead of the title")
    note: NoteField | None = Field(None, description="Printed instead of the phrase's note")
    lead: Lead | None = Field(None, description="The hand that begins every bar's sticking")
    tempo: SteadyTempoField | None = None
    ladder: LadderField | None = Field(None, description="Instead of the phrase's own ladder")


class BookFile(SharedTable):
    """A book file."""

    title: str | None = Field(None, max_length=LONGEST_TITLE)
    note: NoteField | None = Field(None, description="Printed at the beginning")
    together: Annotated[tuple[Whole, ...], Listed] | None = Field(
        None, description="What is made of the whole book; sheet, page and index unless said"
    )
    audio: AudioFormat | None = Field(None, description="The format of what sounds; mp3 unless said")
    paper: PaperSize | None = Field(None, description="The paper of the sheets; A4 unless said")
    phrases: Annotated[tuple[EntryTable, ...], Listed] | None = Field(
        None, min_length=1, max_length=MOST_ENTRIES, description="In order; all of its folder unless said"
    )


class ReadBook(NamedTuple):
    """What a book file says, and its text with the place of everything in it."""

    file: BookFile
    document: Document


def read_book(text: str, *, file: str) -> ReadBook:
    """What a book file's text says; ``file`` is its name in messages. Raises DrumgenError with all its faults."""
    document = read_document(text, file=file)
    refuse_other(document, BOOK)
    try:
        return ReadBook(valid(BookFile, document.table), document)
    except DrumgenError as error:
        raise document.error(error.faults) from None
