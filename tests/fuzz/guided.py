"""Fuzzing guided by coverage: ``python tests/fuzz/guided.py KIND [libFuzzer's options]``, where atheris is installed.

atheris (a wheel on PyPI) changes bytes so as to reach code it has not been in. The first eight are the seed of a case
of ``seeding``, which chooses the command; the others are the damaged file. It begins with whole files and, for texts,
knows their words. For ``arguments`` the eight bytes are all. A finding ends it, and libFuzzer keeps its bytes.
"""

from __future__ import annotations

import sys
import tempfile
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from random import Random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

sys.path[:0] = [str(Path(__file__).parents[1])]

SEED = 8
"""Bytes."""


def beginnings(kind: str) -> list[bytes]:
    """The whole files of a kind."""
    from seeding import BOOK, fonts, kit_texts, midi_files, phrase_texts

    texts: dict[str, Callable[[], tuple[str, ...]]]
    texts = {"phrases": phrase_texts, "kits": kit_texts, "books": lambda: (BOOK,), "arguments": lambda: ("",)}
    files = {"midi": midi_files, "soundfonts": fonts}
    whole = files[kind]() if kind in files else [text.encode() for text in texts[kind]()]
    return [number.to_bytes(SEED, "little") + content for number, content in enumerate(dict.fromkeys(whole))]


def dictionary() -> str:
    """The words and signs of texts, as libFuzzer reads them."""
    from mutating import SIGNS, WORDS

    spelled = ("".join(f"\\x{byte:02x}" for byte in word.encode("utf-8", "surrogatepass")) for word in (*WORDS, *SIGNS))
    return "".join(f'"{word}"\n' for word in spelled if word)


def main() -> None:
    """Fuzz until libFuzzer's options say it is enough, or something is found."""
    import atheris

    with atheris.instrument_imports(include=["drumgen"]):
        import drumgen

        for module in walk_packages(drumgen.__path__, "drumgen."):
            if not module.name.endswith("__main__"):
                import_module(module.name)
    from holding import Room, held, is_large
    from seeding import KINDS, Case

    from drumgen.cli.boundary import main as command_line

    kind = sys.argv.pop(1)
    place = Path(tempfile.mkdtemp(prefix="drumgen-guided-"))
    room = Room(place / "room")

    def one(content: bytes) -> None:
        made = KINDS[kind](Random(content[:SEED]))  # noqa: S311 - cases that can be made again
        case = Case(made.name, content[SEED:], made.arguments)
        finding = None if is_large(case) else held(case, room, main=command_line).finding  # one process has one memory
        if finding:
            raise AssertionError(finding)

    corpus, words = place / "corpus", place / "words"
    corpus.mkdir()
    for number, content in enumerate(beginnings(kind)):
        (corpus / str(number)).write_bytes(content)
    words.write_text(dictionary())
    of_texts = [f"-dict={words}"] if kind in ("phrases", "kits", "books") else []
    atheris.Setup([*sys.argv, *of_texts, "-max_len=30000", str(corpus)], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
