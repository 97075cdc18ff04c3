"""The parts list of one project or several, and what somebody changes on it."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import Session

from domain.cut_list.listing import CutList, Job, cut_list
from domain.spec.wood import PartChange
from webapp.store import Store
from webapp.store import projects as stored
from webapp.store.tokens import Sending
from webapp.usecases.booking import change_once
from webapp.usecases.projects import PlannedProject


def job_of(project: PlannedProject) -> Job:
    """A planned project as the list takes it; assemblies whose sizes clash have no parts."""
    return Job(
        project.head.name,
        tuple(
            (each.stored.spec, None if each.takeoff is None else each.takeoff.expansion)
            for each in project.assemblies
        ),
        project.rules,
        tuple(project.bench.parts.items()),
    )


def parts_list(projects: Sequence[PlannedProject]) -> CutList:
    """Everything to cut of these projects."""
    return cut_list([job_of(project) for project in projects])


def change_part(
    store: Store, sent: Sending, project_id: int, version: int, mark: str, change: PartChange | None
) -> None:
    """Keep a change of one part, or with None what the plan has; once for each form sent.

    A change that says nothing is none. Raises NotFound or StaleEdit.
    """

    def act(session: Session) -> None:
        changes = dict(stored.load_project(session, project_id).project.parts or {})
        changes.pop(mark, None)
        if change is not None and change != PartChange():
            changes[mark] = change
        stored.update_parts(session, project_id, version, changes)

    change_once(store, sent, act)
