"""Where each voice stands on the five-line staff, with which head, if its kit does not say otherwise.

Conventions: the percussion clef is read as if it were a treble clef: E4 is the bottom line, F5 the top line. Heads
have MusicXML's names. Voice 1 is the hands, stems up; voice 2 the feet, stems down.
Source: N. Weinberg, Guidelines for Drumset Notation, Percussive Notes, June 1994, as later tables report it (itself it
was not read); where sources differ its place is taken, and the row says what the others do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Notehead = Literal["normal", "x", "circle-x", "diamond", "triangle", "slashed"]
Source = Literal["Weinberg", "common practice", "own choice"]


@dataclass(frozen=True, slots=True)
class StaffPlace:
    """A step (A to G) and octave, a head, an ``open`` sign over it or not, and where the place comes from."""

    step: str
    octave: int
    notehead: Notehead
    source: Source
    note: str = ""
    is_open: bool = False
    is_foot: bool = False

    @property
    def stem(self) -> Literal["up", "down"]:
        """Feet have their stems down."""
        return "down" if self.is_foot else "up"

    @property
    def voice_number(self) -> Literal[1, 2]:
        """Hands are the first voice of a measure, feet the second."""
        return 2 if self.is_foot else 1


STAFF_PLACES: dict[str, StaffPlace] = {
    "kick": StaffPlace("F", 4, "normal", "Weinberg", is_foot=True),
    "snare": StaffPlace("C", 5, "normal", "Weinberg"),
    "cross-stick": StaffPlace("C", 5, "x", "Weinberg", "the head is slashed in some"),
    "rimshot": StaffPlace("C", 5, "slashed", "common practice", "no table read has it"),
    "hihat": StaffPlace("G", 5, "x", "Weinberg", "E5 in one table"),
    "hihat-half": StaffPlace("G", 5, "circle-x", "common practice", "one source; or x and a slashed o above"),
    "hihat-open": StaffPlace("G", 5, "x", "Weinberg", "the head is circle-x in some", is_open=True),
    "hihat-foot": StaffPlace("D", 4, "x", "Weinberg", is_foot=True),
    "ride": StaffPlace("F", 5, "x", "Weinberg", "G5 or A5 in some"),
    "ride-bell": StaffPlace("F", 5, "diamond", "Weinberg", "the head varies"),
    "crash": StaffPlace("A", 5, "x", "Weinberg", "G5 and circle-x in one table"),
    "crash-2": StaffPlace("B", 5, "x", "common practice", "G5 in one table"),
    "splash": StaffPlace("D", 6, "x", "common practice", "G5 and diamond in one table"),
    "china": StaffPlace("C", 6, "x", "common practice", "Weinberg: B5, where crash-2 stands here"),
    "high-tom": StaffPlace("E", 5, "normal", "common practice", "usual for two mounted toms; Weinberg: F5"),
    "mid-tom": StaffPlace("D", 5, "normal", "Weinberg", "B4 in one table"),
    "low-tom": StaffPlace("B", 4, "normal", "Weinberg", "A4 in one table"),
    "floor-tom": StaffPlace("A", 4, "normal", "Weinberg", "G4 in one table"),
    "cowbell": StaffPlace("E", 5, "triangle", "Weinberg", "G5 in one table"),
    "woodblock": StaffPlace("F", 5, "triangle", "own choice", "no table read has it"),
    "tambourine": StaffPlace("E", 5, "diamond", "common practice", "one source"),
    "pad": StaffPlace("C", 5, "normal", "common practice", "a practice pad is written as the snare"),
}
