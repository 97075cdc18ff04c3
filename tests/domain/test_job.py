"""What a project file says of the job: state, day, notes; and what of that is refused."""

from __future__ import annotations

from typing import Any

import pytest

from domain.problems import BadInput
from domain.spec.job import Stage
from domain.spec.project import read_project
from webapp.usecases.exchange import project_document

JOINT = {"kind": "single_joint", "mark": "A", "breadth": 60, "run": 20, "behind": [60, 60]}
FILE = {"format": "dovetally-project", "version": 1, "name": "Stair gate", "assemblies": [JOINT]}


def test_a_job_goes_out_and_comes_in_as_it_was() -> None:
    said = {
        "state": "delivered",
        "due": "2026-12-18",
        "note": "By lorry,\nnot on a Monday",
        "notes": {"A": "oak from the loft", "A-J1": "dry fit first"},
    }
    project = read_project({**FILE, **said})
    assert project.state is Stage.DELIVERED
    document = project_document(project)
    assert {name: document[name] for name in said} == said
    assert read_project(document) == project


def test_a_file_that_says_nothing_of_it_is_planned_and_stays_as_short() -> None:
    project = read_project(FILE)
    assert (project.state, project.due, project.note, project.notes) == (Stage.PLANNED, None, None, None)
    assert not {"state", "due", "note", "notes"} & set(project_document(project))


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"state": "begun"}, "state: 'begun': must be one of 'asked', 'planned'"),
        ({"state": None}, "state: "),
        ({"due": "18.12.2026"}, "due: '18.12.2026': must match"),
        ({"due": "2026-02-30"}, "due: '2026-02-30': must be a day of the calendar"),
        ({"due": 20261218}, "due: 20261218: must be text"),
        ({"note": "\n \n"}, "must not be empty"),
        ({"note": "x" * 2001}, "must be at most 2000 characters"),
        ({"notes": {"B": "lost"}}, "notes.B: 'B': is no assembly's mark here"),
        ({"notes": {"A-J": "lost"}}, "is no assembly's mark here"),
        ({"notes": {"A": 3}}, "notes.A: 3: must be text"),
        ({"notes": ["A"]}, "must be an object"),
    ],
)
def test_nonsense_is_refused_at_its_place(said: dict[str, Any], why: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_project({**FILE, **said})
    assert why in " ".join(map(str, refused.value.problems))
