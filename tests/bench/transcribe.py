"""How well takes are transcribed: ``python tests/bench/transcribe.py [--quick]`` prints tables of what was measured.

The corpora are `labelled`: the renderer's own performances, never the model's. Hands: the share of strokes given to the
hand that played them, by surface and spread, beside what alternating from the kit's lead hand would get; and, since
nothing in a file tells a sticking from its mirror image on one surface, the same up to exchanging the hands. Certainty:
of the strokes called so sure, how many are right. Rudiments: how many of the forty are named as what they are, from the
hands that played and from the hands that were worked out. Speed: seconds for takes of growing length.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from itertools import pairwise
from time import perf_counter
from typing import TYPE_CHECKING

from labelled import DIFFERENT, SURFACES, Labelled, labelled, random_stickings, rudiments

from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.study.transcribe import transcribe
from drumgen.study.transcribe_notes import Note
from drumgen.study.transcribe_rudiments import find_rudiments

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.study.transcribe import Transcription

SEED = 20
EDGES = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.01)
LENGTHS = (25_000, 50_000, 100_000)


def say(line: str) -> None:
    """Print a line."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


class Tally:
    """Shares, by name."""

    def __init__(self) -> None:
        self.right: Counter[tuple[str, ...]] = Counter()
        self.all: Counter[tuple[str, ...]] = Counter()

    def add(self, key: tuple[str, ...], right: int, of: int) -> None:
        self.right[key] += right
        self.all[key] += of

    def share(self, key: tuple[str, ...]) -> str:
        return f"{100 * self.right[key] / self.all[key]:.2f}" if self.all[key] else "-"


def hands_of(take: Labelled, found: Transcription) -> list[tuple[str, str, float]]:
    """Of every hand stroke the hand that played it, the one that was told (or nothing), and how sure."""
    told = {note.hits[note.grace]: note for note in found.notes}
    rows: list[tuple[str, str, float]] = []
    for index, hit in enumerate(take.performance.hits):
        if hit.kind == "stroke" and hit.limb in ("R", "L"):
            note = told.get(index)
            rows.append((hit.limb, note.limb if note else "", note.sure if note else 0.0))
    return rows


def measure_hands(corpus: Iterable[Labelled]) -> tuple[Tally, Tally, Tally, list[tuple[float, bool]]]:
    """Right hands, right up to exchanging them, right by alternating; and each stroke's certainty with its truth."""
    own, mirrored, alternating = Tally(), Tally(), Tally()
    sure: list[tuple[float, bool]] = []
    for take in corpus:
        rows = hands_of(take, transcribe(take.take))
        key = (take.about["corpus"], take.about["surface"], take.about["spread"])
        right = sum(hand == told for hand, told, _ in rows)
        lead = "L" if take.take.kit.hand == "left" else "R"
        other = {"R": "L", "L": "R"}[lead]
        by_turns = sum(hand == (lead, other)[index % 2] for index, (hand, _, _) in enumerate(rows))
        own.add(key, right, len(rows))
        mirrored.add(key, max(right, sum(told not in ("", hand) for hand, told, _ in rows)), len(rows))
        alternating.add(key, by_turns, len(rows))
        sure += [(each, hand == told) for hand, told, each in rows if told]
    return own, mirrored, alternating, sure


def tell_hands(corpus: Iterable[Labelled], spreads: Sequence[str]) -> None:
    own, mirrored, alternating, sure = measure_hands(corpus)
    say("\nhands: strokes given to the hand that played them, in 100")
    say(f"{'corpus':18}{'surface':22}{'spread':8}{'strokes':>8}{'right':>9}{'or mirrored':>13}{'alternating':>13}")
    for name in ("rudiments", "random stickings"):
        for surface in SURFACES:
            for spread in spreads:
                key = (name, surface, spread)
                numbers = f"{own.share(key):>9}{mirrored.share(key):>13}{alternating.share(key):>13}"
                say(f"{name:18}{surface:22}{spread:8}{own.all[key]:8d}{numbers}")
    for spread in spreads:
        keys = [key for key in own.all if key[1] in DIFFERENT and key[2] == spread]
        right, number = sum(own.right[key] for key in keys), sum(own.all[key] for key in keys)
        say(f"all with hands on different surfaces, {spread}: {100 * right / number:.2f} of {number}")
    say("\ncertainty: of the strokes called so sure, how many are right, in 100 (all corpora)")
    for low, high in pairwise(EDGES):
        bin_ = [(each, right) for each, right in sure if low <= each < high]
        if bin_:
            mean = 100 * sum(each for each, _ in bin_) / len(bin_)
            share = 100 * sum(right for _, right in bin_) / len(bin_)
            span = f"{100 * low:3.0f} to {min(100, 100 * high):3.0f}"
            say(f"  {span}: mean {mean:5.1f}, right {share:5.1f}, strokes {len(bin_)}")


def true_notes(take: Labelled) -> tuple[list[Note], list[int]]:
    """The performance's own strokes as notes, and where their bars begin: the hands that played."""
    graces = Counter(hit.place for hit in take.performance.hits if hit.kind == "grace")
    buzzes = {hit.place for hit in take.performance.hits if hit.kind == "bounce"}
    loud = max(hit.velocity for hit in take.performance.hits)
    notes = []
    for hit in take.performance.hits:
        if hit.kind == "stroke":
            loud_enough = hit.velocity >= loud - 12 and loud > 95
            bar, place = divmod(hit.place, 40_320)
            notes.append(
                Note(
                    *(bar, 0, 0, place, "R" if hit.limb == "R" else "L", hit.voice),
                    *("accent" if loud_enough else "normal", graces[hit.place], "", hit.place in buzzes),
                )
            )
    return notes, [bar * 40_320 for bar in range(notes[-1].bar + 2)]


def longest(found: Sequence[tuple[str, int]]) -> str:
    """The rudiment that most strokes are of."""
    strokes: Counter[str] = Counter()
    for name, number in found:
        strokes[name] += number
    return strokes.most_common(1)[0][0] if strokes else "nothing"


def tell_rudiments(corpus: Iterable[Labelled]) -> None:
    named, worked_out = Tally(), Tally()
    mistaken: dict[str, Counter[str]] = defaultdict(Counter)
    for take in corpus:
        rudiment = take.about["rudiment"]
        by_truth = longest([(each.name, each.strokes) for each in find_rudiments(*true_notes(take))])
        by_model = longest([(each.name, each.strokes) for each in transcribe(take.take).rudiments])
        named.add(("all",), by_truth == rudiment, 1)
        worked_out.add((take.about["surface"],), by_model == rudiment, 1)
        if by_truth != rudiment:
            mistaken[rudiment][by_truth] += 1
    say(
        f"\nrudiments named rightly from the hands that played: {named.share(('all',))} in 100 of {named.all[('all',)]}"
    )
    for key in sorted(worked_out.all):
        say(f"  from the hands worked out, {key[0]}: {worked_out.share(key)} of {worked_out.all[key]}")
    for rudiment, others in sorted(mistaken.items()):
        say(f"  taken for another: {rudiment} for {', '.join(f'{name} ({n})' for name, n in others.most_common(3))}")


def tell_speed() -> None:
    say("\nspeed: seconds of one run, the file read and transcribed")
    bars = '[bars.a]\nsticking = "RLRR LRLL"\nhands.R = "hihat"\naccents = "2 4"\nfeet.kick = "1 2& 3"\n'
    for strokes in LENGTHS:
        times = strokes // 20
        text = f'phrase = ["a x{times}", "b"]\nlanding = []\nfeel = {{ spread_ms = 5 }}\n{bars}[bars.b]\nlike = "a"\n'
        take = labelled(text, {})
        content = render_midi(take.performance)
        start = perf_counter()
        read = read_take(content, kit=take.take.kit)
        middle = perf_counter()
        transcribe(read)
        end = perf_counter()
        say(f"  {len(read.hits):7d} strokes: read {middle - start:.2f}, transcribed {end - middle:.2f}")


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Print how well takes are transcribed.")
    parser.add_argument("--quick", action="store_true", help="a small part of the corpora")
    quick = parser.parse_args().quick
    kits = ("five-piece",) if quick else ("five-piece", "left-handed")
    tempos = (90,) if quick else (70, 110)
    spreads = (0, 10) if quick else (0, 10, 20)
    corpus = [
        *rudiments(spreads, kits=kits, tempos=tempos),
        *random_stickings(spreads, seed=SEED, number=20 if quick else 100),
    ]
    sys.stderr.write(f"{len(corpus)} takes\n")
    tell_hands(corpus, [f"{spread} ms" for spread in spreads])
    tell_rudiments(
        take
        for take in corpus
        if take.about["corpus"] == "rudiments"
        and take.about["spread"] == "0 ms"
        and take.about["surface"] in DIFFERENT[:2]
    )
    tell_speed()
    return 0


if __name__ == "__main__":
    sys.exit(main())
