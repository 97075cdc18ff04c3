"""A project in inches is laid out in the steps of a fence that is marked in inches, where the shop has one."""

from __future__ import annotations

from typing import Any

import pytest

from domain.advice.advise import advised
from domain.lengths import NM_PER_INCH, Length, Units
from domain.reading import read
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.build import take_off

SECTION = {
    "name": "9", "waist": 6.9, "half_depth": 4.3, "flank": 13, "tip_diameter": 8.95, "lengths": [13, 22],
    "drive_limit": 40, "stock_from": 10, "stock_to": 30, "reach_limit": 40,
}  # fmt: skip
FRAME = {
    "kind": "mitred_frame", "mark": "A", "measure": "outside", "width": "14 1/2 in", "height": "11 in",
    "stock": {"width": "1 11/16 in", "thickness": "3/4 in"},
}  # fmt: skip


def project(units: str, **rules: Any) -> Project:
    return read(
        Project,
        {
            "format": "dovetally-project",
            "version": 1,
            "name": "Prints",
            "units": units,
            "sections": [SECTION],
            "rules": rules,
            "assemblies": [FRAME],
        },
    )


def centres(one: Project) -> tuple[Length, ...]:
    (assembly,) = take_off(one, (), Rules()).assemblies
    (joint,) = assembly.joints
    assert joint.plan is not None
    return tuple(Length.from_mm(centre) for centre in joint.plan.centres)


def test_centres_are_whole_64ths_in_inches_and_half_millimetres_otherwise() -> None:
    sixty_fourth = NM_PER_INCH // 64
    in_inches = centres(project("in", inch_setting_step="1/64"))
    assert in_inches
    assert [centre.nm % sixty_fourth for centre in in_inches] == [0] * len(in_inches)
    for other in (project("mm", inch_setting_step="1/64"), project("in")):
        assert [centre.nm % 500_000 for centre in centres(other)] == [0] * len(in_inches)


def test_advice_is_planned_in_the_same_steps() -> None:
    one = project("in", inch_setting_step="1/32")
    planned = take_off(one, (), Rules())
    assert advised(one, planned, (), Rules()).assemblies[0].joints[0].plan == planned.assemblies[0].joints[0].plan


@pytest.mark.parametrize("units", Units)
def test_without_a_step_of_its_own_nothing_changes(units: Units) -> None:
    rules = Rules.model_validate({"setting_step": 0.7})
    assert rules.in_units(units) is rules
