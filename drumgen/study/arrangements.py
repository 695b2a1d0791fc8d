"""Arrangements: every orchestration of the varied bars of one phrase, bar by bar and together."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING

from drumgen.errors import DrumgenError, Fault
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.study import cost
from drumgen.study.builder import Builder
from drumgen.study.by_rule import FootRule, RuledBar
from drumgen.study.by_stroke import in_order_of_cost
from drumgen.study.combining import Combined, Listed
from drumgen.study.cost import Cost
from drumgen.study.feet import AS_WRITTEN, Footwork, foot_rules, kicked, with_foot
from drumgen.study.maps import Probe
from drumgen.study.material import bar_material, with_kicks, written_hand
from drumgen.study.moments import moments_of
from drumgen.study.parts import said_by_parts
from drumgen.study.playings import playings_of
from drumgen.study.puzzle import NEVER
from drumgen.study.refusing import hopeless, nothing_found
from drumgen.study.rewriting import Change, map_by_counts, rewritten
from drumgen.study.seams import by_last_bar, seam_tables, with_a_way
from drumgen.study.surroundings import ChoiceFinder, surroundings
from drumgen.study.telling import told
from drumgen.study.wish import Variation, Wish

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from drumgen.kit import Voice
    from drumgen.orchestration import HandMap
    from drumgen.phrase import Phrase
    from drumgen.spec.phrase_file import PhraseFile
    from drumgen.study.puzzle import Puzzle
    from drumgen.study.seams import SeamTable
    from drumgen.study.stickings import Beginning
    from drumgen.study.surroundings import Surroundings


Mark = tuple[int, int, int, str, str]
"""One hand stroke: its bar, its playing, its place, its hand and its voice."""


@dataclass(frozen=True, slots=True)
class BarFound:
    """One orchestration of one bar: its voices by choice, its maps by the hand that plays (by rule), its foot rule."""

    points: int
    numbers: tuple[int, ...]
    maps: dict[str, HandMap | None]
    foot: str | None


MOST_TRIED = 100_000
"""So many times the seams of a bar with those before it are looked at, at most."""
MOST_IN_VAIN = 500
"""Where bars are only read side by side it ends after so many ranks together of which none can be played; a guess."""

_NO_NOTE = (("note", None),)
"""A varied bar drops its own note, which speaks of what was written; what it is now stands once, in the phrase's."""

Found = tuple[int, tuple[BarFound, ...]]
"""One orchestration of all varied bars: its whole cost, and each bar's."""


class _Bar:
    """One varied bar: its puzzle under each rule of the foot, and its list in the order of cost."""

    def __init__(self, name: str, feet: list[tuple[str | None, int]], puzzles: list[Puzzle]) -> None:
        self.name, self.feet, self.puzzles = name, feet, puzzles
        self.by_foot = {foot: puzzle for (foot, _), puzzle in zip(feet, puzzles, strict=True)}
        self.foot_points = dict(feet)


class Arrangements:
    """The varied bars of one phrase, and what they can be."""

    def __init__(
        self,
        file: PhraseFile,
        phrase: Phrase,
        names: tuple[str, ...],
        offered: tuple[Voice, ...],
        wish: Wish,
        beginning: Beginning | None = None,
    ) -> None:
        self.file, self.phrase, self.names, self.wish, self.kit = file, phrase, names, wish, phrase.kit
        self.practice = Practice(tempo=wish.tempo)
        self.beginning, self.other = (beginning.words, beginning.changes) if beginning else ("", 0)
        self.plan = arrange(phrase, self.practice)
        moments = moments_of(self.plan)
        self.playings = {name: playings_of(name, moments.played, by_rule=wish.space == "rules") for name in names}
        self.said = {name: said_by_parts(file, name, self.kit) for name in names}
        self.materials = {
            name: bar_material(
                tuple(moments.played[i] for i in each.shown), self.said[name], self.kit, offered, wish.keep
            )
            for name, each in self.playings.items()
        }
        self._refuse_carried()
        finder = ChoiceFinder(moments, self.materials, self.playings, self.kit)
        if hopeless(moments, finder.is_varied, wish):
            raise nothing_found(phrase, wish, names)
        around, seams = surroundings(moments, self.materials, self.playings, finder)
        self.footwork = Footwork(phrase, self.practice, wish.skill)
        tables = seam_tables(seams, self.materials, wish.skill)
        self.seams = by_last_bar(tables, len(names))
        self.bars = self._bars(around, offered, tables)
        self.covered, self.tried, self.cut = 1, 0, False
        self.lists = [self._list(bar) for bar in self.bars]

    def _bars(
        self, around: Mapping[str, Surroundings], offered: tuple[Voice, ...], tables: Sequence[SeamTable]
    ) -> list[_Bar]:
        feet = [self._feet(name) for name in self.names]
        puzzles = [self._puzzles(name, around[name], own, offered) for name, own in zip(self.names, feet, strict=True)]
        return list(map(_Bar, self.names, feet, with_a_way(puzzles, tables)))

    def _puzzles(
        self, name: str, around: Surroundings, feet: list[tuple[str | None, int]], offered: tuple[Voice, ...]
    ) -> list[Puzzle]:
        """The puzzle of a bar under each rule of the foot."""
        builder = Builder(self.materials[name], self.kit, self.wish.skill, around.playings, around.seams)
        bar, playings = self.phrase.bars[name], self.playings[name]
        kicks = (kicked(self.plan, with_foot(bar, self.kit, foot), playings) for foot, _ in feet)
        return [builder.puzzle(with_kicks(self.materials[name], self.kit, offered, places)) for places in kicks]

    def _refuse_carried(self) -> None:
        """A bar that comes out differently each time can be varied by rule; no counts could say it stroke by stroke."""
        for name, each in self.playings.items():
            if self.wish.space == "strokes" and len(each.shown) > 1:
                rule = f'"{name}" to come out alike each time to vary it stroke by stroke'
                got = f"{len(each.shown)} different playings, as its sticking is carried over the bar line"
                raise DrumgenError(Fault(rule, got=got, path=("bars",)))

    def _feet(self, name: str) -> list[tuple[str | None, int]]:
        """The rules of a bar's kick and what they cost: alone in its phrase only those that can be played."""
        rules: tuple[str | None, ...] = (AS_WRITTEN,)
        if self.wish.space == "rules":
            rules = foot_rules(self.phrase.bars[name], self.kit, self.wish.keep, self.said[name])
        if len(self.names) == 1:
            rules = tuple(rule for rule in rules if self.footwork.playable({name: rule}))
        if not rules:
            raise nothing_found(self.phrase, self.wish, self.names)
        return [(rule, self.footwork.points(name, rule) if rules != (AS_WRITTEN,) else 0) for rule in rules]

    def _list(self, bar: _Bar) -> Listed[BarFound]:
        if self.wish.space == "strokes":
            puzzle = bar.puzzles[0]
            self.covered *= prod(len(known) for known in puzzle.open_to)
            return Listed(BarFound(points, numbers, {}, AS_WRITTEN) for points, numbers in in_order_of_cost(puzzle))
        rules = [FootRule(foot, puzzle, points) for (foot, points), puzzle in zip(bar.feet, bar.puzzles, strict=True)]
        ruled = RuledBar(rules, self.kit, Probe(self.plan, self.playings[bar.name].shown))
        self.covered *= ruled.covered
        return Listed(
            BarFound(each.points, each.numbers, {"R": each.right, "L": each.left}, bar.feet[each.foot][0])
            for each in ruled.in_order_of_cost()
        )

    # -- all bars together

    def in_order_of_cost(self) -> Iterator[Found]:
        """Every orchestration of all varied bars that can be played, the cheapest first, until it is `cut`."""
        before = self.other * cost.ONE_RULE
        search = Combined(self.lists, lambda each: each.points, self._joining, before=before, most=MOST_TRIED)
        for found in search.in_order_of_cost():
            self.cut, self.tried = search.cut, search.tried
            yield found
        self.cut, self.tried = search.cut, search.tried

    def side_by_side(self) -> Iterator[Found]:
        """The best of each bar, then the second of each, and so on, where they can be played one after the other."""
        in_vain = 0
        while not self.cut and all(each.get(self.tried) is not None for each in self.lists):
            entries = tuple(entry for each in self.lists if (entry := each.get(self.tried)) is not None)
            more = self.seam_points(entries)
            if more is not None:
                yield self.other * cost.ONE_RULE + sum(entry.points for entry in entries) + more, entries
            in_vain = in_vain + 1 if more is None else 0
            self.tried += 1
            self.cut = in_vain == MOST_IN_VAIN

    def seam_points(self, entries: tuple[BarFound, ...]) -> int | None:
        """What the seams between different varied bars cost; None where a hand or the kick cannot do it."""
        each = [self._joining(entries[: number + 1]) for number in range(len(entries))]
        return None if None in each else sum(filter(None, each))

    def _joining(self, entries: tuple[BarFound, ...]) -> int | None:
        """What the seams of the last of the first so many bars with those before it cost; None as above."""
        last = len(entries) - 1
        total = sum(
            int(points[entries[first].numbers[one], entries[second].numbers[other]])
            for first, one, second, other, points in self.seams[last]
        )
        if total >= NEVER:
            return None
        if 0 < last == len(self.names) - 1:
            rules = {name: entry.foot for name, entry in zip(self.names, entries, strict=True)}
            return total if self.footwork.playable(rules) else None
        return total

    # -- one orchestration

    @property
    def free(self) -> int:
        """How many hand strokes may be played elsewhere."""
        return sum(not choice.fixed for material in self.materials.values() for choice in material.choices)

    def mark(self, found: Found) -> frozenset[Mark]:
        """What tells an orchestration from another: where each hand is on each place."""
        return self._mark([entry.numbers for entry in found[1]])

    def written_mark(self) -> frozenset[Mark]:
        """The mark of what is written."""
        return self._mark([material.written for material in self.materials.values()])

    def _mark(self, numbers: Iterable[tuple[int, ...]]) -> frozenset[Mark]:
        return frozenset(
            (bar, choice.playing, choice.place, choice.limb, material.voices[number].name)
            for bar, (material, row) in enumerate(zip(self.materials.values(), numbers, strict=True))
            for choice, number in zip(material.choices, row, strict=True)
        )

    def variation(self, found: Found) -> Variation:
        """An orchestration as a phrase file, with its words and its cost."""
        changes: dict[str, Change] = {}
        words: list[str] = [_sentence(self.beginning)] if self.beginning else []
        new = self.other * cost.ONE_RULE
        total = Cost(effort=found[0] - new - sum(entry.points for entry in found[1]), rules=new)
        voices: dict[str, tuple[str, ...]] = {}
        for bar, entry in zip(self.bars, found[1], strict=True):
            material = self.materials[bar.name]
            names = tuple(material.voices[number].name for number in entry.numbers)
            voices[bar.name] = names
            own = bar.by_foot[entry.foot].cost_of(entry.numbers)
            if own is None:
                raise TypeError(f"an orchestration that cannot be: {names}")
            rules = sum(cost.rules(hand) for hand in entry.maps.values() if hand is not None)
            total = total + own + Cost(rules=rules, feet=bar.foot_points[entry.foot])
            order = cost.drum_order(self.kit, material.voices)
            line = told(material, names, entry.maps, entry.foot, order)
            words.append(_sentence(line) if len(self.bars) == 1 else f"{bar.name}: {line}.")
            changes[bar.name] = Change(self._hands(bar, entry, names), entry.foot, _NO_NOTE)
        note = " ".join(words)
        file = rewritten(self.file, self.kit, changes, note=note)
        return Variation(
            file, total, note, voices, {bar.name: e.foot for bar, e in zip(self.bars, found[1], strict=True)}
        )

    def _hands(self, bar: _Bar, entry: BarFound, names: tuple[str, ...]) -> dict[str, HandMap]:
        material = self.materials[bar.name]
        hands: dict[str, HandMap] = {}
        for hand in ("R", "L"):
            if self.wish.space == "rules":
                found = entry.maps.get(hand)
            elif any(choice.limb == hand and not choice.fixed for choice in material.choices):
                found = map_by_counts(material, hand, names)
            else:
                found = None
            if found is not None:
                hands[written_hand(material.bar, hand)] = found
        return hands


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + "."
