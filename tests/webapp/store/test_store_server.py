"""The same promises on a database server: the store's tests once more, on PostgreSQL.

DOVETALLY_TEST_SERVER names an empty database for it, for example postgresql://shop@localhost/test;
all that is in it is dropped.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError
from store_samples import Clock, joint, project
from test_store_catalogue import *  # noqa: F403
from test_store_issues import (  # noqa: F401  those that do not open the file themselves
    issued,
    test_a_document_that_is_not_in_the_revision,
    test_a_revision_that_is_not_there,
    test_what_was_issued_comes_back,
)
from test_store_projects import *  # noqa: F403
from test_store_races import *  # noqa: F403
from test_store_tokens import *  # noqa: F403

from webapp.store import Store, issues, projects, schema, server
from webapp.store.errors import Busy, NewerDatabase, ReadOnly, Unreachable

SERVER = os.environ.get("DOVETALLY_TEST_SERVER", "")
if not SERVER:
    pytest.skip("DOVETALLY_TEST_SERVER names no PostgreSQL database", allow_module_level=True)


@pytest.fixture
def journal() -> None:
    """A server keeps commits in its own way."""


@pytest.fixture
def store(clock: Clock) -> Iterator[Store]:
    engine = create_engine(SERVER.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    opened = Store.open(SERVER, clock=clock)
    yield opened
    opened.close()


def test_reading_cannot_write(store: Store) -> None:
    with pytest.raises(ReadOnly), store.reading() as session:
        projects.create_project(session, project())


def test_reading_sees_one_state_while_another_writes(store: Store) -> None:
    with store.reading() as reader:
        assert projects.list_projects(reader) == ()
        with store.writing() as writer:
            projects.create_project(writer, project(joint()))
        assert projects.list_projects(reader) == ()
    with store.reading() as reader:
        assert len(projects.list_projects(reader)) == 1


def test_another_stations_writer_all_the_while_is_said_to_be_busy(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "WAIT_MS", 1_000)
    other = Store.open(SERVER)
    holding, enough = threading.Event(), threading.Event()

    def hold() -> None:
        with other.writing() as session:
            projects.list_projects(session)
            holding.set()
            enough.wait(30)

    holder = threading.Thread(target=hold)
    holder.start()
    holding.wait(30)
    with pytest.raises(Busy), store.writing() as session:
        projects.create_project(session, project())
    enough.set()
    holder.join()
    with store.writing() as session:
        projects.create_project(session, project())
    other.close()


def test_a_newer_database_is_refused(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "HEAD", 0)
    with pytest.raises(NewerDatabase, match="install the newer Dovetally"):
        Store.open(SERVER)


def test_a_server_that_does_not_answer_is_said_to_be_unreachable() -> None:
    with pytest.raises(Unreachable, match="Check that it is running"):
        Store.open("postgresql://nobody@127.0.0.1:1/none")


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ("UPDATE issue SET snapshot = '{}'", "what was issued stays as it is"),
        ("DELETE FROM issue", "what was issued stays as it is"),
        ("UPDATE issued_document SET paper = 'Letter'", "what was issued stays as it is"),
        ("DELETE FROM issued_document", "what was issued stays as it is"),
        ("TRUNCATE issued_document", "what was issued stays as it is"),
        ("TRUNCATE issue CASCADE", "what was issued stays as it is"),
        (
            "INSERT INTO issued_document SELECT issue_id, kind, paper, sha256, body FROM issued_document "
            "ON CONFLICT (issue_id, kind, paper) DO UPDATE SET body = 'x'",
            "what was issued stays as it is",
        ),
        (
            "INSERT INTO issue (project_id, number, project_name, issued_at, program, templates, snapshot, "
            "snapshot_sha256) SELECT 1, 7, project_name, issued_at, program, templates, snapshot, snapshot_sha256 "
            "FROM issue LIMIT 1",
            "numbered one after the other",
        ),
    ],
)
def test_the_server_itself_refuses_to_change_what_was_issued(
    issued: Store,  # noqa: F811
    change: str,
    why: str,
) -> None:
    with pytest.raises(DBAPIError, match=why), issued.writing() as session:
        session.connection().execute(text(change))
    test_what_was_issued_comes_back(issued)


def test_a_database_of_version_1_is_brought_up_to_date(store: Store) -> None:
    engine = create_engine(SERVER.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        for change in ("DROP TABLE issued_document", "DROP TABLE issue", "DROP FUNCTION refuse_change"):
            connection.execute(text(change))
        connection.execute(text("DROP FUNCTION issue_in_turn"))
        connection.execute(text("UPDATE alembic_version SET version_num = '0001'"))
    engine.dispose()
    with store.writing() as session:
        projects.create_project(session, project(joint()))
    again = Store.open(SERVER)
    with again.reading() as session:
        assert len(projects.list_projects(session)) == 1
        assert issues.list_issues(session) == ()
    again.close()
