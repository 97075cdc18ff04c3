"""The tables of what used to be: edits, and every row that one of them changed or took away, as it was."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Index, LargeBinary, Text
from sqlmodel import Field

from webapp.store.columns import MomentColumn
from webapp.store.tables import NUMBERED, STRICT, Row, check


class EditRow(Row, table=True):
    """What one form, or one command, changed at once.

    ``token`` is the form's, "" where there was none; ``device`` is what it was sent from, "" for the computer
    itself; ``of_edit`` is the number of the edit that this one undid or went back to.
    """

    __tablename__ = "edit"
    __table_args__ = (
        check("doing", "doing IN ('found', 'edited', 'undone', 'brought_back')"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(sa_type=MomentColumn)
    doing: str = Field(sa_type=Text)
    token: str = Field(sa_type=Text, index=True)
    device: str = Field(sa_type=Text)
    of_edit: int | None = None


class PastRowRow(Row, table=True):
    """A row as it stood from the edit ``since`` until the edit ``until``; None where it stands so still.

    It belongs to the thing of that ``kind`` and ``number``, such as a project with all its assemblies;
    ``in_bin`` is 1 where it was deleted and may be taken out of the bin.
    """

    __tablename__ = "past_row"
    __table_args__ = (
        Index(None, "kind", "number", "until"),
        check("kind", "kind <> ''"),
        check("table_name", "table_name <> ''"),
        check("row_key", "row_key <> ''"),
        check("in_bin", "in_bin IN (0, 1) AND (in_bin = 0 OR until IS NOT NULL)"),
        check("order", "until > since"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(sa_type=Text)
    number: int
    table_name: str = Field(sa_type=Text)
    row_key: str = Field(sa_type=Text)
    since: int = Field(foreign_key="edit.id", index=True)
    until: int | None = Field(default=None, foreign_key="edit.id", index=True)
    in_bin: int = 0
    row_json: str = Field(sa_type=Text)


class PastFileRow(Row, table=True):
    """What a row held as bytes, such as a photograph: kept once, by its SHA-256, for all rows that held it."""

    __tablename__ = "past_file"
    __table_args__ = (check("sha256", "length(sha256) = 64"), STRICT)

    sha256: str = Field(primary_key=True, sa_type=Text)
    body: bytes = Field(sa_type=LargeBinary)
