"""A book's folder after one run and the next: what is made, left, renamed, removed, refused, and told."""

from __future__ import annotations

import re
import shutil
import sys
from typing import TYPE_CHECKING, Any

import pypdfium2
import pytest
from book_room import BROKEN, LADDERED, bound, contents, phrase_text, write_phrases
from needs import need_letters

from drumgen.errors import DrumgenError, Fault
from drumgen.trade.cautions import STRAIN_SENTENCE

if TYPE_CHECKING:
    from pathlib import Path


QUIET = 'together = []\nmake = ["midi"]\n'
IN_ORDER = '[[phrases]]\nfile = "{}.toml"\n[[phrases]]\nfile = "{}.toml"\n'


@pytest.fixture
def course(tmp_path: Path) -> Path:
    """Three phrases of which only MIDI is made, and nothing of the whole."""
    folder = tmp_path / "course"
    write_phrases(folder, a=phrase_text("One"), b=phrase_text("Two"), c=phrase_text("Three"))
    (folder / "book.toml").write_text(QUIET)
    return folder


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "out"


def refused(folder: Path, out: Path, **said: object) -> str:
    with pytest.raises(DrumgenError) as caught:
        bound(folder, out, **said)
    return str(caught.value)


def test_every_product_of_a_book(tmp_path: Path, out: Path) -> None:
    folder = tmp_path / "course"
    write_phrases(folder, a=phrase_text("One", more=LADDERED), b=phrase_text("Two", more=LADDERED))
    (folder / "book.toml").write_text('make = ["midi", "play-along", "ladder", "click", "sheet"]\naudio = "wav"\n')
    found = bound(folder, out)
    names = ["mid", "wav", "pdf"]
    files = [f"0{number}-{stem}.{end}" for number, stem in ((1, "a"), (2, "b")) for end in names]
    files += [f"0{number}-{stem}-{end}.wav" for number, stem in ((1, "a"), (2, "b")) for end in ("ladder", "click")]
    assert sorted(contents(out)) == sorted([*files, "book.pdf", "page.html", "index.html"])
    assert sorted(found.made) == sorted(contents(out))
    assert (found.unchanged, found.faults, found.remarks) == ([], {}, {})
    assert found.seconds is not None
    again = bound(folder, out)
    assert (again.made, sorted(again.unchanged), again.seconds) == ([], sorted(contents(out)), None)
    sound = contents(out)
    assert len(sound["01-a-ladder.wav"]) > 1.5 * len(sound["01-a.wav"])
    assert sound["01-a-click.wav"] != sound["01-a.wav"]
    assert b"One" in sound["page.html"]
    assert b"Two" in sound["page.html"]


def test_only_what_changed_is_made_again(course: Path, out: Path) -> None:
    assert bound(course, out).made == ["01-a.mid", "02-b.mid", "03-c.mid"]
    times = {path.name: path.stat().st_mtime_ns for path in out.iterdir()}
    write_phrases(course, b=phrase_text("Two", sticking="RRLL"))
    found = bound(course, out)
    assert (found.made, found.unchanged) == (["02-b.mid"], ["01-a.mid", "03-c.mid"])
    after = {path.name: path.stat().st_mtime_ns for path in out.iterdir()}
    assert {name for name in ("01-a.mid", "02-b.mid", "03-c.mid") if after[name] != times[name]} == {"02-b.mid"}


def test_what_was_deleted_is_made_again(course: Path, out: Path) -> None:
    bound(course, out)
    before = contents(out)
    (out / "01-a.mid").unlink()
    found = bound(course, out)
    assert (found.made, found.unchanged) == (["01-a.mid"], ["02-b.mid", "03-c.mid"])
    assert contents(out) == before


@pytest.mark.parametrize("again", [False, True])
def test_what_was_altered_is_left_until_it_may_be_written_over(course: Path, out: Path, *, again: bool) -> None:
    bound(course, out)
    before = contents(out)
    (out / "03-c.mid").write_bytes(b"mine")
    write_phrases(course, b=phrase_text("Two", sticking="RRLL"))
    found = bound(course, out, again=again)
    assert found.altered == ["03-c.mid"]
    assert found.made == (["01-a.mid", "02-b.mid"] if again else ["02-b.mid"])
    assert list(found.remarks) == [f"{out / '03-c.mid'} was altered, and is left; --overwrite makes it again"]
    assert contents(out)["03-c.mid"] == b"mine"
    assert bound(course, out).altered == ["03-c.mid"]
    assert bound(course, out, overwrite=True).made == ["03-c.mid"]
    assert contents(out)["03-c.mid"] == before["03-c.mid"]


@pytest.mark.parametrize("overwrite", [False, True])
def test_the_faults_of_a_phrase_are_told_whose_file_was_altered(course: Path, out: Path, *, overwrite: bool) -> None:
    bound(course, out)
    (out / "03-c.mid").write_bytes(b"mine")
    write_phrases(course, c=BROKEN)
    found = bound(course, out, overwrite=overwrite)
    assert (len(found.all_faults), found.altered) == (1, [])
    assert contents(out)["03-c.mid"] == b"mine"


def test_what_was_altered_is_left_though_its_phrase_changed(course: Path, out: Path) -> None:
    bound(course, out)
    (out / "03-c.mid").write_bytes(b"mine")
    write_phrases(course, c=phrase_text("Three", sticking="RRLL"))
    found = bound(course, out)
    assert (found.made, found.altered) == ([], ["03-c.mid"])
    assert contents(out)["03-c.mid"] == b"mine"
    assert bound(course, out, overwrite=True).made == ["03-c.mid"]


def test_what_was_altered_is_left_though_the_same_was_made_under_another_name(course: Path, out: Path) -> None:
    write_phrases(course, **{"1-x": phrase_text("One"), "2-x": phrase_text("Two")})
    (course / "book.toml").write_text(QUIET + IN_ORDER.format("1-x", "2-x"))
    bound(course, out)
    before = contents(out)
    (out / "01-x.mid").write_bytes(b"mine")
    (course / "book.toml").write_text(QUIET + IN_ORDER.format("2-x", "1-x"))
    found = bound(course, out)
    assert found.altered == ["01-x.mid"]
    assert contents(out)["01-x.mid"] == b"mine"
    bound(course, out, overwrite=True)
    assert contents(out) == {"01-x.mid": before["02-x.mid"], "02-x.mid": before["01-x.mid"]}


def test_an_altered_index_is_left_too(course: Path, out: Path) -> None:
    (course / "book.toml").write_text('make = ["midi"]\ntogether = ["index"]\n[[phrases]]\nfile = "a.toml"\n')
    bound(course, out)
    (out / "index.html").write_text("mine")
    assert bound(course, out).altered == ["index.html"]
    assert (out / "index.html").read_text() == "mine"
    assert bound(course, out, overwrite=True).made == ["index.html"]


def test_all_is_made_again_when_it_is_asked_for(course: Path, out: Path) -> None:
    bound(course, out)
    assert bound(course, out, again=True).made == ["01-a.mid", "02-b.mid", "03-c.mid"]


def test_what_only_moved_is_renamed(course: Path, out: Path) -> None:
    bound(course, out)
    before = contents(out)
    write_phrases(course, a0=phrase_text("Between"))
    found = bound(course, out)
    assert (found.made, found.renamed) == (["02-a0.mid"], ["03-b.mid", "04-c.mid"])
    assert found.removed == ["02-b.mid", "03-c.mid"]
    after = contents(out)
    assert [after["01-a.mid"], after["03-b.mid"], after["04-c.mid"]] == list(before.values())
    assert sorted(after) == ["01-a.mid", "02-a0.mid", "03-b.mid", "04-c.mid"]


def test_two_that_change_places(course: Path, out: Path) -> None:
    write_phrases(course, **{"1-x": phrase_text("One"), "2-x": phrase_text("Two")})
    (course / "book.toml").write_text(QUIET + IN_ORDER.format("1-x", "2-x"))
    bound(course, out)
    before = contents(out)
    (course / "1-x.toml").rename(course / "3-x.toml")
    (course / "book.toml").write_text(QUIET + IN_ORDER.format("2-x", "3-x"))
    found = bound(course, out)
    assert sorted(found.made + found.renamed) == ["01-x.mid", "02-x.mid"]
    assert contents(out) != before


def test_what_the_book_no_longer_asks_for_is_removed_unless_somebody_altered_it(course: Path, out: Path) -> None:
    bound(course, out)
    (out / "my notes.txt").write_text("mine")
    (out / "03-c.mid").write_bytes(b"mine too")
    for name in ("b", "c"):
        (course / f"{name}.toml").unlink()
    found = bound(course, out)
    assert (found.unchanged, found.removed) == (["01-a.mid"], ["02-b.mid"])
    assert list(found.remarks) == [f"{out / '03-c.mid'} is no longer of the book, and left as it was altered"]
    assert sorted(contents(out)) == ["01-a.mid", "03-c.mid", "my notes.txt"]
    assert bound(course, out).remarks == {}


def test_what_is_deleted_and_no_longer_asked_for_is_forgotten(course: Path, out: Path) -> None:
    bound(course, out)
    (course / "c.toml").unlink()
    (out / "03-c.mid").unlink()
    found = bound(course, out)
    assert (found.removed, found.remarks) == ([], {})


def test_files_that_were_not_made_here_are_in_the_way(course: Path, out: Path) -> None:
    out.mkdir()
    (out / "02-b.mid").write_bytes(b"mine")
    message = f'expected files that are not there yet, or --overwrite, got "{out / "02-b.mid"}"'
    assert refused(course, out) == message
    assert list(contents(out)) == ["02-b.mid"]
    assert len(bound(course, out, overwrite=True).made) == 3
    (course / "d.toml").write_text(phrase_text("Four"))
    (out / "04-d.mid").mkdir()
    assert "04-d.mid" in refused(course, out, overwrite=True)


def test_a_link_in_the_way_is_not_followed(course: Path, out: Path, tmp_path: Path) -> None:
    out.mkdir()
    (tmp_path / "precious").write_bytes(b"precious")
    (out / "01-a.mid").symlink_to(tmp_path / "precious")
    bound(course, out, overwrite=True)
    assert (tmp_path / "precious").read_bytes() == b"precious"
    assert not (out / "01-a.mid").is_symlink()


def test_a_broken_phrase_stops_only_itself(tmp_path: Path, out: Path) -> None:
    folder = tmp_path / "course"
    write_phrases(folder, a=phrase_text("One"), b=phrase_text("Two"), c="phrase = 3\n")
    (folder / "book.toml").write_text('make = ["midi", "sheet"]\ntogether = ["sheet", "index"]\n')
    (folder / "d.toml").write_text('kit = "nope.toml"\n' + phrase_text())
    bound(folder, out)
    before = contents(out)
    write_phrases(folder, b=BROKEN)
    found = bound(folder, out)
    assert sorted(found.made) == ["book.pdf", "index.html"]
    assert found.unchanged == ["01-a.mid", "01-a.pdf"]
    assert found.broken == 3
    assert [str(fault).splitlines()[0] for fault in found.all_faults] == [
        f"{folder}/b.toml:3: bars.a.sticking: expected R, L, B, K, H or -, got X",
        f"{folder}/c.toml: bars: expected a line [bars.verse], got none",
        f'{folder}/c.toml:1: phrase: expected a list such as phrase = ["verse x3", "turn"], got 3',
        f"{folder}/nope.toml: there is no such file [the kit of {folder}/d.toml]",
    ]
    assert contents(out)["02-b.mid"] == before["02-b.mid"]  # the old file stays
    assert b"02-b" not in contents(out)["index.html"]
    assert "book.pdf" in bound(folder, out).made  # until it is complete
    for name in ("b", "c", "d"):
        write_phrases(folder, **{name: phrase_text("Two")})
    mended = bound(folder, out)
    assert mended.faults == {}
    assert bound(folder, out).made == []


def test_a_phrase_that_becomes_unreadable_keeps_its_old_files(course: Path, out: Path) -> None:
    bound(course, out)
    (course / "book.toml").write_text(
        QUIET + "".join(f'[[phrases]]\nfile = "{name}.toml"\n' for name in ("a", "b", "c"))
    )
    (course / "b.toml").unlink()
    found = bound(course, out)
    assert [str(fault) for fault in found.all_faults] == [f"{course / 'b.toml'}: there is no such file"]
    assert "02-b.mid" in contents(out)


def test_where_no_phrase_can_be_read_nothing_is_made(course: Path, out: Path) -> None:
    for name in ("a", "b", "c"):
        (course / f"{name}.toml").write_text("phrase = [")
    assert len(refused(course, out).split("not TOML")) == 4
    assert not out.exists()


def test_where_no_phrase_can_be_made_there_is_no_index(tmp_path: Path, out: Path) -> None:
    write_phrases(tmp_path / "course", a=BROKEN)
    found = bound(tmp_path / "course", out)
    assert found.made == []
    assert not out.exists()
    assert len(found.all_faults) == 1


def test_options_that_contradict_each_other_stop_only_their_file(course: Path, out: Path) -> None:
    (course / "a.toml").write_text(phrase_text(more="[practice]\nloop = true\n"))
    (course / "book.toml").write_text(
        'make = ["midi", "play-along"]\ncount-in = 1\naudio = "wav"\ntogether = ["page"]\n'
        '[[phrases]]\nfile = "a.toml"\n[[phrases]]\nfile = "b.toml"\n'
    )
    found = bound(course, out)
    words = "a loop or a count-in, not both: the count-in would come round with the loop"
    assert [str(fault) for fault in found.all_faults] == [
        f"{course / 'a.toml'}: loop: {words} [for 01-a.wav]",
        f"{course / 'a.toml'}: loop: {words} [for page.html]",
    ]
    assert sorted(found.made) == ["01-a.mid", "02-b.mid", "02-b.wav", "page.html"]


def test_what_a_page_cannot_hold_is_left_out_of_it(course: Path, out: Path) -> None:
    bars = phrase_text("Sluice tide").replace('["a"]', '["a x9000"]')
    write_phrases(course, a=bars.replace("[bars.a]", "tempo = 90\n[bars.a]"))
    (course / "book.toml").write_text('make = ["midi"]\ntogether = ["page"]\n')
    found = bound(course, out)
    assert [str(fault) for fault in found.all_faults] == [
        f"{course / 'a.toml'}: phrase: expected a phrase of at most 4 hours on a page, got 6.7 hours [for page.html]"
    ]
    assert "page.html" in found.made
    assert b"Three" in contents(out)["page.html"]
    assert b"Sluice tide" not in contents(out)["page.html"]


@pytest.mark.parametrize(
    ("bound_of", "most", "words"),
    [
        ("MOST_PHRASES", 2, "at most 2 phrases on a page, got 3"),
        ("LONGEST_HOURS", 0.002, "phrases of at most 0.002 hours together on a page, got 0.0 hours"),
    ],
)
def test_what_no_page_can_hold_is_told_of_the_page(
    course: Path, out: Path, monkeypatch: pytest.MonkeyPatch, bound_of: str, most: float, words: str
) -> None:
    (course / "book.toml").write_text('make = ["midi"]\ntogether = ["page"]\n')
    monkeypatch.setattr(f"drumgen.audition.{bound_of}", most)
    found = bound(course, out)
    assert [str(fault) for fault in found.all_faults] == [f"page.html: expected {words}"]
    assert len(found.made) == 3


def test_what_was_left_out_of_a_page_is_told_though_there_is_no_page(
    course: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bars = phrase_text("Sluice tide").replace('["a"]', '["a x9000"]')
    write_phrases(course, a=bars.replace("[bars.a]", "tempo = 90\n[bars.a]"))
    (course / "book.toml").write_text('make = ["midi"]\ntogether = ["page"]\n')
    monkeypatch.setattr("drumgen.audition.MOST_PHRASES", 1)
    found = bound(course, out)
    assert [str(fault) for fault in found.all_faults] == [
        f"{course / 'a.toml'}: phrase: expected a phrase of at most 4 hours on a page, got 6.7 hours [for page.html]",
        "page.html: expected at most 1 phrases on a page, got 2",
    ]


def test_where_every_phrase_is_too_long_there_is_no_page(
    course: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (course / "book.toml").write_text('make = ["midi"]\ntogether = ["page"]\n')
    monkeypatch.setattr("drumgen.audition.LONGEST_HOURS", 0.0001)
    found = bound(course, out)
    assert [number for number, _ in found.faults] == [1, 2, 3]
    assert "page.html" not in contents(out)


def test_what_a_sheet_cannot_hold_is_left_out_of_it(course: Path, out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from drumgen.sheet.sheets import make_sheet

    def choosy(phrases: Any, *args: Any, **options: Any) -> Any:  # noqa: ANN401 - whatever a sheet takes
        if any(phrase.title == "Two" for phrase in phrases):
            raise DrumgenError(Fault("at most 5 different bars on paper", got="6", path=("bars",)))
        return make_sheet(phrases, *args, **options)

    monkeypatch.setattr("drumgen.sheet.rendering.make_sheet", choosy)
    (course / "book.toml").write_text('make = ["midi"]\ntogether = ["sheet"]\n')
    found = bound(course, out)
    words = "bars: expected at most 5 different bars on paper, got 6 [for book.pdf]"
    assert [str(fault) for fault in found.all_faults] == [f"{course / 'b.toml'}: {words}"]
    assert "book.pdf" in found.made
    write_phrases(course, a=phrase_text("Two"), c=phrase_text("Two"))
    assert len(bound(course, out).all_faults) == 3  # one a phrase; the sheet has nothing left


def test_no_ladder_is_a_remark_where_it_was_asked_of_all_and_a_fault_where_of_one(course: Path, out: Path) -> None:
    (course / "book.toml").write_text('make = ["midi", "ladder"]\ntogether = []\n')
    found = bound(course, out)
    assert list(found.remarks) == ["no ladder is named for phrase 1, 2, 3: made without it"]
    (course / "book.toml").write_text('together = []\n[[phrases]]\nfile = "a.toml"\nmake = ["midi", "ladder"]\n')
    (fault,) = bound(course, out).all_faults
    words = 'expected a line ladder = "60 to 80 by 5" in the book, or in [practice], got none [for 01-a-ladder.mp3]'
    assert str(fault) == f"{course / 'a.toml'}: {words}"


def test_of_many_without_a_ladder_ten_are_named(course: Path, out: Path) -> None:
    entries = '[[phrases]]\nfile = "a.toml"\n' * 12
    (course / "book.toml").write_text('make = ["ladder"]\ntogether = []\n' + entries)
    (remark,) = bound(course, out).remarks
    assert remark == "no ladder is named for phrase 1, 2, 3, 4, 5, 6, 7, 8, 9, 10…: made without it"


def test_a_book_bound_into_its_own_folder_never_reads_what_it_wrote(course: Path) -> None:
    for out in (course, course / "out"):
        assert len(bound(course, out).made) == 3
        assert bound(course, out).made == []
    assert len(bound(course, course).unchanged) == 3


def test_phrases_from_elsewhere_are_read_and_nothing_is_written_there(course: Path, out: Path, tmp_path: Path) -> None:
    need_letters()
    write_phrases(tmp_path / "vault", 水車=phrase_text("水車"), z=phrase_text("Z"))
    (course / "book.toml").write_text(
        QUIET + '[[phrases]]\nfile = "../vault/水車.toml"\n[[phrases]]\nfile = "../vault/z.toml"\n'
        f'[[phrases]]\nfile = "{tmp_path / "vault" / "z.toml"}"\nheading = "../Z"\n',
        encoding="utf-8",
    )
    before = sorted(path for path in tmp_path.rglob("*") if out not in path.parents)
    assert bound(course, out).made == ["01-水車.mid", "02-z.mid", "03-z.mid"]
    assert sorted(path for path in tmp_path.rglob("*") if out not in path.parents and path != out) == before


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes are Linux's")
def test_names_and_texts_that_no_file_should_have(course: Path, out: Path) -> None:
    with open(bytes(course) + b"/d\xff.toml", "w", encoding="utf-8") as file:  # noqa: PTH123 - a name of bytes
        file.write(phrase_text().replace('title = "Weir"\n', ""))
    write_phrases(course, e=phrase_text("B\\u202e\\n\\u0000").replace("\\u0000", "") + "# \u202e\n")
    (course / "book.toml").write_text('make = ["midi", "sheet"]\n')
    found = bound(course, out)
    assert found.faults == {}
    assert sorted(name for name in found.made if name.endswith("mid"))[3:] == ["04-d.mid", "05-e.mid"]
    assert "4. d\ufffd" in contents(out)["index.html"].decode()


def test_headings_and_notes_stand_on_the_page_and_in_the_index_escaped(course: Path, out: Path) -> None:
    (course / "book.toml").write_text(
        'title = "<b>Evenings</b>"\nnote = "Sticks & pad"\nmake = ["midi"]\n'
        '[[phrases]]\nfile = "a.toml"\nheading = "<i>First</i>"\nnote = ["Aim: <u>", "Move on"]\n'
        '[[phrases]]\nfile = "b.toml"\nmake = []\n'
    )
    bound(course, out)
    index, page = (contents(out)[name].decode() for name in ("index.html", "page.html"))
    assert "<h1>&lt;b&gt;Evenings&lt;/b&gt;</h1>" in index
    assert "<p>Sticks &amp; pad</p>" in index
    assert "<h2>1. &lt;i&gt;First&lt;/i&gt;</h2>\n<p>Aim: &lt;u&gt;</p>\n<p>Move on</p>" in index
    assert '<a href="01-a.mid">MIDI</a>' in index
    assert STRAIN_SENTENCE in index
    assert STRAIN_SENTENCE in page
    assert "<h2>2. Two</h2>\n\n</li>" in index
    assert "Mind your ears" in index
    for text in (index, page):
        for words in ("&lt;b&gt;Evenings&lt;/b&gt;", "Sticks &amp; pad", "&lt;i&gt;First&lt;/i&gt;", "Aim: &lt;u&gt;"):
            assert words in text
        assert not {"<i>First", "Aim: <u>"} & set(re.split("(<i>First|Aim: <u>)", text))
    printed = pypdfium2.PdfDocument(contents(out)["book.pdf"])[0].get_textpage().get_text_bounded()
    for words in ("<b>Evenings</b>", "Sticks & pad", "<i>First</i>", "Aim: <u>", "Move on", "Two"):
        assert words in printed


def test_progress_is_told_file_by_file(course: Path, out: Path) -> None:
    told: list[tuple[int, int]] = []
    bound(course, out, progress=lambda done, total: told.append((done, total)))
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]
    told.clear()
    bound(course, out, progress=lambda done, total: told.append((done, total)))
    assert told == []


def test_a_soundfont_of_ones_own(course: Path, out: Path, tmp_path: Path) -> None:
    from drumgen.audio.soundfont import built_in_soundfont

    (course / "book.toml").write_text('make = ["midi", "play-along"]\naudio = "wav"\ntogether = []\n')
    bound(course, out)
    before = contents(out)
    own = tmp_path / "own.sf2"
    shutil.copyfile(built_in_soundfont(), own)
    same = bound(course, out, soundfont=str(own))
    assert same.made == []  # the same content
    own.write_bytes(own.read_bytes() + b"\0\0")
    assert bound(course, out, soundfont=str(own)).made == ["01-a.wav", "02-b.wav", "03-c.wav"]
    assert contents(out) == before
    assert "the SoundFont cannot be opened: No such file" in refused(course, out, soundfont=str(tmp_path / "no.sf2"))


def test_the_variable_of_the_soundfont_counts(course: Path, out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (course / "book.toml").write_text('make = ["click"]\naudio = "wav"\ntogether = []\n')
    monkeypatch.setenv("DRUMGEN_SOUNDFONT", "nope.sf2")
    assert "nope.sf2: the SoundFont cannot be opened" in refused(course, out)
