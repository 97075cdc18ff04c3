"""A new project that is what another one is, or what a revision of one was."""

from __future__ import annotations

from domain.spec.project import Project
from webapp.store import Store
from webapp.store.photographs import copy_photographs
from webapp.store.projects import create_project, load_project
from webapp.store.revisions import load_revision
from webapp.store.tokens import Sending, once
from webapp.usecases.snapshots import read_snapshot, spec_of
from webapp.wording.letters import check_fields

LONGEST_NAME = 120


def copy_of_project(store: Store, project_id: int) -> Project:
    """What a duplicate of the project would be, under a name to begin with. Raises NotFound."""
    with store.reading() as session:
        project = load_project(session, project_id).project
    return _named(project, _with_ending(project.name, " (copy)"))


def copy_of_revision(store: Store, project_id: int, number: int) -> Project:
    """A new project that is what the revision was, with its sections and rules as its own.

    Raises NotFound or DamagedRevision.
    """
    with store.reading() as session:
        project = spec_of(read_snapshot(load_revision(session, project_id, number).snapshot))
    return _named(project, _with_ending(project.name, " (repeat)"))


def create_copy(store: Store, sent: Sending, copy: Project, name: str, original: int | None = None) -> int:
    """Store the copy under ``name``, once for each form sent; its number. Raises BadInput for the name.

    It takes over the photographs of the project ``original``, where it is a duplicate of one.
    """
    check_fields([(("name",), name)])

    def act() -> str:
        number = create_project(session, _named(copy, name))
        if original is not None:
            copy_photographs(session, original, number)
        return str(number)

    with store.writing() as session:
        outcome, _ = once(session, sent, act)
    return int(outcome)


def _with_ending(name: str, ending: str) -> str:
    return name[: LONGEST_NAME - len(ending)] + ending


def _named(project: Project, name: str) -> Project:
    return project.model_copy(update={"name": name})
