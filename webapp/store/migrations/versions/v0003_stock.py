"""The stockroom: items, suppliers, offers with dated prices, the ledger, orders; a project's stage.

Written out rather than taken from the tables of the day: it must make the same schema for ever.
What is booked, priced or ordered is only ever added to. A later revision that rebuilds one of these
tables must make its triggers again: SQLite drops them with the table.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

_KEPT = ("offer_price", "placed_order", "order_line", "order_project", "order_end", "movement")
_STAYS = "what is booked stays as it is"

# When a new row is refused, and why. Sums are of what is there already.
_ORDER_OUT_OF_TURN = "NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM placed_order)"
_ON_HAND = "(SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id)"
_OF_PROJECT = "FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id"
_OF_LINE = "FROM movement WHERE order_line_id = NEW.order_line_id"
_REFUSED = (
    ("placed_order", "placed_order_in_turn", _ORDER_OUT_OF_TURN, "orders are numbered one after the other"),
    (
        "movement",
        "movement_on_hand",
        f"NEW.on_hand < 0 AND {_ON_HAND} + NEW.on_hand < 0",
        "on hand cannot go below 0",
    ),
    (
        "movement",
        "movement_counted",
        f"NEW.counted IS NOT NULL AND {_ON_HAND} + NEW.on_hand <> NEW.counted",
        "on hand is what was counted",
    ),
    (
        "movement",
        "movement_reserved",
        f"NEW.reserved < 0 AND (SELECT coalesce(sum(reserved), 0) {_OF_PROJECT}) + NEW.reserved < 0",
        "reserved cannot go below 0",
    ),
    (
        "movement",
        "movement_needed",
        f"NEW.needed < 0 AND (SELECT coalesce(sum(needed), 0) {_OF_PROJECT}) + NEW.needed < 0",
        "needed cannot go below 0",
    ),
    (
        "movement",
        "movement_returned",
        f"NEW.kind = 'returned' AND (SELECT coalesce(sum(on_hand), 0) {_OF_PROJECT}) + NEW.on_hand > 0",
        "no more comes back than was used",
    ),
    (
        "movement",
        "movement_order_line",
        f"NEW.order_line_id IS NOT NULL AND ((SELECT coalesce(sum(on_hand), 0) {_OF_LINE}) + NEW.on_hand > "
        "(SELECT size * packs FROM order_line WHERE id = NEW.order_line_id) OR NEW.item_id <> "
        "(SELECT item_id FROM order_line WHERE id = NEW.order_line_id))",
        "no more is received than was ordered",
    ),
)


def upgrade() -> None:
    """Create the tables and their triggers, and give every project its stage."""
    _stage()
    _catalogue()
    _offers()
    _orders()
    _what_orders_are_for()
    _ledger()
    if op.get_bind().dialect.name == "sqlite":
        _guard_in_sqlite()
    else:
        _guard_in_postgresql()


def _number() -> sa.Column[int]:
    return sa.Column("id", sa.Integer(), primary_key=True, nullable=False)


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False)


def _small(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=nullable)


def _whole(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=nullable)


def _check(table: str, name: str, condition: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def _refers(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}"))


def _stage() -> None:
    # a column is added in place: nothing is copied, nothing that refers to a project is touched
    op.execute(
        "ALTER TABLE project ADD COLUMN stage TEXT DEFAULT 'planned' NOT NULL "
        "CONSTRAINT ck_project_stage CHECK (stage IN ('planned', 'going_ahead', 'built'))"
    )


def _catalogue() -> None:
    op.create_table(
        "item",
        _number(),
        _text("kind"),
        # no foreign key: stock outlives its section
        _text("section"),
        _whole("size", nullable=True),
        _text("material"),
        _text("name"),
        _small("minimum_stock"),
        _small("version"),
        sa.UniqueConstraint("name", name=op.f("uq_item_name")),
        _check("item", "kind", "kind IN ('key', 'plug', 'glue')"),
        _check("item", "size", "size > 0"),
        _check("item", "glue", "(kind = 'glue') = (size IS NULL)"),
        _check("item", "name", "name <> ''"),
        _check("item", "minimum_stock", "minimum_stock >= 0"),
        _check("item", "version", "version >= 1"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_table(
        "supplier",
        _number(),
        _text("name"),
        _text("currency"),
        _whole("shipping_minor"),
        _whole("minimum_order_minor"),
        _small("version"),
        sa.UniqueConstraint("name", name=op.f("uq_supplier_name")),
        _check("supplier", "name", "name <> ''"),
        _check("supplier", "currency", "length(currency) = 3"),
        _check("supplier", "shipping_minor", "shipping_minor >= 0"),
        _check("supplier", "minimum_order_minor", "minimum_order_minor >= 0"),
        _check("supplier", "version", "version >= 1"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _offers() -> None:
    op.create_table(
        "offer",
        _number(),
        _small("item_id"),
        _small("supplier_id"),
        _small("size"),
        _text("article"),
        _small("lead_days"),
        _small("withdrawn"),
        _small("version"),
        sa.UniqueConstraint("item_id", "supplier_id", "size", name=op.f("uq_offer_item_id_supplier_id_size")),
        _check("offer", "size", "size >= 1"),
        _check("offer", "lead_days", "lead_days >= 0"),
        _check("offer", "withdrawn", "withdrawn IN (0, 1)"),
        _check("offer", "version", "version >= 1"),
        _refers("offer", "item_id", "item"),
        _refers("offer", "supplier_id", "supplier"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_offer_supplier_id"), "offer", ["supplier_id"])
    op.create_table(
        "offer_price",
        _number(),
        _small("offer_id"),
        _text("from_day"),
        _whole("price_minor"),
        _text("currency"),
        _text("at"),
        _check("offer_price", "from_day", "length(from_day) = 10"),
        _check("offer_price", "price_minor", "price_minor >= 0"),
        _check("offer_price", "currency", "length(currency) = 3"),
        _refers("offer_price", "offer_id", "offer"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_offer_price_offer_id_from_day"), "offer_price", ["offer_id", "from_day"])


def _orders() -> None:
    op.create_table(
        "placed_order",
        _number(),
        _small("number"),
        _small("supplier_id"),
        _text("supplier_name"),
        _text("currency"),
        _whole("shipping_minor"),
        _text("note"),
        _text("placed_at"),
        sa.UniqueConstraint("number", name=op.f("uq_placed_order_number")),
        _check("placed_order", "number", "number >= 1"),
        _check("placed_order", "supplier_name", "supplier_name <> ''"),
        _check("placed_order", "currency", "length(currency) = 3"),
        _check("placed_order", "shipping_minor", "shipping_minor >= 0"),
        _refers("placed_order", "supplier_id", "supplier"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_table(
        "order_line",
        _number(),
        _small("order_id"),
        _small("position"),
        _small("item_id"),
        _small("size"),
        _small("packs"),
        _whole("price_minor"),
        _text("article"),
        _small("lead_days"),
        _text("due"),
        sa.UniqueConstraint("order_id", "position", name=op.f("uq_order_line_order_id_position")),
        _check("order_line", "position", "position >= 1"),
        _check("order_line", "size", "size >= 1"),
        _check("order_line", "packs", "packs >= 1"),
        _check("order_line", "price_minor", "price_minor >= 0"),
        _check("order_line", "lead_days", "lead_days >= 0"),
        _check("order_line", "due", "length(due) = 10"),
        _refers("order_line", "order_id", "placed_order"),
        _refers("order_line", "item_id", "item"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_order_line_item_id"), "order_line", ["item_id"])


def _what_orders_are_for() -> None:
    op.create_table(
        "order_project",
        _small("order_id"),
        # no foreign key: an order outlives the projects it was for
        _small("project_id"),
        _text("project_name"),
        sa.PrimaryKeyConstraint("order_id", "project_id", name=op.f("pk_order_project")),
        _check("order_project", "project_name", "project_name <> ''"),
        _refers("order_project", "order_id", "placed_order"),
        sqlite_strict=True,
    )
    op.create_table(
        "order_end",
        _small("order_id"),
        _text("at"),
        sa.PrimaryKeyConstraint("order_id", name=op.f("pk_order_end")),
        _refers("order_end", "order_id", "placed_order"),
        sqlite_strict=True,
    )


def _ledger() -> None:
    kinds = " OR ".join(
        f"(kind = '{kind}' AND {changes})"
        for kind, changes in (
            ("received", "on_hand > 0 AND reserved = 0 AND needed = 0"),
            ("used", "on_hand < 0 AND reserved <= 0 AND needed = 0"),
            ("returned", "on_hand > 0 AND reserved >= 0 AND needed = 0"),
            ("counted", "reserved = 0 AND needed = 0"),
            ("adjusted", "on_hand <> 0 AND reserved = 0 AND needed = 0"),
            ("reserved", "on_hand = 0 AND reserved >= 0 AND needed > 0"),
            ("released", "on_hand = 0 AND reserved <= 0 AND needed < 0"),
        )
    )
    op.create_table(
        "movement",
        _number(),
        _small("item_id"),
        _text("kind"),
        _small("on_hand"),
        _small("reserved"),
        _small("needed"),
        # no foreign key: the ledger outlives a project, whose number is never handed out again
        _small("project_id", nullable=True),
        _small("order_line_id", nullable=True),
        _small("counted", nullable=True),
        _text("note"),
        _text("at"),
        _check("movement", "project_id", "project_id >= 1"),
        _check("movement", "counted", "counted >= 0"),
        _check("movement", "order_line_id", "order_line_id IS NULL OR kind = 'received'"),
        _check("movement", "kind", kinds),
        _check(
            "movement",
            "project",
            "(kind IN ('used', 'returned', 'reserved', 'released')) = (project_id IS NOT NULL)",
        ),
        _check("movement", "count", "(kind = 'counted') = (counted IS NOT NULL)"),
        _refers("movement", "item_id", "item"),
        _refers("movement", "order_line_id", "order_line"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    sums = ["item_id", "project_id", "kind", "on_hand", "reserved", "needed"]
    op.create_index(op.f("ix_movement_sums"), "movement", sums)
    op.create_index(op.f("ix_movement_project_id_item_id"), "movement", ["project_id", "item_id"])
    op.create_index(op.f("ix_movement_order_line_id_on_hand"), "movement", ["order_line_id", "on_hand"])


def _guard_in_sqlite() -> None:
    """REPLACE deletes what it replaces; with recursive_triggers on, that is refused as well."""
    for table in _KEPT:
        for change in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{_STAYS}'); END"
            )
    for table, name, condition, why in _REFUSED:
        op.execute(
            f"CREATE TRIGGER {name} BEFORE INSERT ON {table} WHEN {condition} "
            f"BEGIN SELECT RAISE(ABORT, '{why}'); END"
        )


def _guard_in_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_rebooking() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_STAYS}'; END $$"
    )
    for table in _KEPT:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION refuse_rebooking()"
        )
    for table, name, condition, why in _REFUSED:
        op.execute(
            f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN IF {condition} THEN RAISE EXCEPTION '{why}'; END IF; RETURN NEW; END $$"
        )
        op.execute(f"CREATE TRIGGER {name} BEFORE INSERT ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()")
