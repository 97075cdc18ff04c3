"""Reading a project file whole: every problem named, those of its fields and those between its sizes."""

from __future__ import annotations

from domain.assemblies.expand import check_assembly
from domain.problems import BadInput, Problem
from domain.spec.project import Project, assemblies_that_read, read_project
from domain.takeoff.build import check_assemblies


def read_project_file(data: object) -> Project:
    """A project from parsed JSON. Raises BadInput with every problem in it.

    Where some fields are bad, the assemblies that can be read are checked all the same, so that
    one round of mending is enough.
    """
    problems: list[Problem] = []
    try:
        project = read_project(data)
    except BadInput as refusal:
        problems += refusal.problems
        for index, assembly in assemblies_that_read(data):
            problems += [found.under("assemblies", index) for found in check_assembly(assembly)]
        raise BadInput(problems) from None
    problems += check_assemblies(project)
    if problems:
        raise BadInput(problems)
    return project
