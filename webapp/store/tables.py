"""The tables. Rows never leave the store: its functions speak domain values.

A SQLModel table does not validate what it is given, so STRICT columns and named CHECKs stand
behind the domain's own checks. Names of constraints follow from ``NAMING``; migrations need them.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import ClassVar

from sqlalchemy import CheckConstraint, LargeBinary, MetaData, Text, UniqueConstraint
from sqlmodel import Field, SQLModel

from domain.lengths import Length
from webapp.store.columns import WHOLE, DayColumn, LengthColumn, MomentColumn

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
STRICT = {"sqlite_strict": True}
# AUTOINCREMENT never hands out a deleted row's number again: links and caches hold on to numbers.
NUMBERED = {"sqlite_strict": True, "sqlite_autoincrement": True}


class Row(SQLModel):
    """Base of the tables: one MetaData whose constraints all have names."""

    metadata: ClassVar[MetaData] = MetaData(naming_convention=NAMING)


def check(name: str, condition: str) -> CheckConstraint:
    """A CHECK that has a name."""
    return CheckConstraint(condition, name=name)


class ProjectRow(Row, table=True):
    """A project's head. ``version`` rises with every change to it or to one of its assemblies.

    ``note`` is the project's own, ``notes_json`` those of its assemblies and joints, by mark. What goes ahead
    holds claims on the stock, so it is never out of sight: ``put_away_at`` is for projects in other states.
    """

    __tablename__ = "project"
    __table_args__ = (
        check("name", "name <> ''"),
        check("units", "units IN ('mm', 'in')"),
        check("currency", "length(currency) = 3"),
        check("version", "version >= 1"),
        check("stage", "stage IN ('asked', 'planned', 'going_ahead', 'built', 'delivered')"),
        check("due", "length(due) = 10"),
        check("note", "note <> ''"),
        check("put_away", "put_away_at IS NULL OR stage <> 'going_ahead'"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Text)
    customer: str | None = Field(default=None, sa_type=Text)
    units: str = Field(sa_type=Text)
    currency: str | None = Field(default=None, sa_type=Text)
    sections_json: str | None = Field(default=None, sa_type=Text)
    rules_json: str | None = Field(default=None, sa_type=Text)
    keys_json: str | None = Field(default=None, sa_type=Text)
    version: int = 1
    created: datetime = Field(sa_type=MomentColumn)
    updated: datetime = Field(sa_type=MomentColumn)
    stage: str = Field(default="planned", sa_type=Text)
    starts_json: str | None = Field(default=None, sa_type=Text)
    climate_json: str | None = Field(default=None, sa_type=Text)
    stock_json: str | None = Field(default=None, sa_type=Text)
    parts_json: str | None = Field(default=None, sa_type=Text)
    quote_json: str | None = Field(default=None, sa_type=Text)
    due: date | None = Field(default=None, sa_type=DayColumn)
    put_away_at: datetime | None = Field(default=None, sa_type=MomentColumn)
    note: str | None = Field(default=None, sa_type=Text)
    notes_json: str | None = Field(default=None, sa_type=Text)


class AssemblyRow(Row, table=True):
    """One assembly: its spec as typed, in the project file's own JSON."""

    __tablename__ = "assembly"
    __table_args__ = (
        UniqueConstraint("project_id", "mark"),
        check("position", "position >= 0"),
        check("mark", "length(mark) BETWEEN 1 AND 12"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    project_id: int = Field(foreign_key="project.id", ondelete="CASCADE")
    position: int
    mark: str = Field(sa_type=Text)
    kind: str = Field(sa_type=Text)
    spec_json: str = Field(sa_type=Text)
    version: int = 1


class SectionRow(Row, table=True):
    """A key section of the shop's catalogue. ``flank`` is in millionths of a degree."""

    __tablename__ = "section"
    __table_args__ = (
        UniqueConstraint("name"),
        check("name", "name <> ''"),
        check("waist", "waist > 0"),
        check("half_depth", "half_depth > 0"),
        check("flank", "flank BETWEEN 1 AND 45000000"),
        check("tip_diameter", "tip_diameter > waist"),
        check("free_tip_diameter", "free_tip_diameter > tip_diameter"),
        check("drive_limit", "drive_limit > 0"),
        check("stock", "stock_from > 0 AND stock_to >= stock_from"),
        check("reach_limit", "reach_limit > 0"),
        check("position", "position >= 0"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    position: int
    name: str = Field(sa_type=Text)
    waist: Length = Field(sa_type=LengthColumn)
    half_depth: Length = Field(sa_type=LengthColumn)
    flank: int
    tip_diameter: Length = Field(sa_type=LengthColumn)
    free_tip_diameter: Length | None = Field(default=None, sa_type=LengthColumn)
    drive_limit: Length = Field(sa_type=LengthColumn)
    stock_from: Length = Field(sa_type=LengthColumn)
    stock_to: Length = Field(sa_type=LengthColumn)
    reach_limit: Length = Field(sa_type=LengthColumn)
    version: int = 1
    # a column that was added: its check stands with it, where SQLite can put one. The name is a word of SQL,
    # hence the marks
    end: str = Field(
        default="round",
        sa_type=Text,
        sa_column_args=(check("end", "\"end\" IN ('round', 'square')"),),
        sa_column_kwargs={"server_default": "round"},
    )


class SectionLengthRow(Row, table=True):
    """A stock length of a section, and what one key of it costs, if that is known."""

    __tablename__ = "section_length"
    __table_args__ = (check("length", "length > 0"), check("price_minor", "price_minor >= 0"), STRICT)

    section_id: int = Field(primary_key=True, foreign_key="section.id", ondelete="CASCADE")
    length: Length = Field(primary_key=True, sa_type=LengthColumn, sa_column_kwargs={"autoincrement": False})
    price_minor: int | None = Field(default=None, sa_type=WHOLE)


class PlugRow(Row, table=True):
    """A plug the shop keeps, and what one costs, if that is known."""

    __tablename__ = "plug"
    __table_args__ = (
        UniqueConstraint("material", "height"),
        check("material", "material <> ''"),
        check("height", "height > 0"),
        check("price_minor", "price_minor >= 0"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    material: str = Field(sa_type=Text)
    height: Length = Field(sa_type=LengthColumn)
    price_minor: int | None = Field(default=None, sa_type=WHOLE)
    version: int = 1


class ShopRow(Row, table=True):
    """The shop: one row. ``edition`` rises with every change of sections, plugs or rules."""

    __tablename__ = "shop"
    __table_args__ = (
        check("one", "id = 1"),
        check("units", "units IN ('mm', 'in')"),
        check("currency", "length(currency) = 3"),
        check("version", "version >= 1"),
        check("edition", "edition >= 1"),
        STRICT,
    )

    id: int = Field(default=1, primary_key=True, sa_column_kwargs={"autoincrement": False})
    name: str = Field(sa_type=Text)
    units: str = Field(sa_type=Text)
    currency: str = Field(sa_type=Text)
    rules_json: str = Field(sa_type=Text)
    version: int = 1
    edition: int = 1
    quote_json: str | None = Field(default=None, sa_type=Text)


class FormTokenRow(Row, table=True):
    """A form that was acted on, by the token it carried, what came of it, where it was sent and what was in it.

    ``fingerprint`` is the hash of route and texts, ``sent_json`` the texts to be shown again; all three are
    empty where a version before 7 kept the outcome alone.
    """

    __tablename__ = "form_token"
    __table_args__ = (check("token", "token <> ''"), STRICT)

    token: str = Field(primary_key=True, sa_type=Text)
    outcome: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn, index=True)
    route: str = Field(default="", sa_type=Text, sa_column_kwargs={"server_default": ""})
    fingerprint: str = Field(
        default="",
        sa_type=Text,
        sa_column_args=(check("fingerprint", "length(fingerprint) IN (0, 64)"),),
        sa_column_kwargs={"server_default": ""},
    )
    sent_json: str = Field(default="[]", sa_type=Text, sa_column_kwargs={"server_default": "[]"})


class RevisionRow(Row, table=True):
    """An issued revision of a project; triggers refuse to change or delete it.

    It refers to its project by number only and outlives it: project numbers are never used again.
    ``snapshot`` is canonical JSON; ``templates`` is the hash of the document templates of the day.
    """

    __tablename__ = "revision"
    __table_args__ = (
        UniqueConstraint("project_id", "number"),
        check("project_id", "project_id >= 1"),
        check("number", "number >= 1"),
        check("project_name", "project_name <> ''"),
        check("program", "program <> ''"),
        check("templates", "length(templates) = 64"),
        check("snapshot_sha256", "length(snapshot_sha256) = 64"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    project_id: int
    number: int
    project_name: str = Field(sa_type=Text)
    customer: str | None = Field(default=None, sa_type=Text)
    issued_at: datetime = Field(sa_type=MomentColumn)
    program: str = Field(sa_type=Text)
    templates: str = Field(sa_type=Text)
    snapshot: str = Field(sa_type=Text)
    snapshot_sha256: str = Field(sa_type=Text)


class RevisionDocumentRow(Row, table=True):
    """A document of an issued revision, byte for byte; triggers refuse to change or delete it."""

    __tablename__ = "revision_document"
    __table_args__ = (
        check("kind", "kind <> ''"),
        check("paper", "paper <> ''"),
        check("sha256", "length(sha256) = 64"),
        check("body", "length(body) > 0"),
        STRICT,
    )

    revision_id: int = Field(
        primary_key=True, foreign_key="revision.id", sa_column_kwargs={"autoincrement": False}
    )
    kind: str = Field(primary_key=True, sa_type=Text)
    paper: str = Field(primary_key=True, sa_type=Text)
    sha256: str = Field(sa_type=Text)
    body: bytes = Field(sa_type=LargeBinary)
