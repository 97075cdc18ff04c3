"""The table of other devices: those that were paired, and until when."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Text, UniqueConstraint
from sqlmodel import Field

from webapp.store.columns import MomentColumn
from webapp.store.tables import NUMBERED, Row, check


class DeviceRow(Row, table=True):
    """A device that was paired. Its secret is kept as SHA-256 alone: the table tells nobody how to pass for it."""

    __tablename__ = "device"
    __table_args__ = (
        UniqueConstraint("secret_sha256"),
        check("name", "length(name) BETWEEN 1 AND 60"),
        check("role", "role IN ('reads', 'at_the_machine', 'everything')"),
        check("secret_sha256", "length(secret_sha256) = 64"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Text)
    role: str = Field(sa_type=Text)
    secret_sha256: str = Field(sa_type=Text)
    paired_at: datetime = Field(sa_type=MomentColumn)
    seen_at: datetime = Field(sa_type=MomentColumn)
    ended_at: datetime | None = Field(default=None, sa_type=MomentColumn)
