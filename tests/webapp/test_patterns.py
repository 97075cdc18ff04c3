"""What of a project a pattern keeps, and what belongs to the one job and stays out."""

from __future__ import annotations

import json

import pytest

from domain.spec.job import Stage
from domain.spec.patterns import assembly_of, pattern_of, pattern_of_assembly
from domain.spec.project import Project, read_project
from tests.factories import a_frame, a_project
from tests.webapp.store.store_samples import one_of_each_kind
from webapp.usecases.exchange import project_document, project_text


def of_a_job() -> Project:
    return a_project(
        a_frame("A", keys={"count": 2}),
        customer="Ada",
        currency="EUR",
        rules={"wall": 2.4},
        climate={"from": {"moisture": 9}, "to": {"moisture": 11}},
        stock=[{"item": "ash 45 × 20", "stock": [{"length": 2150}]}],
        parts={"A1": {"rough_length": 431, "note": "straight grain"}, "A2": {"note": "knots out"}},
        state="built",
        due="2026-12-18",
        note="ring first",
        notes={"A": "left of the door"},
        quote={"rate": 4720},
        keys={"section": "10", "count": 3, "plug": {"material": "wenge", "height": 2.5}},
    )


def test_what_belongs_to_the_job_stays_out() -> None:
    told = project_document(pattern_of(of_a_job()))
    assert told.keys() == {
        "format", "version", "name", "units", "currency", "rules", "parts", "keys", "assemblies"
    }  # fmt: skip
    assert told["parts"] == {"A1": {"rough_length": 431}}


def test_sizes_woods_keys_plugs_and_rules_stay() -> None:
    project, pattern = of_a_job(), pattern_of(of_a_job())
    for name in ("assemblies", "keys", "rules", "sections", "starts", "units"):
        assert getattr(pattern, name) == getattr(project, name)
    assert pattern.state is Stage.PLANNED


@pytest.mark.parametrize("place", range(5))
def test_an_assembly_of_every_kind_comes_back_from_its_file(place: int) -> None:
    project = one_of_each_kind()
    spec = project.assemblies[place]
    text = project_text(pattern_of_assembly(project, spec))
    again = read_project(json.loads(text))
    assert again.assemblies == (spec,)
    assert assembly_of(again) == spec
    assert project_text(again) == text


def test_what_the_project_pins_comes_with_its_assembly() -> None:
    project = of_a_job()
    keys = assembly_of(pattern_of_assembly(project, project.assemblies[0])).keys
    assert keys is not None
    assert (keys.section, keys.count) == ("10", 2)  # its own count goes before the project's
    assert keys.plug == project.keys.plug
