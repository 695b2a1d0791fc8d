"""The kit file: its tables and keys, validated strictly, and the kit that they describe."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, PlainValidator, WithJsonSchema

from drumgen.errors import DrumgenError, Fault, Path, nearest
from drumgen.kit import Kit, Limits, PlayedBy, Voice
from drumgen.spec.fields import shown
from drumgen.spec.phrase_file import Line, Name, Table

FARTHEST_CM = 500
StaffStep = Annotated[str, Field(pattern=r"^[A-G][3-6]$")]
if TYPE_CHECKING:
    from collections.abc import Iterable

Notehead = Literal["normal", "x", "circle-x", "diamond", "triangle", "slashed"]


def read_place(value: object) -> tuple[float, float]:
    """A place on the plan: two numbers of centimetres from -500 to 500."""
    rule = f"two numbers of centimetres from -{FARTHEST_CM} to {FARTHEST_CM}, such as [-45, 50]"
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        number = f" of {len(value)}" if isinstance(value, list) and value else ""
        raise DrumgenError(Fault(rule, got=f"{shown(value)}{number}"))
    for entry in value:
        is_number = isinstance(entry, (int, float)) and not isinstance(entry, bool)
        if not is_number or not -FARTHEST_CM <= entry <= FARTHEST_CM:
            raise DrumgenError(Fault(rule, got=shown(entry)))
    return float(value[0]), float(value[1])


if TYPE_CHECKING:
    PlaceField = tuple[float, float]
else:
    PlaceField = Annotated[
        Any,
        PlainValidator(read_place),
        WithJsonSchema(
            {
                "type": "array",
                "items": {"type": "number", "minimum": -FARTHEST_CM, "maximum": FARTHEST_CM},
                "minItems": 2,
                "maxItems": 2,
            }
        ),
    ]


class VoiceTable(Table):
    """``[voices.NAME]``: one voice, or which other voice is played instead of one the kit lacks."""

    note: int | None = Field(None, ge=0, le=127, description="The MIDI note")
    played_by: PlayedBy | None = Field(None, description="What plays it: hands (unsaid too) or a foot")
    kind: Literal["drum", "metal"] | None = Field(None, description="A drum (unsaid too) or metal: cymbals and bells")
    at: PlaceField | None = Field(
        None, description="Its place on the plan in centimetres: to the player's right, and away"
    )
    width: float | None = Field(None, gt=0, le=200, description="Its striking width in centimetres")
    staff: StaffStep | None = Field(None, description="Its place, as in treble clef")
    notehead: Notehead | None = None
    choke: Name | None = Field(None, description="Voices of one choke group cut each other off")
    velocity: int | None = Field(None, ge=-60, le=60, description="Added to every velocity of this voice")
    pedal: int | None = Field(None, ge=0, le=127, description="The hi-hat pedal's value on controller 4")
    instead: Name | None = Field(None, description="The kit lacks this voice and plays that one")


class LimitsTable(Table):
    """``[limits]``: what the machine that plays the files can take."""

    ppq: int | None = Field(None, ge=1, le=32_767, description="Ticks to the quarter note")
    name_length: int | None = Field(None, ge=1, le=255, description="Longest file name, without its ending")
    name_characters: Name | None = Field(None, description="Characters allowed in a file name, such as A-Z0-9_")
    text_characters: Literal["any", "ascii"] | None = Field(None, description="Characters allowed in texts inside")
    longest_s: int | None = Field(None, ge=1, le=86_400, description="Longest file in seconds")
    largest_kib: int | None = Field(None, ge=1, le=65_536, description="Largest file in KiB")
    notes_only: bool | None = Field(None, description="Write only notes, tempo, meter and end")


class KitFile(Table):
    """A kit file."""

    title: Line | None = None
    channel: int | None = Field(None, ge=1, le=16, description="The MIDI channel, 10 unless said")
    program: int | None = Field(None, ge=0, le=127, description="The drum kit's program number, from 0")
    hand: Literal["right", "left"] | None = Field(None, description="Whose kit it is")
    click: Name | None = Field(None, description="The voice of the click")
    click_accent: Name | None = Field(None, alias="click-accent", description="The voice of the marked click")
    limits: LimitsTable | None = None
    voices: dict[Name, VoiceTable] = Field(min_length=1)


def make_kit(file: KitFile, *, name: str, faulty: Iterable[Path] = ()) -> tuple[Kit | None, list[Fault]]:
    """The kit that a kit file describes, and what is wrong with it as a whole; ``faulty`` is what was taken out."""
    paths = list(faulty)
    broken = {str(path[1]) for path in paths if path[:1] == ("voices",) and path[1:]}
    instead = {key: table.instead for key, table in file.voices.items() if table.instead is not None}
    voices = {
        key: _voice(key, table, table.note)
        for key, table in file.voices.items()
        if key not in instead and table.note is not None
    }
    clicks = {"click": file.click or "click", "click-accent": file.click_accent or "click-accent"}
    faults = _voice_faults(file, voices, broken)
    if not any(voice.limb == "hands" for voice in voices.values()) and not faults and not broken:
        faults.append(Fault("at least one voice that hands play", got="none", path=("voices",)))
    for key, click in clicks.items():
        if click not in {*voices, *broken} and (key,) not in paths:
            faults.append(_click_fault(key, click, voices, said=key.replace("-", "_") in file.model_fields_set))
    if faults:
        return None, faults
    limits = file.limits.said() if file.limits else {}
    kit = Kit(
        name=name,
        voices=voices,
        instead=instead,
        title=file.title or name,
        channel=file.channel or 10,
        program=file.program,
        hand=file.hand or "right",
        click=clicks["click"],
        click_accent=clicks["click-accent"],
        limits=Limits(**limits),
    )
    return kit, []


def _voice_faults(file: KitFile, voices: dict[str, Voice], broken: set[str]) -> list[Fault]:
    """What is wrong with the voices as a whole; those that are ``broken`` have had their faults told."""
    faults: list[Fault] = []
    for key, table in file.voices.items():
        if table.instead is None:
            if table.note is None and key not in broken:
                faults.append(Fault('a "note", or "instead"', got="neither", path=("voices", key)))
            continue
        beside = (other for other in table.said() if other != "instead")
        faults += [Fault('nothing beside "instead"', got=other, path=("voices", key, other)) for other in beside]
        if table.instead not in {*voices, *broken}:
            hint = nearest(table.instead, {*voices, *broken})
            rule, got = "a voice with a note of this kit", f'"{table.instead}"'
            faults.append(Fault(rule, got=got, nearest=hint, path=("voices", key, "instead")))
    return faults


def _click_fault(key: str, click: str, voices: dict[str, Voice], *, said: bool) -> Fault:
    if said:
        return Fault("a voice of this kit", got=f'"{click}"', nearest=nearest(click, voices), path=(key,))
    rule = f'a voice "{key}", or a line {key} = "…" that names one'
    return Fault(rule, got="neither", path=("voices",))


def _voice(name: str, table: VoiceTable, note: int) -> Voice:
    x_cm, y_cm = table.at or (0.0, 0.0)
    return Voice(
        name=name,
        key=note,
        limb=table.played_by or "hands",
        drum=table.kind != "metal",
        x_cm=x_cm,
        y_cm=y_cm,
        width_cm=table.width or 30.0,
        staff=table.staff or "",
        notehead=table.notehead or "",
        choke=table.choke or "",
        velocity=table.velocity or 0,
        pedal=table.pedal,
    )
