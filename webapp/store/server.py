"""A PostgreSQL server instead of a file, for a shop with several stations.

It is made to behave as SQLite does here: one writer at a time, whichever station it is at (an advisory
lock stands for BEGIN IMMEDIATE), and readers that see one state and cannot write. What is true of the
store on a file is then true of it on a server: what was read before it is written has not changed
meanwhile, so no transaction ever fails for another's sake and none has to be tried again. A shop's
writing is far too little for the queue to be felt. Backups are the server's own business.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from typing import TYPE_CHECKING, cast

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import URL

from webapp.store import schema
from webapp.store.errors import CannotOpen, NewerDatabase, Occupied, OtherVersion, in_our_words
from webapp.store.sqlite import APPLICATION_ID, THREADS, WAIT_MS

if TYPE_CHECKING:
    import psycopg

_DRIVER = "psycopg"
_NAME = "dovetally"
"""What the owner of the server reads of our connections."""
_OTHERS = """
    SELECT count(*) FROM pg_stat_activity
    WHERE datname = current_database() AND backend_type = 'client backend' AND pid <> pg_backend_pid()
"""


def engines(url: URL) -> tuple[Engine, Engine]:
    """The writing and the reading engine, once the schema is up to date.

    Raises CannotOpen for another kind of server or a missing driver, NewerDatabase, or Unreachable.
    """
    _refuse_other_servers(url)
    writer = _writing_engine(url)
    try:
        with in_our_words(), writer.begin() as connection:
            _bring_up_to_date(connection, shown(url))
    except BaseException:
        writer.dispose()
        raise
    return writer, _engine(url, "REPEATABLE READ", read_only=True)


@contextmanager
def alone(url: URL, *, keep: bool = True) -> Iterator[psycopg.Connection[Sequence[object]]]:
    """The server's own connection, in one transaction on a database of this version that nobody else has open.

    What was done in the block is kept where it ends well, and where ``keep``; nothing of it otherwise. Raises
    Occupied, and what ``engines`` raises.
    """
    _refuse_other_servers(url)
    engine = _writing_engine(url)
    try:
        with in_our_words(), engine.connect() as connection:
            others = connection.exec_driver_sql(_OTHERS).scalar_one()
            if others:
                raise Occupied(shown(url), others)
            _bring_up_to_date(connection, shown(url))
            yield cast("psycopg.Connection[Sequence[object]]", connection.connection.driver_connection)
            if keep:
                connection.commit()
    finally:
        engine.dispose()


def shown(url: URL) -> str:
    """The address as it may be told: without its password."""
    return url.render_as_string(hide_password=True)


def life_in(connection: Connection) -> int:
    """Which life of the data a connection sees, as a number. Raises OtherVersion where another program's it is.

    It is that of the table itself, which is made anew wherever other data is put in place of all that was there.
    """
    version, life = connection.exec_driver_sql("SELECT version_num, tableoid FROM alembic_version").one()
    if int(version) != schema.HEAD:
        raise OtherVersion(str(int(version)), str(schema.HEAD))
    return int(life)


def _refuse_other_servers(url: URL) -> None:
    if url.get_backend_name() != "postgresql":
        raise CannotOpen(shown(url), "the data can be kept in SQLite or PostgreSQL")
    try:
        import_module(_DRIVER)
    except ImportError:
        raise CannotOpen(
            shown(url), f"Python's package {_DRIVER} is not installed; install dovetally[postgresql]"
        ) from None


def _writing_engine(url: URL) -> Engine:
    writer = _engine(url, "READ COMMITTED", read_only=False)
    event.listen(writer, "begin", _wait_for_turn)
    return writer


def _engine(url: URL, isolation: str, *, read_only: bool) -> Engine:
    return create_engine(
        url.set(drivername=f"postgresql+{_DRIVER}"),
        connect_args={"connect_timeout": WAIT_MS // 1_000, "application_name": _NAME},
        pool_size=THREADS // 4,
        max_overflow=THREADS - THREADS // 4,
        pool_pre_ping=True,  # a server may have been restarted overnight
        isolation_level=isolation,
        execution_options={"postgresql_readonly": read_only},
    )


def _wait_for_turn(connection: Connection) -> None:
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {WAIT_MS}")
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({APPLICATION_ID})")


def _bring_up_to_date(connection: Connection, where: str) -> None:
    encoding = connection.exec_driver_sql("SHOW server_encoding").scalar_one()
    if encoding != "UTF8":
        raise CannotOpen(where, f"its encoding is {encoding}, which has not every letter; make it with UTF8")
    version = 0
    if inspect(connection).has_table("alembic_version"):
        version = int(connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one())
    if version > schema.HEAD:
        raise NewerDatabase(where, str(version), str(schema.HEAD))
    if version < schema.HEAD:
        schema.upgrade(connection)
