"""A PostgreSQL server of the tests' own: in a folder of its own, on a socket that nobody else sees.

It is started when a test first asks for it, and a test gets a database of its own, copied from one that was made
once. Nothing of it outlives the run, so nothing is ever brought to the disk for good.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from itertools import count
from pathlib import Path

import psycopg
import pytest
from sqlmodel import Session

from webapp.store import Store
from webapp.store.engine import Clock, utc_now

Sql = psycopg.Connection[tuple[object, ...]]
REQUIRED = "DOVETALLY_POSTGRESQL_REQUIRED"
ROLE = "shop"
# names in the order of a language's alphabet, as a shop's server would have them, and not in that of their bytes
_LANGUAGE = ("--locale=C.UTF-8", "--locale-provider=icu", "--icu-locale=en", "--encoding=UTF8")
_SETTINGS = {
    "listen_addresses": "",
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "autovacuum": "off",
    "jit": "off",
    "shared_buffers": "24MB",
    "max_connections": "250",
}
_PATIENCE = 60.0


def programs() -> Path | None:
    """The folder that has PostgreSQL's server programs, the newest version's; None where there is none."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(found).resolve().parent
    # Debian keeps them off the path, one folder a version
    debian = [each for each in Path("/usr/lib/postgresql").glob("*/bin") if (each / "initdb").exists()]
    return max(debian, key=lambda each: int(each.parent.name.split(".")[0]), default=None)


class Cluster:
    """A running server. Its databases are made by name and dropped with it."""

    def __init__(self, folder: Path, admin: Sql) -> None:
        self.folder = folder
        self._admin = admin
        self._made: set[str] = set()
        self._numbers = count(1)

    def url(self, name: str) -> str:
        """The address of a database, as DOVETALLY_DATABASE_URL would have it."""
        return f"postgresql+psycopg://{ROLE}@/{name}?host={self.folder}"

    def connect(self, name: str) -> Sql:
        """A connection past the store."""
        return psycopg.connect(f"host={self.folder} user={ROLE} dbname={name}", autocommit=True)

    @contextmanager
    def empty(self) -> Iterator[str]:
        """The name of a database with nothing in it, for the length of the block."""
        with self._database("template1") as name:
            yield name

    @contextmanager
    def copy(self, made: str, fill: Callable[[Session], object], clock: Clock = utc_now) -> Iterator[str]:
        """The name of a copy of the database ``made``, which ``fill`` makes of an empty shop at ``clock``."""
        if made not in self._made:
            self._admin.execute(f'CREATE DATABASE "{made}"')
            with closing(Store.open(self.url(made), clock=clock)) as store, store.writing() as session:
                fill(session)
            self._made.add(made)
        with self._database(made) as name:
            yield name

    @contextmanager
    def opened(self, made: str, fill: Callable[[Session], object], clock: Clock = utc_now) -> Iterator[Store]:
        """A store on such a copy, for the length of the block."""
        with self.copy(made, fill, clock) as name, closing(Store.open(self.url(name), clock=clock)) as store:
            yield store

    @contextmanager
    def _database(self, template: str) -> Iterator[str]:
        name = f"test_{next(self._numbers)}"
        self._admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        try:
            yield name
        finally:
            self._admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@contextmanager
def running() -> Iterator[Cluster]:
    """A server for the length of the block; the test is skipped where there is none, unless one is required."""
    binaries = programs()
    if binaries is None:
        if REQUIRED in os.environ:
            pytest.fail(f"{REQUIRED} is set, and PostgreSQL is not installed", pytrace=False)
        pytest.skip("PostgreSQL is not installed (Debian's package postgresql)")
    # not in pytest's own folder, which other users may not enter; a socket's path has at most 107 letters
    folder = Path(tempfile.mkdtemp(prefix="dovetally-"))
    owner = _owner()
    try:
        if owner is not None:
            shutil.chown(folder, owner)
        data = folder / "data"
        made = ("--auth=trust", f"--username={ROLE}", "--no-sync", "--no-instructions", *_LANGUAGE)
        _run([binaries / "initdb", "--pgdata", data, *made], owner, folder)
        settings = [f"--{name}={value}" for name, value in _SETTINGS.items()]
        with (folder / "log").open("wb") as log:
            server = subprocess.Popen(
                [binaries / "postgres", "-D", data, "-k", folder, *settings],
                user=owner,
                cwd=folder,
                stdout=log,
                stderr=log,
            )
        try:
            with closing(_first_connection(folder, server)) as admin:
                yield Cluster(folder, admin)
        finally:
            server.terminate()
            with suppress(subprocess.TimeoutExpired):
                server.wait(10)
            server.kill()
            server.wait()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _owner() -> str | None:
    """The superuser may not run the server; whoever else runs it, None means as who one is."""
    if os.geteuid() != 0:
        return None
    names = {each.pw_name for each in pwd.getpwall()}
    return next(name for name in ("postgres", "nobody") if name in names)


def _run(command: list[object], owner: str | None, folder: Path) -> None:
    done = subprocess.run(
        [str(each) for each in command], user=owner, cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def _first_connection(folder: Path, server: subprocess.Popen[bytes]) -> Sql:
    until = time.monotonic() + _PATIENCE
    while True:
        try:
            return psycopg.connect(f"host={folder} user={ROLE} dbname=postgres", autocommit=True)
        except psycopg.OperationalError:
            assert server.poll() is None, (folder / "log").read_text()
            if time.monotonic() > until:
                raise
            time.sleep(0.02)
