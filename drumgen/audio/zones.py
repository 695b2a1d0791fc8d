"""The zones of one drum kit: which sample answers which key and velocity, with every generator worked out.

Source: SoundFont Technical Specification 2.04, sections 7.3, 7.7, 9.4 and 9.5: an instrument's zone replaces
what its global zone says and what nobody says; a preset's zone, itself over its own global zone, is added.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumgen.audio import generators as gen
from drumgen.audio.modulators import DEFAULTS, Modulator, replace_alike
from drumgen.audio.riff import damaged

if TYPE_CHECKING:
    from drumgen.audio.hydra import Hydra, Table

MOST_ZONES = 20_000
_ALL = (0, 127)


@dataclass(frozen=True, slots=True)
class Zone:
    """One sample of a kit with the strokes it answers: ranges hold both their ends."""

    keys: tuple[int, int]
    velocities: tuple[int, int]
    amounts: tuple[int, ...]
    modulators: tuple[Modulator, ...]
    sample: int

    def answers(self, *, key: int, velocity: int) -> bool:
        """Whether a stroke of ``key`` at ``velocity`` (both 0 to 127) sounds this zone."""
        return self.keys[0] <= key <= self.keys[1] and self.velocities[0] <= velocity <= self.velocities[1]


@dataclass(frozen=True, slots=True)
class _Part:
    """One zone of a preset or of an instrument as written; ``target`` is its instrument or sample."""

    amounts: dict[int, int]
    modulators: tuple[Modulator, ...]
    target: int | None

    @property
    def keys(self) -> tuple[int, int]:
        return _range(self.amounts.get(gen.KEY_RANGE))

    @property
    def velocities(self) -> tuple[int, int]:
        return _range(self.amounts.get(gen.VELOCITY_RANGE))


def read_zones(hydra: Hydra, preset: int, *, name: str) -> tuple[Zone, ...]:
    """The zones of the preset in row ``preset``. Raises DrumgenError for an index that leads nowhere."""
    zones: list[Zone] = []
    outer = _read_parts(
        hydra.presets,
        preset,
        (hydra.preset_bags, hydra.preset_generators, hydra.preset_modulators),
        target=gen.INSTRUMENT,
    )
    known: dict[int, list[_Part]] = {}
    for part in outer:
        instrument = part.target
        if instrument is None or instrument >= len(hydra.instruments) - 1:
            raise damaged(f"a kit asks for instrument {instrument}, which is not there", name=name)
        if instrument not in known:
            known[instrument] = _read_parts(
                hydra.instruments,
                instrument,
                (hydra.instrument_bags, hydra.instrument_generators, hydra.instrument_modulators),
                target=gen.SAMPLE,
            )
        zones.extend(zone for inner in known[instrument] if (zone := _join(part, inner)))
        if len(zones) > MOST_ZONES:
            raise damaged(f"a kit has more than {MOST_ZONES} zones", name=name)
    for zone in zones:
        if zone.sample >= len(hydra.samples) - 1:
            raise damaged(f"a zone asks for sample {zone.sample}, which is not there", name=name)
    return tuple(zones)


def _read_parts(owners: Table, row: int, tables: tuple[Table, Table, Table], *, target: int) -> list[_Part]:
    """The zones of one owner that lead somewhere, each laid over the owner's global zone."""
    bags = tables[0]
    first, last = int(owners["bag"][row]), int(owners["bag"][row + 1])
    parts = []
    common = _Part({}, (), None)
    for bag in range(first, min(last, len(bags) - 1)):
        part = _read_part(tables, bag, target=target)
        if part.target is not None:
            modulators = replace_alike(common.modulators, part.modulators)
            parts.append(_Part(common.amounts | part.amounts, modulators, part.target))
        elif bag == first:
            common = part
    return parts


def _read_part(tables: tuple[Table, Table, Table], bag: int, *, target: int) -> _Part:
    bags, generators, modulators = tables
    start, end = (int(bags["generator"][row]) for row in (bag, bag + 1))
    amounts: dict[int, int] = {}
    for kind, amount in generators[start:end].tolist():
        if kind == target:
            return _Part(amounts, _read_modulators(bags, modulators, bag), amount & 0xFFFF)
        if kind < gen.COUNT:
            amounts[kind] = amount
    return _Part(amounts, _read_modulators(bags, modulators, bag), None)


def _read_modulators(bags: Table, modulators: Table, bag: int) -> tuple[Modulator, ...]:
    start, end = (int(bags["modulator"][row]) for row in (bag, bag + 1))
    return tuple(Modulator(*row) for row in modulators[start:end].tolist())


def _join(outer: _Part, inner: _Part) -> Zone | None:
    """An instrument's zone within a preset's, or nothing where no stroke sounds both."""
    keys = _common(outer.keys, inner.keys)
    velocities = _common(outer.velocities, inner.velocities)
    if inner.target is None or keys[0] > keys[1] or velocities[0] > velocities[1]:
        return None
    amounts = list(gen.DEFAULTS)
    for generator, amount in inner.amounts.items():
        amounts[generator] = amount
    for generator, amount in outer.amounts.items():
        if generator not in gen.INSTRUMENT_ONLY:
            amounts[generator] += amount
    modulators = replace_alike(DEFAULTS, inner.modulators) + outer.modulators
    return Zone(keys, velocities, tuple(amounts), modulators, inner.target)


def _range(amount: int | None) -> tuple[int, int]:
    """Both ends of a range: the low byte is the lower one (section 8.1.2, generators 43 and 44)."""
    return _ALL if amount is None else (amount & 0xFF, amount >> 8 & 0xFF)


def _common(one: tuple[int, int], other: tuple[int, int]) -> tuple[int, int]:
    return max(one[0], other[0]), min(one[1], other[1])
