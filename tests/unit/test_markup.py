"""Words stay words: whatever a file says, the markup around it has the elements and attributes it always has."""

import json
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from golden_case import run_here

from drumgen.spec.loading import kits_folder

HOSTILE = "</text><script>hit()</script>\"'&amp;&hit;]]><img src=x onerror=hit()><!--<?hit?>"
PLAIN = "x" * len(HOSTILE)
WRITTEN = ("page.html", "sheet.svg", "sheet.musicxml", "book/index.html", "book/page.html")

PHRASE = """\
title = WORDS
note = WORDS
kit = "kit.toml"
phrase = [WORDS, "b"]
[bars.WORDS]
sticking = "RLRR LRLL"
hands.R = WORDS
[bars.b]
role = "fill"
like = WORDS
"""
VOICE = '\n[voices.WORDS]\nnote = 60\nstaff = "C5"\n'
BOOK = 'title = WORDS\nnote = WORDS\nmake = ["midi"]\n[[phrases]]\nfile = "x.toml"\nheading = WORDS\nnote = WORDS\n'


class Elements(HTMLParser):
    """The elements of a page, each with the names of its attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.found: set[tuple[str, ...]] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.add((tag, *sorted(name for name, _ in attrs)))

    def unknown_decl(self, data: str) -> None:
        self.found.add((data,))

    def handle_comment(self, data: str) -> None:
        self.found.add((data,))

    def handle_pi(self, data: str) -> None:
        self.found.add((data,))


def elements(path: Path) -> set[tuple[str, ...]]:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".html":
        parser = Elements()
        parser.feed(text)
        return parser.found
    return {(each.tag, *sorted(each.attrib)) for each in ET.fromstring(text).iter()}  # noqa: S314 - it was made here


def made(folder: Path, words: str) -> dict[str, set[tuple[str, ...]]]:
    """What is in each file that is made where every text is ``words``."""
    folder.mkdir()
    quoted = json.dumps(words)
    shipped = (kits_folder() / "general-midi.toml").read_text(encoding="utf-8")
    files = {"x.toml": PHRASE, "kit.toml": shipped + VOICE, "book.toml": BOOK}
    for name, text in files.items():
        (folder / name).write_text(text.replace("WORDS", quoted), encoding="utf-8")
    outputs = [part for name in WRITTEN[:3] for part in ("-o", str(folder / name))]
    for typed in (["render", str(folder / "x.toml"), *outputs], ["book", str(folder), "-o", str(folder / "book")]):
        code, _, errors = run_here(typed)
        assert code == 0, errors
    return {name: elements(folder / name) for name in WRITTEN}


def test_hostile_words_make_no_markup(tmp_path: Path) -> None:
    hostile, plain = made(tmp_path / "hostile", HOSTILE), made(tmp_path / "plain", PLAIN)
    for name in WRITTEN:
        assert len(plain[name]) > 5
        assert hostile[name] == plain[name], name


@pytest.mark.parametrize("name", ["page.html", "sheet.svg", "sheet.musicxml"])
def test_markup_in_a_file_would_be_seen(tmp_path: Path, name: str) -> None:
    plain = made(tmp_path / "plain", PLAIN)
    path = tmp_path / "plain" / name
    text = path.read_text(encoding="utf-8")
    start = text.index("x" * 20, max(0, text.find("<body")))
    path.write_text(f"{text[:start]}<hit/>{text[start:]}", encoding="utf-8")
    assert elements(path) != plain[name]
