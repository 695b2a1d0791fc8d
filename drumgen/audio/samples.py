"""The recordings inside a SoundFont: 16 or 24 bits as they stand, or Ogg Vorbis in an SF3.

Source: SoundFont Technical Specification 2.04, sections 6 (24 bits are the 16 upper bits in ``smpl`` and the
lower eight in ``sm24``) and 7.10. SF3 has no standard of its own: it is an SF2 whose samples are marked with
bit 4 of their kind, start and end at bytes instead of samples, and loop from their own beginning (*common
practice*, as FluidSynth and MuseScore read it).
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drumgen.audio.riff import damaged

if TYPE_CHECKING:
    from collections.abc import Mapping

    from drumgen.audio.frames import Mono
    from drumgen.audio.hydra import Table


VORBIS, ROM = 0x10, 0x8000
MOST_VORBIS_S = 60
_FULL_16, _FULL_24 = 2.0**15, 2.0**23


@dataclass(frozen=True, slots=True)
class Sample:
    """One recording: where it stands in the pool, its loop from its own beginning, its pitch and rate.

    ``start`` and ``end`` count samples, or bytes where ``kind`` has the Vorbis bit. ``root`` is the MIDI key
    it was played at, ``correction`` in cents.
    """

    name: str
    start: int
    end: int
    loop: tuple[int, int]
    rate: int
    root: int
    correction: int
    kind: int


def read_sample(table: Table, row: int) -> Sample:
    """The sample header in ``row``."""
    entry = table[row]
    start, kind = int(entry["start"]), int(entry["kind"])
    base = 0 if kind & VORBIS else start
    root = int(entry["root"])
    return Sample(
        name=bytes(entry["name"]).decode("latin-1"),
        start=start,
        end=int(entry["end"]),
        loop=(int(entry["loop_start"]) - base, int(entry["loop_end"]) - base),
        rate=int(entry["rate"]),
        root=root if root < 128 else 60,
        correction=int(entry["correction"]),
        kind=kind,
    )


def check_sample(sample: Sample, chunks: Mapping[str, memoryview], *, name: str) -> None:
    """Raise DrumgenError where a sample cannot be what its header says."""
    pool = len(chunks.get("smpl", b"")) // (1 if sample.kind & VORBIS else 2)
    shown = sample.name.strip() or "without a name"
    if sample.kind & ROM:
        raise damaged(f"the sample {shown} stands in a sound card's memory, not in the file", name=name)
    if not sample.start < sample.end <= pool:
        what = f"the sample {shown} runs from {sample.start} to {sample.end} in a pool of {pool}"
        raise damaged(what, name=name)
    if not 400 <= sample.rate <= 384_000:
        raise damaged(f"the sample {shown} has a rate of {sample.rate} Hz", name=name)


def read_frames(sample: Sample, chunks: Mapping[str, memoryview], *, name: str) -> Mono:
    """The sample as float32 from -1 to 1. Raises DrumgenError for Vorbis that cannot be decoded."""
    if sample.kind & VORBIS:
        return _decode_vorbis(chunks["smpl"][sample.start : sample.end], sample, name=name)
    body = chunks["smpl"][2 * sample.start : 2 * sample.end]
    upper = np.frombuffer(body, dtype="<i2")
    lower = chunks.get("sm24", memoryview(b""))[sample.start : sample.end]
    if len(lower) < len(upper):
        return (upper * np.float32(1 / _FULL_16)).astype(np.float32, copy=False)
    whole = upper.astype(np.int32) * 256 + np.frombuffer(lower, dtype=np.uint8)
    return (whole * (1 / _FULL_24)).astype(np.float32)


def _decode_vorbis(body: memoryview, sample: Sample, *, name: str) -> Mono:
    import soundfile  # noqa: PLC0415 - only an SF3 needs it

    try:
        with soundfile.SoundFile(io.BytesIO(body)) as stream:
            frames = stream.read(MOST_VORBIS_S * sample.rate, dtype="float32", always_2d=True)
    except soundfile.SoundFileError:
        raise damaged(f"the sample {sample.name.strip()} is no Ogg Vorbis", name=name) from None
    mono: Mono = np.ascontiguousarray(frames[:, 0])
    return mono
