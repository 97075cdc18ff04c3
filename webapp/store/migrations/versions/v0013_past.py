"""What used to be is kept: edits, the rows that they changed or took away, and the bytes that those held."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    """Tables of their own, empty: what was there before the first edit is kept with that."""
    _edits()
    _rows()
    op.create_table(
        "past_file",
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_past_file")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_past_file_sha256")),
        sqlite_strict=True,
    )


def _edits() -> None:
    op.create_table(
        "edit",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("doing", sa.Text(), nullable=False),
        sa.Column("token", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("of_edit", sa.Integer()),
        sa.CheckConstraint("doing IN ('found', 'edited', 'undone', 'brought_back')", name=op.f("ck_edit_doing")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_edit_token"), "edit", ["token"])


def _rows() -> None:
    op.create_table(
        "past_row",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("table_name", sa.Text(), nullable=False),
        sa.Column("row_key", sa.Text(), nullable=False),
        sa.Column("since", sa.Integer(), nullable=False),
        sa.Column("until", sa.Integer()),
        sa.Column("in_bin", sa.Integer(), nullable=False),
        sa.Column("row_json", sa.Text(), nullable=False),
        sa.CheckConstraint("kind <> ''", name=op.f("ck_past_row_kind")),
        sa.CheckConstraint("table_name <> ''", name=op.f("ck_past_row_table_name")),
        sa.CheckConstraint("row_key <> ''", name=op.f("ck_past_row_row_key")),
        sa.CheckConstraint(
            "in_bin IN (0, 1) AND (in_bin = 0 OR until IS NOT NULL)", name=op.f("ck_past_row_in_bin")
        ),
        sa.CheckConstraint("until > since", name=op.f("ck_past_row_order")),
        sa.ForeignKeyConstraint(["since"], ["edit.id"], name=op.f("fk_past_row_since_edit")),
        sa.ForeignKeyConstraint(["until"], ["edit.id"], name=op.f("fk_past_row_until_edit")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_past_row_kind_number_until"), "past_row", ["kind", "number", "until"])
    op.create_index(op.f("ix_past_row_since"), "past_row", ["since"])
    op.create_index(op.f("ix_past_row_until"), "past_row", ["until"])
