"""A project keeps its climate, the wood that it is cut from and what was changed on its parts list."""

from __future__ import annotations

from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    """Add the columns in place: no project had any of the three."""
    for column in ("climate_json", "stock_json", "parts_json"):
        op.execute(f"ALTER TABLE project ADD COLUMN {column} TEXT")
