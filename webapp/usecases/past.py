"""What used to be, as the pages need it: the bin, a project's history, the way back from an edit.

Every function that changes something has committed it when it returns.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta

from sqlmodel import Session

from domain.spec.assemblies import Assembly
from domain.spec.project import MOST_ASSEMBLIES
from webapp.store import Store, projects
from webapp.store.engine import now
from webapp.store.errors import NotFound
from webapp.store.past_errors import Full
from webapp.store.past_kinds import KINDS
from webapp.store.past_lines import Line, Lines, kept_lines
from webapp.store.past_reading import Binned, Edit, edit_with, edits_of, head_of, in_bin, to_undo
from webapp.store.past_upkeep import empty_bin
from webapp.store.projects import ProjectHead
from webapp.store.specs import read_assembly
from webapp.store.tokens import Sending
from webapp.store.undoing import bring_state_back, take_out_of_bin, undo
from webapp.usecases.booking import book_once

PROJECT = "project"
_OWN_MEASURES = frozenset({PROJECT, "supplier"})
"""Kinds of things that say in which units or currency they are read."""
_NUMBERS = tuple(KINDS)


@dataclass(frozen=True, slots=True)
class History:
    """A project and its edits, the newest first; ``undo`` is the one that is undone next, if there is one."""

    head: ProjectHead
    edits: tuple[Edit, ...]
    undo: Edit | None


@dataclass(frozen=True, slots=True)
class FormEdit:
    """What a form changed; ``heads`` are the rows, as they were kept last, of things with units or currency."""

    edit: Edit
    heads: Mapping[tuple[str, int], Line]


@dataclass(frozen=True, slots=True)
class PastState:
    """A project as it stood after an edit: its head's row, its assemblies in their order."""

    head: ProjectHead
    edit: Edit
    name: str
    assemblies: tuple[Assembly, ...]
    lines: Lines
    now: Lines


def bin_of(store: Store) -> tuple[Binned, ...]:
    """What lies in the bin, what was deleted last first."""
    with store.reading() as session:
        return in_bin(session)


def bring_back(store: Store, sent: Sending, row: int) -> tuple[int, int]:
    """Take something out of the bin, once for each form sent; what it is, as ``thing`` reads it.

    Raises what ``undoing`` refuses.
    """
    return _back(store, sent, lambda session: take_out_of_bin(session, row))


def empty(store: Store, sent: Sending) -> None:
    """Let go of all that lies in the bin."""

    def act(session: Session) -> tuple[int, ...]:
        empty_bin(session, now(session) + timedelta(microseconds=1))
        return ()

    book_once(store, sent, act)


def undo_edit(store: Store, sent: Sending, edit: int) -> tuple[int, int]:
    """Undo an edit, once for each form sent; the first thing it was about. Raises what ``undoing`` refuses."""
    return _back(store, sent, lambda session: undo(session, edit)[0])


def bring_project_back(store: Store, sent: Sending, project_id: int, edit: int) -> None:
    """Let a project be as it was after an edit. Raises what ``undoing`` refuses, or NotFound."""

    def act(session: Session) -> tuple[str, int]:
        projects.project_version(session, project_id)
        bring_state_back(session, PROJECT, project_id, edit)
        return PROJECT, project_id

    _back(store, sent, act)


def thing(numbers: tuple[int, ...]) -> tuple[str, int]:
    """The kind and the number that two numbers tell; 0 is the number of what is not there any more."""
    return _NUMBERS[numbers[0]], numbers[1]


def history(store: Store, project_id: int, before: int | None = None) -> History:
    """A project's edits, the newest first, or those before one. Raises NotFound."""
    with store.reading() as session:
        head = projects.load_project(session, project_id).head
        newest = edits_of(session, PROJECT, project_id)
        edits = newest if before is None else edits_of(session, PROJECT, project_id, before)
        return History(head, edits, to_undo(newest))


def state_after(store: Store, project_id: int, edit: int) -> PastState:
    """A project as it stood after one of its edits. Raises NotFound, or Unreadable."""
    with store.reading() as session:
        head = projects.load_project(session, project_id).head
        found = next((each for each in edits_of(session, PROJECT, project_id, edit + 1)), None)
        lines = kept_lines(session, PROJECT, project_id, edit)
        row = lines.get((PROJECT, str(project_id)))
        if found is None or found.number != edit or row is None:
            raise NotFound("state", edit)
        rows = [line for (table, _), line in lines.items() if table == "assembly"]
        assemblies = tuple(
            read_assembly(line["id"], line["kind"], line["spec_json"])
            for line in sorted(rows, key=lambda line: (line["position"], line["id"]))
        )
        now_kept = kept_lines(session, PROJECT, project_id)
        return PastState(head, found, row["name"], assemblies, lines, now_kept)


def edit_of_form(store: Store, token: str) -> FormEdit | None:
    """What the form of that token changed, where it can be undone; None elsewhere."""
    with store.reading() as session:
        edit = edit_with(session, token)
        if edit is None:
            return None
        things = {(each.kind, each.number) for each in edit.changed if each.kind in _OWN_MEASURES}
        return FormEdit(edit, {thing: head_of(session, *thing) for thing in things})


def _back(store: Store, sent: Sending, act: Callable[[Session], tuple[str, int]]) -> tuple[int, int]:
    def acted(session: Session) -> tuple[int, int]:
        kind, number = act(session)
        if kind != PROJECT:
            return _NUMBERS.index(kind), number
        try:
            whole = projects.load_project(session, number)
        except NotFound:
            return _NUMBERS.index(kind), 0
        if len(whole.assemblies) > MOST_ASSEMBLIES:
            raise Full(MOST_ASSEMBLIES)
        return _NUMBERS.index(kind), number

    kind, number = book_once(store, sent, acted)
    return kind, number
