"""Issued quotes: numbered through the shop, snapshot and papers kept byte for byte, never changed.

Number, snapshot and papers go in by one transaction, so numbers have neither gaps nor twins. What comes out is
checked against its hash first, as an issued revision is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func
from sqlalchemy.orm import defer
from sqlmodel import Session, col, select

from webapp.store.errors import DamagedQuote, NotFound
from webapp.store.issued import DocumentHead, DocumentKey, sha256_of
from webapp.store.quote_tables import QuoteDocumentRow, QuoteRow
from webapp.store.rows import LARGEST_NUMBER


@dataclass(frozen=True, slots=True)
class QuoteHead:
    """An issued quote in a list. Its project may be gone by now; ``issued_at`` is in UTC.

    ``total`` is what the customer is asked, in whole minor units of ``currency``, tax within; ``valid_until`` is
    the last day on which the shop stands by it. ``program`` and ``templates`` tell what it was set with.
    """

    number: int
    project_id: int
    project_name: str
    customer: str | None
    currency: str
    total: int
    issued_at: datetime
    valid_until: date
    program: str
    templates: str


@dataclass(frozen=True, slots=True)
class IssuedQuote:
    """An issued quote: its snapshot as text, and which papers it has."""

    head: QuoteHead
    snapshot: str
    documents: tuple[DocumentHead, ...]


def next_number(session: Session) -> int:
    """The number that the shop's next quote gets: 1, 2, 3 and so on."""
    return (session.exec(select(func.max(QuoteRow.number))).one() or 0) + 1


def add_quote(session: Session, head: QuoteHead, snapshot: str, documents: Mapping[DocumentKey, bytes]) -> None:
    """Keep a quote for good, under the number that ``next_number`` gave in the same transaction."""
    row = QuoteRow(
        number=head.number,
        project_id=head.project_id,
        project_name=head.project_name,
        customer=head.customer,
        currency=head.currency,
        total_minor=head.total,
        issued_at=head.issued_at,
        valid_until=head.valid_until,
        program=head.program,
        templates=head.templates,
        snapshot=snapshot,
        snapshot_sha256=sha256_of(snapshot),
    )
    session.add(row)
    session.flush()
    assert row.id is not None
    session.add_all(
        QuoteDocumentRow(quote_id=row.id, kind=kind, paper=paper, sha256=sha256_of(body), body=body)
        for (kind, paper), body in documents.items()
    )
    session.flush()


def list_quotes(session: Session, project_id: int | None = None) -> tuple[QuoteHead, ...]:
    """The project's quotes, or those of every project; the one issued last first."""
    query = select(QuoteRow).options(defer(QuoteRow.snapshot))  # type: ignore[arg-type]
    if project_id is not None:
        query = query.where(QuoteRow.project_id == project_id)
    return tuple(_head(row) for row in session.exec(query.order_by(col(QuoteRow.number).desc())))


def load_quote(session: Session, number: int) -> IssuedQuote:
    """One quote. Raises NotFound, or DamagedQuote where its snapshot is not what was stored."""
    row = None
    if number <= LARGEST_NUMBER:
        row = session.exec(select(QuoteRow).where(QuoteRow.number == number)).first()
    if row is None:
        raise NotFound("quote", number)
    if sha256_of(row.snapshot) != row.snapshot_sha256:
        raise DamagedQuote(number, "snapshot")
    documents = session.exec(
        select(QuoteDocumentRow, func.length(QuoteDocumentRow.body))
        .options(defer(QuoteDocumentRow.body))  # type: ignore[arg-type]
        .where(QuoteDocumentRow.quote_id == row.id)
        .order_by(col(QuoteDocumentRow.kind), col(QuoteDocumentRow.paper))
    )
    return IssuedQuote(
        _head(row),
        row.snapshot,
        tuple(DocumentHead(document.kind, document.paper, document.sha256, size) for document, size in documents),
    )


def load_document(session: Session, number: int, kind: str, paper: str) -> bytes:
    """A paper's bytes as they were issued.

    Raises NotFound, or DamagedQuote where they no longer have the hash that was stored with them.
    """
    row = None
    if number <= LARGEST_NUMBER:
        quote_id = select(QuoteRow.id).where(QuoteRow.number == number).scalar_subquery()
        row = session.exec(
            select(QuoteDocumentRow).where(
                QuoteDocumentRow.quote_id == quote_id,
                QuoteDocumentRow.kind == kind,
                QuoteDocumentRow.paper == paper,
            )
        ).first()
    if row is None:
        raise NotFound(f"{kind} on {paper} in quote", number)
    if sha256_of(row.body) != row.sha256:
        raise DamagedQuote(number, kind)
    return row.body


def _head(row: QuoteRow) -> QuoteHead:
    return QuoteHead(
        number=row.number,
        project_id=row.project_id,
        project_name=row.project_name,
        customer=row.customer,
        currency=row.currency,
        total=row.total_minor,
        issued_at=row.issued_at,
        valid_until=row.valid_until,
        program=row.program,
        templates=row.templates,
    )
