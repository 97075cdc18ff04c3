"""Several assemblies entered at once: which marks they take, and all of them added or none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlmodel import Session

from domain.spec.assemblies import Assembly
from webapp.store import Store
from webapp.store import projects as stored
from webapp.store.marks import mark_after
from webapp.store.tokens import Sending
from webapp.usecases.booking import Numbers, book_once


def marks_in_turn(store: Store, project_id: int, first: str, many: int) -> tuple[str, ...]:
    """The marks of so many new assemblies: ``first``, and after it those that are next. Raises NotFound."""
    with store.reading() as session:
        used = stored.marks_used(session, project_id)
    marks = [first]
    while len(marks) < many:
        marks.append(mark_after((*used, *marks)))
    return tuple(marks)


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
