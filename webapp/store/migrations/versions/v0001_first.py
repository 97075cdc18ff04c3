"""The first schema: projects and their assemblies, the catalogue, the shop, form tokens.

Written out rather than taken from the tables of the day: it must make the same schema for ever.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

# 64 bits: 100 m are 10^11 nm
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Create every table, and the shop's one row: no name yet, every rule at its default."""
    _projects()
    _catalogue()
    _plugs()
    _shop()


def _number() -> sa.Column[int]:
    return sa.Column("id", sa.Integer(), primary_key=True, nullable=False)


def _text(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=nullable)


def _small(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False)


def _whole(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=nullable)


def _projects() -> None:
    op.create_table(
        "project",
        _number(),
        _text("name"),
        _text("customer", nullable=True),
        _text("units"),
        _text("currency", nullable=True),
        _text("sections_json", nullable=True),
        _text("rules_json", nullable=True),
        _text("keys_json", nullable=True),
        _small("version"),
        _text("created"),
        _text("updated"),
        sa.CheckConstraint("name <> ''", name=op.f("ck_project_name")),
        sa.CheckConstraint("units IN ('mm', 'in')", name=op.f("ck_project_units")),
        sa.CheckConstraint("length(currency) = 3", name=op.f("ck_project_currency")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_project_version")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_table(
        "assembly",
        _number(),
        _small("project_id"),
        _small("position"),
        _text("mark"),
        _text("kind"),
        _text("spec_json"),
        _small("version"),
        sa.UniqueConstraint("project_id", "mark", name=op.f("uq_assembly_project_id_mark")),
        sa.CheckConstraint("position >= 0", name=op.f("ck_assembly_position")),
        sa.CheckConstraint("length(mark) BETWEEN 1 AND 12", name=op.f("ck_assembly_mark")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_assembly_version")),
        sa.ForeignKeyConstraint(
            ["project_id"], ["project.id"], name=op.f("fk_assembly_project_id_project"), ondelete="CASCADE"
        ),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _catalogue() -> None:
    op.create_table(
        "section",
        _number(),
        _small("position"),
        _text("name"),
        _whole("waist"),
        _whole("half_depth"),
        _small("flank"),
        _whole("tip_diameter"),
        _whole("oversize_tip_diameter", nullable=True),
        _whole("drive_limit"),
        _whole("stock_from"),
        _whole("stock_to"),
        _whole("reach_limit"),
        _small("version"),
        sa.UniqueConstraint("name", name=op.f("uq_section_name")),
        sa.CheckConstraint("name <> ''", name=op.f("ck_section_name")),
        sa.CheckConstraint("waist > 0", name=op.f("ck_section_waist")),
        sa.CheckConstraint("half_depth > 0", name=op.f("ck_section_half_depth")),
        sa.CheckConstraint("flank BETWEEN 1 AND 45000000", name=op.f("ck_section_flank")),
        sa.CheckConstraint("tip_diameter > waist", name=op.f("ck_section_tip_diameter")),
        sa.CheckConstraint("oversize_tip_diameter > tip_diameter", name=op.f("ck_section_oversize_tip_diameter")),
        sa.CheckConstraint("drive_limit > 0", name=op.f("ck_section_drive_limit")),
        sa.CheckConstraint("stock_from > 0 AND stock_to >= stock_from", name=op.f("ck_section_stock")),
        sa.CheckConstraint("reach_limit > 0", name=op.f("ck_section_reach_limit")),
        sa.CheckConstraint("position >= 0", name=op.f("ck_section_position")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_section_version")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_table(
        "section_length",
        _small("section_id"),
        _whole("length"),
        _whole("price_minor", nullable=True),
        sa.PrimaryKeyConstraint("section_id", "length", name=op.f("pk_section_length")),
        sa.CheckConstraint("length > 0", name=op.f("ck_section_length_length")),
        sa.CheckConstraint("price_minor >= 0", name=op.f("ck_section_length_price_minor")),
        sa.ForeignKeyConstraint(
            ["section_id"],
            ["section.id"],
            name=op.f("fk_section_length_section_id_section"),
            ondelete="CASCADE",
        ),
        sqlite_strict=True,
    )


def _plugs() -> None:
    op.create_table(
        "plug",
        _number(),
        _text("material"),
        _whole("height"),
        _whole("price_minor", nullable=True),
        _small("version"),
        sa.UniqueConstraint("material", "height", name=op.f("uq_plug_material_height")),
        sa.CheckConstraint("material <> ''", name=op.f("ck_plug_material")),
        sa.CheckConstraint("height > 0", name=op.f("ck_plug_height")),
        sa.CheckConstraint("price_minor >= 0", name=op.f("ck_plug_price_minor")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_plug_version")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def _shop() -> None:
    shop = op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False, autoincrement=False),
        _text("name"),
        _text("units"),
        _text("currency"),
        _text("rules_json"),
        _small("version"),
        _small("revision"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_one")),
        sa.CheckConstraint("units IN ('mm', 'in')", name=op.f("ck_shop_units")),
        sa.CheckConstraint("length(currency) = 3", name=op.f("ck_shop_currency")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_shop_version")),
        sa.CheckConstraint("revision >= 1", name=op.f("ck_shop_revision")),
        sqlite_strict=True,
    )
    op.bulk_insert(
        shop,
        [{"id": 1, "name": "", "units": "mm", "currency": "EUR", "rules_json": "{}", "version": 1, "revision": 1}],
    )
    op.create_table(
        "form_token",
        _text("token"),
        _text("outcome"),
        _text("at"),
        sa.PrimaryKeyConstraint("token", name=op.f("pk_form_token")),
        sa.CheckConstraint("token <> ''", name=op.f("ck_form_token_token")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_form_token_at"), "form_token", ["at"])
