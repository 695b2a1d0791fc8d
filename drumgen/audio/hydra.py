"""The nine tables of a SoundFont, checked: every index that one table holds into another is in range.

A *bag* is a row of the bag tables: it says where a zone's generators and modulators begin; the next row says
where they end. The last row of every table is a terminal. Source: SoundFont Technical Specification 2.04,
section 7.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from drumgen.audio.riff import damaged

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    Table = NDArray[np.void]

_BAG = np.dtype([("generator", "<u2"), ("modulator", "<u2")])
_GENERATOR = np.dtype([("kind", "<u2"), ("amount", "<i2")])
_MODULATOR = np.dtype([("source", "<u2"), ("target", "<u2"), ("amount", "<i2"), ("scale", "<u2"), ("transform", "<u2")])
_PRESET = np.dtype([("name", "S20"), ("program", "<u2"), ("bank", "<u2"), ("bag", "<u2"), ("unused", "V12")])
_INSTRUMENT = np.dtype([("name", "S20"), ("bag", "<u2")])
_SAMPLE = np.dtype(
    [
        ("name", "S20"),
        ("start", "<u4"),
        ("end", "<u4"),
        ("loop_start", "<u4"),
        ("loop_end", "<u4"),
        ("rate", "<u4"),
        ("root", "u1"),
        ("correction", "i1"),
        ("link", "<u2"),
        ("kind", "<u2"),
    ]
)


@dataclass(frozen=True, slots=True)
class Hydra:
    """The tables, terminals included."""

    presets: Table
    preset_bags: Table
    preset_modulators: Table
    preset_generators: Table
    instruments: Table
    instrument_bags: Table
    instrument_modulators: Table
    instrument_generators: Table
    samples: Table


def read_hydra(chunks: Mapping[str, memoryview], *, name: str) -> Hydra:
    """The nine tables of the ``pdta`` list. Raises DrumgenError for one missing, cut short or out of range."""

    def table(letters: str, row: np.dtype[Any]) -> Table:
        body = chunks.get(letters)
        if body is None:
            raise damaged(f"the table {letters} is missing", name=name)
        if len(body) % row.itemsize or not len(body):
            what = f"the table {letters} has {len(body)} bytes, no multiple of {row.itemsize}"
            raise damaged(what, name=name)
        return np.frombuffer(body, dtype=row)

    hydra = Hydra(
        presets=table("phdr", _PRESET),
        preset_bags=table("pbag", _BAG),
        preset_modulators=table("pmod", _MODULATOR),
        preset_generators=table("pgen", _GENERATOR),
        instruments=table("inst", _INSTRUMENT),
        instrument_bags=table("ibag", _BAG),
        instrument_modulators=table("imod", _MODULATOR),
        instrument_generators=table("igen", _GENERATOR),
        samples=table("shdr", _SAMPLE),
    )
    for letters, column, target in (
        ("phdr", hydra.presets["bag"], hydra.preset_bags),
        ("pbag", hydra.preset_bags["generator"], hydra.preset_generators),
        ("pbag", hydra.preset_bags["modulator"], hydra.preset_modulators),
        ("inst", hydra.instruments["bag"], hydra.instrument_bags),
        ("ibag", hydra.instrument_bags["generator"], hydra.instrument_generators),
        ("ibag", hydra.instrument_bags["modulator"], hydra.instrument_modulators),
    ):
        _check_rising(letters, column, below=len(target), name=name)
    return hydra


def _check_rising(letters: str, column: NDArray[np.uint16], *, below: int, name: str) -> None:
    if np.any(np.diff(column.astype(np.int32)) < 0):
        raise damaged(f"the indexes of the table {letters} fall", name=name)
    if int(column[-1]) >= below:
        what = f"the table {letters} points at row {column[-1]} of {below}"
        raise damaged(what, name=name)
