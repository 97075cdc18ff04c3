"""Wood is stock as keys are: bars, sheets, boards by volume, strips by the metre, each with its sizes.

SQLite's table of items is made anew, for its checks stand in its text; nothing that refers to an item is touched.
PostgreSQL adds the columns, and puts other checks in the place of those that knew of keys, plugs and glue alone.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"

_WOOD = "kind IN ('bar', 'sheet', 'board', 'strip')"
_CHECKS = {
    "kind": "kind IN ('key', 'plug', 'glue', 'bar', 'sheet', 'board', 'strip')",
    "sizes": (
        "(kind IN ('glue', 'board', 'strip')) = (size IS NULL) AND "
        "(kind IN ('bar', 'sheet', 'strip')) = (width IS NOT NULL) AND "
        f"({_WOOD}) = (thickness IS NOT NULL)"
    ),
    "wood": f"NOT {_WOOD} OR (material <> '' AND section = '')",
    "width": "width > 0",
    "thickness": "thickness > 0",
}


def upgrade() -> None:
    """Every item stays as it is, under its number."""
    if op.get_bind().dialect.name == "sqlite":
        _in_sqlite()
    else:
        _in_postgresql()


def _in_sqlite() -> None:
    run = op.get_bind().exec_driver_sql
    last = run("SELECT seq FROM sqlite_sequence WHERE name = 'item'").scalar()
    run("CREATE TEMP TABLE aside AS SELECT * FROM item")
    run("DROP TABLE item")
    _make()
    columns = "id, kind, section, size, material, name, minimum_stock, version"
    run(f"INSERT INTO item ({columns}) SELECT {columns} FROM aside ORDER BY id")
    run("DROP TABLE aside")
    if last is not None:
        # a number once handed out is not handed out again
        run("DELETE FROM sqlite_sequence WHERE name = 'item'")
        run("INSERT INTO sqlite_sequence (name, seq) VALUES ('item', ?)", (last,))


def _make() -> None:
    op.create_table(
        "item",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("section", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer()),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer()),
        sa.Column("thickness", sa.Integer()),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("minimum_stock", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.UniqueConstraint("name", name=op.f("uq_item_name")),
        *(sa.CheckConstraint(text, name=op.f(f"ck_item_{name}")) for name, text in _CHECKS.items()),
        sa.CheckConstraint("size > 0", name=op.f("ck_item_size")),
        sa.CheckConstraint("name <> ''", name=op.f("ck_item_name")),
        sa.CheckConstraint("minimum_stock >= 0", name=op.f("ck_item_minimum_stock")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_item_version")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _in_postgresql() -> None:
    for column in ("width", "thickness"):
        op.execute(f"ALTER TABLE item ADD COLUMN {column} BIGINT")
    for name in ("kind", "glue"):
        op.execute(f"ALTER TABLE item DROP CONSTRAINT ck_item_{name}")
    for name, text in _CHECKS.items():
        op.execute(f"ALTER TABLE item ADD CONSTRAINT ck_item_{name} CHECK ({text})")
