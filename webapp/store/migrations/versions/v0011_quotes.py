"""What is asked of the customer: a project's terms, those that the shop usually has, and the quotes issued.

Quotes are numbered through the shop, one after the other, and kept as issued revisions are. A later revision
that rebuilds one of their tables must make its triggers again: SQLite drops them with the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"

_TABLES = ("quote", "quote_document")


def upgrade() -> None:
    """Add the columns in place, for nobody had any terms; make both tables, and what keeps them as they are."""
    for table in ("project", "shop"):
        op.execute(f"ALTER TABLE {table} ADD COLUMN quote_json TEXT")
    _quotes()
    _documents()
    if op.get_bind().dialect.name == "sqlite":
        _keep_in_sqlite()
    else:
        _keep_in_postgresql()


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def _small(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False)


def _quotes() -> None:
    op.create_table(
        "quote",
        sa.Column("id", sa.Integer(), primary_key=True, nullable=False),
        _small("number"),
        # no foreign key: a quote outlives its project, whose number is never handed out again
        _small("project_id"),
        _text("project_name"),
        _text("customer", nullable=True),
        _text("currency"),
        sa.Column("total_minor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        _text("issued_at"),
        _text("valid_until"),
        _text("program"),
        _text("templates"),
        _text("snapshot"),
        _text("snapshot_sha256"),
        sa.UniqueConstraint("number", name=op.f("uq_quote_number")),
        sa.CheckConstraint("number >= 1", name=op.f("ck_quote_number")),
        sa.CheckConstraint("project_id >= 1", name=op.f("ck_quote_project_id")),
        sa.CheckConstraint("project_name <> ''", name=op.f("ck_quote_project_name")),
        sa.CheckConstraint("length(currency) = 3", name=op.f("ck_quote_currency")),
        sa.CheckConstraint("total_minor >= 0", name=op.f("ck_quote_total_minor")),
        sa.CheckConstraint("length(valid_until) = 10", name=op.f("ck_quote_valid_until")),
        sa.CheckConstraint("program <> ''", name=op.f("ck_quote_program")),
        sa.CheckConstraint("length(templates) = 64", name=op.f("ck_quote_templates")),
        sa.CheckConstraint("length(snapshot_sha256) = 64", name=op.f("ck_quote_snapshot_sha256")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_quote_project_id"), "quote", ["project_id"])


def _documents() -> None:
    op.create_table(
        "quote_document",
        _small("quote_id"),
        _text("kind"),
        _text("paper"),
        _text("sha256"),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("quote_id", "kind", "paper", name=op.f("pk_quote_document")),
        sa.CheckConstraint("kind <> ''", name=op.f("ck_quote_document_kind")),
        sa.CheckConstraint("paper <> ''", name=op.f("ck_quote_document_paper")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_quote_document_sha256")),
        sa.CheckConstraint("length(body) > 0", name=op.f("ck_quote_document_body")),
        sa.ForeignKeyConstraint(["quote_id"], ["quote.id"], name=op.f("fk_quote_document_quote_id_quote")),
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
        "CREATE TRIGGER quote_in_turn BEFORE INSERT ON quote "
        "WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM quote) "
        "BEGIN SELECT RAISE(ABORT, 'quotes are numbered one after the other'); END"
    )


def _keep_in_postgresql() -> None:
    """``refuse_change`` is there since revisions are."""
    for table in _TABLES:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )
    op.execute(
        "CREATE FUNCTION quote_in_turn() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN IF NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM quote) "
        "THEN RAISE EXCEPTION 'quotes are numbered one after the other'; END IF; RETURN NEW; END $$"
    )
    op.execute("CREATE TRIGGER quote_in_turn BEFORE INSERT ON quote FOR EACH ROW EXECUTE FUNCTION quote_in_turn()")
