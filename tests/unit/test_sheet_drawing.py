"""Pieces of the drawing: outlines, widths, line breaks, signs, pages, pictures."""

import os
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from drum_room import bar, phrase

from drumgen.feel import Swing
from drumgen.phrase import Phrase
from drumgen.sheet import engraving
from drumgen.sheet.boxes import mark_box
from drumgen.sheet.clearing import LABEL, OVER, cleared, sunk
from drumgen.sheet.engraving import engrave
from drumgen.sheet.glyphs import HEADS, METRONOME_NOTES, box, outline
from drumgen.sheet.heading import note_pieces, tempo_marks
from drumgen.sheet.ink import Dot, Fill, Glyph, Group, Mark, Polyline, Run, Words
from drumgen.sheet.inking import Drawn
from drumgen.sheet.line_breaks import line_starts
from drumgen.sheet.musicxml import Edition, render_musicxml
from drumgen.sheet.outlines import steps
from drumgen.sheet.png import pdf_pngs
from drumgen.sheet.printing import Printing
from drumgen.sheet.rendering import render_pdf, render_png, render_svg
from drumgen.sheet.sheets import MARGIN, make_sheet
from drumgen.sheet.signs import HEAD_CODES, swing_marks
from drumgen.sheet.text_width import width, wrapped
from drumgen.sheet.writing import write_score
from drumgen.sheet.xml import document, node
from drumgen.spec.loading import load_phrase


def test_every_sign_that_is_used_has_an_outline() -> None:
    codes = [*METRONOME_NOTES.values(), *HEAD_CODES.values(), *(code for row in HEADS.values() for code in row), "E614"]
    for code in codes:
        assert steps(outline(code))[0].kind == "M"
        assert box(code).width > 0
    with pytest.raises(LookupError, match=r"^no glyph FFFF in Bravura$"):
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
    without = texts(render_svg(phrase(text), printing=Printing(sticking=False))[0])
    assert not {"R", "L", "l"} & set(without)
    counted = texts(render_svg(phrase(text), printing=Printing(counts=True))[0])
    assert [counted.count(number) for number in "1234"] == [2, 2, 2, 2]


def test_counts_stand_under_rests_too() -> None:
    found = texts(render_svg(bar('sticking = "R---"\nsubdivision = "quarters"'), printing=Printing(counts=True))[0])
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
        with pytest.raises(TypeError, match=r" needs at least one phrase$"):
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


def lines_of(text: str) -> tuple[Drawn, ...]:
    """The lines of a phrase's music, as they are drawn."""
    return engrave(write_score(phrase(text)), Edition(sticking=True), room=20_000).lines


def leaves(mark: Mark) -> list[Mark]:
    return [leaf for each in mark.marks for leaf in leaves(each)] if isinstance(mark, Group) else [mark]


def said(mark: Mark) -> list[str]:
    return [leaf.text for leaf in leaves(mark) if isinstance(leaf, Words)]


def overlaps(drawn: Drawn, wanted: str) -> list[Mark]:
    """What runs into the words ``wanted``, or comes within a fifth of a staff space over or under them."""
    every = leaves(drawn.group)
    found = []
    for words in (mark for mark in every if isinstance(mark, Words) and mark.text == wanted):
        left, top, right, bottom = mark_box(words)
        boxes = [(mark, mark_box(mark)) for mark in every if mark is not words]
        found += [
            mark
            for mark, box in boxes
            if box[0] < right and left < box[2] and box[1] < bottom + 36 and top < box[3] + 36
        ]
    return found


CROWDED = """
landing = []
phrase = ["race x3", "spill", "race x2"]
[bars.race]
sticking = "RLRR LRLL"
accents = "1 1e 1& 2"
hands.R = "crash"
feet.kick = ">1"
[bars.spill]
role = "fill"
sticking = "RLRL"
dynamics = "mp to f"
"""


@pytest.mark.parametrize("words", ["race, 3 times", "race, 2 times", "spill, fill"])
def test_names_of_bars_are_clear_of_accents(words: str) -> None:
    (drawn,) = (line for line in lines_of(CROWDED) if words in said(line.group))
    assert overlaps(drawn, words) == []
    assert min(mark_box(mark)[1] for mark in leaves(drawn.group)) >= 0


def test_letters_are_clear_of_the_accents_of_the_feet() -> None:
    score = write_score(load_phrase(Path(__file__).parents[2] / "demo" / "gate-call.toml").phrase)
    for drawn in engrave(score, Edition(sticking=True), room=19_000).lines:
        assert overlaps(drawn, "R") == []


def test_dynamics_are_clear_of_the_accents_of_the_feet() -> None:
    text = 'landing = []\nphrase = ["a"]\n[bars.a]\nsticking = "RLRL"\nfeet.kick = ">1"\ndynamics = "f to p"\n'
    (drawn,) = lines_of(text)
    glyphs = [mark for mark in leaves(drawn.group) if isinstance(mark, Glyph)]
    accent = max((mark_box(mark) for mark in glyphs if mark.code in ("E4A0", "E4A1")), key=lambda box: box[3])
    top = min(mark_box(mark)[1] for mark in glyphs if mark.code in ("E522", "E520"))
    assert top - accent[3] == pytest.approx(OVER)  # left to the engraver they are nearer


@pytest.mark.parametrize(("dynamics", "code"), [("mp to f", "E52C"), ("p to ff", "E520"), ("f to p", "E520")])
def test_a_hairpins_tip_is_clear_of_the_dynamics_beside_it(dynamics: str, code: str) -> None:
    (drawn,) = lines_of(f'landing = []\nphrase = ["a"]\n[bars.a]\nsticking = "RLRL"\ndynamics = "{dynamics}"\n')
    (pin,) = (mark for mark in leaves(drawn.group) if isinstance(mark, Polyline) and len(mark.points) == 3)
    (sign,) = (mark for mark in leaves(drawn.group) if isinstance(mark, Glyph) and mark.code == code)
    left, _, right, _ = mark_box(sign)
    tip = pin.points[1][0]
    assert (tip - right if tip > right else left - tip) >= 2 * OVER


def test_what_is_low_is_moved_down_together() -> None:
    accent = Fill(((0, 0), (100, 30)))
    one, other = (Words(x, 40, 50, (Run("R"),), "middle") for x in (50, 500))
    (group, first), down = sunk([Group((accent, other)), one], lambda mark: isinstance(mark, Words))
    assert isinstance(group, Group)
    assert down > 0
    assert group.marks == (accent, other._replace(y=40 + down))
    assert mark_box(first)[1] > 30
    assert sunk([accent], lambda mark: isinstance(mark, Words)) == ((accent,), 0)


def test_what_is_lifted_over_the_top_moves_everything_down() -> None:
    label = Group((Words(0, 100, 100, (Run("fill"),)),), LABEL)
    head = Polyline(((0, 90), (100, 90)), 10)
    (moved, under), over = cleared([label, head])
    assert isinstance(moved, Group)
    assert mark_box(moved)[1] == pytest.approx(0)
    assert mark_box(moved)[3] < mark_box(under)[1]
    assert mark_box(under)[1] == pytest.approx(85 + over)
    assert cleared([head]) == ((head,), 0)


def test_the_boxes_of_marks() -> None:
    assert mark_box(Dot(10, 20, 5)) == (5, 15, 15, 25)
    assert mark_box(Fill(((0, 0), (10, 5)))) == (0, 0, 10, 5)
    right = mark_box(Words(0, 0, 100, (Run("RL"),), "end"))
    assert (right[0], right[2]) == pytest.approx((-127.8, 0))


def slashes(drawn: Drawn) -> list[Polyline]:
    """Thin lines that rise to the right: those through flags and beams of grace notes."""
    strokes = [mark for mark in leaves(drawn.group) if isinstance(mark, Polyline) and len(mark.points) == 2]
    return [each for each in strokes if each.points[0][0] < each.points[1][0] and each.points[0][1] > each.points[1][1]]


def test_a_drag_is_slashed_as_a_flam_is() -> None:
    (drawn,) = lines_of('phrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "llR L lR L"\nsubdivision = "quarters"\n')
    drag, flam = slashes(drawn)
    assert drag.width == flam.width
    beams = [mark_box(mark) for mark in leaves(drawn.group) if isinstance(mark, Fill)]
    (left, low), (right, high) = drag.points
    assert left < min(box[0] for box in beams) < right
    assert high < min(box[1] for box in beams) < max(box[3] for box in beams) < low
    assert slashes(lines_of('phrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "RRLL"\n')[0]) == []


@pytest.mark.parametrize("subdivision", ["sixteenths", "sextuplets"])
def test_accents_are_clear_of_a_beam_that_a_drag_stands_in(subdivision: str) -> None:
    body = f'sticking = ">RLrrL>R"\nacross = "carry"\nsubdivision = "{subdivision}"\n'
    (drawn,) = lines_of(f'phrase = ["a"]\nlanding = []\n[bars.a]\n{body}')
    marks = leaves(drawn.group)
    accents = [mark_box(mark) for mark in marks if isinstance(mark, Glyph) and mark.code == "E4A0"]
    beams = [mark_box(mark) for mark in marks if isinstance(mark, Fill)]
    assert len(accents) >= 8
    assert not [
        (one, beam)
        for one in accents
        for beam in beams
        if one[0] < beam[2] and beam[0] < one[2] and one[1] < beam[3] and beam[1] < one[3]
    ]


VARIED = """
landing = []
tempo = "quarter 96"
phrase = ["a", "b x2", "c", "d", "a", "b", "d x3", "c", "a", "d"]
[bars.a]
sticking = "RLRR LRLL"
accents = "1"
[bars.b]
meter = "7/8 2+2+3"
sticking = "RLRRLRL"
subdivision = "eighths"
[bars.c]
sticking = "lRLRL"
dynamics = "mp to f"
across = "carry"
[bars.d]
meter = "6/8"
sticking = "RLLRLL"
subdivision = "eighths"
feet.kick = "1"
"""


@pytest.mark.parametrize("size", [1, 2, 3])
def test_pieces_of_a_score_are_drawn_as_the_whole_is(size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    score, edition = write_score(phrase(VARIED)), Edition(counts=True)
    whole = engrave(score, edition, room=9_000)
    assert len(whole.lines) > 2 * size
    monkeypatch.setattr(engraving, "_PIECE", size)
    monkeypatch.setattr(engraving, "_PIECE_LINES", size)
    assert engrave(score, edition, room=9_000) == whole


def test_four_phrases_stand_on_one_page() -> None:
    names = ("crooked-steps", "lantern-round", "towpath", "rope-walk")
    four = [load_phrase(Path(__file__).parents[2] / "demo" / f"{name}.toml").phrase for name in names]
    assert len(render_svg(four)) == 1


def test_a_grace_notes_letter_stands_by_its_stroke() -> None:
    drawn, *_ = lines_of('phrase = ["a"]\nlanding = []\n[bars.a]\nsticking = "lR L R rL R L R L"\n')
    row = sorted((mark.x, mark.text) for mark in leaves(drawn.group) if isinstance(mark, Words) and mark.text in "lrLR")
    at = [text for _, text in row].index("r")
    before, grace, after = (x for x, _ in row[at - 1 : at + 2])
    assert grace - before > after - grace


NOTE = "Aim: even taps.\nListen: " + "soft and low, " * 20 + "\nMove on when it sits."


def test_a_book_has_its_title_and_note_over_the_first_page_and_its_title_in_every_foot() -> None:
    one = bar('sticking = "RLRR"', top='title = "First"\n')
    pages = [texts(page) for page in render_svg([one] * 12, title="Spring course", note=NOTE)]
    assert len(pages) > 1
    assert pages[0][:3] == ["Spring course", "Kit: General MIDI", "Aim: even taps."]
    assert pages[0].index("Move on when it sits.") < pages[0].index("First")
    assert [page[-2:] for page in pages] == [
        ["Spring course", f"{number} of {len(pages)}"] for number in range(1, len(pages) + 1)
    ]
    alone = texts(render_svg(one, title="Spring course")[0])
    assert alone[0] == "Spring course"
    assert "First" in alone


def test_every_line_of_a_note_is_a_line_within_the_page() -> None:
    pieces = note_pieces("", NOTE, 5000)
    words = [mark for piece in pieces for mark in piece.marks if isinstance(mark, Words)]
    assert words[0].text == "Aim: even taps."
    assert words[-1].text == "Move on when it sits."
    assert all(width(each) <= 5000 for each in words)
    assert all(piece.height > words[0].size for piece in pieces)
    named = [mark for piece in note_pieces("a: ", NOTE, 5000) for mark in piece.marks if isinstance(mark, Words)]
    assert named[0].text == "a: Aim: even taps."
    assert len({each.x for each in named[1:]}) == 1


def test_no_heading_is_parted_from_its_music() -> None:
    ones = [replace(bar('sticking = "RLRR"', top=f'title = "Title {number}"\n'), note=NOTE) for number in range(14)]
    for page in make_sheet(ones, Printing()).pages:
        kinds = [
            text.kind
            for mark in page.marks
            if isinstance(mark, Group)
            for text in mark.marks
            if isinstance(text, Group)
        ]
        titles = [mark for mark in page.marks if any(t.startswith("Title") for t in said(mark))]
        assert kinds.count("system") == len(titles)
        assert page.marks[-2].marks[0].kind == "system"  # type: ignore[union-attr]


def test_a_heading_higher_than_a_page_goes_on_to_the_next() -> None:
    long = replace(bar('sticking = "RLRR"', top='title = "Long"\n'), note="Again.\n" * 90)
    pages = make_sheet([long], Printing("Letter")).pages
    assert len(pages) == 2
    tops = [mark.y for page in pages for mark in page.marks if isinstance(mark, Group)]
    assert max(tops) < pages[0].height - MARGIN + 1
    assert said(pages[1].marks[0]) == ["Again."]


PRACTICE = """
[practice]
tempo = 120
times = 3
count-in = 1
click = "quarters"
mute = ["kick"]
only = "fill"
gap = "2 on 2 off"
"""


def test_paper_knows_no_practice() -> None:
    plain, practised = phrase(CROWDED), phrase(CROWDED + PRACTICE)
    assert practised.practice != plain.practice
    assert render_musicxml(practised) == render_musicxml(plain)
    assert render_svg(practised) == render_svg(plain)


def of_bars(number: int, title: str) -> Phrase:
    names = [f"b{each}" for each in range(number)]
    order = ", ".join(f'"{name}"' for name in names)
    bars = "".join(f'[bars.{name}]\nsticking = "RL"\naccents = "{each % 4 + 1}"\n' for each, name in enumerate(names))
    return phrase(f'title = "{title}"\nphrase = [{order}]\n{bars}')


@pytest.mark.parametrize(
    ("before", "lines"),
    [
        (4, [4]),  # whole
        (5, [3, 1]),  # broken where more than a third of the page would stay empty
        (6, [0, 4]),  # begun on the next
        (9, [0, 4]),
    ],
)
def test_a_phrase_that_would_be_broken_near_the_foot_of_a_page_begins_on_the_next(
    before: int, lines: list[int]
) -> None:
    pages = make_sheet([of_bars(1, "Short")] * before + [of_bars(8, "Long")], Printing()).pages
    systems = [len(systems_of(page.marks)) for page in pages]
    shorts = [min(before, 8), max(0, before - 8)]
    assert [number - short for number, short in zip(systems, shorts, strict=False)] == lines


def test_a_phrase_that_is_longer_than_a_page_is_broken_wherever_it_begins() -> None:
    pages = make_sheet([of_bars(1, "Short")] * 6 + [of_bars(40, "Long")], Printing()).pages
    assert len(systems_of(pages[0].marks)) > 6


def systems_of(marks: tuple[Mark, ...]) -> list[Mark]:
    return [mark for each in marks if isinstance(each, Group) for mark in each.marks if is_system(mark)]


def is_system(mark: Mark) -> bool:
    return isinstance(mark, Group) and mark.kind == "system"


def beams_in(mark: Mark) -> Iterator[Group]:
    if isinstance(mark, Group):
        if mark.kind == "beam":
            yield mark
        for each in mark.marks:
            yield from beams_in(each)


@pytest.mark.parametrize("name", ["pataflafla", "inverted flam tap"])
def test_a_flam_inside_a_beam_stays_under_it(name: str) -> None:
    engraved = engrave(write_score(bar(f'rudiment = "{name}"')), Edition(), room=20_000)
    graces = 0
    for beam in (beam for line in engraved.lines for beam in beams_in(line.group)):
        low = max(y for mark in beam.marks if isinstance(mark, Fill) for _, y in mark.points)
        ends = [mark.points[0][0] for mark in beam.marks if isinstance(mark, Fill)]
        for note in (mark for mark in beam.marks if isinstance(mark, Group)):
            flag = next((mark for mark in note.marks if isinstance(mark, Glyph) and mark.code == "E240"), None)
            if flag is None or flag.x < min(ends):
                continue  # no flam, or one before the beam
            graces += 1
            stem = next(mark for mark in note.marks if isinstance(mark, Polyline))
            assert stem.points[1][1] == flag.y >= low + OVER / 2
            head = next(mark for mark in note.marks if isinstance(mark, Glyph))
            assert stem.points[0][1] - flag.y > 200 > abs(stem.points[0][1] - head.y)
    assert graces


@pytest.mark.parametrize("said", ["1", "yesterday"])
def test_a_date_of_the_environment_does_not_stand_in_a_pdf(monkeypatch: pytest.MonkeyPatch, said: str) -> None:
    """reportlab takes the date of SOURCE_DATE_EPOCH, of the Reproducible Builds project, even in its invariant mode."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    undated = render_pdf([bar("sticking = 'RLRR'")]).content
    monkeypatch.setenv("SOURCE_DATE_EPOCH", said)
    assert render_pdf([bar("sticking = 'RLRR'")]).content == undated
    assert os.environ["SOURCE_DATE_EPOCH"] == said
