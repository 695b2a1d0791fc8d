"""Material: the hand strokes of one bar that may be orchestrated anew, and what each of them may be played on.

Limits that no cost outweighs: what the player keeps stays; in grooves the hand that keeps time and the backbeat stay;
a crash only on an accent with the kick; ghost notes only on the home voice or the closed hi-hat; flams and drags on
drums. The *hand that keeps time* has the most strokes on metal; the *backbeat* is what stands on the home voice on 2
and 4 or is accented there (*common practice*). Where no hand keeps time there is no backbeat to keep.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from drumgen.counts import spoken
from drumgen.errors import DrumgenError, Fault, nearest
from drumgen.filling import part_at
from drumgen.sticking import OTHER_HAND
from drumgen.study.cost import CRASHES
from drumgen.study.grouping import carriers_of, heard_figures

if TYPE_CHECKING:
    from drumgen.bar import Bar, Layer
    from drumgen.kit import Kit, Voice
    from drumgen.layout import Laid, Stroke
    from drumgen.sticking import Limb
    from drumgen.strokes import Played
    from drumgen.study.parts import SaidByParts

OFFERED = ("snare", "hihat", "ride", "crash", "high-tom", "mid-tom", "low-tom", "floor-tom")
"""What the hands are offered of a kit's voices unless voices are named; the pad of a practice pad too."""

MOST_VOICES = 16
BACKBEAT = ("2", "4")
KEPT_WORDS = ("accents", "taps", "ghosts", "right hand", "left hand", "feet")


@dataclass(frozen=True, slots=True)
class Choice:
    """One hand stroke of a bar, and the voices it may be played on; ``written`` is what it is played on now.

    ``playing`` says in which of the bar's playings it stands. ``figure`` numbers the figures of the bar; ``carrier``
    says that it is the one stroke that carries its figure. ``of_bar`` is False where a part of the bar orchestrates its
    hand itself.
    """

    playing: int
    place: int
    limb: Limb
    stroke: Stroke
    written: str
    figure: int
    carrier: bool
    with_kick: bool
    of_bar: bool
    open_to: tuple[str, ...]

    @property
    def fixed(self) -> bool:
        """Whether it stays as it is."""
        return self.open_to == (self.written,)


@dataclass(frozen=True, slots=True)
class BarMaterial:
    """One bar: the choices of its playings in the order they are struck, and the voices they may be played on."""

    bar: Bar
    said: SaidByParts
    shown: tuple[Played, ...]
    voices: tuple[Voice, ...]
    choices: tuple[Choice, ...]
    crashes: int

    @property
    def fill(self) -> bool:
        """Whether it is treated as a fill: a fill or a pickup."""
        return self.bar.role != "groove"

    @property
    def written(self) -> tuple[int, ...]:
        """The voices of its choices as written, by their number."""
        names = [voice.name for voice in self.voices]
        return tuple(names.index(choice.written) for choice in self.choices)


def offered_voices(kit: Kit, asked: tuple[str, ...]) -> tuple[Voice, ...]:
    """The voices that the hands are offered: those asked for, else the kit's own of `OFFERED`.

    Raises DrumgenError where one is no voice that hands play, and where there are fewer than two or too many.
    """
    if asked:
        voices = [kit.voice(name) for name in asked]
        wrong = next((voice for voice in voices if voice.limb != "hands"), None)
        if wrong is not None:
            raise DrumgenError(Fault("a voice that hands play", got=f'"{wrong.name}"', path=("voices",)))
    else:
        names = (*OFFERED, *([] if kit.home in OFFERED else [kit.home]))
        voices = [kit.voices[name] for name in names if name in kit.voices and kit.voices[name].limb == "hands"]
    unique = tuple(dict.fromkeys(voices))
    if not 2 <= len(unique) <= MOST_VOICES:
        listed = ", ".join(voice.name for voice in unique) or "none"
        raise DrumgenError(Fault(f"2 to {MOST_VOICES} voices for the hands", got=listed, path=("voices",)))
    return unique


def bar_material(
    shown: tuple[Played, ...], said: SaidByParts, kit: Kit, offered: tuple[Voice, ...], keep: tuple[str, ...]
) -> BarMaterial:
    """The material of one bar, of whose playings each is shown once; ``said`` is what its parts say themselves.

    Raises DrumgenError where a word of ``keep`` is none, or no voice is left for a stroke.
    """
    _check_keep(keep, kit)
    bar = shown[0].span.bar
    if bar is None:
        raise TypeError("a span without a bar")
    choices: list[Choice] = []
    for playing, played in enumerate(shown):
        before = choices[-1].figure + 1 if choices else 0
        choices += [
            replace(choice, playing=playing, figure=choice.figure + before)
            for choice in _choices(bar, said, played, kit, offered, keep)
        ]
    voices = tuple(dict.fromkeys((*offered, *(kit.voice(choice.written) for choice in choices))))
    fixed_crashes = sum(choice.fixed and choice.written in CRASHES for choice in choices)
    return BarMaterial(bar, said, shown, voices, tuple(choices), max(0, 1 - fixed_crashes))


def _choices(  # a bar, its parts and its playing on a kit, and what is asked of it
    bar: Bar, said: SaidByParts, played: Played, kit: Kit, offered: tuple[Voice, ...], keep: tuple[str, ...]
) -> list[Choice]:
    """The choices of one playing; a hand on a landing has none there."""
    strokes = [stroke for stroke in played.laid.strokes if stroke.limb in OTHER_HAND]
    landed = {kit.voice(name).name for name in played.span.landing}
    on_landing = [stroke for stroke in strokes if not stroke.place and kit.voice(stroke.voice).name in landed]
    strokes = [stroke for stroke in strokes if stroke not in on_landing]
    if any(stroke.grace for stroke in on_landing):  # whose voice is not seen here, but is that of the hand's map
        keep = (*keep, "right hand", "left hand")
    strokes.sort(key=lambda stroke: (stroke.place, (stroke.limb == "R") == (kit.hand == "left")))
    kicked = kick_places(played.laid)
    fixed = _fixed(bar, said, kit, strokes, keep)
    numbers = heard_figures(bar, played.laid, strokes)
    carriers = carriers_of(strokes, numbers)
    choices: list[Choice] = []
    for index, stroke in enumerate(strokes):
        name, with_kick = kit.voice(stroke.voice).name, stroke.place in kicked
        open_to = (name,) if fixed[index] else _open_to(stroke, bar, kit, offered, with_kick=with_kick)
        if not open_to:
            where = f'"{bar.name}" on {spoken(stroke.place, meter=bar.meter)}'
            raise DrumgenError(Fault(f"a voice for the {_kind(stroke)} in {where}", got="none that may be used"))
        choices.append(
            Choice(
                playing=0,
                place=stroke.place,
                limb=stroke.limb,
                stroke=stroke,
                written=name,
                figure=numbers[index],
                carrier=index in carriers,
                with_kick=with_kick,
                of_bar=_of_bar(bar, said, stroke),
                open_to=open_to,
            )
        )
    return choices


def _kind(stroke: Stroke) -> str:
    return ("stroke", "flam", "drag")[stroke.grace] if stroke.level != "ghost" else "ghost note"


def kick_places(laid: Laid) -> frozenset[int]:
    """Where the bass-drum foot plays."""
    return frozenset(stroke.place for stroke in laid.strokes if stroke.limb == "K")


def _open_to(stroke: Stroke, bar: Bar, kit: Kit, offered: tuple[Voice, ...], *, with_kick: bool) -> tuple[str, ...]:
    names = [voice.name for voice in offered]
    if stroke.level == "ghost":
        names = [name for name in names if name in (kit.home, "hihat")]
    if stroke.grace and _layer_at(bar, stroke.place).grace_voice != "main":
        names = [name for name in names if kit.voice(name).drum]
    crash = stroke.level == "accent" and with_kick
    return tuple(name for name in names if crash or name not in CRASHES)


def _check_keep(keep: tuple[str, ...], kit: Kit) -> None:
    for word in keep:
        if word not in KEPT_WORDS and word not in kit.voices and word not in kit.instead:
            known = (*KEPT_WORDS, *kit.voices)
            rule = f"to keep {', '.join(KEPT_WORDS)} or a voice"
            raise DrumgenError(Fault(rule, got=f'"{word}"', nearest=nearest(word, known), path=("keep",)))


def _fixed(bar: Bar, said: SaidByParts, kit: Kit, strokes: list[Stroke], keep: tuple[str, ...]) -> list[bool]:
    kept_voices = {kit.voice(word).name for word in keep if word not in KEPT_WORDS}
    kinds = {"accents": "accent", "taps": "normal", "ghosts": "ghost"}
    levels = {kinds[word] for word in keep if word in kinds}
    hands = {word[0].upper() for word in keep if word.endswith("hand")}
    timekeeping = _timekeeping(bar, kit, strokes)
    hands |= timekeeping
    own = [stroke for stroke in strokes if stroke.grace and grace_by_own_map(stroke, bar, kit)]
    hands |= {OTHER_HAND[stroke.limb] for stroke in own}
    return [
        stroke.level in levels
        or stroke.limb in hands
        or kit.voice(stroke.voice).name in kept_voices
        or not _of_bar(bar, said, stroke)
        or stroke in own
        or (bool(timekeeping) and _is_backbeat(bar, kit, stroke))
        for stroke in strokes
    ]


def written_hand(bar: Bar, limb: str) -> str:
    """The hand that the file calls what ``limb`` plays: the other one where it is mirrored for a left-hander."""
    return OTHER_HAND[limb] if bar.mirrored else limb


def _of_bar(bar: Bar, said: SaidByParts, stroke: Stroke) -> bool:
    """Whether a stroke's hand has the bar's own map there."""
    hand = written_hand(bar, stroke.limb)
    return (_part_at(bar, stroke.place), hand) not in said.hands


def _part_at(bar: Bar, place: int) -> int:
    """The number of the part at a place, -1 for the bar itself."""
    return part_at(bar, bar.meter.beat_at(place))


def _layer_at(bar: Bar, place: int) -> Layer:
    part = _part_at(bar, place)
    return bar.layer if part < 0 else bar.parts[part].layer


def grace_by_own_map(stroke: Stroke, bar: Bar, kit: Kit) -> bool:
    """Whether the grace notes of a stroke are where their hand's own map has them, not on the stroke's voice.

    Such a stroke stays as written, and so does the hand of its grace notes.
    """
    how = _layer_at(bar, stroke.place).grace_voice
    return how == "split" or (how == "drum" and not kit.voice(stroke.voice).drum)


def _timekeeping(bar: Bar, kit: Kit, strokes: list[Stroke]) -> set[str]:
    if bar.role != "groove":
        return set()
    on_metal = Counter(stroke.limb for stroke in strokes if not kit.voice(stroke.voice).drum)
    return {max(sorted(on_metal, reverse=kit.hand == "right"), key=lambda limb: on_metal[limb])} if on_metal else set()


def _is_backbeat(bar: Bar, kit: Kit, stroke: Stroke) -> bool:
    at_home = kit.voice(stroke.voice).name == kit.voice(kit.home).name
    return at_home and (stroke.level == "accent" or spoken(stroke.place, meter=bar.meter) in BACKBEAT)


def with_kicks(
    material: BarMaterial, kit: Kit, offered: tuple[Voice, ...], kicked: tuple[frozenset[int], ...]
) -> BarMaterial:
    """The same material with the kick in other places, by playing: crashes are open where it is."""
    choices = []
    for choice in material.choices:
        with_kick = choice.place in kicked[choice.playing]
        open_to = _open_to(choice.stroke, material.bar, kit, offered, with_kick=with_kick)
        choices.append(replace(choice, with_kick=with_kick, open_to=choice.open_to if choice.fixed else open_to))
    return replace(material, choices=tuple(choices))
