"""A project document planned as it stands, without a store: the API and the command line."""

from __future__ import annotations

from collections.abc import Sequence

from domain.problems import BadInput
from domain.project_file import read_project_file
from domain.spec.catalogue import Section
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.spec.starts import Starts
from domain.takeoff.build import check_pins, take_off
from domain.takeoff.takeoff import Takeoff


def plan_document(
    document: object,
    sections: Sequence[Section] | None = None,
    rules: Rules | None = None,
    starts: Starts = (),
) -> tuple[Project, Takeoff]:
    """The project of a parsed document and its takeoff.

    Sections, rules and starts that the document lacks are these; without any, the demo catalogue's and the
    usual rules. Raises BadInput with everything wrong in the document.
    """
    project = read_project_file(document)
    if project.sections is None and sections is None:
        from webapp.usecases.demo import demo_catalogue

        sections = demo_catalogue()
    used = project.sections or tuple(sections or ())
    problems = tuple(check_pins(project, used))
    if problems:
        raise BadInput(problems)
    return project, take_off(project, used, rules or Rules(), starts)
