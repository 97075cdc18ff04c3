"""Bringing a database to the schema of this version, never losing a row on the way.

The cheap question comes first: ``user_version`` tells whether anything is to be done at all, and
only then is Alembic loaded.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Connection

from webapp.store import places
from webapp.store.backup import back_up
from webapp.store.errors import CannotOpen, Damaged, DataMissing, ForeignDatabase, NewerDatabase, named
from webapp.store.soundness import Schema, differences, golden_schema, looking_at, schema_of
from webapp.store.sqlite import APPLICATION_ID, connect, migrating_engine

HEAD = 14
"""The schema's version: the number of the newest revision in ``migrations/versions``."""


def bring_up_to_date(path: Path, *, begin: bool = True) -> None:
    """Make or migrate the SQLite database at ``path``; an older one is backed up beside it first.

    Raises ForeignDatabase, NewerDatabase, CannotOpen, or Damaged where references do not hold; DataMissing
    where there is nothing and nothing new may ``begin``.
    """
    version = version_of(path)
    if version == HEAD:
        return
    if version == 0 and not begin:
        raise DataMissing(str(path), places.copies(path))
    if version > 0:
        back_up(path, path.with_name(f"{path.name}.before-version-{HEAD}"))
    migrate(path)


def migrate(path: Path) -> None:
    """Bring the database at ``path`` to this version, or leave it as it is.

    Raises Damaged where references do not hold.
    """
    engine = migrating_engine(path)
    try:
        with engine.begin() as connection:
            upgrade(connection)
            # here, not later: what does not hold together is rolled back to the older schema
            if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                raise Damaged
            made = connection.connection.driver_connection
            assert isinstance(made, sqlite3.Connection)
            for wrong in differences(schema_of(made), golden_schema()):
                raise Damaged(str(wrong))
            connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
            connection.exec_driver_sql(f"PRAGMA user_version={HEAD}")
    finally:
        engine.dispose()


@cache
def schema_of_version(version: int) -> Schema:
    """What the program of that version made of an empty file: the newest from its text, an earlier one anew."""
    if version == HEAD:
        return golden_schema()
    with TemporaryDirectory() as folder:
        file = Path(folder) / "empty.db"
        make_version(file, version)
        with looking_at(file) as looked:
            return schema_of(looked)


def make_version(path: Path, version: int) -> None:
    """Make a new database at ``path`` as the program of that version would have made it."""
    engine = migrating_engine(path)
    try:
        with engine.begin() as connection:
            upgrade(connection, f"{version:04}")
            connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
            connection.exec_driver_sql(f"PRAGMA user_version={version}")
    finally:
        engine.dispose()


def version_of(path: Path) -> int:
    """The schema's version in the file; 0 where there is no file yet or nothing in it.

    Raises ForeignDatabase, NewerDatabase, CannotOpen, or Damaged.
    """
    if not path.exists():
        return 0
    if path.is_dir():
        raise CannotOpen(str(path), "it is a folder; name a file in it")
    try:
        with closing(connect(path)) as connection:
            application = connection.execute("PRAGMA application_id").fetchone()[0]
            version: int = connection.execute("PRAGMA user_version").fetchone()[0]
            tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    except UnicodeDecodeError as error:
        raise Damaged from error  # SQLite's own message quotes what is no text any more
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorname", "") == "SQLITE_NOTADB":
            raise ForeignDatabase(str(path)) from None
        raise (named(error) or error) from error
    if application != APPLICATION_ID and (tables or application):
        raise ForeignDatabase(str(path))
    if version < 0 or (version == 0 and application):
        raise Damaged(f"its version reads {version}")
    if version > HEAD:
        raise NewerDatabase(str(path), str(version), str(HEAD))
    return version


def refuse_other_versions(path: Path) -> None:
    """Raise CannotOpen where the database would have to be brought up to date, or there is none."""
    version = version_of(path)
    if version != HEAD:
        raise CannotOpen(str(path), f"it is of version {version}, and its place takes no writing to change that")


def upgrade(connection: Connection, to: str = "head") -> None:
    """Run the migrations, to the newest or the given revision, in the transaction that ``connection`` is in."""
    from alembic import command  # loaded here: most starts need no migration
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
