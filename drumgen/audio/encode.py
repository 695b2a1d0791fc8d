"""Sound files, written block by block into an open file: WAV and FLAC whole, OGG and MP3 at a lower peak.

libsndfile, through soundfile, does the encoding. WAV and FLAC of the same frames are the same bytes every time;
an OGG stream carries a random serial number.
"""

from __future__ import annotations

import errno
import io
import os
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO, Self

import numpy as np

from drumgen.errors import fail

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import TracebackType

    from drumgen.audio.frames import Stereo, Whole


RATES = (44100, 48000)
PEAK_DB = -1.0
LOSSY_PEAK_DB = -3.0
"""Two decibels lower, because a lossy encoder's output overshoots its input."""

_PIECE = 1 << 14
_WAV_BYTES = (1 << 32) - 4096


@dataclass(frozen=True, slots=True)
class Format:
    """How a suffix is encoded, and the greatest peak that goes in."""

    container: str
    coding: str
    lossy: bool

    @property
    def peak_db(self) -> float:
        """The greatest peak before encoding, in dBFS."""
        return LOSSY_PEAK_DB if self.lossy else PEAK_DB


FORMATS = {
    ".wav": Format("WAV", "PCM_16", lossy=False),
    ".flac": Format("FLAC", "PCM_16", lossy=False),
    ".ogg": Format("OGG", "VORBIS", lossy=True),
    ".mp3": Format("MP3", "MPEG_LAYER_III", lossy=True),
}


def format_of(suffix: str) -> Format:
    """The format of a file name's suffix. Raises DrumgenError for one that is not written."""
    if suffix.lower() not in FORMATS:
        raise fail(f"one of {', '.join(FORMATS)}", got=suffix or "no suffix")
    return FORMATS[suffix.lower()]


def check_length(form: Format, frames: int, *, rate: int) -> None:
    """Raise DrumgenError where a track of ``frames`` does not fit its format: a WAV ends at 4 GiB."""
    if form.container == "WAV" and frames * 4 > _WAV_BYTES:
        hours = _WAV_BYTES / 4 / rate / 3600
        got = f"{frames / rate / 3600:.1f} hours"
        raise fail(f"a WAV of at most {hours:.1f} hours", got=got, nearest="write .flac instead")


def to_whole(frames: Stereo, *, gain: float) -> Whole:
    """Frames as 16-bit numbers, rounded; ``gain`` must keep them under full scale."""
    scaled = frames * np.float32(gain * 32767)
    whole: Whole = np.rint(scaled, out=scaled).astype(np.int16)
    return whole


def open_encoder(file: BinaryIO, form: Format, *, rate: int) -> Encoder | WaveEncoder:
    """What writes a format into an open file."""
    return WaveEncoder(file, rate=rate) if form.container == "WAV" else Encoder(file, form, rate=rate)


class WaveEncoder:
    """An open WAV file of 16-bit frames, written by Python's own wave module: libsndfile is not loaded for it."""

    def __init__(self, file: BinaryIO, *, rate: int) -> None:
        import wave  # noqa: PLC0415 - only where a WAV is written

        self._wave = wave.open(file, "wb")  # noqa: SIM115 - closed with this
        self._wave.setparams((2, 2, rate, 0, "NONE", "not compressed"))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._wave.close()

    def write(self, frames: Stereo | Whole) -> None:
        """Append 16-bit frames, of shape (frames, 2)."""
        self._wave.writeframesraw(np.ascontiguousarray(frames, dtype="<i2").data)


class Encoder:
    """An open sound file. ``write`` takes float32 frames for a lossy format, 16-bit ones for the others.

    Raises OSError where the disk does not take them. The file's own position is after the end once it is closed.
    """

    def __init__(self, file: BinaryIO, form: Format, *, rate: int) -> None:
        import soundfile  # noqa: PLC0415 - loads libsndfile

        self._form = form
        self._file = _Watched(file)
        self._failures = (soundfile.SoundFileError, AssertionError)
        with self._named_failure():
            self._sound = soundfile.SoundFile(
                self._file, "w", samplerate=rate, channels=2, format=form.container, subtype=form.coding
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with self._named_failure():
            self._sound.close()
            self._file.seek(0, io.SEEK_END)

    def write(self, frames: Stereo | Whole) -> None:
        """Append frames, of shape (frames, 2); in small pieces, which libsndfile's Vorbis encoder needs."""
        piece = _PIECE if self._form.lossy else len(frames)
        with self._named_failure():
            for start in range(0, len(frames), max(1, piece)):
                self._sound.write(frames[start : start + piece])

    @contextmanager
    def _named_failure(self) -> Iterator[None]:
        """What went wrong with the file, which libsndfile keeps to itself: at its end it looks at nothing any more.

        Soundfile asserts that everything was written; a user's full disk is no broken assertion.
        """
        try:
            yield
        except self._failures:
            raise self._file.error or OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)) from None
        if self._file.error is not None:
            raise self._file.error


class _Watched:
    """A file for libsndfile, which is told that nothing was written where that fails; ``error`` keeps why."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self.tell, self.read, self.flush = file.tell, file.read, file.flush
        self.error: OSError | None = None

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Where it is then: what was written before leaves its buffer here, and the disk may not take it."""
        try:
            return self._file.seek(offset, whence)
        except OSError as error:
            self.error = self.error or error
            return self._file.tell()

    def write(self, piece: bytes) -> int:
        """How many bytes the file took."""
        try:
            return self._file.write(piece)
        except OSError as error:
            self.error = self.error or error
            return 0
