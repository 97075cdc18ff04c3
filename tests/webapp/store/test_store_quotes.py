"""Issued quotes at rest: numbered through the shop, unchangeable, and checked before they are handed out."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlmodel import Session

from tests.webapp.store.store_samples import quote_head
from webapp.store import Store, quotes
from webapp.store.errors import DamagedQuote, NotFound

BODIES = {("quote", "A4"): b"%PDF-1.7 \x00\xff quote", ("reckoning", "A4"): b"%PDF-1.7 reckoning"}
KEPT = "what was issued stays as it is"


@pytest.fixture
def quoted(store: Store) -> Store:
    """Two quotes of project 1 and between them one of project 7: one row of numbers for the whole shop."""
    with store.writing() as session:
        for head in (quote_head(1), quote_head(2, project_id=7), quote_head(3)):
            assert quotes.next_number(session) == head.number
            quotes.add_quote(session, head, '{"name":"Åse"}', BODIES)
    return store


@pytest.fixture
def sql(quoted: Store, file: Path) -> Iterator[sqlite3.Connection]:
    """The database opened by SQLite alone, set as the store sets it."""
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.execute("PRAGMA recursive_triggers=ON")
        connection.execute("PRAGMA foreign_keys=ON")
        yield connection


def test_the_quote_that_was_issued_comes_back(quoted: Store) -> None:
    with quoted.reading() as session:
        assert quotes.list_quotes(session, 1) == (quote_head(3), quote_head(1))
        assert [head.project_id for head in quotes.list_quotes(session)] == [1, 7, 1]
        quote = quotes.load_quote(session, 2)
        assert (quote.head, quote.snapshot) == (quote_head(2, project_id=7), '{"name":"Åse"}')
        found = {(document.kind, document.paper): document.size for document in quote.documents}
        assert found == {key: len(body) for key, body in BODIES.items()}
        for (kind, paper), body in BODIES.items():
            assert quotes.load_document(session, 2, kind, paper) == body


@pytest.mark.parametrize("number", [4, 0, -1, 2**60])
def test_a_quote_that_is_not_there(quoted: Store, number: int) -> None:
    with quoted.reading() as session:
        with pytest.raises(NotFound, match=f"no quote {number};"):
            quotes.load_quote(session, number)
        with pytest.raises(NotFound, match=f"no quote on A4 in quote {number};"):
            quotes.load_document(session, number, "quote", "A4")


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE quote SET total_minor = 1 WHERE number = 1",
        "UPDATE quote SET snapshot = '{}'",
        "DELETE FROM quote",
        "UPDATE quote_document SET body = x'00' WHERE kind = 'quote'",
        "DELETE FROM quote_document",
        "INSERT OR REPLACE INTO quote_document SELECT quote_id, kind, paper, sha256, x'00' FROM quote_document",
        "UPDATE OR REPLACE quote SET number = 1 WHERE id = 2",
    ],
)
def test_sqlite_itself_refuses_to_change_a_quote(sql: sqlite3.Connection, change: str) -> None:
    before = list(sql.iterdump())
    with pytest.raises(sqlite3.IntegrityError, match=KEPT):
        sql.execute(change)
    assert list(sql.iterdump()) == before


@pytest.mark.parametrize("number", [5, 3, 0])
@pytest.mark.parametrize("verb", ["INSERT", "INSERT OR REPLACE"])
def test_sqlite_itself_refuses_a_quote_out_of_turn(sql: sqlite3.Connection, verb: str, number: int) -> None:
    columns = (
        "project_id, project_name, currency, total_minor, issued_at, valid_until, program, templates, snapshot, "
        "snapshot_sha256"
    )
    with pytest.raises(sqlite3.IntegrityError, match="numbered one after the other"):
        sql.execute(f"{verb} INTO quote (number, {columns}) SELECT ?, {columns} FROM quote LIMIT 1", (number,))


@pytest.mark.parametrize(
    ("change", "what", "load"),
    [
        (
            "UPDATE quote_document SET body = x'25' WHERE quote_id = 2 AND kind = 'quote'",
            "the quote of quote 2",
            lambda session: quotes.load_document(session, 2, "quote", "A4"),
        ),
        (
            "UPDATE quote SET snapshot = '{}' WHERE number = 2",
            "the snapshot of quote 2",
            lambda session: quotes.load_quote(session, 2),
        ),
    ],
)
def test_a_damaged_quote_is_not_handed_out(
    quoted: Store, file: Path, change: str, what: str, load: Callable[[Session], object]
) -> None:
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        for table in ("quote", "quote_document"):
            connection.execute(f"DROP TRIGGER {table}_no_update")
        connection.execute(change)
    with quoted.reading() as session:
        with pytest.raises(DamagedQuote, match=rf"{what} is not what was issued.*restore the last backup"):
            load(session)
        assert quotes.load_document(session, 3, "quote", "A4") == BODIES["quote", "A4"]
        assert quotes.load_quote(session, 1).head == quote_head(1)


def test_a_quote_that_fails_half_way_takes_no_number(quoted: Store) -> None:
    def cut() -> None:
        with quoted.writing() as session:
            quotes.add_quote(session, quote_head(4), "{}", BODIES)
            raise OSError("the lamp goes out")

    with pytest.raises(OSError, match="lamp"):
        cut()
    with quoted.writing() as session:
        assert quotes.next_number(session) == 4
