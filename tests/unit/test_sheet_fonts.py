"""Titles in any script: which font of a PDF draws which words."""

from pathlib import Path

import pypdfium2
import pytest
from drum_room import bar

from drumgen.phrase import Phrase
from drumgen.sheet import fonts
from drumgen.sheet.fonts import FontFinder, needs_shaping
from drumgen.sheet.ink import Run
from drumgen.sheet.rendering import render_pdf, render_svg


def titled(title: str) -> Phrase:
    return bar('sticking = "RLRR"', top=f'title = "{title}"\n')


def test_western_words_need_no_font_of_the_system() -> None:
    finder = FontFinder(folders=())
    assert finder.pieces(Run("Übung für Große, nº 1"), sans=False) == [("Übung für Große, nº 1", "Times-Roman")]
    assert finder.pieces(Run("x", bold=True, italic=True), sans=True) == [("x", "Helvetica-BoldOblique")]
    assert finder.remarks() == ()


def test_words_without_a_font_are_said_and_the_others_stay() -> None:
    finder = FontFinder(folders=())
    assert finder.pieces(Run("A 練習"), sans=False) == [("A ", "Times-Roman")]
    assert finder.remarks() == ('"A 練習" is not drawn in the PDF: no font of this system has its letters',)


@pytest.mark.parametrize("title", ["تمرين", "תרגיל", "अभ्यास"])
def test_scripts_that_need_shaping_are_not_drawn_wrong(title: str) -> None:
    assert needs_shaping(title)
    finder = FontFinder()
    assert finder.pieces(Run(title), sans=False) == []
    assert finder.remarks() == (f'"{title}" is not drawn in the PDF: its script needs shaping',)


def test_no_title_is_lost_from_the_documents_properties(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fonts, "font_folders", lambda: ())
    printed = render_pdf(titled("練習"))
    assert printed.remarks == ('"練習" is not drawn in the PDF: no font of this system has its letters',)
    assert pypdfium2.PdfDocument(printed.content).get_metadata_value("Title") == "練習"
    assert "練習" in render_svg(titled("練習"))[0]


def test_a_font_of_the_system_is_embedded(tmp_path: Path) -> None:
    vera = Path(str(pytest.importorskip("matplotlib").get_data_path())) / "fonts" / "ttf" / "DejaVuSerif.ttf"
    (tmp_path / "DejaVuSerif.ttf").write_bytes(vera.read_bytes())
    (tmp_path / "broken.ttf").write_bytes(b"no font")
    finder = FontFinder(folders=(tmp_path,))
    pieces = finder.pieces(Run("Слип way"), sans=False)
    assert pieces == [("Слип", "system DejaVuSerif"), (" way", "Times-Roman")]
    assert finder.remarks() == ()
