"""Issued revisions and their documents: added once, never changed, never deleted.

Written out rather than taken from the tables of the day: it must make the same schema for ever.
A later revision that rebuilds one of these tables must make its triggers again: SQLite drops them
with the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_TABLES = ("issue", "issued_document")


def upgrade() -> None:
    """Create both tables, and the triggers that keep what is in them as it is."""
    _issues()
    _documents()
    if op.get_bind().dialect.name == "sqlite":
        _keep_in_sqlite()
    else:
        _keep_in_postgresql()


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def _small(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False)


def _issues() -> None:
    op.create_table(
        "issue",
        sa.Column("id", sa.Integer(), primary_key=True, nullable=False),
        # no foreign key: an issue outlives its project, whose number is never handed out again
        _small("project_id"),
        _small("number"),
        _text("project_name"),
        _text("customer", nullable=True),
        _text("issued_at"),
        _text("program"),
        _text("templates"),
        _text("snapshot"),
        _text("snapshot_sha256"),
        sa.UniqueConstraint("project_id", "number", name=op.f("uq_issue_project_id_number")),
        sa.CheckConstraint("project_id >= 1", name=op.f("ck_issue_project_id")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_issue_number")),
        sa.CheckConstraint("project_name <> ''", name=op.f("ck_issue_project_name")),
        sa.CheckConstraint("program <> ''", name=op.f("ck_issue_program")),
        sa.CheckConstraint("length(templates) = 64", name=op.f("ck_issue_templates")),
        sa.CheckConstraint("length(snapshot_sha256) = 64", name=op.f("ck_issue_snapshot_sha256")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _documents() -> None:
    op.create_table(
        "issued_document",
        _small("issue_id"),
        _text("kind"),
        _text("paper"),
        _text("sha256"),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("issue_id", "kind", "paper", name=op.f("pk_issued_document")),
        sa.CheckConstraint("kind <> ''", name=op.f("ck_issued_document_kind")),
        sa.CheckConstraint("paper <> ''", name=op.f("ck_issued_document_paper")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_issued_document_sha256")),
        sa.CheckConstraint("length(body) > 0", name=op.f("ck_issued_document_body")),
        sa.ForeignKeyConstraint(["issue_id"], ["issue.id"], name=op.f("fk_issued_document_issue_id_issue")),
        sqlite_strict=True,
    )


def _keep_in_sqlite() -> None:
    """REPLACE deletes what it replaces; with recursive_triggers on, that is refused as well."""
    for table in _TABLES:
        for change in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END"
            )
    op.execute(
        "CREATE TRIGGER issue_in_turn BEFORE INSERT ON issue "
        "WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM issue WHERE project_id = NEW.project_id) "
        "BEGIN SELECT RAISE(ABORT, 'revisions are numbered one after the other'); END"
    )


def _keep_in_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'what was issued stays as it is'; END $$"
    )
    for table in _TABLES:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )
    op.execute(
        "CREATE FUNCTION issue_in_turn() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN IF NEW.number <> "
        "(SELECT coalesce(max(number), 0) + 1 FROM issue WHERE project_id = NEW.project_id) "
        "THEN RAISE EXCEPTION 'revisions are numbered one after the other'; END IF; RETURN NEW; END $$"
    )
    op.execute("CREATE TRIGGER issue_in_turn BEFORE INSERT ON issue FOR EACH ROW EXECUTE FUNCTION issue_in_turn()")
