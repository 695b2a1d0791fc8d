"""Cost against size: ``python tests/bench/growth.py [KINDS…] [--plots FOLDER]`` prints seconds over three decades.

Of each kind the size, the processor's seconds (the least of a few runs, in one process that is warm) and two slopes in
logarithms of both: over all sizes, and over the greatest three, where what is paid once no longer counts. A slope of 1
is linear; under 1, part of the cost is paid once or alike parts are made once; over 1 grows faster than its size.

* ``read``: a phrase file of so many different bars, from its text;
* ``midi``: a groove of four bars, so many bars played, from the loaded phrase to bytes;
* ``audio``: so many seconds of that to WAV, into nowhere;
* ``svg``, ``pdf``, ``musicxml``, ``page``: a phrase of so many different bars;
* ``check``: the groove, so many bars played, from the loaded phrase to its top tempo; ``unlike``: different bars;
* ``vary``: a phrase of so many fills of sixteen strokes, ten wanted, by rule; ``free``: stroke by stroke;
  ``wanted``: one fill, so many wanted;
* ``transcribe``: a take of so many strokes, from the bytes of its MIDI file.
"""

from __future__ import annotations

import argparse
import io
import math
import sys
from pathlib import Path
from random import Random
from time import process_time
from typing import TYPE_CHECKING, NamedTuple

from audio import GROOVE
from growth_plot import plot
from measuring import aligned
from transcribe import long_take

from drumgen.audition import render_page
from drumgen.composing import render_audio
from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.sheet.musicxml import render_musicxml
from drumgen.sheet.rendering import render_pdf, render_svg
from drumgen.spec.loading import read_phrase
from drumgen.study.top_tempo import top_tempo
from drumgen.study.transcribe import transcribe
from drumgen.study.vary import vary
from drumgen.study.wish import Wish

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from drumgen.spec.loading import Loaded

    Work = Callable[[], object]

RUNS, LONG_S = 3, 3.0
"""So many runs of each size; no further one once they have taken so long together."""
TOP = 3
"""The slope at the top is that of so many sizes."""
BARS = (1, 3, 10, 30, 100, 300, 1000)


class Kind(NamedTuple):
    """One kind of work: what its size counts, the sizes, and what makes the work of a size, outside the clock."""

    unit: str
    sizes: tuple[int, ...]
    prepare: Callable[[int], Work]


class Nowhere(io.BytesIO):
    """A file that takes everything and keeps nothing."""

    def __init__(self) -> None:
        super().__init__()
        self._at = 0

    def write(self, content: object) -> int:  # a buffer of any kind
        size = memoryview(content).nbytes  # type: ignore[arg-type]
        self._at += size
        return size

    def tell(self) -> int:
        return self._at

    def seek(self, at: int, whence: int = 0) -> int:
        self._at = at if whence == 0 else self._at + at
        return self._at


def different_bars(number: int, *, role: str = "groove") -> str:
    """A phrase file of so many bars of sixteen strokes, no two alike, the same each time."""
    source = Random(number)  # noqa: S311 - a corpus, not a secret
    order = ", ".join(f'"b{index}"' for index in range(number))
    head = f'tempo = 60\nkit = "five-piece"\nlanding = []\nphrase = [{order}]\n'
    return head + "".join(_bar(index, source, role) for index in range(number))


def _bar(index: int, source: Random, role: str) -> str:
    hands = "".join(source.choice("RL") for _ in range(16))
    accents = " ".join(sorted(source.sample([f"{beat}{part}" for beat in "1234" for part in ("", "e", "&", "a")], 3)))
    voices = 'hands.R = "hihat"\nhands.L = "snare"\nfeet.kick = "1 3"\n'
    return f'[bars.b{index}]\nrole = "{role}"\nsticking = "{hands}"\naccents = "{accents}"\n{voices}'


def load(text: str) -> Loaded:
    """A phrase from its text."""
    return read_phrase(text, file="growth.toml", name="growth")


def reading(size: int) -> Work:
    text = different_bars(size)
    return lambda: load(text)


def writing(size: int) -> Work:
    phrase = load(GROOVE).phrase
    practice = Practice(times=-(-size // len(phrase.bars)))
    return lambda: render_midi(perform(arrange(phrase, practice)))


def sounding(size: int) -> Work:
    phrase = load(GROOVE).phrase
    plan = arrange(phrase, Practice(times=-(-size // 10)))
    return lambda: render_audio(plan, Nowhere())


def on_paper(render: Callable[..., object]) -> Callable[[int], Work]:
    """The work of a sheet or a page."""

    def prepare(size: int) -> Work:
        text = different_bars(size)
        return lambda: render(load(text).phrase)

    return prepare


def checking(size: int) -> Work:
    phrase = load(GROOVE).phrase
    practice = Practice(times=-(-size // len(phrase.bars)))
    return lambda: top_tempo(arrange(phrase, practice))


def checking_different(size: int) -> Work:
    phrase = load(different_bars(size)).phrase
    return lambda: top_tempo(arrange(phrase))


def varying(space: str) -> Callable[[int], Work]:
    """The work of varying so many fills."""

    def prepare(size: int) -> Work:
        loaded = load(different_bars(size, role="fill"))
        wish = Wish(number=10, space="strokes" if space == "strokes" else "rules")
        return lambda: vary(loaded.file, loaded.phrase.kit, wish)

    return prepare


def wanting(size: int) -> Work:
    loaded = load(different_bars(1, role="fill"))
    return lambda: vary(loaded.file, loaded.phrase.kit, Wish(number=size, space="strokes", apart=1))


def transcribing(size: int) -> Work:
    content, kit = long_take(size)
    return lambda: transcribe(read_take(content, kit=kit))


KINDS = {
    "read": Kind("different bars", (5, 15, 50, 150, 500, 1500, 5000), reading),
    "midi": Kind("bars played", (16, 48, 160, 480, 1600, 4800, 16_000), writing),
    "audio": Kind("seconds", (10, 30, 100, 300, 1000, 3000, 10_000), sounding),
    "svg": Kind("different bars", BARS, on_paper(render_svg)),
    "pdf": Kind("different bars", BARS, on_paper(render_pdf)),
    "musicxml": Kind("different bars", BARS, on_paper(render_musicxml)),
    "page": Kind("different bars", BARS, on_paper(render_page)),
    "check": Kind("bars played", (20, 60, 200, 600, 2000, 6000, 20_000), checking),
    "unlike": Kind("different bars", (5, 15, 50, 150, 500, 1500, 5000), checking_different),
    "vary": Kind("fills", BARS, varying("rules")),
    "free": Kind("fills", BARS, varying("strokes")),
    "wanted": Kind("wanted", BARS, wanting),
    "transcribe": Kind("strokes", (100, 300, 1000, 3000, 10_000, 30_000, 100_000), transcribing),
}


def least_seconds(work: Work) -> float:
    """The processor's seconds of the quickest of a few runs."""
    found: list[float] = []
    while len(found) < RUNS and sum(found) < LONG_S:
        start = process_time()
        work()
        found.append(process_time() - start)
    return min(found)


def slope(points: Sequence[tuple[int, float]]) -> float:
    """The exponent: the least-squares slope of the logarithms."""
    x, y = ([math.log(point[side]) for point in points] for side in (0, 1))
    x_mean, y_mean = sum(x) / len(x), sum(y) / len(y)
    rise = sum((one - x_mean) * (other - y_mean) for one, other in zip(x, y, strict=True))
    return rise / sum((one - x_mean) ** 2 for one in x)


def grown(name: str, kind: Kind) -> list[tuple[int, float]]:
    """The size and seconds of each point; the first is worked once before, so that what is loaded once is loaded."""
    kind.prepare(kind.sizes[0])()
    points = []
    for size in kind.sizes:
        points.append((size, least_seconds(kind.prepare(size))))
        sys.stderr.write(f"{name}: {size} {kind.unit}, {points[-1][1]:.4f} s\n")
    return points


def main() -> int:
    """Measure what is asked for and print it."""
    parser = argparse.ArgumentParser(description="Print what growing sizes cost.")
    parser.add_argument("kinds", nargs="*", metavar="KINDS", help=f"which: {', '.join(KINDS)}; all, unless said")
    parser.add_argument("--plots", type=Path, metavar="FOLDER", help="write a picture of each there, growth-KIND.svg")
    asked = parser.parse_args()
    unknown = set(asked.kinds) - set(KINDS)
    if unknown:
        parser.error(f"no kinds called {', '.join(sorted(unknown))}")
    lines = [("kind", "size counts", "slope", "at the top", "seconds at each size")]
    for name in asked.kinds or KINDS:
        points = grown(name, KINDS[name])
        each = ", ".join(f"{size}: {seconds:.4g}" for size, seconds in points)
        lines.append((name, KINDS[name].unit, f"{slope(points):.2f}", f"{slope(points[-TOP:]):.2f}", each))
        if asked.plots is not None:
            picture = plot(f"{name}: seconds against {KINDS[name].unit}", points)
            (asked.plots / f"growth-{name}.svg").write_text(picture, encoding="utf-8")
    sys.stdout.write(aligned(lines) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
