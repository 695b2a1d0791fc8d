"""Labelled takes: phrases made by the renderer, whose every stroke's hand is known, read back from their MIDI bytes.

The labels are the performance's own; nothing of them goes into the file but notes. Corpora: all forty rudiments on
several surfaces, kits, leads, tempos and spreads; and random stickings of fixed seeds, with rests, doubles and accents.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.spec.loading import read_phrase
from drumgen.trade.rudiments import RUDIMENTS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.performance import Performance
    from drumgen.take import Take

TOMS = '["high-tom", "mid-tom", "floor-tom"], every = "beat"'
SURFACES = {
    "hihat and snare": ('"hihat"', '"snare"'),
    "ride and snare": ('"ride"', '"snare"'),
    "floor tom and snare": ('"floor-tom"', '"snare"'),
    "toms and snare": (f"{{ around = {TOMS} }}", '"snare"'),
    "accents on toms": ('{ main = "snare", accent = "floor-tom" }', '{ main = "snare", accent = "high-tom" }'),
    "toms together": (f"{{ around = {TOMS} }}", f"{{ around = {TOMS} }}"),
    "snare alone": ('"snare"', '"snare"'),
}
DIFFERENT = ("hihat and snare", "ride and snare", "floor tom and snare", "toms and snare")
ONE_SURFACE = "snare alone"


@dataclass(frozen=True)
class Labelled:
    """A take with what was played: ``about`` has the corpus, surface, kit, spread and rudiment by name."""

    take: Take
    performance: Performance
    about: dict[str, str]


def labelled(text: str, about: dict[str, str]) -> Labelled:
    """The take of a phrase file's text."""
    phrase = read_phrase(text, file="labelled.toml", name="labelled").phrase
    performance = perform(arrange(phrase))
    take = read_take(render_midi(performance), kit=phrase.kit)
    assert [(hit.tick, hit.key) for hit in take.hits] == [(hit.tick, hit.key) for hit in performance.hits]
    return Labelled(take, performance, about)


def _phrase(body: str, *, kit: str, tempo: int, spread: int, seed: int, bars: int) -> str:
    feel = f"feel = {{ spread_ms = {spread}, seed = {seed} }}" if spread else ""
    return f'tempo = {tempo}\nkit = "{kit}"\nphrase = ["a x{bars}"]\nlanding = []\n{feel}\n[bars.a]\n{body}\n'


def rudiments(spreads: tuple[int, ...], *, kits: tuple[str, ...], tempos: tuple[int, ...]) -> Iterator[Labelled]:
    """Every rudiment, four bars of it in its own rhythm, carried over the bar line."""
    for rudiment in RUDIMENTS:
        for kit in kits:
            for surface, (right, left) in SURFACES.items():
                for lead in "RL":
                    for tempo in tempos:
                        for spread in spreads:
                            body = (
                                f'rudiment = "{rudiment}"\nacross = "carry"\nlead = "{lead}"\n'
                                f"hands.R = {right}\nhands.L = {left}"
                            )
                            text = _phrase(body, kit=kit, tempo=tempo, spread=spread, seed=rudiment.number, bars=4)
                            about = {"corpus": "rudiments", "surface": surface, "kit": kit, "spread": f"{spread} ms"}
                            yield labelled(text, {**about, "rudiment": str(rudiment), "tempo": str(tempo)})


def random_sticking(source: Random) -> str:
    """Sixteen places: mostly alternating, with doubles that follow a single or another double, rests and accents."""
    signs: list[str] = []
    hand = source.choice("RL")
    row = 0
    while len(signs) < 16:
        if source.random() < 0.08:
            signs.append("-")
            row = 0
            continue
        if signs and (source.random() < 0.7 or row >= 2):
            hand = {"R": "L", "L": "R"}[hand]
            row = 0
        row += 1
        signs.append(f">{hand}" if source.random() < 0.2 and row == 1 else hand)
    return "".join(signs)


def random_stickings(spreads: tuple[int, ...], *, seed: int, number: int) -> Iterator[Labelled]:
    """Random stickings, each two bars long and played twice, on every surface."""
    source = Random(seed)  # noqa: S311 - a corpus, not a secret
    for index in range(number):
        stickings = [random_sticking(source) for _ in range(2)]
        tempo = source.choice((70, 90, 110, 130))
        kit = source.choice(("five-piece", "general-midi", "left-handed"))
        kick = source.choice(("1 3", "1 2& 3", "1 3 4&", ""))
        for surface, (right, left) in SURFACES.items():
            for spread in spreads:
                bars = "\n".join(
                    f'[bars.{name}]\nsticking = "{sticking}"\nhands.R = {right}\nhands.L = {left}\nfeet.kick = "{kick}"'
                    for name, sticking in zip("ab", stickings, strict=True)
                )
                feel = f"feel = {{ spread_ms = {spread}, seed = {index} }}" if spread else ""
                text = f'tempo = {tempo}\nkit = "{kit}"\nphrase = ["a", "b", "a", "b"]\n{feel}\n{bars}\n'
                about = {"corpus": "random stickings", "surface": surface, "kit": kit, "spread": f"{spread} ms"}
                yield labelled(text, about)
