"""The phrase file as it is written: its tables and keys, validated strictly, frozen, and equal when they say the same.

What is not said in the file is None here. The JSON Schema that editors use is made of these models.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from drumgen.bar import Across, GraceVoice, Role
from drumgen.phrase import LONGEST_TITLE
from drumgen.practice import MOST_COUNT_IN, MOST_TIMES
from drumgen.spec.fields import Beats, Chained, Listed
from drumgen.spec.limb_fields import FootRule, LevelLines

if TYPE_CHECKING:  # what the fields hold; pydantic is given how they are read
    from drumgen.levels import Hairpin
    from drumgen.meter import Meter
    from drumgen.orchestration import HandMap
    from drumgen.sticking import Sticking
    from drumgen.tempo import Tempo

    BarTempoField = Tempo
    BeatsField = Beats
    ChainedField = Chained
    FootField = FootRule
    HairpinField = Hairpin
    HandField = HandMap
    LevelsField = LevelLines
    MeterField = Meter
    RatioField = tuple[int, int]
    SteadyTempoField = Tempo
    StickingField = Sticking
    SubdivisionField = tuple[str, ...]
else:
    from drumgen.spec.fields import (
        BarTempoField,
        BeatsField,
        ChainedField,
        HairpinField,
        MeterField,
        RatioField,
        SteadyTempoField,
        StickingField,
        SubdivisionField,
    )
    from drumgen.spec.limb_fields import FootField, HandField, LevelsField

MOST_BAR_TABLES = 5_000
"""Different bars of one file: more than hours of music have. How often they are played is another matter."""

Line = Annotated[str, Field(max_length=2000)]
Name = Annotated[str, Field(min_length=1, max_length=100)]
FileName = Annotated[str, Field(min_length=1, max_length=1000)]
"""A file with its folders."""
Velocity = Annotated[int, Field(ge=1, le=127)]
Handed = Literal["right", "left"]
Lead = Literal["R", "L"]
Voices = Annotated[tuple[Name, ...], Listed]


class Table(BaseModel):
    """A table of a phrase or kit file: no unknown keys, no strings for numbers, no infinities."""

    model_config = ConfigDict(
        extra="forbid",
        strict=True,
        frozen=True,
        allow_inf_nan=False,
        arbitrary_types_allowed=True,
        hide_input_in_errors=True,
        defer_build=True,  # one schema for the whole file, made when the first file is read
    )

    def said(self) -> dict[str, Any]:
        """What the file says: the fields that are set and not None, by their names and in their order here."""
        said = ((name, getattr(self, name)) for name in type(self).model_fields if name in self.model_fields_set)
        return {name: value for name, value in said if value is not None}


class SwingTable(Table):
    """``swing = { of = "eighths", ratio = "2:1" }``."""

    of: Literal["eighths", "sixteenths"] = Field(description="The subdivision whose pairs are moved")
    ratio: RatioField


class FeelTable(Table):
    """``[feel]``: how the strokes are moved from their exact places."""

    swing: SwingTable | None = None
    spread_ms: int | None = Field(None, ge=0, le=50, description="Standard deviation of the strokes, in milliseconds")
    seed: int | None = Field(None, ge=0, le=2**32 - 1, description="Another seed spreads differently")
    flam_ms: int | None = Field(None, ge=1, le=200, description="From a flam's grace note to its stroke")
    drag_ms: int | None = Field(None, ge=1, le=200, description="Between a drag's grace notes, and to its stroke")
    buzz_ms: int | None = Field(None, ge=5, le=200, description="Between the bounces of a buzz")


class DynamicsTable(Table):
    """``[dynamics]``: MIDI velocities at mezzo-forte."""

    accent: Velocity | None = None
    normal: Velocity | None = None
    ghost: Velocity | None = None
    grace: Velocity | None = None


class PracticeTable(Table):
    """``[practice]``: the options of the command line, by the same names."""

    tempo: SteadyTempoField | None = None
    times: int | None = Field(None, ge=1, le=MOST_TIMES)
    bars: Name | None = None
    only: Name | None = None
    limbs: Name | None = None
    mute: Voices | None = None
    count_in: int | None = Field(None, ge=0, le=MOST_COUNT_IN, alias="count-in")
    loop: bool | None = None
    click: Name | None = None
    click_voices: Name | None = Field(None, alias="click-voices")
    click_level: Velocity | None = Field(None, alias="click-level")
    click_side: Literal["both", "left", "right"] | None = Field(None, alias="click-side")
    only_click: bool | None = Field(None, alias="only-click")
    ladder: Name | None = None
    rungs: Literal["together", "apart"] | None = None
    gap: Name | None = None
    answer: int | None = Field(None, ge=0, le=64)
    rest: Name | None = None


class HandsTable(Table):
    """``hands.R`` and ``hands.L``: from each hand to a voice."""

    R: HandField | None = None
    L: HandField | None = None


_GRACE_VOICE = (
    "What grace notes are played on. drum, unless said: the stroke's voice if it is a drum, else the grace hand's own; "
    "main: always the stroke's voice; split: always the grace hand's own"
)


class LayerTable(Table):
    """The keys that a bar and a part of a bar share."""

    sticking: StickingField | None = None
    rudiment: Name | None = Field(None, description="One whole cycle of a rudiment, with its rhythm and accents")
    lead: Lead | None = Field(None, description="The hand of the first hand stroke as written")
    start: int | None = Field(None, ge=1, le=1000, description="Begin with this stroke of the sticking")
    across: Across | None = Field(None, description="What the sticking does at the bar line")
    subdivision: SubdivisionField | None = None
    accents: LevelsField | None = None
    ghosts: LevelsField | None = None
    hands: HandsTable | None = None
    feet: dict[Name, FootField] | None = None
    grace_voice: GraceVoice | None = Field(None, description=_GRACE_VOICE)


class PartTable(LayerTable):
    """``[[bars.X.parts]]``: lies over some beats of a bar."""

    beats: BeatsField


class BarTable(LayerTable):
    """``[bars.X]``: one bar."""

    role: Role | None = None
    like: Name | None = Field(None, description="Everything not said here is as in that bar")
    note: Line | None = None
    meter: MeterField | None = None
    tempo: BarTempoField | None = None
    handed: Handed | None = None
    landing: Voices | None = None
    dynamics: HairpinField | None = None
    feel: FeelTable | None = None
    parts: Annotated[tuple[PartTable, ...], Listed] | None = None


class PhraseFile(Table):
    """A phrase file."""

    title: str | None = Field(None, max_length=LONGEST_TITLE)
    note: Line | None = Field(None, description="A line to the player, printed")
    tempo: SteadyTempoField | None = None
    meter: MeterField | None = None
    kit: FileName | None = Field(None, description="A shipped kit, or a path from this file")
    handed: Handed | None = None
    phrase: Annotated[tuple[ChainedField, ...], Listed] = Field(min_length=1, description="The bars, in order")
    landing: Voices | None = Field(None, description="Struck on the downbeat after each fill or pickup")
    feel: FeelTable | None = None
    dynamics: DynamicsTable | None = None
    practice: PracticeTable | None = None
    bars: dict[Name, BarTable] = Field(min_length=1, max_length=MOST_BAR_TABLES)
