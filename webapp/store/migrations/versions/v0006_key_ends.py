"""A section says how its keys' leading end is shaped: round, as all were taken for, or square."""

from __future__ import annotations

from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add the column in place: nothing is copied, nothing that refers to a section is touched."""
    op.execute(
        "ALTER TABLE section ADD COLUMN \"end\" TEXT DEFAULT 'round' NOT NULL "
        "CONSTRAINT ck_section_end CHECK (\"end\" IN ('round', 'square'))"
    )
