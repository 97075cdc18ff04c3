"""Patterns: assemblies and whole projects that are kept under a name to begin from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"


def upgrade() -> None:
    """A table of its own, empty."""
    op.create_table(
        "pattern",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("document_json", sa.Text(), nullable=False),
        sa.Column("made_from", sa.Text(), nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.UniqueConstraint("name", name=op.f("uq_pattern_name")),
        sa.CheckConstraint("name <> ''", name=op.f("ck_pattern_name")),
        sa.CheckConstraint("kind IN ('project', 'assembly')", name=op.f("ck_pattern_kind")),
        sa.CheckConstraint("document_json <> ''", name=op.f("ck_pattern_document_json")),
        sa.CheckConstraint("made_from <> ''", name=op.f("ck_pattern_made_from")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_pattern_version")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
