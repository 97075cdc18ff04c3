"""Cut lists of project files as people write them, and of the demo."""

from __future__ import annotations

import json
from typing import Any

from domain.assemblies.expand import expand
from domain.cut_list.listing import CutList, Group, Job, cut_list
from domain.cut_list.part import CutPart
from domain.project_file import read_project_file
from domain.spec.project import Project
from domain.spec.rules import Rules
from tests.domain.builders import Json, read
from tests.workshop import SHIPPED


def job(project: Project) -> Job:
    """A project as the list takes it, with its own rules or the usual ones."""
    return Job(
        project.name,
        tuple((spec, expand(spec, project.keys)) for spec in project.assemblies),
        project.rules or Rules(),
        tuple((project.parts or {}).items()),
    )


def listed(*assemblies: Json, **more: Any) -> CutList:
    return cut_list([job(read(*assemblies, **more))])


def demo_job(name: str) -> Job:
    return job(read_project_file(json.loads((SHIPPED / f"{name}.json").read_text(encoding="utf-8"))))


def part_of(found: CutList, mark: str, source: int = 0) -> CutPart:
    (part,) = [part for part in found.parts if (part.source, part.mark) == (source, mark)]
    return part


def group_of(found: CutList, item: str) -> Group:
    (group,) = [group for group in found.groups if group.item == item]
    return group
