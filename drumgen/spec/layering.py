"""Layering: from what a bar or a part of it says to the layer it means: sticking, hands and feet, on a kit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from drumgen.bar import FootLine, Layer, LevelLine, Part
from drumgen.errors import Fault, Path
from drumgen.kit import FOOT_OF, Kit
from drumgen.orchestration import HandMap
from drumgen.spec.fields import shown
from drumgen.spec.inheriting import Said, over
from drumgen.sticking import Sign, Sticking, parse_sticking
from drumgen.subdivision import subdivided

if TYPE_CHECKING:
    from drumgen.meter import Meter
    from drumgen.spec.gathering import Gathering, Origin
    from drumgen.spec.phrase_file import Handed, Lead
    from drumgen.sticking import Limb


@dataclass(frozen=True, slots=True)
class Overrides:
    """What the command line sets for every bar: the lead hand, the player's hand."""

    lead: Lead | None = None
    handed: Handed | None = None


class Layering:
    """Makes the layers of one file's bars."""

    def __init__(self, kit: Kit, overrides: Overrides, gathering: Gathering) -> None:
        self.kit, self.overrides, self.gathering = kit, overrides, gathering

    def layer(self, said: Said, meter: Meter, origin: Origin, part: tuple[int, int] | None = None) -> Layer | None:
        """The layer, or None where it cannot be made; ``part``: the beats of a part with its own subdivision."""
        if said.get("sticking") is not None and said.get("rudiment") is not None:
            fault = Fault("a sticking or a rudiment", got="both", path=("rudiment",))
            self.gathering.fault(fault, origin)
            return None
        sticking = self._sticking(said, origin)
        rhythm = sticking is not None and sticking.rhythm
        names = () if rhythm else said.get("subdivision", ("sixteenths",))
        subdivision = self.gathering.attempt(lambda: subdivided(meter, names, part) if names else (), (), origin)
        if subdivision is None:
            return None
        return Layer(
            sticking=sticking,
            subdivision=subdivision,
            hands={limb: self._hand(said, limb, origin) for limb in ("R", "L")},
            across=said.get("across", "restart"),
            accents=_level_lines("accents", said),
            ghosts=_level_lines("ghosts", said),
            feet=self._feet(said, origin),
            grace_voice=said.get("grace_voice", "drum"),
        )

    def _sticking(self, said: Said, origin: Origin) -> Sticking | None:
        sticking: Sticking | None = said.get("sticking")
        if said.get("rudiment") is not None:
            found = self.gathering.attempt(lambda: rudiment_sticking(said.get("rudiment")), ("rudiment",), origin)
            if found is None:
                return None
            sticking = found if said.get("subdivision") is None else Sticking(found.signs)
            sticking = sticking if said.get("accents") is None else sticking.without_accents()
        if sticking is None:
            return None
        lead = self.overrides.lead or said.get("lead")
        led = sticking.led_by(lead) if lead else sticking
        return self.gathering.attempt(lambda: led.started_at(said.get("start", 1)), (), origin) or led

    def _hand(self, said: Said, limb: str, origin: Origin) -> HandMap:
        hand: HandMap = said.hands.get(limb) or HandMap()
        for path, voice in hand.named:
            self._voice(voice, ("hands", limb, *path), origin, hands=True)
        return hand

    def _feet(self, said: Said, origin: Origin) -> tuple[FootLine, ...]:
        lines = []
        for voice, rule in said.feet.items():
            limb = self._voice(voice, ("feet", voice), origin, hands=False)
            if limb is not None and (isinstance(rule, str) or rule.wheres):
                lines.append(FootLine(("feet", voice), voice, limb, rule))
        return tuple(lines)

    def _voice(self, name: str, path: Path, origin: Origin, *, hands: bool) -> Limb | None:
        """The foot that plays a voice (R for the hands), or None with a fault where no such limb does."""
        voice = self.gathering.attempt(lambda: self.kit.voice(name), path, origin)
        if voice is None:
            return None
        if hands != (voice.limb == "hands"):
            known = (v.name for v in self.kit.voices.values() if hands == (v.limb == "hands"))
            rule = f'a voice that {"hands play" if hands else "a foot plays"} in the kit "{self.kit.name}"'
            listed = "" if hands else f" ({', '.join(known) or 'none'})"
            self.gathering.fault(Fault(rule + listed, got=f'"{name}"', path=path), origin)
            return None
        if voice.name != name:
            fault = Fault(f'"{name}" is played on "{voice.name}", as the kit "{self.kit.name}" has none', path=path)
            self.gathering.remarks.append(origin.placed(fault))
        return "R" if hands else FOOT_OF[voice.limb]

    def parts(self, said: Said, meter: Meter, origin: Origin) -> tuple[Part, ...] | None:
        """The parts in the order of the file, or None where one cannot be made."""
        taken: dict[int, int] = {}
        parts: list[Part] = []
        sound = True
        for index, table in enumerate(said.get("parts", ())):
            first, last = table.beats.first, table.beats.last
            inside = origin.within(("parts", index))
            if last > len(meter.beats):
                rule = f"beats from 1 to {len(meter.beats)} of {meter}"
                self.gathering.fault(Fault(rule, got=shown(table.beats.written), path=("beats",)), inside)
                sound = False
                continue
            for beat in range(first, last + 1):
                if beat in taken:
                    got = f"beat {beat} in part {taken[beat] + 1} and in this"
                    self.gathering.fault(Fault("parts that do not overlap", got=got, path=("beats",)), inside)
                    break
            taken.update(dict.fromkeys(range(first, last + 1), index))
            layer = self._part_layer(over(said, table), table.said(), meter, inside, (first - 1, last - 1))
            if layer is None:
                sound = False
                continue
            own = any(key in table.said() for key in ("sticking", "rudiment", "subdivision"))
            parts.append(Part(first - 1, last - 1, layer, own))
        return tuple(parts) if sound else None

    def _part_layer(
        self, said: Said, own: dict[str, Any], meter: Meter, origin: Origin, beats: tuple[int, int]
    ) -> Layer | None:
        if said.values.get("across") == "carry":
            said = said._replace(values={**said.values, "across": "restart"})
            if own.get("across") == "carry":
                self.gathering.fault(Fault("restart or once in a part", got='"carry"', path=("across",)), origin)
        return self.layer(said, meter, origin, beats if "subdivision" in own else None)


def _level_lines(key: str, said: Said) -> tuple[LevelLine, ...]:
    lines: list[LevelLine] = []
    for limb, places in said.get(key, ()):
        limbs: tuple[Limb, ...] = (limb,) if limb else ("R", "L")
        lines.append(LevelLine((key, limb) if limb else (key,), limbs, places))
    return tuple(lines)


def rudiment_sticking(name: str) -> Sticking:
    """One whole cycle of a rudiment, with its own rhythm: both leads where it alternates."""
    from drumgen.trade.rudiments import find_rudiment  # noqa: PLC0415 - only where a rudiment is named

    rudiment = find_rudiment(name)
    side = parse_sticking(rudiment.sticking)
    signs, rhythm = list(side.signs), list(rudiment.durations)
    if rudiment.rest:
        signs.append(Sign("-"))
        rhythm.append(rudiment.rest)
    right = Sticking(tuple(signs), tuple(rhythm))
    if not rudiment.alternates:
        return right
    return Sticking(right.signs + right.mirrored().signs, right.rhythm * 2)
