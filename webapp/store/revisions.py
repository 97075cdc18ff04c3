"""Issued revisions of projects: numbered, snapshot and documents kept byte for byte, never changed.

Number, snapshot and documents go in by one transaction, so numbers have neither gaps nor twins. What
comes out is checked against its hash first: a damaged document is refused, not handed out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, func
from sqlalchemy.orm import defer
from sqlmodel import Session, col, select

from webapp.store.errors import DamagedRevision, NotFound
from webapp.store.issued import DocumentHead, DocumentKey, sha256_of
from webapp.store.rows import LARGEST_NUMBER
from webapp.store.tables import RevisionDocumentRow, RevisionRow


@dataclass(frozen=True, slots=True)
class RevisionHead:
    """An issued revision in a list. Its project may be gone by now; ``issued_at`` is in UTC.

    ``program`` is the version that issued it, ``templates`` the hash of its document templates.
    """

    project_id: int
    number: int
    project_name: str
    customer: str | None
    issued_at: datetime
    program: str
    templates: str


@dataclass(frozen=True, slots=True)
class Revision:
    """An issued revision: its snapshot as text, and which documents it has."""

    head: RevisionHead
    snapshot: str
    documents: tuple[DocumentHead, ...]


def next_number(session: Session, project_id: int) -> int:
    """The number that the project's next revision gets: 1, 2, 3 and so on."""
    last = session.exec(select(func.max(RevisionRow.number)).where(RevisionRow.project_id == project_id)).one()
    return (last or 0) + 1


def add_revision(
    session: Session, head: RevisionHead, snapshot: str, documents: Mapping[DocumentKey, bytes]
) -> None:
    """Keep a revision for good, under the number that ``next_number`` gave in the same transaction."""
    row = RevisionRow(
        project_id=head.project_id,
        number=head.number,
        project_name=head.project_name,
        customer=head.customer,
        issued_at=head.issued_at,
        program=head.program,
        templates=head.templates,
        snapshot=snapshot,
        snapshot_sha256=sha256_of(snapshot),
    )
    session.add(row)
    session.flush()
    assert row.id is not None
    session.add_all(
        RevisionDocumentRow(revision_id=row.id, kind=kind, paper=paper, sha256=sha256_of(body), body=body)
        for (kind, paper), body in documents.items()
    )
    session.flush()


def list_revisions(session: Session, project_id: int | None = None) -> tuple[RevisionHead, ...]:
    """The project's revisions, or those of every project; the one issued last first."""
    query = select(RevisionRow).options(defer(RevisionRow.snapshot))  # type: ignore[arg-type]
    if project_id is not None:
        query = query.where(RevisionRow.project_id == project_id)
    return tuple(_head(row) for row in session.exec(query.order_by(col(RevisionRow.id).desc())))


def revisions_with(session: Session, kind: str, project_id: int | None = None) -> tuple[RevisionHead, ...]:
    """The revisions, of one project or of all, that have a document of this kind; the one issued last first."""
    having = select(RevisionDocumentRow.revision_id).where(RevisionDocumentRow.kind == kind)
    query = select(RevisionRow).options(defer(RevisionRow.snapshot)).where(col(RevisionRow.id).in_(having))  # type: ignore[arg-type]
    if project_id is not None:
        query = query.where(RevisionRow.project_id == project_id)
    return tuple(_head(row) for row in session.exec(query.order_by(col(RevisionRow.id).desc())))


def load_revision(session: Session, project_id: int, number: int) -> Revision:
    """One revision. Raises NotFound, or DamagedRevision where its snapshot is not what was stored."""
    row = None
    if _possible(project_id, number):
        row = session.exec(select(RevisionRow).where(*_is(project_id, number))).first()
    if row is None:
        raise NotFound("revision", number)
    if sha256_of(row.snapshot) != row.snapshot_sha256:
        raise DamagedRevision(number, "snapshot")
    documents = session.exec(
        select(RevisionDocumentRow, func.length(RevisionDocumentRow.body))
        .options(defer(RevisionDocumentRow.body))  # type: ignore[arg-type]
        .where(RevisionDocumentRow.revision_id == row.id)
    )
    heads = (DocumentHead(document.kind, document.paper, document.sha256, size) for document, size in documents)
    return Revision(_head(row), row.snapshot, tuple(sorted(heads, key=lambda head: (head.kind, head.paper))))


def load_document(session: Session, project_id: int, number: int, kind: str, paper: str) -> bytes:
    """A document's bytes as they were issued.

    Raises NotFound, or DamagedRevision where they no longer have the hash that was stored with them.
    """
    row = None
    if _possible(project_id, number):
        revision_id = select(RevisionRow.id).where(*_is(project_id, number)).scalar_subquery()
        row = session.exec(
            select(RevisionDocumentRow).where(
                RevisionDocumentRow.revision_id == revision_id,
                RevisionDocumentRow.kind == kind,
                RevisionDocumentRow.paper == paper,
            )
        ).first()
    if row is None:
        raise NotFound(f"{kind} on {paper} in revision", number)
    if sha256_of(row.body) != row.sha256:
        raise DamagedRevision(number, kind)
    return row.body


def _possible(project_id: int, number: int) -> bool:
    return max(project_id, number) <= LARGEST_NUMBER


def _is(project_id: int, number: int) -> tuple[ColumnElement[bool], ...]:
    return col(RevisionRow.project_id) == project_id, col(RevisionRow.number) == number


def _head(row: RevisionRow) -> RevisionHead:
    return RevisionHead(
        row.project_id,
        row.number,
        row.project_name,
        row.customer,
        row.issued_at,
        row.program,
        row.templates,
    )
