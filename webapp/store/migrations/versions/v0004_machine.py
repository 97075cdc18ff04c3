"""At the machine: trials, accepted starts, mouldings, calibrations, ticks; a project's own starts.

Written out rather than taken from the tables of the day: it must make the same schema for ever.
All but mouldings is only ever added to. A later revision that rebuilds one of these tables must make its
triggers again: SQLite drops them with the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

_KEPT = ("trial", "trial_withdrawn", "accepted_start", "start_trial", "start_ended", "calibration", "tick")
_STAYS = "what was written down at the machine stays as it is"
_CUTTERS = "cutter IN ('standard', 'oversize')"


def upgrade() -> None:
    """Create the tables and the triggers that keep them, and let a project have its own starts."""
    # a column is added in place: nothing is copied, nothing that refers to a project is touched
    op.execute("ALTER TABLE project ADD COLUMN starts_json TEXT")
    _trials()
    _starts()
    _moulding()
    _calibration()
    _tick()
    if op.get_bind().dialect.name == "sqlite":
        _keep_in_sqlite()
    else:
        _keep_in_postgresql()


def _number() -> sa.Column[int]:
    return sa.Column("id", sa.Integer(), primary_key=True, nullable=False)


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def _small(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False)


def _whole(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=nullable)


def _check(table: str, name: str, condition: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def _refers(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}"))


def _trials() -> None:
    op.create_table(
        "trial",
        _number(),
        # no foreign key: a trial outlives its section
        _text("section"),
        _text("cutter"),
        _whole("tip_diameter"),
        _text("species"),
        _whole("thickness"),
        _whole("projection"),
        _whole("depth"),
        _whole("fence_reading"),
        _text("outcome"),
        _whole("gap", nullable=True),
        _whole("stopped_at", nullable=True),
        _text("day"),
        _text("at"),
        _check("trial", "section", "section <> ''"),
        _check("trial", "cutter", _CUTTERS),
        _check("trial", "tip_diameter", "tip_diameter > 0"),
        _check("trial", "species", "species <> ''"),
        _check("trial", "thickness", "thickness > 0"),
        _check("trial", "projection", "projection > 0"),
        _check("trial", "depth", "depth > 0"),
        _check("trial", "fence_reading", "fence_reading >= 0"),
        _check("trial", "outcome", "outcome IN ('held_apart', 'loose', 'snug', 'tight', 'burst', 'stopped')"),
        _check(
            "trial",
            "gap",
            "(outcome IN ('held_apart', 'loose')) = (gap IS NOT NULL) AND (gap IS NULL OR gap > 0)",
        ),
        _check(
            "trial",
            "stopped_at",
            "(outcome = 'stopped') = (stopped_at IS NOT NULL)"
            " AND (stopped_at IS NULL OR (stopped_at >= 0 AND stopped_at < depth))",
        ),
        _check("trial", "day", "length(day) = 10"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_trial_section_cutter"), "trial", ["section", "cutter"])
    op.create_table(
        "trial_withdrawn",
        _small("trial_id"),
        _text("why"),
        _text("at"),
        sa.PrimaryKeyConstraint("trial_id", name=op.f("pk_trial_withdrawn")),
        _refers("trial_withdrawn", "trial_id", "trial"),
        sqlite_strict=True,
    )


def _starts() -> None:
    op.create_table(
        "accepted_start",
        _number(),
        _text("section"),
        _text("cutter"),
        _text("species"),
        _whole("snug"),
        _whole("projection"),
        _whole("tip_diameter"),
        _text("day"),
        _text("at"),
        _check("accepted_start", "section", "section <> ''"),
        _check("accepted_start", "cutter", _CUTTERS),
        _check("accepted_start", "snug", "snug > 0"),
        _check("accepted_start", "projection", "projection >= snug"),
        _check("accepted_start", "tip_diameter", "tip_diameter > 0"),
        _check("accepted_start", "day", "length(day) = 10"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_table(
        "start_trial",
        _small("start_id"),
        _small("position"),
        _small("trial_id"),
        sa.PrimaryKeyConstraint("start_id", "position", name=op.f("pk_start_trial")),
        _check("start_trial", "position", "position >= 0"),
        _refers("start_trial", "start_id", "accepted_start"),
        _refers("start_trial", "trial_id", "trial"),
        sqlite_strict=True,
    )
    op.create_table(
        "start_ended",
        _small("start_id"),
        _text("at"),
        sa.PrimaryKeyConstraint("start_id", name=op.f("pk_start_ended")),
        _refers("start_ended", "start_id", "accepted_start"),
        sqlite_strict=True,
    )


def _moulding() -> None:
    op.create_table(
        "moulding",
        _number(),
        _text("name"),
        _text("day"),
        _text("spec_json"),
        _check("moulding", "name", "name <> ''"),
        _check("moulding", "day", "length(day) = 10"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _calibration() -> None:
    op.create_table(
        "calibration",
        _number(),
        _text("scale"),
        _text("section", nullable=True),
        _text("cutter", nullable=True),
        _whole("reading"),
        _whole("measured"),
        _text("day"),
        _text("at"),
        _check("calibration", "scale", "scale IN ('depth', 'fence')"),
        _check("calibration", "section", "(scale = 'depth') = (section IS NOT NULL)"),
        _check(
            "calibration",
            "cutter",
            f"(scale = 'depth') = (cutter IS NOT NULL) AND (cutter IS NULL OR {_CUTTERS})",
        ),
        _check("calibration", "reading", "reading >= 0"),
        _check("calibration", "measured", "measured >= 0"),
        _check("calibration", "day", "length(day) = 10"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _tick() -> None:
    op.create_table(
        "tick",
        _number(),
        _text("uuid"),
        # no foreign key: ticks outlive a project, whose number is never handed out again
        _small("project_id"),
        _text("set_up"),
        _text("piece"),
        _small("count"),
        _text("ticked_at"),
        _text("received_at"),
        sa.UniqueConstraint("uuid", name=op.f("uq_tick_uuid")),
        _check("tick", "uuid", "length(uuid) = 36"),
        _check("tick", "project_id", "project_id >= 1"),
        _check("tick", "set_up", "set_up <> ''"),
        _check("tick", "piece", "piece <> ''"),
        _check("tick", "count", "count <> 0"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_tick_project_id_set_up_piece"), "tick", ["project_id", "set_up", "piece"])


def _keep_in_sqlite() -> None:
    """REPLACE deletes what it replaces; with recursive_triggers on, that is refused as well."""
    for table in _KEPT:
        for change in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{_STAYS}'); END"
            )


def _keep_in_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_rewriting() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_STAYS}'; END $$"
    )
    for table in _KEPT:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION refuse_rewriting()"
        )
