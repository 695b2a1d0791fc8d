"""Resolving: from a phrase file to the phrase it means on a kit, with all faults and remarks.

Every count is looked up, every voice found in the kit and every sticking fitted into its bar here, so that nothing
after this needs to check again.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from drumgen.bar import Bar
from drumgen.errors import DrumgenError, Fault, Path, nearest
from drumgen.feel import Feel, Swing, swung_pairs
from drumgen.kit import FOOT_OF, Kit
from drumgen.layout import lay_out_fresh
from drumgen.levels import Dynamics
from drumgen.meter import Meter
from drumgen.phrase import MOST_BARS, Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.gathering import FILE, Gathering, Origin, TooManyFaultsError
from drumgen.spec.inheriting import Said, chain_of, inherit
from drumgen.spec.layering import Layering, Overrides
from drumgen.spec.practising import make_practice
from drumgen.strokes import strokes, unused_places
from drumgen.tempo import Tempo, default_tempo

if TYPE_CHECKING:
    from collections.abc import Iterable

    from drumgen.spec.phrase_file import FeelTable, PhraseFile

FOUR_FOUR = Meter(4, 4)
DEFAULT_LANDING = ("crash", "kick")
_ENTANGLED = {(), ("meter",), ("subdivision",), ("rudiment",), ("parts",), ("like",)}
"""Keys of a bar whose faults leave nothing to be said of its counts and places."""


def resolved(file: PhraseFile, kit: Kit, *, name: str, overrides: Overrides | None = None) -> Phrase:
    """The phrase that a file which was made here means on a kit. Raises DrumgenError with all its faults, unplaced."""
    resolver = Resolver(file, kit, overrides or Overrides())
    phrase = resolver.phrase(name)
    if phrase is None:
        raise DrumgenError(*resolver.gathering.faults)
    return phrase


class Resolver:
    """One phrase file while it is resolved; faults and remarks are gathered."""

    def __init__(self, file: PhraseFile, kit: Kit, overrides: Overrides, *, faulty: Iterable[Path] = ()) -> None:
        self.file, self.kit, self.overrides = file, kit, overrides
        self.faulty: dict[object, set[Path]] = {}
        self.ordered = True
        for path in faulty:
            self.ordered = self.ordered and path[:1] != ("phrase",)
            if path[:1] == ("bars",):
                self.faulty.setdefault(path[1] if path[1:] else "", set()).add(path[2:3])
        self.gathering = Gathering()
        self.layering = Layering(kit, overrides, self.gathering)
        self.origins: dict[str, Origin] = {}
        self.unsound: set[str] = set()
        self.given_up = False
        self.meter = file.meter or FOUR_FOUR
        self.tempo = file.tempo or default_tempo(self.meter)

    def phrase(self, name: str) -> Phrase | None:
        """The phrase, or None where there are faults."""
        try:
            return self._phrase(name)
        except TooManyFaultsError:
            self.given_up = True
            return None

    def _phrase(self, name: str) -> Phrase | None:
        file = self.file
        self.gathering.attempt(lambda: self.tempo.quarters(self.meter), ("tempo",))
        bars = {bar_name: self._bar(bar_name) for bar_name in file.bars}
        order = self._order(bars)
        self._lay_out(bars)
        practice = self.gathering.attempt(lambda: make_practice(file.practice), ("practice",))
        if practice:
            for index, voice in enumerate(practice.mute):
                self.gathering.attempt(partial(self.kit.voice, voice), ("practice", "mute", index))
        whole = {bar_name: bar for bar_name, bar in bars.items() if bar is not None}
        if self.gathering.faults or self.unsound or len(whole) < len(bars):
            return None
        phrase = Phrase(
            name=name,
            title=file.title or name,
            kit=self.kit,
            meter=self.meter,
            tempo=self.tempo,
            bars=whole,
            order=order,
            dynamics=Dynamics(**(file.dynamics.said() if file.dynamics else {})),
            practice=practice or Practice(),
            note=file.note or "",
        )
        chosen = phrase.practice.bars or phrase.practice.only
        if self.ordered and chosen and not self.gathering.attempt(partial(arrange, phrase), ("practice",)):
            return None
        return phrase

    def _lay_out(self, bars: dict[str, Bar | None]) -> None:
        """Every bar laid out once, so that its counts and lengths are known to be right.

        Of a bar in which something else is wrong, only what is wrong with a key of its own is told.
        """
        for name, bar in bars.items():
            if bar is None:
                continue
            try:
                lay_out_fresh(bar, self.kit)
            except DrumgenError as error:
                for fault in error.faults:
                    if fault.path or name not in self.unsound:
                        self.gathering.fault(fault, self.origins[name])

    def unused_places(self, phrase: Phrase) -> list[Fault]:
        """Remarks on written places on which, in every playing of their bar, the limb they speak of plays nothing."""
        once = Practice(count_in=1) if phrase.first_number == 0 else Practice()
        played = [*strokes(arrange(phrase, once))]
        remarks = []
        for name, unused in unused_places(played).items():
            for path, where in sorted(unused, key=lambda each: (str(each[0]), each[1].span)):
                fault = Fault(f'nothing is played on "{where}", so it changes nothing', path=path)
                remarks.append(self.origins[name].placed(fault))
        return remarks

    # -- the order of the bars

    def _order(self, bars: dict[str, Bar | None]) -> tuple[str, ...]:
        if not self.ordered:
            return ()
        total = sum(entry.times for entry in self.file.phrase)
        if total > MOST_BARS:
            self.gathering.fault(Fault(f"at most {MOST_BARS} bars", got=str(total), path=("phrase",)))
            return ()
        order: list[str] = []
        for index, entry in enumerate(self.file.phrase):
            table = self.file.bars.get(entry.name)
            if table is None and entry.name in self.faulty:
                continue
            if table is None:
                hint = nearest(entry.name, self.file.bars)
                self.gathering.fault(
                    Fault("the name of a bar", got=f'"{entry.name}"', nearest=hint, path=("phrase", index))
                )
                continue
            bar = bars[entry.name]
            role = bar.role if bar else table.role
            if role == "pickup" and (index or entry.times > 1):
                rule = "a pickup once, first in the phrase"
                self.gathering.fault(Fault(rule, got=f'"{entry}"', path=("phrase", index)))
            order += [entry.name] * entry.times
        return tuple(order)

    # -- one bar

    def _bar(self, name: str) -> Bar | None:
        chain, faults = chain_of(self.file, name)
        if faults:
            known = self.file.bars[chain[0]].like in self.faulty
            if faults[0].path[1] == name and not known:
                self.gathering.fault(faults[0])
            return None
        faulty = set[Path]().union(*(self.faulty.get(bar, ()) for bar in chain))
        if faulty & _ENTANGLED:
            return None
        before = len(self.gathering.faults)
        said = inherit(self.file, chain)
        origin = self.origins[name] = Origin(name, said.said_in)
        meter = said.get("meter", self.meter)
        layer = self.layering.layer(said, meter, origin)
        parts = self.layering.parts(said, meter, origin)
        landing = self._landing(said, origin)
        feel = self._feel(said, meter, origin)
        tempo: Tempo | None = said.get("tempo")
        if tempo is not None:
            self.gathering.attempt(lambda: tempo.quarters(meter), ("tempo",), origin)
        if layer is None or parts is None or feel is None:
            return None
        if faulty or len(self.gathering.faults) > before:
            self.unsound.add(name)
        handed = self.overrides.handed or said.get("handed") or self.file.handed or self.kit.hand
        return Bar(
            name=name,
            role=said.get("role", "groove"),
            meter=meter,
            tempo=tempo,
            layer=layer,
            parts=parts,
            feel=feel,
            landing=landing,
            dynamics=said.get("dynamics"),
            mirrored=handed == "left",
            note=said.get("note", ""),
        )

    def _landing(self, said: Said, origin: Origin) -> tuple[str, ...]:
        written = said.get("landing", self.file.landing)
        if written is None:
            return tuple(name for name in DEFAULT_LANDING if name in self.kit.voices or name in self.kit.instead)
        at = origin if said.get("landing") is not None else FILE
        limbs: list[str] = []
        for index, name in enumerate(written):
            voice = self.gathering.attempt(partial(self.kit.voice, name), ("landing", index), at)
            if voice is not None:
                limbs.append(voice.limb)
        if limbs.count("hands") > 2 or any(limbs.count(foot) > 1 for foot in FOOT_OF):
            rule = "at most two voices for the hands and one for each foot"
            self.gathering.fault(Fault(rule, got=", ".join(written), path=("landing",)), at)
        return tuple(written)

    def _feel(self, said: Said, meter: Meter, origin: Origin) -> Feel | None:
        own: FeelTable | None = said.get("feel")
        tables = [table for table in (self.file.feel, own) if table is not None]
        values: dict[str, Any] = {}
        for table in tables:
            values.update(table.said())
        swing = values.pop("swing", None)
        if swing is None:
            return Feel(**values)
        feel = Feel(swing=Swing(swing.of, *swing.ratio), **values)
        at = origin if own is not None and own.swing is not None else Origin("", {}, user=origin.bar)
        return feel if self.gathering.attempt(lambda: swung_pairs(feel.swing, meter), (), at) is not None else None
