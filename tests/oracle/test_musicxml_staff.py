"""Staff places against LilyPond's drum tables.

Source: LilyPond 2.24, ``ly/drumpitch-init.ly``, ``weinberg-drums-style`` (Debian's lilypond-data); positions are steps
from the middle line. Where the file is installed the rows below are read from it again. music21 has no table of staff
places: what it reads from our files is held in ``test_musicxml_reading``.
"""

import re
from pathlib import Path

import pytest
from needs import need

from drumgen.sheet.heads import heads_of
from drumgen.spec.loading import shipped_kit

LILYPOND = {
    # LilyPond's name: (our voice, its head, its sign, steps from the middle line)
    "chinesecymbal": ("china", "cross", "#f", 7),
    "crashcymbal": ("crash", "cross", "#f", 6),
    "closedhihat": ("hihat", "cross", "stopped", 5),
    "openhihat": ("hihat-open", "cross", "open", 5),
    "ridecymbal": ("ride", "cross", "#f", 4),
    "ridebell": ("ride-bell", "diamond", "#f", 4),
    "hightom": ("high-tom", "()", "#f", 4),
    "cowbell": ("cowbell", "triangle", "#f", 3),
    "ridecymbala": ("ride-2", "cross", "#f", 2),
    "lowmidtom": ("mid-tom", "()", "#f", 2),
    "sidestick": ("cross-stick", "cross", "#f", 1),
    "snare": ("snare", "()", "#f", 1),
    "lowtom": ("low-tom", "()", "#f", 0),
    "highfloortom": ("floor-tom", "()", "#f", -1),
    "lowfloortom": ("floor-tom-2", "()", "#f", -2),
    "bassdrum": ("kick", "()", "#f", -3),
    "pedalhihat": ("hihat-foot", "cross", "#f", -5),
}

DIFFERENT = {
    "chinesecymbal": "B5 is the second crash's with us, so that china stands a step higher",
    "hightom": "E5 with us, usual where there are two mounted toms; LilyPond writes its next lower tom there",
}

HEADS = {"cross": "x", "()": "normal", "diamond": "diamond", "triangle": "triangle"}
FILES = (
    sorted(Path("/usr/share/lilypond").glob("*/ly/drumpitch-init.ly")) if Path("/usr/share/lilypond").is_dir() else []
)


@pytest.mark.parametrize("name", LILYPOND)
def test_place_and_head(name: str) -> None:
    voice, head, sign, steps = LILYPOND[name]
    ours = heads_of(shipped_kit("general-midi"))[voice]
    assert (ours.notehead, ours.is_open) == (HEADS[head], sign == "open")
    assert (ours.height - 4 == steps) == (name not in DIFFERENT)


def test_the_table_is_lilyponds() -> None:
    need(FILES, "lilypond-data")
    text = FILES[-1].read_text(encoding="utf-8")
    table = text[text.index("(weinberg-drums-style") :]
    rows = re.findall(r"\((\w+)\s+(\S+)\s+(\S+)\s+(-?\d+)\)", table[: table.index("))\n") + 2])
    found = {name: (head, sign, int(steps)) for name, head, sign, steps in rows}
    assert {name: row[1:] for name, row in LILYPOND.items()} == {name: found[name] for name in LILYPOND}
