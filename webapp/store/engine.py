"""The store: opens the database, brings it up to date, hands out sessions.

``writing()`` commits at the end of its with-block and rolls back on any exception. A request
handler therefore closes the block before it makes its response: what the screen calls saved is
saved.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from sqlite3 import Connection
from typing import TYPE_CHECKING

from sqlalchemy import Engine
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlmodel import Session

from webapp.store import past, places, schema, server, sqlite
from webapp.store.backup import put_in_place
from webapp.store.errors import CannotOpen, InUse, OnlyToLookAt, ReadOnly, StoreError, in_our_words
from webapp.store.health import AT_ONCE, Checkup, look_over, look_over_server
from webapp.store.standing import Standing
from webapp.store.turns import Turns, WaitingRoom

if TYPE_CHECKING:
    from filelock import BaseFileLock

Clock = Callable[[], datetime]
_CLOCK = "clock"
_LIFE = "life"


def utc_now() -> datetime:
    """The moment, in UTC."""
    return datetime.now(UTC)


def now(session: Session) -> datetime:
    """The moment by the clock of the store that the session belongs to."""
    clock: Clock = session.info.get(_CLOCK, utc_now)
    return clock()


def life_of(session: Session) -> Life:
    """The life of the data that the session sees, or the one before."""
    life: Life = session.info[_LIFE]
    return life


def today(session: Session) -> date:
    """The shop's own day by that clock: by it things are priced, due and late."""
    return now(session).astimezone().date()


class Life:
    """The time between two restores: as long as it lasts, versions, editions and numbers only rise.

    What is kept for an edition is kept for one life, for in the next the same figures mean something else.
    """


class Store:
    """An open database. Safe to share between threads; a session is not.

    ``path`` is its SQLite file, None on a server.
    """

    def __init__(
        self,
        engines: tuple[Engine, Engine],
        path: Path | None,
        lock: BaseFileLock | None,
        clock: Clock,
        trouble: StoreError | None = None,
    ) -> None:
        self.path = path
        self.life = Life()
        self._seen: int | None = None
        self._noticing = threading.Lock()
        self._writer, self._reader = engines
        self._lock = lock
        self._clock = clock
        self._waiting = WaitingRoom()
        self._turns = Turns(self._waiting)
        self._checkup: Checkup | None = None
        self._standing = Standing(path, self._read_on, trouble)

    @classmethod
    def open(
        cls, where: str | Path, *, lock: bool = False, clock: Clock = utc_now, new_shop: bool = False
    ) -> Store:
        """Open the database at a path, or at a sqlite or postgresql URL; make or migrate it.

        ``lock`` is for the program that serves: it refuses to run twice on one SQLite file (InUse).
        ``new_shop`` lets an empty database be made where there used to be one (otherwise DataMissing).
        Raises CannotOpen, NewerDatabase, ForeignDatabase, or the errors of any later access.
        """
        path = sqlite_path(where)
        if path is None:
            return cls._on_server(url_of(str(where)), clock)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            held = hold(path) if lock else None
        except OSError as error:
            why = (error.strerror or str(error)).lower()
            if path.is_file():
                return cls._to_look_at(path, clock, OnlyToLookAt(str(path), why))
            raise CannotOpen(str(path), why) from None
        try:
            with in_our_words():
                schema.bring_up_to_date(path, begin=new_shop or not places.were_used(path))
            places.mark(path)
            store = cls((sqlite.writing_engine(path), sqlite.reading_engine(path)), path, held, clock)
        except BaseException:
            if held is not None:
                held.release()
            raise
        try:
            store._look_over_first(path)
        except BaseException:
            store.close()
            raise
        return store

    @classmethod
    def _on_server(cls, url: URL, clock: Clock) -> Store:
        store = cls(server.engines(url), None, None, clock)
        try:
            store.look_over()
        except BaseException:
            store.close()
            raise
        return store

    @classmethod
    def _to_look_at(cls, path: Path, clock: Clock, trouble: StoreError) -> Store:
        """A store on the file as it is: nothing is brought up to date, and nothing is ever written."""
        schema.refuse_other_versions(path)
        return cls((sqlite.reading_engine(path), sqlite.reading_engine(path)), path, None, clock, trouble)

    @property
    def trouble(self) -> StoreError | None:
        """Why nothing is written any more, such as damage that was seen; None as long as all is well."""
        self._standing.look()
        return self._standing.trouble

    @property
    def checkup(self) -> Checkup | None:
        """What the last look over the whole database found; None before the first is done."""
        return self._checkup

    def look_over(self) -> Checkup:
        """Look the whole database over now; damage stops all writing.

        Of a server's the tables, checks and guards are looked at; whether its pages are whole it sees to itself.
        """
        with self.reading() as session:
            connection = session.connection().connection.driver_connection
            if isinstance(connection, Connection):
                self._checkup = look_over(connection, self._clock())
            else:
                self._checkup = look_over_server(session, self._clock())
        if self._checkup.damage is not None:
            self._standing.stop(self._checkup.damage)
        return self._checkup

    def _look_over_first(self, path: Path) -> None:
        """Before anything else is done with the data, or beside it where that would take long."""
        if path.stat().st_size <= AT_ONCE:
            self.look_over()
        else:
            threading.Thread(target=self._look_over_beside, name="look over", daemon=True).start()

    def _look_over_beside(self) -> None:
        with suppress(StoreError):  # busy, or closed meanwhile; damage is told by what stopped the writing
            self.look_over()

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one unchanging state of the data and cannot write.

        Keep the block short: in rollback-journal mode a reader holds writers up.
        """
        self._standing.look()
        with self._standing.noticing(), self._session(self._reader) as session:
            with self._waiting.place():
                connection = session.connection()
                if self.path is not None:
                    # where it is locked this waits, and here it is counted
                    connection.exec_driver_sql("SELECT 1 FROM sqlite_schema LIMIT 1").first()
                else:
                    self._notice_life(session)
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session in one transaction: all of it is kept at the end of the block, or none.

        What it edits is kept as it was before (``past``).

        Raises NothingWritten once damage was seen, also where it was seen while the block ran.
        """
        self._standing.refuse_to_write()
        try:
            with self._standing.noticing(), ExitStack() as held:
                held.enter_context(self._turns.turn(sqlite.WAIT_MS / 1_000))
                session = held.enter_context(self._session(self._writer))
                held.enter_context(session.begin())
                with self._waiting.at_the_lock():
                    session.connection()
                if self.path is None:
                    self._notice_life(session)
                past.watch(session)
                yield session
                past.keep(session, self._clock())
                self._standing.refuse_to_write()
        except ReadOnly:
            self._writer.dispose()  # a connection that was opened to read only would never write again
            raise

    @contextmanager
    def replacing(self) -> Iterator[Callable[[Path], None]]:
        """Nobody writes inside the block; what it is given puts a sound SQLite file in place of all the data.

        Who reads meanwhile sees the old data or the new; a program killed meanwhile finds one or the other.
        """
        path = self.path
        assert path is not None  # a server's data is replaced by its own tools

        def put(file: Path) -> None:
            with in_our_words():
                put_in_place(file, path)
            self.life = Life()
            # what was seen was of the data that is gone
            self._standing.lift()
            self._look_over_first(path)

        with self._turns.turn(sqlite.WAIT_MS / 1_000):
            yield put

    def moment(self) -> datetime:
        """The moment by the store's clock."""
        return self._clock()

    def close(self) -> None:
        """Close every connection and let go of the lock."""
        self._writer.dispose()
        self._reader.dispose()
        self._standing.close()
        if self._lock is not None:
            self._lock.release()

    def _read_on(self, what: Path | Connection) -> None:
        """Read from now on the copy that was saved of a file that is gone, or what one connection still has."""
        self._reader = sqlite.reading_engine(what) if isinstance(what, Path) else sqlite.engine_through(what)

    def _notice_life(self, session: Session) -> None:
        """Another station may have put other data on the server. Raises OtherVersion."""
        seen = server.life_in(session.connection())
        with self._noticing:
            if seen != self._seen:
                # the first that is seen is the one that this store was opened on
                self.life = self.life if self._seen is None else Life()
                self._seen = seen
            session.info[_LIFE] = self.life

    def _session(self, engine: Engine) -> Session:
        return Session(engine, expire_on_commit=False, info={_CLOCK: self._clock, _LIFE: self.life})


def hold(database: Path) -> BaseFileLock:
    """The lock on the database, held; raises InUse at once where another process has it.

    It is the operating system's, so a killed server leaves none behind, and on a file of its own: opening and
    closing the database itself would drop SQLite's locks on it.
    """
    # only the server needs it; the command line is quicker without
    from filelock import FileLock, Timeout

    lock = FileLock(database.with_name(database.name + ".lock"), thread_local=False)
    try:
        lock.acquire(blocking=False)
    except Timeout:
        raise InUse(str(lock.lock_file)) from None
    return lock


def sqlite_path(where: str | Path) -> Path | None:
    """The SQLite file that a path or URL means; None for the URL of a database server.

    >>> str(sqlite_path("sqlite:///shop.db"))
    'shop.db'
    >>> sqlite_path("postgresql://localhost/shop") is None
    True
    """
    if isinstance(where, Path) or "://" not in where:
        return Path(where)
    url = url_of(where)
    if url.get_backend_name() != "sqlite":
        return None
    if url.database in {None, "", ":memory:"}:
        raise CannotOpen(where, "a database in memory is lost with the program; name a file")
    return Path(str(url.database))


def url_of(text: str) -> URL:
    """The URL that a text is. Raises CannotOpen where it is none."""
    try:
        return make_url(text)
    except ArgumentError:
        raise CannotOpen(text, "write a path, or a URL such as sqlite:///shop.db") from None
