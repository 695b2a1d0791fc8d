"""How well takes are transcribed: ``python tests/bench/transcribe.py [--quick]`` prints tables of what was measured.

The corpora are `labelled`: the renderer's own performances, never the model's. Hands: the share of strokes given to the
hand that played them, by surface and spread, beside what alternating from the kit's lead hand would get; and, since
nothing in a file tells a sticking from its mirror image on one surface, both up to exchanging the hands. Certainty:
of the strokes called so sure, how many are right. Tempo: guessed where a file does not say it, right or half or double.
Rudiments: how many of the forty are named as what they are, from the hands that played and from the hands that were
worked out, and which cannot be told apart. Speed: seconds for takes of growing length; ``run.py`` has them as rows.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from itertools import combinations, pairwise
from time import process_time
from typing import TYPE_CHECKING

from labelled import DIFFERENT, SURFACES, Labelled, labelled, random_stickings, rudiments
from measuring import Round, Row, Spent, spent_on

from drumgen.midi.read import read_take
from drumgen.midi.write import render_midi
from drumgen.study.transcribe import Transcribing, transcribe
from drumgen.study.transcribe_notes import Note
from drumgen.study.transcribe_rudiments import Cycle, cycles_of_all, find_rudiments
from drumgen.study.transcribe_text import SURE_TEMPO

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.kit import Kit
    from drumgen.study.transcribe import Transcription

SEED = 20
EDGES = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.01)
LENGTHS = (25_000, 50_000, 100_000)
LONGEST_RUN = 96


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


def measure_hands(corpus: Iterable[Labelled]) -> tuple[list[Tally], list[tuple[float, bool]]]:
    """Right hands and alternating ones, as they are and up to exchanging them; each stroke's certainty and truth."""
    own, mirrored, alternating, turned = tallies = [Tally() for _ in range(4)]
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
        turned.add(key, max(by_turns, len(rows) - by_turns), len(rows))
        sure += [(each, hand == told) for hand, told, each in rows if told]
    return tallies, sure


def tell_hands(corpus: Iterable[Labelled], spreads: Sequence[str]) -> None:
    (own, *others), sure = measure_hands(corpus)
    say("\nhands: strokes given to the hand that played them, in 100")
    heads = f"{'right':>9}{'or mirrored':>13}{'alternating':>13}{'or mirrored':>13}"
    say(f"{'corpus':18}{'surface':22}{'spread':8}{'strokes':>8}{heads}")
    for name in ("rudiments", "random stickings"):
        for surface in SURFACES:
            for spread in spreads:
                key = (name, surface, spread)
                numbers = f"{own.share(key):>9}" + "".join(f"{other.share(key):>13}" for other in others)
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


def turned(cycle: Cycle, *, rhythm: bool, accents: bool) -> set[tuple[tuple[object, ...], ...]]:
    """A rudiment's strokes from every one of them on, led by either hand, for as long as the longest two need."""
    size, mean = len(cycle.codes), int(cycle.grains.sum()) / len(cycle.codes)
    strokes = [
        [
            (code ^ hand, grains / mean if rhythm else 0, accent if accents else False)
            for code, grains, accent in zip(cycle.codes.tolist(), cycle.grains.tolist(), cycle.accents, strict=True)
        ]
        for hand in (0, 1)
    ]
    return {tuple(row[(start + n) % size] for n in range(LONGEST_RUN)) for row in strokes for start in range(size)}


def tell_alike() -> None:
    """Which rudiments are one and the same, where only so much of them is heard."""
    cycles = {cycle.name: cycle for cycle in reversed(cycles_of_all())}
    say("\nrudiments that cannot be told apart, from whichever stroke and hand they begin")
    for words, rhythm, accents in (
        ("by the hands alone, evenly and without accents", False, False),
        ("by the hands and accents, evenly", False, True),
        ("by the hands and the rhythm, without accents", True, False),
        ("by all three", True, True),
    ):
        ways = {name: turned(cycle, rhythm=rhythm, accents=accents) for name, cycle in cycles.items()}
        alike = [f"{one} and {other}" for one, other in combinations(sorted(ways), 2) if ways[one] & ways[other]]
        say(f"  {words}: {'; '.join(alike) or 'none'}")


def tell_tempos(corpus: Iterable[Labelled]) -> None:
    """How often a tempo that is not said is guessed."""
    kinds: dict[str, Counter[str]] = defaultdict(Counter)
    for take in corpus:
        guess = transcribe(take.take, Transcribing(guessed=True)).tempo
        if guess is None:
            continue
        ratio = guess.beats * take.performance.tempos[0].us_per_quarter / 60e6
        names = {1.0: "right", 0.5: "half", 2.0: "double", 2 / 3: "two thirds", 3 / 2: "three halves", 4 / 3: "4:3"}
        kind = next((name for size, name in names.items() if abs(ratio / size - 1) < 0.03), "another")
        words = "sure" if guess.sure > SURE_TEMPO else "not sure"
        feet = "with feet" if any(hit.limb for hit in take.take.hits) else "hands alone"
        for name in (feet, f"{feet}, {words}"):
            kinds[name][kind] += 1
    say("\ntempo guessed from the strokes alone, takes in 100 (sure: by its own words)")
    for name, found in sorted(kinds.items()):
        listed = ", ".join(f"{kind} {100 * n / found.total():.1f}" for kind, n in found.most_common())
        say(f"  {name} ({found.total()} takes): {listed}")


def long_take(strokes: int) -> tuple[bytes, Kit]:
    """A MIDI file of about so many strokes, 5 ms of spread, and its kit."""
    bars = '[bars.a]\nsticking = "RLRR LRLL"\nhands.R = "hihat"\naccents = "2 4"\nfeet.kick = "1 2& 3"\n'
    times = strokes // 19 + 1
    text = f'phrase = ["a x{times}", "b"]\nlanding = []\nfeel = {{ spread_ms = 5 }}\n{bars}[bars.b]\nlike = "a"\n'
    take = labelled(text, {})
    return render_midi(take.performance), take.take.kit


def rows(rounds: int) -> list[Row]:
    """The rows of ``run.py``: 100 000 strokes read and transcribed, against five seconds and twice half as many."""
    whole, kit = long_take(LENGTHS[-1])
    half, _ = long_take(LENGTHS[-2])

    def spent(content: bytes) -> Spent:
        return spent_on(lambda: transcribe(read_take(content, kit=kit)))

    spent(half)  # warms what is cached
    against_half = []
    for _ in range(rounds):
        short, long, again = spent(half), spent(whole), spent(half)
        against_half.append(Round(long, *(Spent(2 * each.cpu, 2 * each.wall) for each in (short, again))))
    alone = tuple(Round(each.ours, other.ours, each.ours) for each, other in pairwise(against_half))
    return [
        Row("transcribe, 100 000 strokes", "five seconds", 1.0, alone, seconds=5.0),
        Row("the same", "twice 50 000 strokes", 1.15, tuple(against_half)),
    ]


def tell_speed() -> None:
    say("\nspeed: seconds of processor time of one run, the file read and transcribed")
    for strokes in LENGTHS:
        content, kit = long_take(strokes)
        start = process_time()
        read = read_take(content, kit=kit)
        middle = process_time()
        transcribe(read)
        end = process_time()
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
    tell_alike()
    tell_tempos(take for take in corpus if take.about["surface"] == DIFFERENT[0])
    tell_speed()
    return 0


if __name__ == "__main__":
    sys.exit(main())
