"""MusicXML notes: the events of a line as ``note`` elements.

Source: W3C Community Group, MusicXML 4.0 (2021). An open hi-hat has the ``open-string`` sign (the small circle that
programs read for it); a buzz is the tremolo of type ``unmeasured``, its z on the stem; a ghost note a head in
parentheses. ``dynamics`` is the velocity in per cent of 90, as the standard has it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from drumgen.sheet.naming import event_name, grace_name, head_name
from drumgen.sheet.xml import node, nodes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from xml.etree.ElementTree import Element

    from drumgen.sheet.score import Event, Line, Struck

_SMUFL = {"slashed": "noteheadSlashedBlack1"}


class NoteStyle(NamedTuple):
    """How the notes of a document are written: ids of its instruments by voice, its time unit, and what is under them.

    ``grains`` is the length of one division; ``grace_letters`` puts letters under grace notes too.
    """

    instruments: Mapping[str, str]
    grains: int
    sticking: bool
    counts: bool
    grace_letters: bool = True


class NoteWriter:
    """Writes the events of one line of one measure."""

    def __init__(self, style: NoteStyle, line: Line, prefix: str, others: frozenset[tuple[int, int]]) -> None:
        self.style, self.line, self.prefix, self.others = style, line, prefix, others

    def notes(self, event: Event) -> list[Element]:
        """The notes of one event: its grace notes, then its heads from low to high, or its rest."""
        name = event_name(self.prefix, event, self.line)
        if not event.struck:
            return [self._rest(event, name)]
        graces = [
            self._grace(grace, index, len(event.graces), grace_name(name, index))
            for index, grace in enumerate(event.graces)
        ]
        heads = [self._head(event, index, head_name(name, index)) for index in range(len(event.struck))]
        return graces + heads

    def _rest(self, event: Event, name: str) -> Element:
        """A rest; of two lines that rest alike only the upper one's is printed, in the middle of the staff."""
        shared = (event.place, event.grains) in self.others
        middle = node("rest", node("display-step", "B"), node("display-octave", "4")) if shared else node("rest")
        if event.whole_bar:
            middle.set("measure", "yes")
        return node(
            "note",
            middle,
            self._duration(event),
            node("voice", str(self.line.number)),
            None if event.whole_bar else node("type", event.value),
            *_dots(event),
            _time_modification(event),
            self._notations(event, None),
            *self._lyrics("", event.count),
            id=name,
            print_object="no" if shared and self.line.number == 2 else None,
        )

    def _grace(self, grace: Struck, index: int, number: int, name: str) -> Element:
        beams = [] if number == 1 else ["begin" if index == 0 else "end" if index + 1 == number else "continue"]
        return node(
            "note",
            node("grace", slash="yes"),
            *self._pitch(grace),
            node("voice", str(self.line.number)),
            node("type", "eighth" if number == 1 else "16th"),
            node("stem", self.line.stem),
            _notehead(grace),
            *(node("beam", word, number=level) for word in beams for level in (1, 2)),
            *(self._lyrics(grace.limb.lower(), "") if self.style.grace_letters else ()),
            id=name,
            dynamics=_dynamics(grace.velocity),
        )

    def _head(self, event: Event, index: int, name: str) -> Element:
        struck = event.struck[index]
        first = index == 0
        return node(
            "note",
            None if first else node("chord"),
            *self._pitch(struck, self._duration(event)),
            node("voice", str(self.line.number)),
            node("type", event.value),
            *_dots(event),
            _time_modification(event),
            node("stem", self.line.stem) if event.value != "whole" else None,
            _notehead(struck),
            *(node("beam", word, number=level) for level, word in enumerate(event.beams if first else (), start=1)),
            self._notations(event, struck, first=first),
            *(self._lyrics(event.letters, event.count) if first else ()),
            id=name,
            dynamics=_dynamics(struck.velocity),
        )

    def _pitch(self, struck: Struck, duration: Element | None = None) -> list[Element]:
        head = struck.head
        place = node("unpitched", node("display-step", head.step), node("display-octave", str(head.octave)))
        instrument = node("instrument", id=self.style.instruments[head.voice])
        return [place, *([] if duration is None else [duration]), instrument]

    def _duration(self, event: Event) -> Element:
        return node("duration", str(event.grains // self.style.grains))

    def _notations(self, event: Event, struck: Struck | None, *, first: bool = True) -> Element | None:
        placement = "above" if self.line.stem == "up" else "below"
        found = [
            *(_tuplet(event, placement) if first else ()),
            node("ornaments", node("tremolo", "0", type_="unmeasured")) if first and event.buzz else None,
            node("technical", node("open-string", placement="above")) if struck and struck.head.is_open else None,
            _accent(struck, placement),
        ]
        return nodes("notations", found) if any(each is not None for each in found) else None

    def _lyrics(self, letters: str, count: str) -> list[Element]:
        texts = [("sticking", letters)] * self.style.sticking + [("counts", count)] * self.style.counts
        return [
            node("lyric", node("syllabic", "single"), node("text", text), number=number, name=name)
            for number, (name, text) in enumerate(texts, start=1)
            if text
        ]


def _dots(event: Event) -> list[Element]:
    return [node("dot") for _ in range(event.dots)]


def _time_modification(event: Event) -> Element | None:
    if event.actual == event.normal:
        return None
    return node("time-modification", node("actual-notes", str(event.actual)), node("normal-notes", str(event.normal)))


def _notehead(struck: Struck) -> Element:
    ghost = "yes" if struck.level == "ghost" else None
    return node("notehead", struck.head.notehead, parentheses=ghost, smufl=_SMUFL.get(struck.head.notehead))


def _accent(struck: Struck | None, placement: str) -> Element | None:
    if struck is None or struck.level != "accent":
        return None
    return node("articulations", node("accent", placement=placement))


_USUAL = {(3, 2), (5, 4), (6, 4), (7, 4), (9, 8)}


def _tuplet(event: Event, placement: str) -> Iterable[Element]:
    """The start or stop of a tuplet's bracket; an unusual one shows both its numbers."""
    if event.tuplet == "start":
        shows = "actual" if (event.actual, event.normal) in _USUAL else "both"
        yield node("tuplet", type_="start", number=1, bracket="yes", show_number=shows, placement=placement)
    elif event.tuplet == "stop":
        yield node("tuplet", type_="stop", number=1)


def _dynamics(velocity: int) -> str:
    """A velocity in per cent of 90, never 0 (MusicXML 4.0, the ``dynamics`` attribute of a note)."""
    return f"{velocity * 100 / 90:.2f}"
