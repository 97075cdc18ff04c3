"""The table of patterns: assemblies and whole projects that are kept to begin from."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Text, UniqueConstraint
from sqlmodel import Field

from webapp.store.columns import MomentColumn
from webapp.store.tables import NUMBERED, Row, check


class PatternRow(Row, table=True):
    """A pattern under its name. ``document_json`` is a project file; of an assembly it holds that one alone.

    ``made_from`` is what the project was called that it was kept from, which it outlives.
    """

    __tablename__ = "pattern"
    __table_args__ = (
        UniqueConstraint("name"),
        check("name", "name <> ''"),
        check("kind", "kind IN ('project', 'assembly')"),
        check("document_json", "document_json <> ''"),
        check("made_from", "made_from <> ''"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Text)
    kind: str = Field(sa_type=Text)
    document_json: str = Field(sa_type=Text)
    made_from: str = Field(sa_type=Text)
    created: datetime = Field(sa_type=MomentColumn)
    version: int = 1
