"""A project as a job: asked and delivered beside the other states, a day it is due, put away, notes, photographs.

SQLite's table of projects is made anew, for its checks stand in its text; nothing that refers to a project is
touched. PostgreSQL adds the columns, and puts another check in the place of the one that knew three states.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"

_STAGE = "stage IN ('asked', 'planned', 'going_ahead', 'built', 'delivered')"
_PUT_AWAY = "put_away_at IS NULL OR stage <> 'going_ahead'"
_KEPT = (
    "id, name, customer, units, currency, sections_json, rules_json, keys_json, version, created, updated, stage, "
    "starts_json, climate_json, stock_json, parts_json, quote_json"
)


def upgrade() -> None:
    """Every project stays as it is, under its number and in its state."""
    if op.get_bind().dialect.name == "sqlite":
        _in_sqlite()
    else:
        _in_postgresql()
    _photographs()


def _in_sqlite() -> None:
    run = op.get_bind().exec_driver_sql
    last = run("SELECT seq FROM sqlite_sequence WHERE name = 'project'").scalar()
    run(f"CREATE TEMP TABLE aside AS SELECT {_KEPT} FROM project")
    run("DROP TABLE project")
    _make()
    run(f"INSERT INTO project ({_KEPT}) SELECT {_KEPT} FROM aside ORDER BY id")
    run("DROP TABLE aside")
    if last is not None:
        # a number once handed out is not handed out again
        run("DELETE FROM sqlite_sequence WHERE name = 'project'")
        run("INSERT INTO sqlite_sequence (name, seq) VALUES ('project', ?)", (last,))


def _make() -> None:
    op.create_table(
        "project",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("customer", sa.Text()),
        sa.Column("units", sa.Text(), nullable=False),
        sa.Column("currency", sa.Text()),
        sa.Column("sections_json", sa.Text()),
        sa.Column("rules_json", sa.Text()),
        sa.Column("keys_json", sa.Text()),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("updated", sa.Text(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("starts_json", sa.Text()),
        sa.Column("climate_json", sa.Text()),
        sa.Column("stock_json", sa.Text()),
        sa.Column("parts_json", sa.Text()),
        sa.Column("quote_json", sa.Text()),
        sa.Column("due", sa.Text()),
        sa.Column("put_away_at", sa.Text()),
        sa.Column("note", sa.Text()),
        sa.Column("notes_json", sa.Text()),
        sa.CheckConstraint("name <> ''", name=op.f("ck_project_name")),
        sa.CheckConstraint("units IN ('mm', 'in')", name=op.f("ck_project_units")),
        sa.CheckConstraint("length(currency) = 3", name=op.f("ck_project_currency")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_project_version")),
        sa.CheckConstraint(_STAGE, name=op.f("ck_project_stage")),
        sa.CheckConstraint("length(due) = 10", name=op.f("ck_project_due")),
        sa.CheckConstraint("note <> ''", name=op.f("ck_project_note")),
        sa.CheckConstraint(_PUT_AWAY, name=op.f("ck_project_put_away")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _in_postgresql() -> None:
    op.execute("ALTER TABLE project DROP CONSTRAINT ck_project_stage")
    op.execute("ALTER TABLE project ALTER COLUMN stage DROP DEFAULT")
    for column in ("due", "put_away_at", "note", "notes_json"):
        op.execute(f"ALTER TABLE project ADD COLUMN {column} TEXT")
    op.execute(f"ALTER TABLE project ADD CONSTRAINT ck_project_stage CHECK ({_STAGE})")
    op.execute("ALTER TABLE project ADD CONSTRAINT ck_project_due CHECK (length(due) = 10)")
    op.execute("ALTER TABLE project ADD CONSTRAINT ck_project_note CHECK (note <> '')")
    op.execute(f"ALTER TABLE project ADD CONSTRAINT ck_project_put_away CHECK ({_PUT_AWAY})")


def _photographs() -> None:
    op.create_table(
        "photograph",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("project_id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.Text(), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        sa.Column("added_at", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.Column("thumbnail", sa.LargeBinary(), nullable=False),
        sa.UniqueConstraint("project_id", "mark", "sha256", name=op.f("uq_photograph_project_id_mark_sha256")),
        sa.CheckConstraint("length(mark) <= 40", name=op.f("ck_photograph_mark")),
        sa.CheckConstraint("length(caption) <= 200", name=op.f("ck_photograph_caption")),
        sa.CheckConstraint("width > 0", name=op.f("ck_photograph_width")),
        sa.CheckConstraint("height > 0", name=op.f("ck_photograph_height")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_photograph_sha256")),
        sa.CheckConstraint("length(body) BETWEEN 1 AND 4000000", name=op.f("ck_photograph_body")),
        sa.CheckConstraint("length(thumbnail) BETWEEN 1 AND 200000", name=op.f("ck_photograph_thumbnail")),
        sa.ForeignKeyConstraint(
            ["project_id"], ["project.id"], name=op.f("fk_photograph_project_id_project"), ondelete="CASCADE"
        ),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
