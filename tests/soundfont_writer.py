"""A writer of small SoundFonts for tests, made from the standard and sharing nothing with the reader.

Source: SoundFont Technical Specification 2.04, sections 4 (the chunks), 6 (46 silent samples after each sample) and
7 (the nine tables, each with a terminal row). Generators are given by number, so that a test reads like the standard.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field

Generator = tuple[int, int]
Modulator = tuple[int, int, int, int, int]


@dataclass(frozen=True)
class Recording:
    """A sample: 16-bit values (24-bit ones with ``low_bytes``), or an Ogg Vorbis stream."""

    values: tuple[int, ...] = ()
    name: str = "tone"
    rate: int = 44100
    loop: tuple[int, int] = (0, 0)
    root: int = 60
    correction: int = 0
    kind: int = 1
    low_bytes: bytes = b""
    vorbis: bytes = b""


@dataclass(frozen=True)
class Region:
    """A zone: its generators in order, what it leads to (none makes it a global zone), its modulators."""

    generators: tuple[Generator, ...] = ()
    target: int | None = 0
    modulators: tuple[Modulator, ...] = ()


@dataclass(frozen=True)
class Preset:
    zones: tuple[Region, ...] = (Region(),)
    program: int = 0
    bank: int = 128
    name: str = "invented kit"


@dataclass(frozen=True)
class Font:
    recordings: tuple[Recording, ...]
    instruments: tuple[tuple[Region, ...], ...] = ((Region(),),)
    presets: tuple[Preset, ...] = field(default_factory=lambda: (Preset(),))


def chunk(letters: str, body: bytes) -> bytes:
    return letters.encode("latin-1") + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)


def range_amount(low: int, high: int) -> int:
    return low | high << 8


def write_font(font: Font) -> bytes:
    info = chunk("ifil", struct.pack("<HH", 2, 4)) + chunk("isng", b"EMU8000\0") + chunk("INAM", b"invented\0")
    pool, low, headers = _pool(font.recordings)
    samples = chunk("smpl", pool) + (chunk("sm24", low) if low else b"")
    tables = b"".join(chunk(letters, body) for letters, body in write_tables(font, headers).items())
    lists = b"".join(
        chunk("LIST", letters + body) for letters, body in ((b"INFO", info), (b"sdta", samples), (b"pdta", tables))
    )
    return chunk("RIFF", b"sfbk" + lists)


def write_tables(font: Font, headers: bytes) -> dict[str, bytes]:
    instrument_rows, instrument_bags = _zones(font.instruments, leads_to=53)
    preset_rows, preset_bags = _zones(tuple(preset.zones for preset in font.presets), leads_to=41)
    phdr = b"".join(
        struct.pack("<20sHHHIII", preset.name.encode("latin-1"), preset.program, preset.bank, row, 0, 0, 0)
        for preset, row in zip(font.presets, preset_rows, strict=False)
    )
    inst = b"".join(struct.pack("<20sH", b"invented", row) for row in instrument_rows[:-1])
    return {
        "phdr": phdr + struct.pack("<20sHHHIII", b"EOP", 0, 0, preset_rows[-1], 0, 0, 0),
        "pbag": preset_bags[0],
        "pmod": preset_bags[1],
        "pgen": preset_bags[2],
        "inst": inst + struct.pack("<20sH", b"EOI", instrument_rows[-1]),
        "ibag": instrument_bags[0],
        "imod": instrument_bags[1],
        "igen": instrument_bags[2],
        "shdr": headers,
    }


def _zones(owners: tuple[tuple[Region, ...], ...], *, leads_to: int) -> tuple[list[int], tuple[bytes, bytes, bytes]]:
    bags: list[bytes] = []
    modulators: list[bytes] = []
    generators: list[bytes] = []
    rows = [0]
    for zones in owners:
        for zone in zones:
            bags.append(struct.pack("<HH", len(generators), len(modulators)))
            generators += [struct.pack("<Hh", kind, signed(amount)) for kind, amount in zone.generators]
            if zone.target is not None:
                generators.append(struct.pack("<HH", leads_to, zone.target))
            modulators += [struct.pack("<HHhHH", *modulator) for modulator in zone.modulators]
        rows.append(len(bags))
    bags.append(struct.pack("<HH", len(generators), len(modulators)))
    return rows, (b"".join(bags), b"".join([*modulators, bytes(10)]), b"".join([*generators, bytes(4)]))


def signed(amount: int) -> int:
    return amount - 65536 if amount > 32767 else amount


def _pool(recordings: tuple[Recording, ...]) -> tuple[bytes, bytes, bytes]:
    pool, low, headers = b"", b"", b""
    deep = any(recording.low_bytes for recording in recordings)
    for recording in recordings:
        if recording.vorbis:
            start, base = len(pool), 0
            pool += recording.vorbis
            end = len(pool)
            pool += bytes(len(pool) % 2)
        else:
            start = base = len(pool) // 2
            pool += struct.pack(f"<{len(recording.values)}h", *recording.values) + bytes(92)
            end = start + len(recording.values)
            low += (recording.low_bytes + bytes(46)) if deep else b""
        headers += struct.pack(
            "<20sIIIIIBbHH",
            recording.name.encode("latin-1"),
            start,
            end,
            recording.loop[0] + base,
            recording.loop[1] + base,
            recording.rate,
            recording.root,
            recording.correction,
            0,
            recording.kind,
        )
    return pool, low, headers + struct.pack("<20sIIIIIBbHH", b"EOS", 0, 0, 0, 0, 0, 0, 0, 0, 0)
