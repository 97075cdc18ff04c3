"""Issued revisions at rest: numbered in turn, unchangeable, and checked before they are handed out."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.webapp.store.store_samples import revision_head
from webapp.store import Store, revisions
from webapp.store.errors import DamagedRevision, NotFound

BODIES = {("schedule", "A4"): b"%PDF-1.7 schedule", ("keys", "A4"): b"%PDF-1.7 \x00\xff keys"}
KEPT = "what was issued stays as it is"


@pytest.fixture
def issued(store: Store) -> Store:
    """Two revisions of project 1 and one of project 7."""
    with store.writing() as session:
        for head in (revision_head(), revision_head(2), revision_head(1, project_id=7)):
            assert revisions.next_number(session, head.project_id) == head.number
            revisions.add_revision(session, head, '{"name":"Åse"}', BODIES)
    return store


@pytest.fixture
def sql(issued: Store, file: Path) -> Iterator[sqlite3.Connection]:
    """The database opened by SQLite alone, set as the store sets it."""
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.execute("PRAGMA recursive_triggers=ON")
        connection.execute("PRAGMA foreign_keys=ON")
        yield connection


def test_what_was_issued_comes_back(issued: Store) -> None:
    with issued.reading() as session:
        assert revisions.list_revisions(session, 1) == (revision_head(2), revision_head(1))
        assert [head.project_id for head in revisions.list_revisions(session)] == [7, 1, 1]
        revision = revisions.load_revision(session, 1, 2)
        assert (revision.head, revision.snapshot) == (revision_head(2), '{"name":"Åse"}')
        found = {(document.kind, document.paper): document.size for document in revision.documents}
        assert found == {key: len(body) for key, body in BODIES.items()}
        for (kind, paper), body in BODIES.items():
            assert revisions.load_document(session, 1, 2, kind, paper) == body


@pytest.mark.parametrize("key", [(1, 3), (2, 1), (1, 0), (-1, 1), (1, 2**60), (2**60, 1)])
def test_a_revision_that_is_not_there(issued: Store, key: tuple[int, int]) -> None:
    with issued.reading() as session:
        with pytest.raises(NotFound, match=f"no revision {key[1]};"):
            revisions.load_revision(session, *key)
        with pytest.raises(NotFound):
            revisions.load_document(session, *key, "schedule", "A4")


def test_a_document_that_is_not_in_the_revision(issued: Store) -> None:
    with issued.reading() as session, pytest.raises(NotFound, match="no keys on Letter in revision 2;"):
        revisions.load_document(session, 1, 2, "keys", "Letter")


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE revision SET project_name = 'Other' WHERE id = 1",
        "UPDATE revision SET snapshot = '{}'",
        "DELETE FROM revision WHERE id = 3",
        "DELETE FROM revision",
        "UPDATE revision_document SET body = x'00' WHERE kind = 'keys'",
        "UPDATE revision_document SET paper = 'Letter'",
        "DELETE FROM revision_document",
        "INSERT OR REPLACE INTO revision_document SELECT revision_id, kind, paper, sha256, x'00' "
        "FROM revision_document",
        "REPLACE INTO revision_document (rowid, revision_id, kind, paper, sha256, body) "
        "SELECT rowid, 1, 'labels', 'A4', sha256, body FROM revision_document LIMIT 1",
        "INSERT OR REPLACE INTO revision SELECT 1, project_id, 3, project_name, customer, issued_at, program, "
        "templates, snapshot, snapshot_sha256 FROM revision WHERE id = 2",
        "UPDATE OR REPLACE revision SET number = 1 WHERE id = 2",
        "INSERT INTO revision_document VALUES (1, 'schedule', 'A4', '" + "0" * 64 + "', x'00') "
        "ON CONFLICT DO UPDATE SET body = x'00'",
    ],
)
def test_the_database_itself_refuses_to_change_what_was_issued(sql: sqlite3.Connection, change: str) -> None:
    before = list(sql.iterdump())
    with pytest.raises(sqlite3.IntegrityError, match=KEPT):
        sql.execute(change)
    assert list(sql.iterdump()) == before


@pytest.mark.parametrize(("project_id", "number"), [(1, 4), (1, 2), (7, 3), (8, 2), (8, 0)])
@pytest.mark.parametrize("verb", ["INSERT", "INSERT OR REPLACE"])
def test_the_database_itself_refuses_a_number_out_of_turn(
    sql: sqlite3.Connection, verb: str, project_id: int, number: int
) -> None:
    columns = "project_name, customer, issued_at, program, templates, snapshot, snapshot_sha256"
    with pytest.raises(sqlite3.IntegrityError, match="numbered one after the other"):
        sql.execute(
            f"{verb} INTO revision (project_id, number, {columns}) SELECT ?, ?, {columns} FROM revision LIMIT 1",
            (project_id, number),
        )


def damage(file: Path, change: str) -> None:
    """What a failing disk or an outside tool might do: the triggers are no hindrance to it."""
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        for table in ("revision", "revision_document"):
            connection.execute(f"DROP TRIGGER {table}_no_update")
        connection.execute(change)


def test_damaged_bytes_are_not_handed_out(issued: Store, file: Path) -> None:
    damage(file, "UPDATE revision_document SET body = x'25504446' WHERE revision_id = 2 AND kind = 'keys'")
    with issued.reading() as session:
        with pytest.raises(
            DamagedRevision, match=r"the keys of revision 2 is not what was issued.*restore the last backup"
        ):
            revisions.load_document(session, 1, 2, "keys", "A4")
        assert revisions.load_document(session, 1, 2, "schedule", "A4") == BODIES["schedule", "A4"]
        assert revisions.load_document(session, 1, 1, "keys", "A4") == BODIES["keys", "A4"]


def test_a_damaged_snapshot_is_not_handed_out(issued: Store, file: Path) -> None:
    damage(file, "UPDATE revision SET snapshot = '{}' WHERE id = 2")
    with issued.reading() as session:
        with pytest.raises(DamagedRevision, match="the snapshot of revision 2"):
            revisions.load_revision(session, 1, 2)
        assert revisions.load_document(session, 1, 2, "keys", "A4") == BODIES["keys", "A4"]


def test_a_failure_between_two_documents_leaves_nothing(issued: Store, file: Path) -> None:
    def cut() -> None:
        with issued.writing() as session:
            revisions.add_revision(session, revision_head(3), "{}", BODIES)
            raise OSError("the lamp goes out")

    with pytest.raises(OSError, match="lamp"):
        cut()
    shutil.copy(file, file.with_name("copy.db"))
    with closing(sqlite3.connect(file.with_name("copy.db"))) as connection:
        assert connection.execute("SELECT count(*) FROM revision").fetchone() == (3,)
        assert connection.execute("SELECT count(*) FROM revision_document").fetchone() == (6,)
    with issued.writing() as session:
        assert revisions.next_number(session, 1) == 3
