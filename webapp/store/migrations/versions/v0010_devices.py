"""Other devices: a tablet at the machine, a phone in the storeroom, each paired under a name and with a role."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    """A table of their own; nothing refers to it."""
    op.create_table(
        "device",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("secret_sha256", sa.Text(), nullable=False),
        sa.Column("paired_at", sa.Text(), nullable=False),
        sa.Column("seen_at", sa.Text(), nullable=False),
        sa.Column("ended_at", sa.Text()),
        sa.UniqueConstraint("secret_sha256", name=op.f("uq_device_secret_sha256")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name=op.f("ck_device_name")),
        sa.CheckConstraint("role IN ('reads', 'at_the_machine', 'everything')", name=op.f("ck_device_role")),
        sa.CheckConstraint("length(secret_sha256) = 64", name=op.f("ck_device_secret_sha256")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
