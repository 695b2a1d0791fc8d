"""``drumgen vary`` against one second beyond start-up: ten of a fill and of phrases of 32 strokes, six voices a hand.

Beyond start-up: a whole process that varies, less one that only shows the same phrase. That the ten are the ten best of
all is the matter of the tests, which compare with every orchestration wherever there are few enough.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from measuring import Row, beyond
from start_up import DRUMGEN, environment, process

VOICES = "snare,hihat,high-tom,mid-tom,floor-tom,crash"
HEAD = 'tempo = 100\nkit = "five-piece"\nphrase = [{order}]\nlanding = ["crash-2", "kick"]\n'
FILL = """
[bars.one]
role = "fill"
sticking = "RLRR LRLL"
accents = "1 2 3 4"
hands.R = "snare"
hands.L = "snare"
feet.kick = "1 3"
"""
SECOND = '[bars.two]\nrole = "fill"\nlike = "one"\nsticking = "RLLR LLRL LRLL RLRL"\naccents = "1 1a 2& 3e 4 4&"\n'
PHRASES = {
    "a fill of 16": HEAD.format(order='"one"') + FILL,
    "32 in two bars": HEAD.format(order='"one", "two"') + FILL + SECOND,
    "32 in one bar": HEAD.format(order='"one"').replace("100", "50") + FILL + 'subdivision = "thirty-seconds"\n',
}


def row(words: str, options: list[str], rounds: int, folder: Path) -> Row:
    """One phrase varied in one way."""
    (folder / "weir.toml").write_text(PHRASES[words], encoding="utf-8")
    shown = [DRUMGEN, "show", "weir.toml"]
    varied = [DRUMGEN, "vary", "weir.toml", "-k", "10", "--voices", VOICES, *options]
    start, work = (partial(process, command, folder, environment()) for command in (shown, varied))
    work()  # warms the caches
    how = "stroke by stroke" if options else "by rule"
    times = beyond(start, work, rounds)
    return Row(f"drumgen vary {how}, {words}", "one second beyond start-up", 1.0, times, seconds=1.0)


def rows(rounds: int) -> list[Row]:
    """The rows of this module."""
    with TemporaryDirectory() as name:
        return [row(words, options, rounds, Path(name)) for words in PHRASES for options in ([], ["--free"])]
