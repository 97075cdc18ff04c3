"""A PostgreSQL server instead of a file, for a shop with several stations.

It is made to behave as SQLite does here: one writer at a time (an advisory lock stands for BEGIN
IMMEDIATE), and readers that see one state and cannot write. What is true of the store on a file is
then true of it on a server, and a shop's writing is far too little for the queue to be felt.
Backups are the server's own business.
"""

from __future__ import annotations

from importlib import import_module

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import URL

from webapp.store import schema
from webapp.store.errors import CannotOpen, NewerDatabase, in_our_words
from webapp.store.sqlite import APPLICATION_ID, THREADS, WAIT_MS

_DRIVER = "psycopg"


def engines(url: URL) -> tuple[Engine, Engine]:
    """The writing and the reading engine, once the schema is up to date.

    Raises CannotOpen for another kind of server or a missing driver, NewerDatabase, or Unreachable.
    """
    shown = url.render_as_string(hide_password=True)
    if url.get_backend_name() != "postgresql":
        raise CannotOpen(shown, "the data can be kept in SQLite or PostgreSQL")
    try:
        import_module(_DRIVER)
    except ImportError:
        raise CannotOpen(
            shown, f"Python's package {_DRIVER} is not installed; install dovetally[postgresql]"
        ) from None
    writer = _engine(url, "READ COMMITTED", read_only=False)
    event.listen(writer, "begin", _wait_for_turn)
    try:
        with in_our_words():
            _bring_up_to_date(writer, shown)
    except BaseException:
        writer.dispose()
        raise
    return writer, _engine(url, "REPEATABLE READ", read_only=True)


def _engine(url: URL, isolation: str, *, read_only: bool) -> Engine:
    return create_engine(
        url.set(drivername=f"postgresql+{_DRIVER}"),
        connect_args={"connect_timeout": WAIT_MS // 1_000},
        pool_size=THREADS // 4,
        max_overflow=THREADS - THREADS // 4,
        pool_pre_ping=True,  # a server may have been restarted overnight
        isolation_level=isolation,
        execution_options={"postgresql_readonly": read_only},
    )


def _wait_for_turn(connection: Connection) -> None:
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {WAIT_MS}")
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({APPLICATION_ID})")


def _bring_up_to_date(writer: Engine, shown: str) -> None:
    with writer.begin() as connection:
        version = 0
        if inspect(connection).has_table("alembic_version"):
            version = int(connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one())
        if version > schema.HEAD:
            raise NewerDatabase(shown, str(version), str(schema.HEAD))
        if version < schema.HEAD:
            schema.upgrade(connection)
