"""The tables of the machine: trials, accepted starts, mouldings that come back, calibrations, ticks.

All but mouldings are only ever added to: triggers (see the migration) refuse to change or delete a row. What
no longer holds gets a row that says so. Days are ISO text, as the domain writes them.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Index, Text, UniqueConstraint
from sqlmodel import Field

from domain.lengths import Length
from webapp.store.columns import LengthColumn, MomentColumn
from webapp.store.tables import NUMBERED, STRICT, Row, check

CUTTERS = "cutter IN ('close', 'free')"


class TrialRow(Row, table=True):
    """A test piece. It refers to its section by name only: a trial outlives the catalogue."""

    __tablename__ = "trial"
    __table_args__ = (
        check("section", "section <> ''"),
        check("cutter", CUTTERS),
        check("tip_diameter", "tip_diameter > 0"),
        check("species", "species <> ''"),
        check("thickness", "thickness > 0"),
        check("projection", "projection > 0"),
        check("depth", "depth > 0"),
        check("fence_reading", "fence_reading >= 0"),
        check("outcome", "outcome IN ('held_apart', 'loose', 'snug', 'tight', 'burst', 'stopped')"),
        check("gap", "(outcome IN ('held_apart', 'loose')) = (gap IS NOT NULL) AND (gap IS NULL OR gap > 0)"),
        check(
            "stopped_at",
            "(outcome = 'stopped') = (stopped_at IS NOT NULL)"
            " AND (stopped_at IS NULL OR (stopped_at >= 0 AND stopped_at < depth))",
        ),
        check("day", "length(day) = 10"),
        Index(None, "section", "cutter"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    section: str = Field(sa_type=Text)
    cutter: str = Field(sa_type=Text)
    tip_diameter: Length = Field(sa_type=LengthColumn)
    species: str = Field(sa_type=Text)
    thickness: Length = Field(sa_type=LengthColumn)
    projection: Length = Field(sa_type=LengthColumn)
    depth: Length = Field(sa_type=LengthColumn)
    fence_reading: Length = Field(sa_type=LengthColumn)
    outcome: str = Field(sa_type=Text)
    gap: Length | None = Field(default=None, sa_type=LengthColumn)
    stopped_at: Length | None = Field(default=None, sa_type=LengthColumn)
    day: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn)


class TrialWithdrawnRow(Row, table=True):
    """A trial that no longer counts, and why."""

    __tablename__ = "trial_withdrawn"
    __table_args__ = (STRICT,)

    trial_id: int = Field(primary_key=True, foreign_key="trial.id", sa_column_kwargs={"autoincrement": False})
    why: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn)


class AcceptedStartRow(Row, table=True):
    """A projection that the shop accepted from its trials; ``species`` is empty where any wood is meant."""

    __tablename__ = "accepted_start"
    __table_args__ = (
        check("section", "section <> ''"),
        check("cutter", CUTTERS),
        check("snug", "snug > 0"),
        check("projection", "projection >= snug"),
        check("tip_diameter", "tip_diameter > 0"),
        check("day", "length(day) = 10"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    section: str = Field(sa_type=Text)
    cutter: str = Field(sa_type=Text)
    species: str = Field(sa_type=Text)
    snug: Length = Field(sa_type=LengthColumn)
    projection: Length = Field(sa_type=LengthColumn)
    tip_diameter: Length = Field(sa_type=LengthColumn)
    day: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn)


class StartTrialRow(Row, table=True):
    """A trial that an accepted start rests on; ``position`` 0 is the nearest."""

    __tablename__ = "start_trial"
    __table_args__ = (check("position", "position >= 0"), STRICT)

    start_id: int = Field(
        primary_key=True, foreign_key="accepted_start.id", sa_column_kwargs={"autoincrement": False}
    )
    position: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    trial_id: int = Field(foreign_key="trial.id")


class StartEndedRow(Row, table=True):
    """An accepted start that is no longer planned with."""

    __tablename__ = "start_ended"
    __table_args__ = (STRICT,)

    start_id: int = Field(
        primary_key=True, foreign_key="accepted_start.id", sa_column_kwargs={"autoincrement": False}
    )
    at: datetime = Field(sa_type=MomentColumn)


class MouldingRow(Row, table=True):
    """A moulding that comes back, in the domain's own JSON."""

    __tablename__ = "moulding"
    __table_args__ = (
        check("name", "name <> ''"),
        check("day", "length(day) = 10"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Text)
    day: str = Field(sa_type=Text)
    spec_json: str = Field(sa_type=Text)


class CalibrationRow(Row, table=True):
    """A scale checked on a day; section and cutter are given for the depth scale only."""

    __tablename__ = "calibration"
    __table_args__ = (
        check("scale", "scale IN ('depth', 'fence')"),
        check("section", "(scale = 'depth') = (section IS NOT NULL)"),
        check("cutter", "(scale = 'depth') = (cutter IS NOT NULL) AND (cutter IS NULL OR " + CUTTERS + ")"),
        check("reading", "reading >= 0"),
        check("measured", "measured >= 0"),
        check("day", "length(day) = 10"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    scale: str = Field(sa_type=Text)
    section: str | None = Field(default=None, sa_type=Text)
    cutter: str | None = Field(default=None, sa_type=Text)
    reading: Length = Field(sa_type=LengthColumn)
    measured: Length = Field(sa_type=LengthColumn)
    day: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn)


class TickRow(Row, table=True):
    """Pieces ticked off at the machine, or taken back (``count`` below 0); ``uuid`` is the device's own.

    It refers to its project by number only and outlives it, and to set-up and piece by their keys.
    """

    __tablename__ = "tick"
    __table_args__ = (
        UniqueConstraint("uuid"),
        check("uuid", "length(uuid) = 36"),
        check("project_id", "project_id >= 1"),
        check("set_up", "set_up <> ''"),
        check("piece", "piece <> ''"),
        check("count", "count <> 0"),
        Index(None, "project_id", "set_up", "piece"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    uuid: str = Field(sa_type=Text)
    project_id: int
    set_up: str = Field(sa_type=Text)
    piece: str = Field(sa_type=Text)
    count: int
    ticked_at: datetime = Field(sa_type=MomentColumn)
    received_at: datetime = Field(sa_type=MomentColumn)
