"""What can go wrong in the store: named errors that carry data and read as one sentence."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.exc import TimeoutError as NoFreeConnection

from domain.problems import Problem


class StoreError(Exception):
    """Base of everything the store raises on purpose; its text may be shown to a person."""


class Busy(StoreError):
    """Somebody else was writing all the while; trying again will most likely work."""

    def __init__(self) -> None:
        super().__init__("The data is in use by another writer; nothing was changed. Try again in a moment.")


class DiskFull(StoreError):
    """The disk took no more: full, over a quota, or failing."""

    def __init__(self) -> None:
        super().__init__(
            "The disk refused to take the data; nothing was changed. Free some space on it, then try again."
        )


class ReadOnly(StoreError):
    """The file or its folder may not be written (or not even opened)."""

    def __init__(self) -> None:
        super().__init__(
            "The data file cannot be written; nothing was changed. Allow writing to it and to its folder."
        )


class Damaged(StoreError):
    """The file is no sound SQLite database any more; nothing more is to be written to it."""

    said = "The data file is damaged{found}. Stop here, keep the file, and restore the last backup."

    def __init__(self, found: str = "") -> None:
        self.found = found
        super().__init__(self.said.format(found=f" ({found})" if found else ""))


class DamagedOnServer(Damaged):
    """The database on the server is not as the program made it."""

    said = (
        "The data on the server is not as it should be{found}. Stop Dovetally at every station, and let whoever "
        "looks after the server mend it, or restore its last backup."
    )


class FileGone(StoreError):
    """The data file was deleted, moved or replaced while it was open; ``saved`` is a copy of what was in it."""

    def __init__(self, where: str, *, replaced: bool, saved: str | None) -> None:
        self.where, self.replaced, self.saved = where, replaced, saved
        what = "replaced by another" if replaced else "deleted or moved away"
        then = (
            f"Everything that was in it was saved as {saved}, and that is what you see. "
            f"Stop the program, give that copy the name {where}, and start again."
            if saved
            else "What was in it could not be copied. Do not stop the program before you have exported "
            "the projects that still open."
        )
        super().__init__(f"The data file {where} was {what} while the program ran. {then}")


class OnlyToLookAt(StoreError):
    """The place of the data takes no writing, so it was opened to be looked at."""

    def __init__(self, where: str, why: str) -> None:
        self.where, self.why = where, why
        super().__init__(
            f"{where} was opened only to be looked at: {why}. "
            "Allow writing to it and to its folder, then start the program again."
        )


class NothingWritten(StoreError):
    """Nothing is written any more; ``because`` says what was seen, and what to do."""

    def __init__(self, because: StoreError) -> None:
        self.because = because
        super().__init__(f"Nothing was saved, and nothing will be until this is mended. {because}")


class Unreachable(StoreError):
    """The database server does not answer."""

    def __init__(self) -> None:
        super().__init__(
            "The database server cannot be reached; nothing was changed. "
            "Check that it is running and that this computer is on its network."
        )


class OtherVersion(StoreError):
    """The database on the server was brought to another version than this program's while it ran."""

    def __init__(self, found: str, known: str) -> None:
        self.found, self.known = found, known
        super().__init__(
            f"The data on the server is of version {found} by now, and this program knows version {known}; "
            "nothing was changed. Install the same Dovetally at every station, and start this one again."
        )


class Occupied(StoreError):
    """Other connections to the database are open: stations that serve, or tools of its owner's."""

    def __init__(self, where: str, others: int) -> None:
        self.where, self.others = where, others
        are = "1 other connection is" if others == 1 else f"{others} other connections are"
        super().__init__(
            f"{are} open to {where}, and what came through {'it' if others == 1 else 'them'} now would be lost. "
            "Stop Dovetally at every station, and whatever else is connected, then try again."
        )


class InUse(StoreError):
    """Another server holds the lock file of this database."""

    def __init__(self, lock_file: str) -> None:
        self.lock_file = lock_file
        super().__init__(
            f"Dovetally is already running on this data (it holds {lock_file}); "
            "use its page, or stop it before starting another."
        )


class ForeignDatabase(StoreError):
    """The file is a database, but another program's."""

    def __init__(self, where: str) -> None:
        self.where = where
        super().__init__(f"{where} is not a Dovetally database; choose another file.")


class NewerDatabase(StoreError):
    """The database was written by a later Dovetally than this one."""

    def __init__(self, where: str, found: str, known: str) -> None:
        self.where, self.found, self.known = where, found, known
        super().__init__(
            f"{where} is of version {found}, and this Dovetally knows versions up to {known}; "
            "install the newer Dovetally."
        )


class DataMissing(StoreError):
    """There is no data where a shop's data used to be; ``copies`` lie beside that place."""

    def __init__(self, where: str, copies: tuple[str, ...]) -> None:
        self.where, self.copies = where, copies
        beside = f"; beside it lie {', '.join(copies)}" if copies else ""
        super().__init__(
            f"There is no data in {where}, where a shop's data used to be{beside}. Put the file back, or "
            "a copy of it under its name; to begin an empty shop instead, start with --new-shop."
        )


class CannotOpen(StoreError):
    """The place that was given is none where a database can be kept."""

    def __init__(self, where: str, why: str) -> None:
        self.where, self.why = where, why
        super().__init__(f"{where} cannot be opened: {why}.")


class Unreadable(StoreError):
    """A stored spec that the domain no longer accepts; ``problems`` say why."""

    def __init__(self, kind: str, key: object, problems: tuple[Problem, ...]) -> None:
        self.kind, self.key, self.problems = kind, key, problems
        why = "; ".join(str(problem) for problem in problems)
        super().__init__(f"The stored {kind} {key} cannot be read: {why}.")


class DamagedIssue(StoreError):
    """Something that was issued no longer has the hash that was stored with it."""

    kind = "issued document"

    def __init__(self, number: int, what: str) -> None:
        self.number, self.what = number, what
        super().__init__(
            f"What is stored as the {what} of {self.kind} {number} is not what was issued, so it is not handed "
            "out. Keep the data file, and restore the last backup."
        )


class DamagedRevision(DamagedIssue):
    """It is of an issued revision."""

    kind = "revision"


class DamagedQuote(DamagedIssue):
    """It is of an issued quote."""

    kind = "quote"


class NotFound(StoreError):
    """There is no such thing, or no longer."""

    def __init__(self, kind: str, key: object) -> None:
        self.kind, self.key = kind, key
        super().__init__(f"There is no {kind} {key}; it may have been deleted.")


class StaleEdit(StoreError):
    """Somebody else changed the thing since the form was opened; ``theirs_version`` is what stands now."""

    def __init__(self, kind: str, key: object, theirs_version: int) -> None:
        self.kind, self.key, self.theirs_version = kind, key, theirs_version
        super().__init__(
            f"This {kind} was changed elsewhere since you opened it, and your change was not saved; "
            "look at theirs, then save yours again."
        )


class MarkTaken(StoreError):
    """Another assembly of the project has the mark."""

    def __init__(self, mark: str) -> None:
        self.mark = mark
        super().__init__(f"The mark {mark} is used already in this project; choose another.")


class NameTaken(StoreError):
    """Another thing of its kind has the name."""

    def __init__(self, kind: str, name: str) -> None:
        self.kind, self.name = kind, name
        article = "an" if kind[0] in "aeiou" else "a"
        super().__init__(f"There is {article} {kind} {name} already; choose another name.")


class NotEnough(StoreError):
    """More was to be taken than there is; ``unit`` is what ``on_hand`` and ``asked`` count."""

    def __init__(self, item: str, unit: str, on_hand: int, asked: int) -> None:
        self.item, self.unit, self.on_hand, self.asked = item, unit, on_hand, asked
        super().__init__(
            f"There are {on_hand} {unit} of {item} on hand, so {asked} {unit} cannot be taken. "
            "Nothing was booked; count the shelf if there are more."
        )


class NotUsed(StoreError):
    """More was to come back from a project than it has used."""

    def __init__(self, item: str, unit: str, used: int, asked: int) -> None:
        self.item, self.unit, self.used, self.asked = item, unit, used, asked
        super().__init__(
            f"The project has used {used} {unit} of {item}, so {asked} {unit} cannot come back. "
            "Nothing was booked."
        )


class GoingAhead(StoreError):
    """A project that goes ahead was to be put away, with what it has reserved."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(
            f"{name} goes ahead and holds what it has reserved, so it was not put away. "
            "Book it as built, or bring it back to planned; then put it away."
        )


class StaleCount(StoreError):
    """The item was booked between the count and its booking; ``last`` is its newest movement."""

    def __init__(self, item: str, unit: str, on_hand: int, last: int) -> None:
        self.item, self.unit, self.on_hand, self.last = item, unit, on_hand, last
        super().__init__(
            f"{item} was booked in or out while it was counted: there should be {on_hand} {unit} now. "
            "Nothing was booked; count it again."
        )


class OverReceived(StoreError):
    """More packs were to be received than are still to come."""

    def __init__(self, order: int, item: str, to_come: int, asked: int) -> None:
        self.order, self.item, self.to_come, self.asked = order, item, to_come, asked
        super().__init__(
            f"Order {order} has {to_come} pack{'' if to_come == 1 else 's'} of {item} still to come, "
            f"so {asked} cannot be received on it; "
            "nothing was booked. Receive what is beyond the order without one."
        )


class AlreadyEnded(StoreError):
    """The order is cancelled or received already (``status`` says which); nothing more happens to it."""

    def __init__(self, order: int, status: str) -> None:
        self.order, self.status = order, status
        super().__init__(f"Order {order} is {status} already; nothing was changed.")


class PlanMoved(StoreError):
    """Prices, stock, orders or projects have changed since an order was worked out."""

    def __init__(self) -> None:
        super().__init__(
            "Prices, stock or projects have changed since this order was worked out, so it was not placed; "
            "look at the new one, then place that."
        )


_Nameless = type[Busy] | type[DiskFull] | type[ReadOnly] | type[Damaged] | type[Unreachable]
_BY_CODE: tuple[tuple[str, _Nameless], ...] = (
    ("SQLITE_BUSY", Busy),
    ("SQLITE_LOCKED", Busy),
    ("SQLITE_FULL", DiskFull),
    ("SQLITE_IOERR", DiskFull),
    ("SQLITE_READONLY", ReadOnly),
    ("SQLITE_CANTOPEN", ReadOnly),
    ("SQLITE_PERM", ReadOnly),
    ("SQLITE_CORRUPT", Damaged),
    ("SQLITE_NOTADB", Damaged),
    # PostgreSQL's codes: lock timeout, deadlock, too many connections, disk full, read-only transaction,
    # damaged data, lost connection, shut down
    ("55P03", Busy),
    ("40P01", Busy),
    ("53300", Busy),
    ("53100", DiskFull),
    ("25006", ReadOnly),
    ("XX001", Damaged),
    ("XX002", Damaged),
    ("08", Unreachable),
    ("57P", Unreachable),
)


def named(error: BaseException | None) -> StoreError | None:
    """The store error for what the driver raised, or None where it has no name here (a bug, then).

    >>> named(ValueError("no")) is None
    True
    """
    code = getattr(error, "sqlite_errorname", None) or getattr(error, "sqlstate", None) or ""
    return next((kind() for prefix, kind in _BY_CODE if code.startswith(prefix)), None)


@contextmanager
def in_our_words() -> Iterator[None]:
    """Turn what the driver or the pool raises inside the block into a named store error."""
    try:
        yield
    except NoFreeConnection as error:
        raise Busy from error
    except UnicodeDecodeError as error:
        raise Damaged from error  # a stored text, or SQLite's own message that quotes one, is no text any more
    except DBAPIError as error:
        ours = named(error.orig)
        if ours is None and (error.connection_invalidated or _never_connected(error)):
            ours = Unreachable()
        if ours is None:
            raise
        raise ours from error


def _never_connected(error: DBAPIError) -> bool:
    """True where a server gave no answer, hence no statement and no code; SQLite always has a code."""
    return isinstance(error, OperationalError) and error.statement is None
