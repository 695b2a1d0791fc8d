"""The steps of a lesson, in order: what is played on each page, and what a teacher says of it.

The order is *common practice* (said, on the pad, with the feet, accents, loud and soft, around the kit, groove, fill);
the exercises and the words are our own.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from drumgen.study.lesson_draft import draft
from drumgen.study.lesson_ground import CHANGE, Bars, Ground, Table, counted
from drumgen.syllables import said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from drumgen.kit import Kit
    from drumgen.study.lesson_material import LessonMaterial

MOST_ACCENTS = 8
TOMS = ("high-tom", "mid-tom", "floor-tom")


@dataclass(frozen=True)
class Step:
    """One page before its tempos are known.

    ``order`` is the phrase. ``on`` is the pad or the kit. ``weight`` shares out the time; pages of a low ``rank`` are
    kept longest where there is little of it. ``goal`` marks the last page, at the song's tempo.
    """

    name: str
    heading: str
    aim: str
    listen: str
    move_on: str
    why: str
    ground: Ground
    bars: Bars
    order: tuple[str, ...]
    on: str = "kit"
    weight: int = 2
    rank: int = 1
    goal: bool = False
    extra: Table = field(default_factory=dict)


def first_steps(ground: Ground, counts: str, name: str) -> Iterator[Step]:
    """On the pad: what is counted aloud, then the sticking by its name."""
    bars, order = lead_by_lead(ground, {"beats": ground.on_beats()}, times=2)
    yield Step(
        "say-the-count", "Say the count",
        f"say the whole count aloud, {counts}, and strike only what falls on the beats.",
        "a voice as even as the sticks; it does not wait for them.",
        "when you can say it without thinking, four times, with either hand leading.",
        "the voice knows where every stroke belongs before the hands are asked.",
        ground, bars, tuple(order), on="pad", weight=1,
    )  # fmt: skip
    bars, order = lead_by_lead(ground, {"hands": ground.bar()}, times=2)
    yield Step(
        "on-the-pad", "The sticking on the pad",
        f"every stroke of {name} from the same height, first one hand leading, then the other.",
        "one sound: with closed eyes nobody can tell which hand it was.",
        "after four clean rounds at the highest tempo, saying the beats aloud.",
        "all that follows is this sticking; what is uneven here is uneven everywhere.",
        ground, bars, tuple(order), on="pad", weight=3, rank=0,
    )  # fmt: skip


def feet_step(ground: Ground) -> Step:
    """The feet beneath the hands."""
    limbs = ground.material.limbs()
    feet = {}
    if "K" not in limbs:
        feet["kick"] = counted(ground.down)
    if "H" not in limbs:
        feet["hihat-foot"] = counted(ground.back)
    feet_words = "the bass drum and the hi-hat foot take the beats in turn"
    if len(feet) < 2:
        feet_words = "the hi-hat foot keeps the backbeat" if feet else "the feet have their own strokes in it"
    if "kick" in feet and len(feet) == 1:
        feet_words = "the bass drum has the other beats"
    table = ground.bar(hands={"R": "snare", "L": "snare"}, **({"feet": feet} if feet else {}))
    bars, order = lead_by_lead(ground, {"hands": table}, times=2)
    return Step(
        "feet-beneath", "Feet beneath it",
        f"the same strokes on the snare; {feet_words}.",
        "hand and foot together on the beat: one sound, not two.",
        "when the feet no longer change the hands: four clean rounds with each lead.",
        "the feet hold the time from now on, so that the hands are free to leave it.",
        ground, bars, tuple(order),
    )  # fmt: skip


def accents_step(ground: Ground) -> Step:
    """The accent moved through the sticking."""
    bars: Bars = {}
    if ground.material.rudiment:
        for hand, word in (("R", "first"), ("L", "other")):
            bars[f"{word} hand"] = ground.bar(accents={hand: "all"})
        aim = "first every stroke of one hand stands out, then every stroke of the other."
    else:
        number = min(MOST_ACCENTS, len(ground.material.hand_places))
        for stroke in range(1, number + 1):
            bars[f"accent on {stroke}"] = ground.accented(stroke)
        aim = "one accent at a time, on the first stroke, then the second, and on through the sticking."
    bars, order = lead_by_lead(ground, bars)
    return Step(
        "accents-through-it", "Accents moved through it",
        aim,
        "taps that stay low: the accent is the height of one stick, not a push of both.",
        "when no accent changes the time: four clean rounds.",
        "the accent decides which drum a stroke will go to; here it is only height.",
        ground, bars, tuple(order), on="pad", weight=3,
    )  # fmt: skip


def dynamics_step(ground: Ground) -> Step:
    """Soft and loud."""
    marks = (("soft", "p"), ("growing", "p to f"), ("loud", "f"), ("fading", "f to p"))
    bars, order = lead_by_lead(ground, {name: ground.bar(dynamics=mark) for name, mark in marks})
    return Step(
        "soft-and-loud", "Soft and loud",
        "soft, growing, loud, fading: the same strokes, the same time.",
        "the soft bars: are they slower? The loud ones: are they rushed?",
        "when a soft bar and a loud one take the same time by the click, four times.",
        "a fill that grows and a groove that steps back are made of this.",
        ground, bars, tuple(order), on="pad", rank=2,
    )  # fmt: skip


def surfaces_step(ground: Ground) -> Step:
    """Each hand on a surface of its own."""
    bars: Bars = {}
    order: list[str] = []
    for name, voice in (("hi-hat", "hihat"), ("floor tom", "floor-tom")):
        more, row = lead_by_lead(ground, {name: ground.bar(hands={"R": voice, "L": "snare"})})
        bars |= more
        order += row if row[-1] == CHANGE else (*row, CHANGE)
    bars |= ground.change
    return Step(
        "two-surfaces", "Two surfaces",
        "one hand on the hi-hat, then on the floor tom; the other stays on the snare drum.",
        "the rhythm that each hand plays alone: now you can hear it.",
        "after four clean rounds, when you could sing what one hand does.",
        "the sticking becomes a melody of two sounds, and every groove of it is already in there.",
        ground, bars, tuple(order),
    )  # fmt: skip


def toms_of(kit: Kit) -> tuple[str, ...]:
    """The toms that a kit has of its own, from the highest; of a kit with fewer than two, those it stands in for."""
    own = tuple(name for name in TOMS if name in kit.voices)
    return own if len(own) > 1 else TOMS


def around_step(ground: Ground, kit: Kit) -> Step:
    """Around the drums."""
    toms = {"around": [*toms_of(kit)], "every": "beat"}
    tables = {"one hand": {"R": toms, "L": "snare"}, "both hands": {"R": toms, "L": toms}}
    bars, order = lead_by_lead(ground, {name: ground.bar(hands=hands) for name, hands in tables.items()})
    return Step(
        "around-the-drums", "Around the drums",
        "a drum a beat: first one hand walks down the toms, then both together.",
        "the first stroke on each new drum: as full as the last on the old one.",
        "when the arms arrive before the beat does: four clean rounds with each lead.",
        "moving is what makes a fill hard; the strokes are the same as on the pad.",
        ground, bars, tuple(order), rank=2,
    )  # fmt: skip


def groove_bar(ground: Ground, *, start: int = 1) -> Table:
    """A groove of the sticking: hi-hat and snare drum, ghost notes, the backbeat on the snare whichever hand has it."""
    struck = ground.struck(start=start)
    back = tuple(count for count in ground.back if count in struck)
    table = ground.bar(
        hands={"R": {"main": "hihat", "accent": "snare"} if back else "hihat", "L": "snare"},
        ghosts={"L": "all"},
    )
    if ground.material.rudiment or back:
        table["accents"] = counted(back)
    if "K" not in ground.material.limbs():
        table["feet"] = {"kick": ground.kick}
    if start > 1:
        table["start"] = start
    return table


def groove_step(ground: Ground) -> Step:
    """The groove."""
    bars, order = lead_by_lead(ground, {"groove": groove_bar(ground)}, times=2)
    with_kick = "as even as the hands" if "K" in ground.material.limbs() else "with the hi-hat, not after it"
    return Step(
        "groove", "The groove",
        f"hi-hat, snare drum and bass drum: the backbeat on {counted(ground.back).replace(' ', ' and ')} stands up, "
        "all else on the snare drum is a ghost note.",
        f"three loudnesses: backbeat, hi-hat, ghost notes; and the bass drum {with_kick}.",
        "when a friend would nod to it: four clean rounds, then four with the other lead.",
        "this is what the sticking is for: the hands share one part that no single hand could play.",
        ground, bars, tuple(order), weight=3, rank=0,
    )  # fmt: skip


def elsewhere_step(ground: Ground) -> Step | None:
    """The same sticking begun from another stroke."""
    number = min(4, sum(sign.limb != "-" for sign in ground.material.sticking.signs[: ground.material.side]))
    starts = range(2, number + 1)
    if not starts:
        return None
    bars, order = lead_by_lead(ground, {f"from {start}": groove_bar(ground, start=start) for start in starts})
    return Step(
        "begun-elsewhere", "Begun from another stroke",
        f"the same groove, but the sticking begins with its stroke {_listed([*starts])}; the backbeat stays.",
        "the ghost notes: they move, the backbeat and the bass drum do not.",
        "when you can say, without looking, which hand has the next backbeat.",
        "every start puts the doubles in another place of the beat; each is a groove of its own.",
        ground, bars, tuple(order), rank=3,
    )  # fmt: skip


def other_setting_step(material: LessonMaterial, number: int) -> Step:
    """The sticking in another subdivision, or carried over the bar line."""
    setting = material.others[number]
    ground = Ground(material, setting)
    carried = setting.bars > 1
    table = ground.accented(1)
    table["hands"] = {"R": "snare", "L": "snare"}
    limbs = material.limbs()
    feet = {"kick": counted(ground.down)} if "K" not in limbs else {}
    feet |= {"hihat-foot": counted(ground.back)} if "H" not in limbs else {}
    bar = {"carried" if carried else "turning": {**table, **({"feet": feet} if feet else {})}}
    bars, order = lead_by_lead(ground, bar, times=setting.bars)
    if carried:
        name, heading = f"over-{setting.subdivision}", f"Carried over {setting.subdivision}"
        aim = (
            f"the sticking runs on over the bar line in {setting.subdivision} and comes home after {setting.bars} bars."
        )
        listen = "the accent on its first stroke, which wanders against feet that do not."
        why = f"{len(material.sticking.signs)} strokes do not divide the bar: the pull against the beat is the music."
    else:
        name, heading = f"in-{setting.subdivision}", f"In {setting.subdivision}"
        aim = f"the whole sticking in every beat: {setting.subdivision}, an accent on each first stroke."
        listen = "strokes of equal length from beat to beat; no hurry at the end."
        why = "so many strokes to a beat have no usual count: the sticking itself is the count."
    return Step(
        name, heading, aim, listen,
        "after four rounds in which accent and foot met again where they should.",
        why,
        ground, bars, tuple(order), rank=3,
    )  # fmt: skip


def lead_by_lead(ground: Ground, bars: Bars, *, times: int = 1) -> tuple[Bars, tuple[str, ...]]:
    """Bars and their order: all with the lead as written, a bar to change over, all with the other lead."""
    others = {name: ground.other_lead(name) for name in bars}
    parts = ([*bars], [other for row in others.values() for other in row])
    order = ground.parted(*([_times(name, times) for name in part] for part in parts))
    rows = {key: bar for row in others.values() for key, bar in row.items()}
    return {**bars, **rows, **(ground.change if rows else {})}, order


def _times(name: str, times: int) -> str:
    return f"{name} x{times}" if times > 1 else name


def count_aloud(ground: Ground) -> str:
    """What is said on every place of the first bar, ``1 e & a 2 e & a``; under an own rhythm the halves of beats."""
    if ground.material.rudiment:
        return " ".join(f"{count} &" for count in ground.beats)
    slots = draft({"meter": ground.setting.meter, "phrase": ["a"], "bars": {"a": ground.bar()}}).slots
    return " ".join(said(slot.start, meter=ground.meter, slots=slots) for slot in slots)


def _listed(numbers: list[int]) -> str:
    *most, last = map(str, numbers)
    return f"{', '.join(most)} or {last}" if most else last
