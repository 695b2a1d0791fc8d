"""Fuzzing guided by coverage: ``python tests/fuzz/guided.py KIND [libFuzzer's options]``, where atheris is installed.

atheris (a wheel on PyPI) changes bytes so as to reach code it has not been in; what they mean is the seed of a case of
``seeding``, or for ``midi`` and ``soundfonts`` the file itself. A finding ends it, and libFuzzer keeps its bytes.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from random import Random

sys.path[:0] = [str(Path(__file__).parents[1])]


def main() -> None:
    """Fuzz until libFuzzer's options say it is enough, or something is found."""
    import atheris

    with atheris.instrument_imports(include=["drumgen"]):
        from drumgen.cli.boundary import main as command_line
        from drumgen.midi import read  # noqa: F401 - to be instrumented
        from drumgen.spec import loading  # noqa: F401 - as above
    from holding import Room, held
    from seeding import KINDS, Case

    kind = sys.argv.pop(1)
    room = Room(Path(tempfile.mkdtemp(prefix="drumgen-guided-")))

    def one(content: bytes) -> None:
        made = KINDS[kind](Random(content[:8]))  # noqa: S311 - cases that can be made again
        own = content[8:] if kind in ("midi", "soundfonts") else made.content
        finding = held(Case(made.name, own, made.arguments), room, main=command_line).finding
        if finding:
            raise AssertionError(finding)

    atheris.Setup(sys.argv, one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
