"""Loading from disk: phrase files, kits beside them, what cannot be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from drum_room import GRUMPY_KIT, faults, one_bar, said

from drumgen.spec.book_loading import load_book
from drumgen.spec.layering import Overrides
from drumgen.spec.loading import (
    kits_folder,
    load_bytes,
    load_kit,
    load_phrase,
    read_phrase,
    shipped_kit,
    shipped_kits,
)

if TYPE_CHECKING:
    from pathlib import Path


def test_the_shipped_kits_each_load() -> None:
    names = shipped_kits()
    assert "general-midi" in names
    assert list(names) == sorted(names)
    for name in names:
        assert shipped_kit(name).name == name
        assert shipped_kit(name) is load_kit(name)


@pytest.mark.parametrize("name", ["general-mid", "../kits/general-midi", "", "/etc/passwd", "no such"])
def test_no_such_kit(name: str) -> None:
    message = said(lambda: load_kit(name))
    assert message.startswith(f"expected a shipped kit ({', '.join(shipped_kits())}) or the path of a kit file, got ")
    assert ('nearest: "general-midi"' in message) == name.startswith(("general-mid", ".."))


def test_a_phrase_and_its_kit_from_disk(tmp_path: Path) -> None:
    folder = tmp_path / "kits"
    folder.mkdir()
    (folder / "grumpy.toml").write_text(GRUMPY_KIT, encoding="utf-8")
    file = tmp_path / "first steps.toml"
    file.write_text(one_bar('sticking = "R"', top='kit = "kits/grumpy.toml"\nlanding = []\n'), encoding="utf-8")
    found = load_phrase(file)
    assert found.phrase.name == found.phrase.title == "first steps"
    assert (found.phrase.kit.name, found.phrase.kit.title) == ("grumpy", "A shed kit, invented")
    assert found.document.file == str(file)
    assert found.file.kit == "kits/grumpy.toml"
    assert load_phrase(str(file), kit="practice-pad").phrase.kit.name == "practice-pad"
    assert load_phrase(file, overrides=Overrides(handed="left")).phrase.bars["a"].mirrored
    assert load_kit(str(folder / "grumpy.toml")).title == load_kit("kits/grumpy.toml", beside=tmp_path).title


def test_a_kit_file_may_have_its_ending_in_capitals(tmp_path: Path) -> None:
    """As old Windows programs write it."""
    (tmp_path / "SHED.TOML").write_text(GRUMPY_KIT, encoding="utf-8")
    assert load_kit("SHED.TOML", beside=tmp_path).title == "A shed kit, invented"
    (tmp_path / "a.toml").write_text(one_bar("", top='kit = "SHED.TOML"\n'), encoding="utf-8")
    assert load_phrase(tmp_path / "a.toml").phrase.kit.name == "SHED"
    (tmp_path / "term").mkdir()
    (tmp_path / "term/book.toml").write_text('kit = "../SHED.TOML"\n[[phrases]]\nfile = "../a.toml"\n')
    (entry,) = load_book(tmp_path / "term").entries
    assert entry.kit == str(tmp_path / "term" / "../SHED.TOML")


def test_what_is_not_there(tmp_path: Path) -> None:
    missing = tmp_path / "none.toml"
    assert said(lambda: load_phrase(missing)) == f"{missing}: there is no such file"
    assert said(lambda: load_bytes(tmp_path)) == f"{tmp_path}: expected a file, got a folder"
    assert said(lambda: load_bytes(tmp_path / ("x" * 300))) == (
        f"{tmp_path / ('x' * 300)}: cannot be read: file name too long"
    )


def test_a_kit_that_is_not_there(tmp_path: Path) -> None:
    text = one_bar("", top='kit = "pads.toml"\n')
    (fault,) = faults(text, beside=tmp_path)
    assert fault.startswith(f"{tmp_path / 'pads.toml'}: there is no such file")
    (fault,) = faults(one_bar("", top='tempo = 90\nkit = "pads"\n'))
    assert fault.startswith("shed.toml:2: kit: expected a shipped kit (")


def test_faults_inside_a_kit_have_its_own_lines_beside_those_of_the_phrase(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("[voices.snare]\nnote = 300\n", encoding="utf-8")
    found = faults('kit = "bad.toml"\ntempo = 1\nphrase = ["a"]\n[bars.a]\n', beside=tmp_path)
    assert any(fault.startswith(f"{tmp_path / 'bad.toml'}:2: voices.snare.note: expected ") for fault in found)
    assert any(fault.startswith("shed.toml:2: tempo: expected ") for fault in found)


def test_a_kit_asked_for_on_the_command_line(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text(one_bar(""), encoding="utf-8")
    message = said(lambda: load_phrase(file, kit="pads"))
    assert message.startswith("kit: expected a shipped kit (")


@pytest.mark.parametrize("line", ["kit = 3", 'meter = "4/5"'])
def test_without_a_kit_or_meter_nothing_more_is_said(line: str) -> None:
    found = faults(f'{line}\nphrase = ["a"]\n[bars.a]\naccents = "99"\n')
    assert len(found) == 1
    assert found[0].startswith(f"shed.toml:1: {line.split(' ', maxsplit=1)[0]}: expected ")


@pytest.mark.parametrize("name", ["n" * 300, "n" * 100_000, "..", "general_midi", "General-MIDI", ""])
def test_a_kit_of_any_name_is_refused_in_words(name: str) -> None:
    assert said(lambda: shipped_kit(name)).startswith("expected a shipped kit")


def test_a_kit_may_stand_deep_in_folders_and_a_name_too_long_for_the_system_is_refused(tmp_path: Path) -> None:
    folder = tmp_path.joinpath(*["a-folder-of-many-kits"] * 8)
    folder.mkdir(parents=True)
    deep = folder / "own.toml"
    deep.write_bytes((kits_folder() / "four-piece.toml").read_bytes())
    text = f'kit = "{deep.as_posix()}"\nphrase = ["a"]\n[bars.a]\nsticking = "RL"\n'
    assert read_phrase(text, file="shed.toml", name="shed").phrase.kit.name == "own"
    long = f'kit = "{"k" * 900}.toml"\nphrase = ["a"]\n[bars.a]\nsticking = "RL"\n'
    refused = said(lambda: read_phrase(long, file="shed.toml", name="shed"))
    assert refused.endswith("k.toml: cannot be read: file name too long [the kit of shed.toml]")
