"""New assemblies: what their form starts from, which marks they take, all of them added or none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlmodel import Session

from domain.marks import mark_after
from domain.spec.assemblies import Assembly
from webapp.store import Store, items
from webapp.store import assemblies as stored
from webapp.store.assemblies import StoredAssembly
from webapp.store.errors import NotFound, Unreadable
from webapp.store.projects import load_project
from webapp.store.tokens import Sending
from webapp.usecases.booking import Numbers, book_once


@dataclass(frozen=True, slots=True)
class Start:
    """What the form of a new assembly starts from: the mark to offer, and the shop's last assembly of its kind."""

    mark: str
    last: Assembly | None


def start_of(store: Store, project_id: int, kind: str) -> Start:
    """What the form of the project's next assembly starts from. Raises NotFound.

    An assembly that cannot be read is told where it stands; a new form does without it.
    """
    with store.reading() as session:
        mark = stored.next_mark(session, project_id)
        try:
            return Start(mark, stored.last_assembly(session, kind))
        except Unreadable:
            return Start(mark, None)


def shops_woods(store: Store) -> tuple[str, ...]:
    """What the wood of the stockroom is called."""
    with store.reading() as session:
        return items.woods(session)


def last_kind(store: Store) -> str:
    """The kind of the assembly that the shop entered last; "" where there is none."""
    with store.reading() as session:
        return stored.last_kind(session) or ""


@dataclass(frozen=True, slots=True)
class Change:
    """An assembly to be put in the place of one that was opened at ``version``."""

    assembly_id: int
    version: int
    spec: Assembly


def assemblies_of(store: Store, project_id: int) -> tuple[StoredAssembly, ...]:
    """The project's assemblies in their order. Raises NotFound or Unreadable."""
    with store.reading() as session:
        return load_project(session, project_id).assemblies


def save_table(
    store: Store, sent: Sending, project_id: int, changed: Sequence[Change], added: Sequence[Assembly]
) -> Numbers:
    """Change these assemblies and add those, under the marks that are next, in one transaction; the new numbers.

    Raises NotFound, StaleEdit or BadInput, and then nothing is changed or added.
    """

    def act(session: Session) -> Iterator[int]:
        there = {each.id for each in load_project(session, project_id).assemblies}
        for each in changed:
            if each.assembly_id not in there:
                raise NotFound("assembly", each.assembly_id)
            stored.update_assembly(session, each.assembly_id, each.version, each.spec)
        for spec in added:
            mark = stored.next_mark(session, project_id)
            yield stored.add_assembly(session, project_id, stored.under_mark(spec, mark))

    return book_once(store, sent, act)


def marks_in_turn(store: Store, project_id: int, first: str, many: int) -> tuple[str, ...]:
    """The marks of so many new assemblies: ``first``, and after it those that are next. Raises NotFound."""
    with store.reading() as session:
        used = stored.marks_used(session, project_id)
    marks = [first]
    while len(marks) < many:
        marks.append(mark_after((*used, *marks)))
    return tuple(marks)


def marks_in_use(store: Store, project_id: int) -> tuple[str, ...]:
    """The marks of the project's assemblies. Raises NotFound."""
    with store.reading() as session:
        return stored.marks_used(session, project_id)


def add_listed(store: Store, sent: Sending, project_id: int, specs: Sequence[Assembly]) -> Numbers:
    """New assemblies under their own marks, in one transaction, once for each form sent; their numbers.

    Raises NotFound, MarkTaken or BadInput, and then none is added.
    """
    return book_once(
        store, sent, lambda session: [stored.add_assembly(session, project_id, spec) for spec in specs]
    )


def add_assemblies(store: Store, sent: Sending, project_id: int, specs: Sequence[Assembly]) -> Numbers:
    """New assemblies in one transaction, once for each form sent; their numbers.

    The first keeps its mark; the others take the marks that are next as the project stands then. Raises
    NotFound, MarkTaken or BadInput, and then none is added.
    """

    def act(session: Session) -> Iterator[int]:
        for place, spec in enumerate(specs):
            mark = spec.mark if place == 0 else stored.next_mark(session, project_id)
            yield stored.add_assembly(session, project_id, stored.under_mark(spec, mark))

    return book_once(store, sent, act)
