"""A form's token is kept with where the form was sent and what was in it, not with the outcome alone."""

from __future__ import annotations

from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Add the columns in place. Of a form acted on before, what was in it is not known: it is like no other."""
    op.execute("ALTER TABLE form_token ADD COLUMN route TEXT DEFAULT '' NOT NULL")
    op.execute(
        "ALTER TABLE form_token ADD COLUMN fingerprint TEXT DEFAULT '' NOT NULL "
        "CONSTRAINT ck_form_token_fingerprint CHECK (length(fingerprint) IN (0, 64))"
    )
    op.execute("ALTER TABLE form_token ADD COLUMN sent_json TEXT DEFAULT '[]' NOT NULL")
