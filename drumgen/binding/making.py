"""Making one file of a book, in this process, in another, or on another machine.

Beside its job a worker needs nothing but the same drumgen and, where one is named, the SoundFont at the same path.
Given a workshop, the file is written there, block by block however long it is; without one (another machine, with
no disk in common) its content comes back, and must be of a size to be sent.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryFile
from typing import TYPE_CHECKING, BinaryIO, NamedTuple, cast

from drumgen import __version__
from drumgen.binding.fingerprints import fingerprint_of_file, fingerprint_of_soundfont
from drumgen.binding.jobs import WHOLE
from drumgen.binding.writing import Written, at_phrase, font_path, write_output
from drumgen.errors import DrumgenError, Fault, reason_of
from drumgen.saving import flush_to_disk

if TYPE_CHECKING:
    from drumgen.binding.jobs import Job, Numbered

LARGEST_SENT_BYTES = 256 << 20


class Outcome(NamedTuple):
    """What became of a job. Where it was made, ``size`` and ``sha256`` are its file's; else they are nothing.

    ``part`` is its name in the workshop, or nothing, and ``content`` comes back. Each fault has the number of its
    phrase, 0 for the whole. ``complete`` is false where phrases were left out. ``seconds`` are those of its sound.
    """

    part: str = ""
    content: bytes = b""
    size: int = 0
    sha256: str = ""
    remarks: tuple[str, ...] = ()
    faults: tuple[Numbered, ...] = ()
    complete: bool = True
    seconds: float = 0.0


def make_output(job: Job, workshop: str, part: str) -> Outcome:
    """Make one file, as ``part`` in the workshop. Its faults are told in the outcome, not raised."""
    try:
        _check_worker(job)
        with _opened(workshop, part) as file:
            written = write_output(job, file)
            if not written.is_there:
                return Outcome(faults=written.faults)
            return _finished(file, written, part=part if workshop else "")
    except DrumgenError as error:
        return Outcome(faults=tuple((job.number, _placed(fault, job)) for fault in error.faults))
    except MemoryError:
        fault = Fault("there is not enough memory for so much at once", file=job.name)
        return Outcome(faults=((job.number, fault),))
    except OSError as error:
        fault = Fault(f"cannot be written: {reason_of(error)}", file=job.name)
        return Outcome(faults=((job.number, fault),))


def _check_worker(job: Job) -> None:
    """Raises DrumgenError where this process is another drumgen than the one that asks, or has another SoundFont."""
    if job.version != __version__:
        rule = f"workers with drumgen {job.version}"
        raise DrumgenError(Fault(rule, got=f"drumgen {__version__}", file=job.name))
    if job.manner.font and fingerprint_of_soundfont(font_path(job.manner)) != job.manner.font:
        rule = "the same SoundFont at the same path on every machine"
        raise DrumgenError(Fault(rule, got="another", file=job.manner.soundfont or job.name))


def _opened(workshop: str, part: str) -> BinaryIO:
    return (Path(workshop) / part).open("x+b") if workshop else cast("BinaryIO", TemporaryFile("w+b"))


def _finished(file: BinaryIO, written: Written, *, part: str) -> Outcome:
    """The outcome of a file that was written: its fingerprint, and without a workshop its content."""
    flush_to_disk(file)
    size = file.seek(0, 2)
    file.seek(0)
    found = Outcome(
        part,
        size=size,
        sha256=fingerprint_of_file(file),
        remarks=written.remarks,
        faults=written.faults,
        complete=not written.faults,
        seconds=written.seconds,
    )
    if part:
        return found
    if size > LARGEST_SENT_BYTES:
        rule = f"a file of at most {LARGEST_SENT_BYTES >> 20} MiB from another machine (without --on it is made here)"
        raise DrumgenError(Fault(rule, got=f"{size >> 20} MiB"))
    file.seek(0)
    return found._replace(content=file.read())


def _placed(fault: Fault, job: Job) -> Fault:
    """A fault with its file: the phrase's, where it is no other's; and which file is not made for it."""
    if fault.file:
        return fault
    if job.kind in WHOLE:
        return replace(fault, file=job.name)
    return at_phrase(fault, job.sources[0].entry, job)
