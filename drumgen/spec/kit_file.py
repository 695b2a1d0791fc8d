"""The kit file: its tables and keys, validated strictly, and the kit that they describe."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from drumgen.errors import Fault, nearest
from drumgen.kit import Kit, Limits, PlayedBy, Voice
from drumgen.spec.phrase_file import Line, Name, Table

Centimetres = Annotated[float, Field(ge=-500, le=500)]
StaffStep = Annotated[str, Field(pattern=r"^[A-G][3-6]$")]
Notehead = Literal["normal", "x", "circle-x", "diamond", "triangle", "slashed"]


class VoiceTable(Table):
    """``[voices.NAME]``: one voice, or which other voice is played instead of one the kit lacks."""

    note: int | None = Field(None, ge=0, le=127, description="The MIDI note")
    played_by: PlayedBy | None = Field(None, description="What plays it: hands (unsaid too) or a foot")
    kind: Literal["drum", "metal"] | None = Field(None, description="A drum (unsaid too) or metal: cymbals and bells")
    at: tuple[Centimetres, Centimetres] | None = Field(
        None, strict=False, description="Its place on the plan in centimetres: to the player's right, and away"
    )
    width: float | None = Field(None, gt=0, le=200, description="Its striking width in centimetres")
    staff: Annotated[str, Field(pattern=r"^[A-G][3-6]$")] | None = Field(
        None, description="Its place, as in treble clef"
    )
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


def make_kit(file: KitFile, *, name: str) -> tuple[Kit | None, list[Fault]]:
    """The kit that a kit file describes, and what is wrong with it as a whole."""
    faults: list[Fault] = []
    voices: dict[str, Voice] = {}
    instead: dict[str, str] = {}
    for key, table in file.voices.items():
        if table.instead is not None:
            instead[key] = table.instead
            faults += [
                Fault('nothing beside "instead"', got=other, path=("voices", key, other))
                for other in table.said()
                if other != "instead"
            ]
        elif table.note is None:
            faults.append(Fault('a "note", or "instead"', got="neither", path=("voices", key)))
        else:
            voices[key] = _voice(key, table, table.note)
    for key, other in instead.items():
        if other not in voices:
            hint = nearest(other, voices)
            rule = "a voice with a note of this kit"
            faults.append(Fault(rule, got=f'"{other}"', nearest=hint, path=("voices", key, "instead")))
    if not any(voice.limb == "hands" for voice in voices.values()) and not faults:
        faults.append(Fault("at least one voice that hands play", got="none", path=("voices",)))
    clicks = {"click": file.click or "click", "click-accent": file.click_accent or "click-accent"}
    for key, click in clicks.items():
        if click not in voices:
            path = (key,) if key.replace("-", "_") in file.model_fields_set else ("voices",)
            faults.append(Fault(f"a voice for the {key}", got=f'no "{click}"', path=path))
    if faults:
        return None, faults
    limits = {key: value for key, value in (file.limits.said() if file.limits else {}).items() if value is not None}
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
