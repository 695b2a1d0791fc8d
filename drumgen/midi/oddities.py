"""Oddities: what a reader of MIDI files stumbles over, each kind told once."""

from __future__ import annotations

from drumgen.take import Oddity


class Oddities:
    """What was stumbled over: each kind once, with the byte it was first met on and how often."""

    def __init__(self) -> None:
        self._found: dict[str, Oddity] = {}

    def add(self, words: str, byte: int | None = None, *, kind: str = "", bar: int | None = None) -> None:
        """Note one; those of a ``kind`` (else of the same words) are told once."""
        known = self._found.get(kind or words)
        self._found[kind or words] = known._replace(times=known.times + 1) if known else Oddity(words, byte, bar)

    @property
    def all(self) -> tuple[Oddity, ...]:
        """All of them, in the order they were met."""
        return tuple(self._found.values())
