"""Issued revisions of projects: numbered, snapshot and documents kept byte for byte, never changed.

Number, snapshot and documents go in by one transaction, so numbers have neither gaps nor twins. What
comes out is checked against its hash first: a damaged document is refused, not handed out.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, func
from sqlalchemy.orm import defer
from sqlmodel import Session, col, select

from webapp.store.errors import DamagedIssue, NotFound
from webapp.store.rows import LARGEST_NUMBER
from webapp.store.tables import IssuedDocumentRow, IssueRow

DocumentKey = tuple[str, str]
"""A document's kind and paper."""


@dataclass(frozen=True, slots=True)
class IssueHead:
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
class DocumentHead:
    """An issued document without its bytes, which ``size`` counts."""

    kind: str
    paper: str
    sha256: str
    size: int


@dataclass(frozen=True, slots=True)
class Issue:
    """An issued revision: its snapshot as text, and which documents it has."""

    head: IssueHead
    snapshot: str
    documents: tuple[DocumentHead, ...]


def next_number(session: Session, project_id: int) -> int:
    """The number that the project's next revision gets: 1, 2, 3 and so on."""
    last = session.exec(select(func.max(IssueRow.number)).where(IssueRow.project_id == project_id)).one()
    return (last or 0) + 1


def add_issue(session: Session, head: IssueHead, snapshot: str, documents: Mapping[DocumentKey, bytes]) -> None:
    """Keep a revision for good, under the number that ``next_number`` gave in the same transaction."""
    row = IssueRow(
        project_id=head.project_id,
        number=head.number,
        project_name=head.project_name,
        customer=head.customer,
        issued_at=head.issued_at,
        program=head.program,
        templates=head.templates,
        snapshot=snapshot,
        snapshot_sha256=_sha256(snapshot.encode()),
    )
    session.add(row)
    session.flush()
    assert row.id is not None
    session.add_all(
        IssuedDocumentRow(issue_id=row.id, kind=kind, paper=paper, sha256=_sha256(body), body=body)
        for (kind, paper), body in documents.items()
    )
    session.flush()


def list_issues(session: Session, project_id: int | None = None) -> tuple[IssueHead, ...]:
    """The project's revisions, or those of every project; the one issued last first."""
    query = select(IssueRow).options(defer(IssueRow.snapshot))  # type: ignore[arg-type]
    if project_id is not None:
        query = query.where(IssueRow.project_id == project_id)
    return tuple(_head(row) for row in session.exec(query.order_by(col(IssueRow.id).desc())))


def issues_with(session: Session, kind: str, project_id: int | None = None) -> tuple[IssueHead, ...]:
    """The revisions, of one project or of all, that have a document of this kind; the one issued last first."""
    having = select(IssuedDocumentRow.issue_id).where(IssuedDocumentRow.kind == kind)
    query = select(IssueRow).options(defer(IssueRow.snapshot)).where(col(IssueRow.id).in_(having))  # type: ignore[arg-type]
    if project_id is not None:
        query = query.where(IssueRow.project_id == project_id)
    return tuple(_head(row) for row in session.exec(query.order_by(col(IssueRow.id).desc())))


def load_issue(session: Session, project_id: int, number: int) -> Issue:
    """One revision. Raises NotFound, or DamagedIssue where its snapshot is not what was stored."""
    row = None
    if _possible(project_id, number):
        row = session.exec(select(IssueRow).where(*_is(project_id, number))).first()
    if row is None:
        raise NotFound("revision", number)
    if _sha256(row.snapshot.encode()) != row.snapshot_sha256:
        raise DamagedIssue(number, "snapshot")
    documents = session.exec(
        select(IssuedDocumentRow, func.length(IssuedDocumentRow.body))
        .options(defer(IssuedDocumentRow.body))  # type: ignore[arg-type]
        .where(IssuedDocumentRow.issue_id == row.id)
    )
    return Issue(
        _head(row),
        row.snapshot,
        tuple(DocumentHead(document.kind, document.paper, document.sha256, size) for document, size in documents),
    )


def load_document(session: Session, project_id: int, number: int, kind: str, paper: str) -> bytes:
    """A document's bytes as they were issued.

    Raises NotFound, or DamagedIssue where they no longer have the hash that was stored with them.
    """
    row = None
    if _possible(project_id, number):
        issue_id = select(IssueRow.id).where(*_is(project_id, number)).scalar_subquery()
        row = session.exec(
            select(IssuedDocumentRow).where(
                IssuedDocumentRow.issue_id == issue_id,
                IssuedDocumentRow.kind == kind,
                IssuedDocumentRow.paper == paper,
            )
        ).first()
    if row is None:
        raise NotFound(f"{kind} on {paper} in revision", number)
    if _sha256(row.body) != row.sha256:
        raise DamagedIssue(number, kind)
    return row.body


def _possible(project_id: int, number: int) -> bool:
    return max(project_id, number) <= LARGEST_NUMBER


def _is(project_id: int, number: int) -> tuple[ColumnElement[bool], ...]:
    return col(IssueRow.project_id) == project_id, col(IssueRow.number) == number


def _head(row: IssueRow) -> IssueHead:
    return IssueHead(
        row.project_id,
        row.number,
        row.project_name,
        row.customer,
        row.issued_at,
        row.program,
        row.templates,
    )


def _sha256(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()
