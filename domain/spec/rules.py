"""The shop's rules. Every default is common practice (no published source) and the shop may change it."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field, StrictBool

from domain.lengths import ZERO, Length, Units
from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.spec.fields import Number, Room, Size, Spec

Minutes = Annotated[Number, Field(ge=0, le=1_000)]

Kilograms = Annotated[Number, Field(ge=0, le=1_000)]

Seconds = Annotated[Number, Field(ge=1, le=86_400)]

LONGEST_STROKE = Length.from_mm(300)


def _within_reach(stroke: Length) -> Length:
    if stroke > LONGEST_STROKE:
        raise Refused(ProblemCode.TOO_LARGE, most=LONGEST_STROKE.mm)
    return stroke


class ChangeMinutes(Spec):
    """What each change at the machine costs, in minutes."""

    cutter: Minutes = 10
    projection: Minutes = 5
    fence: Minutes = 4
    fence_reading: Minutes = 1
    depth_stop: Minutes = 1
    clamp_height: Minutes = 0.5


class Rules(Spec):
    """How much wood must stay, how keys sit, what the machine can do, what is bought on top."""

    wall: Size = Length.from_mm(2)
    short_grain_wall: Size = Length.from_mm(2.5)
    sheet_wall: Size = Length.from_mm(2.3)
    skin: Size = Length.from_mm(1.5)
    web: Size = Length.from_mm(2)
    preload: Room = Length.from_mm(0.1)
    squeeze_limit: Size = Length.from_mm(0.25)
    recess: Room = Length.from_mm(0.5)
    least_recess: Room = Length.from_mm(0.3)
    plug_proud: Room = Length.from_mm(0.5)
    stroke: Annotated[Size, AfterValidator(_within_reach)] = Length.from_mm(90)
    setting_step: Room = Length.from_mm(0.5)
    inch_setting_step: Room | None = None
    scale_tip_diameter: Size | None = None
    hold_target: Annotated[Number, Field(ge=0, le=1)] = 0.8
    test_joints: Annotated[int, Field(strict=True, ge=0, le=100)] = 1
    cross_grooves: StrictBool = True
    spare: Annotated[Number, Field(ge=0, le=10)] = 0.05
    glue_spread: Annotated[Number, Field(ge=0, le=2_000)] = 200
    kerf: Room = Length.from_mm(3.2)
    trim: Room = ZERO
    least_offcut: Room = Length.from_mm(300)
    fence_clearance: Room = Length.from_mm(2)
    least_piece: Room = Length.from_mm(150)
    longest_piece: Room = Length.from_mm(1200)
    heaviest_piece: Kilograms = 12
    sag_limit: Annotated[int, Field(strict=True, ge=20, le=10_000)] = 300
    length_allowance: Room = ZERO
    width_allowance: Room = ZERO
    thickness_allowance: Room = ZERO
    waste: Annotated[Number, Field(ge=0, le=3)] = 0.15
    creep: Annotated[Number, Field(ge=1, le=10)] = 2
    mitre_gap: Room = Length.from_mm(0.2)
    panel_cover: Room = Length.from_mm(3)
    cross_grain_limit: Room = Length.from_mm(1)
    milling_minutes: Minutes = 0.5
    driving_minutes: Minutes = 0.25
    open_seconds: Seconds = 480
    change_minutes: ChangeMinutes = ChangeMinutes()

    def in_units(self, units: Units) -> Rules:
        """The rules for a project in these units: in inches the fence's step is its own, where it has one."""
        if units is Units.MM or self.inch_setting_step is None or self.inch_setting_step == self.setting_step:
            return self
        return self.model_copy(update={"setting_step": self.inch_setting_step})
