"""The generated phrases hold what they promise to those who use them: no faults, and each can be performed."""

from hypothesis import given
from strategies import UNHURRIED, phrase_of, phrases, valid_phrases, ways_to_practise

from drumgen.performing import perform
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import read_phrase
from drumgen.spec.phrase_file import PhraseFile
from drumgen.spec.writing import render_phrase_file


@UNHURRIED
@given(phrases(), ways_to_practise())
def test_a_valid_phrase_is_performed_however_it_is_practised(phrase: Phrase, practice: Practice) -> None:
    played = perform(arrange(phrase, practice))
    assert played.end_tick > 0
    assert all(0 <= hit.tick < played.end_tick for hit in played.hits if hit.kind != "grace")


@UNHURRIED
@given(valid_phrases())
def test_a_valid_phrase_is_loaded_from_its_file_as_itself(file: PhraseFile) -> None:
    loaded = read_phrase(render_phrase_file(file), file="generated.toml", name="generated")
    assert loaded.file == file


@UNHURRIED
@given(valid_phrases())
def test_writing_a_phrase_changes_nothing_that_is_heard(file: PhraseFile) -> None:
    again = read_phrase(render_phrase_file(file), file="generated.toml", name="generated").phrase
    assert perform(arrange(again)) == perform(arrange(phrase_of(file)))
