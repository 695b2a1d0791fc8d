"""Pieces of the drawing: outlines, widths, line breaks, signs, pages, pictures."""

import re

import pytest
from drum_room import bar, phrase

from drumgen.feel import Swing
from drumgen.sheet.glyphs import HEADS, METRONOME_NOTES, box, outline
from drumgen.sheet.heading import tempo_marks
from drumgen.sheet.ink import Glyph, Run, Words
from drumgen.sheet.line_breaks import line_starts
from drumgen.sheet.musicxml import render_musicxml
from drumgen.sheet.outlines import steps
from drumgen.sheet.png import pdf_pngs
from drumgen.sheet.rendering import render_pdf, render_png, render_svg
from drumgen.sheet.signs import HEAD_CODES, swing_marks
from drumgen.sheet.text_width import width, wrapped
from drumgen.sheet.writing import write_score
from drumgen.sheet.xml import document, node


def test_every_sign_that_is_used_has_an_outline() -> None:
    codes = [*METRONOME_NOTES.values(), *HEAD_CODES.values(), *(code for row in HEADS.values() for code in row), "E614"]
    for code in codes:
        assert steps(outline(code))[0].kind == "M"
        assert box(code).width > 0
    with pytest.raises(LookupError):
        outline("FFFF")


def test_outlines_are_absolute_moves_lines_and_curves() -> None:
    found = steps("M1 2h3v4l-1 1c1 0 2 0 3 1s1 1 2 2z m5 5 1 1")
    assert [(step.kind, step.points) for step in found] == [
        ("M", (1, 2)),
        ("L", (4, 2)),
        ("L", (4, 6)),
        ("L", (3, 7)),
        ("C", (4, 7, 5, 7, 6, 8)),
        ("C", (7, 9, 7, 9, 8, 10)),
        ("Z", ()),
        ("M", (6, 7)),
        ("L", (7, 8)),
    ]


@pytest.mark.parametrize("data", ["M1", "M0 0A1 1 0 0 0 1 1", "5 5"])
def test_what_is_no_outline_is_refused(data: str) -> None:
    with pytest.raises(ValueError, match="no path"):
        steps(data)


def test_widths_and_wrapping() -> None:
    assert width(Words(0, 0, 1000, (Run("RL"),))) == pytest.approx(667 + 611)  # Adobe's metrics of Times
    assert width(Words(0, 0, 1000, (Run("練"),))) == 1000
    assert wrapped("one two three", 10, 40) == ["one two", "three"]
    assert "".join(wrapped("x" * 50, 10, 60)) == "x" * 50
    assert wrapped("", 10, 60) == []


def test_line_breaks_are_even() -> None:
    assert line_starts([40] * 4, first=10, later=5, room=100) == (0, 2)
    assert line_starts([40] * 5, first=10, later=5, room=140)[-1] == 3  # no bar alone on the last line
    assert line_starts([500], first=10, later=5, room=100) == (0,)


def test_the_metronome_mark_is_an_outline_and_words() -> None:
    tempo = write_score(bar('sticking = "R"', top='tempo = "dotted quarter 80"\n')).measures[0].tempo
    marks, _ = tempo_marks(tempo, 0)
    assert [mark.code for mark in marks if isinstance(mark, Glyph)] == [METRONOME_NOTES["quarter"], "ECB7"]
    assert [mark.text for mark in marks if isinstance(mark, Words)] == [" = 80"]


def test_the_swing_figure_is_drawn_for_the_usual_ratio_alone() -> None:
    assert swing_marks(Swing("eighths", 2, 1), 0, 0, 100)
    assert swing_marks(Swing("sixteenths", 2, 1), 0, 0, 100)
    assert swing_marks(Swing("eighths", 3, 2), 0, 0, 100) == []


def texts(svg: str) -> list[str]:
    return [re.sub("<.*?>", "", text) for text in re.findall(r"<text.*?</text>", svg)]


def test_what_stands_on_a_sheet() -> None:
    text = (
        'title = "Weir"\nlanding = []\nnote = "Softly."\ntempo = 92\nphrase = ["a x2", "b"]\n'
        '[bars.a]\nsticking = "lRL"\n'
        'subdivision = "quarters"\n[bars.b]\nrole = "fill"\nsticking = "R"\nsubdivision = "quarters"\nnote = "Go."\n'
    )
    found = texts(render_svg(phrase(text))[0])
    assert found[:5] == ["Weir", " = 92", "Kit: General MIDI", "Softly.", "b: Go."]
    assert {"a, 2 times", "b, fill", "1 of 1"} <= set(found)
    assert found.count("l") == 2
    without = texts(render_svg(phrase(text), sticking=False)[0])
    assert not {"R", "L", "l"} & set(without)
    counted = texts(render_svg(phrase(text), counts=True)[0])
    assert [counted.count(number) for number in "1234"] == [2, 2, 2, 2]


def test_counts_stand_under_rests_too() -> None:
    found = texts(render_svg(bar('sticking = "R---"\nsubdivision = "quarters"'), counts=True)[0])
    assert {"1", "2", "3"} <= set(found)


def test_several_phrases_share_a_sheet_and_their_kit() -> None:
    one = bar('sticking = "RLRR"', top='title = "First"\n')
    two = bar('sticking = "RRLL"', top='title = "Second"\nkit = "four-piece"\n')
    same = texts(render_svg([one, one], title="Both")[0])
    assert same.count("Kit: General MIDI") == 1
    assert same[0] == "Both"
    mixed = texts(render_svg([one, two])[0])
    assert {"First", "Second", "Kit: General MIDI", "Kit: Four-piece"} <= set(mixed)
    pages = render_svg([one] * 30)
    assert len(pages) > 1
    assert all(f"{number} of {len(pages)}" in page for number, page in enumerate(pages, start=1))


def test_several_phrases_are_one_part_of_musicxml() -> None:
    one = bar('sticking = "RLRR"', top='title = "First"\n')
    two = bar('sticking = "RRLL"\nhands.R = "hihat"', top='title = "Second"\nmeter = "3/4"\n')
    text = render_musicxml([one, two])
    assert text.count("<part ") == 1
    assert text.count("<score-instrument") == 2
    assert 'new-system="yes"' in text
    assert text.count("<time>") == 2
    ids = re.findall(r' id="([^"]+)"', text)
    named = [name for name in ids if name.startswith("m")]
    assert len(named) == len(set(named))


def test_a_title_with_every_kind_of_sign_is_escaped() -> None:
    for render in (lambda one: render_svg(one)[0], render_musicxml):
        text = render(bar('sticking = "RLRR"', top='title = "<b> & \\"q\\""\n'))
        assert "<b>" not in text
        assert "&lt;b&gt; &amp; " in text


def test_xml_holds_no_sign_that_it_cannot() -> None:
    assert "a\N{REPLACEMENT CHARACTER}b" in document(node("x", "a\x01b"))


def test_no_phrase_is_a_mistake_of_the_caller() -> None:
    for render in (render_svg, render_pdf, render_png, render_musicxml):
        with pytest.raises(TypeError):
            render([])


def test_pictures_are_png_of_their_size() -> None:
    pages = render_png(bar('sticking = "RLRR"'), dpi=72).pages
    assert pages[0].startswith(b"\x89PNG")
    assert int.from_bytes(pages[0][16:20], "big") == 596
    with pytest.raises(ValueError, match="dpi"):
        pdf_pngs(b"", dpi=5)


def test_a_bar_wider_than_the_page_is_drawn_smaller() -> None:
    body = 'sticking = "RRLL"\nsubdivision = "thirty-seconds"'
    wide = render_svg(bar(body, top='meter = "12/4"\n'))[0]
    scales = [float(scale) for scale in re.findall(r'class="system" transform="scale\(([\d.]+)\)"', wide)]
    usual = re.findall(r'class="system" transform="scale\(([\d.]+)\)"', render_svg(bar(body))[0])
    assert scales
    assert max(scales) < float(usual[0])
