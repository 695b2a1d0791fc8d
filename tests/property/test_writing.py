"""A phrase file and a kit file that were written are read as what they were."""

from hypothesis import given
from strategies import UNHURRIED, kit_files, phrase_files

from drumgen.spec.document import read_document
from drumgen.spec.kit_file import KitFile
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.validation import without_faulty
from drumgen.spec.writing import render_kit_file, render_phrase_file


def read(text: str) -> PhraseFile:
    file, faults = without_faulty(PhraseFile, read_document(text, file="written.toml").table)
    assert not faults
    assert file is not None
    return file


@UNHURRIED
@given(phrase_files())
def test_reading_what_was_written_gives_the_same_file(file: PhraseFile) -> None:
    assert read(render_phrase_file(file)) == file


@UNHURRIED
@given(phrase_files())
def test_a_file_that_was_read_says_no_more_and_no_less(file: PhraseFile) -> None:
    again = read(render_phrase_file(file))
    assert again.model_fields_set == file.model_fields_set
    for name, bar in file.bars.items():
        assert again.bars[name].model_fields_set == bar.model_fields_set


@UNHURRIED
@given(phrase_files())
def test_writing_is_idempotent(file: PhraseFile) -> None:
    text = render_phrase_file(file)
    assert render_phrase_file(read(text)) == text


@UNHURRIED
@given(kit_files())
def test_reading_the_kit_that_was_written_gives_the_same_kit_file(file: KitFile) -> None:
    text = render_kit_file(file)
    again, faults = without_faulty(KitFile, read_document(text, file="written.toml").table)
    assert not faults
    assert again == file
    assert render_kit_file(again) == text
