"""The tables of quotes: what was asked of customers, kept as it was issued."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import LargeBinary, Text, UniqueConstraint
from sqlmodel import Field

from webapp.store.columns import WHOLE, DayColumn, MomentColumn
from webapp.store.tables import NUMBERED, STRICT, Row, check


class QuoteRow(Row, table=True):
    """An issued quote; triggers refuse to change or delete it.

    Numbers run through the whole shop. It refers to its project by number only and outlives it. ``snapshot`` is
    canonical JSON; ``templates`` is the hash of the document templates of the day.
    """

    __tablename__ = "quote"
    __table_args__ = (
        UniqueConstraint("number"),
        check("number", "number >= 1"),
        check("project_id", "project_id >= 1"),
        check("project_name", "project_name <> ''"),
        check("currency", "length(currency) = 3"),
        check("total_minor", "total_minor >= 0"),
        check("valid_until", "length(valid_until) = 10"),
        check("program", "program <> ''"),
        check("templates", "length(templates) = 64"),
        check("snapshot_sha256", "length(snapshot_sha256) = 64"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    number: int
    project_id: int = Field(index=True)
    project_name: str = Field(sa_type=Text)
    customer: str | None = Field(default=None, sa_type=Text)
    currency: str = Field(sa_type=Text)
    total_minor: int = Field(sa_type=WHOLE)
    issued_at: datetime = Field(sa_type=MomentColumn)
    valid_until: date = Field(sa_type=DayColumn)
    program: str = Field(sa_type=Text)
    templates: str = Field(sa_type=Text)
    snapshot: str = Field(sa_type=Text)
    snapshot_sha256: str = Field(sa_type=Text)


class QuoteDocumentRow(Row, table=True):
    """A paper of an issued quote, byte for byte; triggers refuse to change or delete it."""

    __tablename__ = "quote_document"
    __table_args__ = (
        check("kind", "kind <> ''"),
        check("paper", "paper <> ''"),
        check("sha256", "length(sha256) = 64"),
        check("body", "length(body) > 0"),
        STRICT,
    )

    quote_id: int = Field(primary_key=True, foreign_key="quote.id", sa_column_kwargs={"autoincrement": False})
    kind: str = Field(primary_key=True, sa_type=Text)
    paper: str = Field(primary_key=True, sa_type=Text)
    sha256: str = Field(sa_type=Text)
    body: bytes = Field(sa_type=LargeBinary)
