"""Learning a kit: from strokes on one pad after the other, each a few times, which notes its voices have.

The player strikes the voices in a known order, each some times at rising force, with a pause between two voices. What
can be understood in two ways is asked back, all of it at once, and never guessed. What else a voice is (its place,
its kind, who plays it) comes from a kit that is laid out alike.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from statistics import median_low
from typing import TYPE_CHECKING, Any

from drumgen.amounts import amount

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from drumgen.kit import Kit, Voice
    from drumgen.take import Take

ORDER = (
    *("kick", "snare", "cross-stick", "rimshot", "hihat", "hihat-half", "hihat-open", "hihat-foot"),
    *("ride", "ride-bell", "crash", "crash-2", "high-tom", "mid-tom", "low-tom", "floor-tom"),
)
"""The order that is struck unless another is said."""

PAUSE_S = 1.5
FEWEST_STROKES = 2
CROSSTALK_S = 0.03
PEDAL_APART = 12
_PEDALLED = ("hihat", "hihat-half", "hihat-open")


@dataclass(frozen=True, slots=True)
class Pad:
    """One voice as it was struck: its note, how often, its softest and loudest velocity, the pedal's value."""

    voice: str
    key: int
    times: int
    softest: int
    loudest: int
    pedal: int | None

    def __str__(self) -> str:
        pedal = "" if self.pedal is None else f", pedal {self.pedal}"
        strokes = amount(self.times, "stroke")
        return f"{self.voice}: note {self.key}, {strokes}, velocities {self.softest} to {self.loudest}{pedal}"


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned: the ``pads``, and the kit file's ``table``; ``questions`` are what must be answered first."""

    pads: tuple[Pad, ...]
    table: dict[str, Any]
    questions: tuple[str, ...]
    remarks: tuple[str, ...]


def learn(
    take: Take,
    *,
    order: Sequence[str],
    base: Kit,
    notes: Mapping[str, int] | None = None,
    same: Mapping[str, str] | None = None,
    pause_s: float = PAUSE_S,
) -> Learned:
    """The kit that was struck in ``order``; ``base`` lends what notes cannot tell.

    ``notes`` and ``same`` answer questions: the note of a voice that sent several, a voice played on another's pad,
    which may have been struck for itself or left out.
    """
    notes, same = notes or {}, same or {}
    groups = _groups(take, pause_s)
    struck = [voice for voice in order if voice not in same or len(groups) == len(order)]
    if len(groups) != len(struck):
        return Learned((), {}, _count_questions(groups, struck, take), ())
    questions: list[str] = []
    remarks: list[str] = []
    pads = [
        _pad(voice, group, take, notes.get(voice), questions, remarks)
        for voice, group in zip(struck, groups, strict=True)
    ]
    questions += _other_pad_questions(pads, same)
    pads = [pad for pad in pads if pad.voice not in same]
    questions += _same_note_questions(pads)
    return Learned(tuple(pads), _table(pads, same, base, take), tuple(questions), tuple(remarks))


Group = list[int]
"""The hits of one voice, by their index in the take."""


def _groups(take: Take, pause_s: float) -> list[Group]:
    groups: list[Group] = []
    seconds = take.seconds()
    for index, at_s in enumerate(seconds):
        if not index or at_s - seconds[index - 1] >= pause_s:
            groups.append([])
        groups[-1].append(index)
    return groups


def _count_questions(groups: list[Group], struck: Sequence[str], take: Take) -> tuple[str, ...]:
    seconds = take.seconds()
    were = "was" if len(struck) == 1 else "were"
    asked = f"{amount(len(struck), 'voice')} {were} asked for and {amount(len(groups), 'group')} of strokes heard"
    lines = [f"{asked}: a longer or shorter --pause, or another --order?"]
    for index, group in enumerate(groups):
        voice = struck[index] if index < len(struck) else "nothing"
        lines.append(f"at {seconds[group[0]]:.1f} s: {_notes_words(group, take)}; asked for here: {voice}")
    for channel, times in take.other_channels:
        lines.append(f"notes on channel {channel} ({times}) were left out: --channel {channel} reads them")
    return tuple(lines)


def _notes_words(group: Group, take: Take) -> str:
    counts = Counter(take.hits[index].key for index in group)
    return ", ".join(f"note {key} ({times})" for key, times in sorted(counts.items()))


def _pad(voice: str, group: Group, take: Take, note: int | None, questions: list[str], remarks: list[str]) -> Pad:
    own, crosstalk = _without_crosstalk(group, take)
    if crosstalk:
        listed = ", ".join(str(key) for key in sorted({take.hits[index].key for index in crosstalk}))
        remarks.append(f"{voice}: soft strokes of note {listed} at the same moment taken for crosstalk")
    keys = Counter(take.hits[index].key for index in own)
    key = note if note is not None and note in keys else keys.most_common(1)[0][0]
    if len(keys) > 1 and note is None:
        words = _notes_words(own, take)
        questions.append(f"{voice}: {words}; which is it? answer with --note {voice}={key}")
    elif note is not None and note not in keys:
        questions.append(f"{voice}: --note says {note}, heard {_notes_words(own, take)}")
    own = [index for index in own if take.hits[index].key == key]
    if len(own) < FEWEST_STROKES:
        questions.append(f"{voice}: struck {amount(len(own), 'time')}, expected {FEWEST_STROKES} or more")
    forces = [take.hits[index].velocity for index in own]
    pedals = [pedal for index in own if (pedal := take.pedals[index]) is not None]
    pedal = median_low(pedals) if pedals and voice in _PEDALLED else None
    return Pad(voice, key, len(own), min(forces), max(forces), pedal)


def _without_crosstalk(group: Group, take: Take) -> tuple[Group, Group]:
    """The strokes meant, and those of other notes at the same moment, at most half as loud: another pad that shook."""
    seconds = take.seconds()
    main = Counter(take.hits[index].key for index in group).most_common(1)[0][0]
    strong = [index for index in group if take.hits[index].key == main]
    crosstalk = [
        index
        for index in group
        if take.hits[index].key != main
        and any(
            abs(seconds[index] - seconds[other]) <= CROSSTALK_S
            and take.hits[index].velocity * 2 <= take.hits[other].velocity
            for other in strong
        )
    ]
    return [index for index in group if index not in crosstalk], crosstalk


def _other_pad_questions(pads: Sequence[Pad], same: Mapping[str, str]) -> list[str]:
    """What is asked of voices that are said to be on another's pad, and were heard on a pad of their own."""
    keys = {pad.voice: pad.key for pad in pads}
    return [
        f"{pad.voice}: --same says {other}, which sends note {keys[other]}; heard note {pad.key} ({pad.times})"
        for pad in pads
        if (other := same.get(pad.voice)) in keys and keys[other] != pad.key
    ]


def _same_note_questions(pads: Sequence[Pad]) -> list[str]:
    questions = []
    for index, pad in enumerate(pads):
        for other in pads[:index]:
            if other.key != pad.key:
                continue
            apart = abs(pad.pedal - other.pedal) if pad.pedal is not None and other.pedal is not None else 0
            if apart < PEDAL_APART:
                hat = pad.voice in _PEDALLED and other.voice in _PEDALLED
                pedal = ", and the pedal (controller 4) does not tell them apart" if hat else ""
                answer = f"if they are one pad, answer with --same {pad.voice}={other.voice}"
                questions.append(f"{other.voice} and {pad.voice}: both send note {pad.key}{pedal}; {answer}")
    return questions


def _table(pads: Sequence[Pad], same: Mapping[str, str], base: Kit, take: Take) -> dict[str, Any]:
    """The kit file: the voices struck, those played on another's pad, and the base's clicks."""
    shared = Counter(pad.key for pad in pads)
    voices: dict[str, dict[str, Any]] = {}
    for pad in pads:
        voices[pad.voice] = _voice_table(base.voices.get(pad.voice), pad.key)
        if pad.pedal is not None and shared[pad.key] > 1:
            voices[pad.voice]["pedal"] = pad.pedal
    voices |= {voice: {"instead": other} for voice, other in same.items()}
    for click in (base.click, base.click_accent):
        voices.setdefault(click, _voice_table(base.voices[click], base.voices[click].key))
    clicks = {"click": base.click, "click-accent": base.click_accent}
    said = {key: name for key, name in clicks.items() if key != name}
    return {"title": "A learned kit", "channel": take.channel, "hand": base.hand, **said, "voices": voices}


def _voice_table(model: Voice | None, key: int) -> dict[str, Any]:
    if model is None:
        return {"note": key}
    table: dict[str, Any] = {"note": key}
    if model.limb != "hands":
        table["played_by"] = model.limb
    if not model.drum:
        table["kind"] = "metal"
    table |= {"at": [model.x_cm, model.y_cm], "width": model.width_cm}
    table |= {name: value for name in ("staff", "notehead", "choke") if (value := getattr(model, name))}
    return table
