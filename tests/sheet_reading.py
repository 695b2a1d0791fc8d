"""What is printed, read back: the same rows from a phrase's own strokes, from music21 and from verovio.

A row is a note head where it stands: the number of its printed bar (repeats expanded), its place in grains from that
bar's start, its step and octave, its head and its brackets. Accents and letters belong to all heads on one stem. The
rows that are expected are made here from the strokes of the phrase, not from the score that was written.
"""

from __future__ import annotations

import os
import warnings
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from fractions import Fraction
from tempfile import TemporaryFile
from typing import TYPE_CHECKING, Any, NamedTuple
from xml.etree import ElementTree as ET

from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.strokes import strokes
from drumgen.trade.staff import STAFF_PLACES

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from drumgen.layout import Stroke
    from drumgen.phrase import Phrase
    from drumgen.strokes import Played

QUARTER = 10_080
MEI = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
LOUD = {"ghost": 0, "normal": 1, "accent": 2}


class Row(NamedTuple):
    """One head."""

    bar: int
    place: int
    pitch: str
    head: str
    ghost: bool = False


@dataclass
class Reading:
    """All that is read of one phrase: heads, accents of stems, and by (bar, place) buzzes, grace notes and letters."""

    rows: list[Row] = field(default_factory=list)
    accents: set[tuple[int, int, tuple[str, ...]]] = field(default_factory=set)
    buzzes: set[tuple[int, int]] = field(default_factory=set)
    graces: list[tuple[int, int, str]] = field(default_factory=list)
    letters: list[tuple[int, int, str]] = field(default_factory=list)
    lengths: list[int] = field(default_factory=list)

    def sorted(self) -> Reading:
        """The same, in order."""
        return replace(self, rows=sorted(self.rows), graces=sorted(self.graces), letters=sorted(self.letters))


def played_bars(phrase: Phrase) -> list[Played]:
    """The bars that are printed, repeats written out: once through, without what is only for playing."""
    return [each for each in strokes(arrange(phrase, Practice())) if each.span.kind in ("bar", "landing")]


def expected(phrase: Phrase, lengths: Iterable[int]) -> Reading:
    """What has to be read; ``lengths`` are those that were read, of which only a pickup's is believed."""
    reading = Reading()
    for number, (each, length) in enumerate(zip(played_bars(phrase), lengths, strict=True)):
        whole = each.span.meter.grains
        pickup = number == 0 and each.span.bar is not None and each.span.bar.role == "pickup"
        cut = whole - length if pickup else 0
        assert 0 <= cut <= min((stroke.place for stroke in each.laid.strokes), default=0)
        reading.lengths.append(whole - cut)
        _add_bar(reading, number, each, cut, phrase)
    return reading.sorted()


def _add_bar(reading: Reading, number: int, each: Played, cut: int, phrase: Phrase) -> None:
    heads: dict[tuple[int, str], Stroke] = {}
    for stroke in each.laid.strokes:
        key = (stroke.place, phrase.kit.voice(stroke.voice).name)
        if key not in heads or LOUD[stroke.level] > LOUD[heads[key].level]:
            heads[key] = stroke
        if stroke.buzz:
            reading.buzzes.add((number, stroke.place - cut))
        if stroke.grace:
            pitch, _ = pitch_and_head(phrase, stroke.grace_voice)
            reading.graces += [(number, stroke.place - cut, pitch)] * stroke.grace
    stems: dict[tuple[int, bool], list[tuple[str, bool]]] = {}
    for (place, voice), stroke in heads.items():
        pitch, head = pitch_and_head(phrase, voice)
        reading.rows.append(Row(number, place - cut, pitch, head, stroke.level == "ghost"))
        stems.setdefault((place, stroke.limb in ("R", "L")), []).append((pitch, stroke.level == "accent"))
    for (place, _), stem in stems.items():
        if any(accent for _, accent in stem):
            reading.accents.add((number, place - cut, tuple(sorted(pitch for pitch, _ in stem))))
    reading.letters += [(number, place - cut, text) for place, text in letters(each).items()]


def letters(each: Played) -> dict[int, str]:
    """The capital letter under each place: the sticking's; on a landing the hands that strike it."""
    found = {place: "".join(char for char in text if char.isupper()) for place, text in each.laid.letters}
    if each.span.landing and found.get(0, "") in ("", "R", "L"):
        hands = {stroke.limb for stroke in each.laid.strokes if stroke.place == 0 and stroke.limb in ("R", "L")}
        if hands:
            found[0] = "B" if len(hands) == 2 else hands.pop()
    return found


def pitch_and_head(phrase: Phrase, voice: str) -> tuple[str, str]:
    """Where a voice of the kit stands by its own file and the trade's table."""
    own = phrase.kit.voice(voice)
    place = STAFF_PLACES.get(own.name)
    pitch = own.staff or (f"{place.step}{place.octave}" if place else "")
    return pitch, own.notehead or (place.notehead if place else "normal")


def read_by_music21(text: str) -> Reading:
    """A document as music21 reads it, repeats expanded; a warning of its is an error.

    One is let pass: its own table of percussion lacks some keys of General MIDI (55, splash), which it says.
    """
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.filterwarnings("ignore", message=r"\d+ does not map to a valid instrument!")
        score: Any = converter.parse(text, format="musicxml")
        score = score.expandRepeats()
    reading = Reading()
    for number, measure in enumerate(score.parts[0].getElementsByClass("Measure")):
        reading.lengths.append(grains(measure.duration.quarterLength))
        for line in measure.voices or [measure]:
            assert grains(sum(each.duration.quarterLength for each in line.notesAndRests)) == reading.lengths[-1]
            for each in line.notes:
                _add_music21(reading, number, each)
    return reading.sorted()


def _add_music21(reading: Reading, number: int, each: Any) -> None:  # noqa: ANN401 - music21 is untyped
    place = grains(each.offset)
    members = list(each.notes) if hasattr(each, "notes") else [each]
    if each.duration.isGrace:
        reading.graces += [(number, place, member.displayName) for member in members]
        return
    pitches = tuple(sorted(member.displayName for member in members))
    for member in members:
        brackets = bool(member.noteheadParenthesis)
        reading.rows.append(Row(number, place, member.displayName, member.notehead, brackets))
    if any(type(sign).__name__ == "Accent" for sign in each.articulations):
        reading.accents.add((number, place, pitches))
    if any(type(sign).__name__ == "Tremolo" for sign in each.expressions):
        reading.buzzes.add((number, place))
    reading.letters += [(number, place, lyric.text) for lyric in each.lyrics]


def grains(quarters: float | Fraction) -> int:
    """Quarters as grains; music21 holds fractions of small denominators exactly, others as near as a float is."""
    return round(Fraction(quarters).limit_denominator(100_000) * QUARTER)


def read_by_verovio(text: str) -> Reading:
    """A document as verovio reads it: places from its timemap (``qstamp``), looks from its MEI.

    verovio plays grace notes, and where it finds no room for them it plays their main note late: they are taken out of
    the document for the places, and read from the MEI alone.
    """
    toolkit = _verovio(_without_graces(text))
    mei = _Mei(toolkit.getMEI(), _graces(_verovio(text).getMEI()))
    return mei.timed(toolkit.renderToTimemap({"includeMeasures": True, "includeRests": True}))


def _graces(mei: str) -> dict[str, list[str]]:
    """The pitches of the grace notes before each note, by its id."""
    found: dict[str, list[str]] = {}
    for layer in ET.fromstring(mei).iter(f"{MEI}layer"):  # noqa: S314 - verovio made it
        waiting: list[str] = []
        for note in layer.iter(f"{MEI}note"):
            if note.get("grace"):
                waiting.append(_pitch(note))
            else:
                found[note.attrib[XML_ID]], waiting = waiting, []
        assert not waiting
    return found


def _verovio(text: str) -> Any:  # noqa: ANN401 - verovio is untyped
    import verovio

    verovio.enableLog(verovio.LOG_WARNING)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1})
    with _nothing_said():
        assert toolkit.loadData(text)
    return toolkit


@contextmanager
def _nothing_said() -> Iterator[None]:
    """Warnings of verovio, which it writes past Python to the process's standard error, are failures."""
    with TemporaryFile() as heard:
        own = os.dup(2)
        os.dup2(heard.fileno(), 2)
        try:
            yield
        finally:
            os.dup2(own, 2)
            os.close(own)
        heard.seek(0)
        said = heard.read().decode()
    assert said == "", f"verovio warns: {said}"


def _without_graces(text: str) -> str:
    root = ET.fromstring(text)  # noqa: S314 - it was made here
    for measure in root.iter("measure"):
        for note in [note for note in measure.findall("note") if note.find("grace") is not None]:
            measure.remove(note)
    return ET.tostring(root, encoding="unicode")


HEADS = {None: "normal", "x": "x", "diamond": "diamond", "isotriangle": "triangle", "U+E0B3": "circle-x"}


class _Mei:
    """The notes of verovio's MEI by their ids, each with the chord and the tremolo that it stands in."""

    def __init__(self, text: str, graces: dict[str, list[str]]) -> None:
        root = ET.fromstring(text)  # noqa: S314 - verovio made it
        self.graces = graces
        self.notes = {note.attrib[XML_ID]: note for note in root.iter(f"{MEI}note")}
        self.stems: dict[str, ET.Element] = dict(self.notes)
        for chord in root.iter(f"{MEI}chord"):
            self.stems |= {note.attrib[XML_ID]: chord for note in chord.iter(f"{MEI}note")}
        tremolos = root.iter(f"{MEI}bTrem")
        self.tremolos = {note.attrib[XML_ID] for each in tremolos for note in each.iter(f"{MEI}note")}
        self.reading = Reading()

    def timed(self, timemap: list[dict[str, Any]]) -> Reading:
        start = 0
        for moment in timemap:
            now = grains(moment["qstamp"])
            if "measureOn" in moment:
                if now:
                    self.reading.lengths.append(now - start)
                start = now
            for name in moment.get("on", ()):
                plain = name.split("-rend")[0]
                self._add(plain, now - start)
        self.reading.lengths.append(grains(timemap[-1]["qstamp"]) - start)
        reading = self.reading.sorted()
        reading.letters = sorted(set(reading.letters))
        return reading

    def _add(self, name: str, place: int) -> None:
        note, stem, number = self.notes[name], self.stems[name], len(self.reading.lengths)
        slashed = note.get("glyph.name") == "noteheadSlashedBlack1"
        head = "slashed" if slashed else HEADS[note.get("head.shape")]
        self.reading.rows.append(Row(number, place, _pitch(note), head, note.get("head.mod") == "paren"))
        if any(sign.get("artic") == "acc" for sign in stem.iter(f"{MEI}artic")):
            pitches = sorted(_pitch(each) for each in stem.iter(f"{MEI}note"))
            self.reading.accents.add((number, place, tuple(pitches)))
        self.reading.graces += [(number, place, pitch) for pitch in self.graces[name]]
        if name in self.tremolos:
            self.reading.buzzes.add((number, place))
        text = "".join(syl.text or "" for syl in stem.iter(f"{MEI}syl"))
        if text:
            self.reading.letters.append((number, place, text))


def _pitch(note: ET.Element) -> str:
    height = int(note.attrib["loc"])
    return f"{'EFGABCD'[height % 7]}{4 + (height + 2) // 7}"
