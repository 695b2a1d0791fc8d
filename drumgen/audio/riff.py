"""The chunks of a RIFF file, found by their sizes and never read past the end.

A chunk is four letters, a little-endian 32-bit length and that many bytes, padded to an even length. Source:
SoundFont Technical Specification 2.04, section 3.1, which restates the RIFF form of 1991.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Iterator

HEAD_BYTES = 8


def damaged(what: str, *, name: str) -> DrumgenError:
    """The error for a SoundFont ``name`` that breaks the standard in the way ``what`` says."""
    return DrumgenError(Fault(f"the SoundFont is damaged: {what}", file=name))


def iterate_chunks(view: memoryview, *, name: str) -> Iterator[tuple[str, memoryview]]:
    """Every chunk of ``view`` as its four letters and its bytes, in the order of the file.

    Raises DrumgenError where a chunk claims more bytes than there are.
    """
    at = 0
    while at + HEAD_BYTES <= len(view):
        letters = bytes(view[at : at + 4]).decode("latin-1")
        size = int.from_bytes(view[at + 4 : at + HEAD_BYTES], "little")
        start = at + HEAD_BYTES
        if start + size > len(view):
            shown = letters if letters.isascii() and letters.isprintable() else "?"
            rest = len(view) - start
            raise damaged(f'the chunk "{shown}" says {size} bytes where {rest} are left', name=name)
        yield letters, view[start : start + size]
        at = start + size + size % 2


def read_lists(view: memoryview, *, name: str) -> dict[str, dict[str, memoryview]]:
    """The lists of a SoundFont file by their four letters, each its chunks by theirs.

    The first chunk of a name counts. Raises DrumgenError for a file that is no SoundFont or is cut short.
    """
    if bytes(view[:4]) != b"RIFF" or bytes(view[8:12]) != b"sfbk":
        raise DrumgenError(Fault("a SoundFont (SF2 or SF3)", got="another kind of file", file=name))
    size = int.from_bytes(view[4:8], "little")
    if size + HEAD_BYTES > len(view):
        what = f"the file says {size + HEAD_BYTES} bytes and has {len(view)}"
        raise damaged(what, name=name)
    lists: dict[str, dict[str, memoryview]] = {}
    for letters, body in iterate_chunks(view[12 : size + HEAD_BYTES], name=name):
        if letters == "LIST" and len(body) >= len(letters):
            chunks = lists.setdefault(bytes(body[:4]).decode("latin-1"), {})
            for inner, content in iterate_chunks(body[4:], name=name):
                chunks.setdefault(inner, content)
    return lists
