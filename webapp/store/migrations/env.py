"""Alembic's environment: the connection, and the transaction it is in, come from ``schema``."""

from __future__ import annotations

from alembic import context

from webapp.store import (  # noqa: F401  their tables join the others
    device_tables,
    machine_tables,
    past_tables,
    pattern_tables,
    photograph_tables,
    quote_tables,
    stock_tables,
)
from webapp.store.tables import Row

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Row.metadata,
    transactional_ddl=True,  # SQLite can, once sqlite3 is kept from committing by itself
)
context.run_migrations()
