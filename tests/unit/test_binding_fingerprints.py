"""Fingerprints: what tells one content from another."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from drumgen.binding.fingerprints import (
    fingerprint_of_bytes,
    fingerprint_of_file,
    fingerprint_of_soundfont,
    fingerprint_of_values,
)
from drumgen.errors import DrumgenError

if TYPE_CHECKING:
    from pathlib import Path

# FIPS 180-2, appendix B.1
OF_ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_a_fingerprint_is_the_sha_256_of_the_content(tmp_path: Path) -> None:
    (tmp_path / "a.sf2").write_bytes(b"abc")
    assert fingerprint_of_bytes(b"abc") == OF_ABC
    assert fingerprint_of_soundfont(str(tmp_path / "a.sf2")) == OF_ABC


def test_a_file_is_taken_from_where_it_stands(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"..abc")
    with (tmp_path / "a").open("rb") as file:
        file.seek(2)
        assert fingerprint_of_file(file) == OF_ABC


def test_a_soundfont_that_changed_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "a.sf2"
    path.write_bytes(b"ab.")
    before = fingerprint_of_soundfont(str(path))
    path.write_bytes(b"abc")
    os.utime(path, ns=(1, 1))
    assert before != fingerprint_of_soundfont(str(path)) == OF_ABC


def test_a_soundfont_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = str(tmp_path / "a.sf2")
    with pytest.raises(DrumgenError) as caught:
        fingerprint_of_soundfont(path)
    assert str(caught.value) == f"{path}: the SoundFont cannot be opened: No such file or directory"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes of POSIX")
def test_a_soundfont_that_may_have_no_end_is_not_read(tmp_path: Path) -> None:
    """A pipe here, a device such as /dev/zero there."""
    path = tmp_path / "a.sf2"
    os.mkfifo(path)
    with pytest.raises(DrumgenError, match=r"a\.sf2: expected a SoundFont \(SF2 or SF3\), got no plain file$"):
        fingerprint_of_soundfont(str(path))


def test_a_fingerprint_tells_values_apart() -> None:
    rows = [("ab", "c"), ("a", "bc"), ("abc",), ("abc", ""), (b"ab", "c\udcff"), ("ab", "C")]
    assert len({fingerprint_of_values(*values) for values in rows}) == len(rows)
    assert fingerprint_of_values("ab", "c") == fingerprint_of_values(b"ab", "c")
