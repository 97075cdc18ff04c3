"""The table of photographs: of a project, of one of its assemblies or of one of its joints."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import LargeBinary, Text, UniqueConstraint
from sqlmodel import Field

from webapp.store.columns import MomentColumn
from webapp.store.tables import NUMBERED, Row, check


class PhotographRow(Row, table=True):
    """A photograph, always a JPEG that the program itself has written, with a small one for lists.

    ``mark`` is the assembly's or the joint's; "" for the project's own. ``sha256`` is the body's, which a restore
    asks after; one picture stands once at a place.
    """

    __tablename__ = "photograph"
    __table_args__ = (
        UniqueConstraint("project_id", "mark", "sha256"),
        check("mark", "length(mark) <= 40"),
        check("caption", "length(caption) <= 200"),
        check("width", "width > 0"),
        check("height", "height > 0"),
        check("sha256", "length(sha256) = 64"),
        check("body", "length(body) BETWEEN 1 AND 4000000"),
        check("thumbnail", "length(thumbnail) BETWEEN 1 AND 200000"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    project_id: int = Field(foreign_key="project.id", ondelete="CASCADE")
    mark: str = Field(sa_type=Text)
    caption: str = Field(sa_type=Text)
    added_at: datetime = Field(sa_type=MomentColumn)
    width: int
    height: int
    sha256: str = Field(sa_type=Text)
    body: bytes = Field(sa_type=LargeBinary)
    thumbnail: bytes = Field(sa_type=LargeBinary)
