"""The same promises on a database server: the store's tests once more, on PostgreSQL.

DOVETALLY_TEST_SERVER names an empty database for it, for example postgresql://shop@localhost/test;
all that is in it is dropped.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import closing

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError

from domain.ordering.items import GLUE
from domain.spec.job import Stage
from tests.webapp.store.store_samples import Clock, joint, project
from tests.webapp.store.test_store_catalogue import *  # noqa: F403
from tests.webapp.store.test_store_ledger import (  # noqa: F401  those that do not open the file themselves
    test_40_threads_draw_on_one_shelf_and_never_oversell,
    test_a_count_is_refused_where_the_shelf_has_moved_and_not_where_a_claim_has,
    test_a_deleted_projects_claims_are_free_and_its_entries_stay,
    test_a_projects_claim_follows_what_it_needs_and_has_used,
    test_each_of_200_forms_sent_five_times_at_once_books_once,
    test_needs_worked_out_at_an_older_version_are_refused,
    test_one_project_may_use_what_another_has_reserved,
    test_refusals_name_the_figures_and_book_nothing,
)
from tests.webapp.store.test_store_orders import *  # noqa: F403
from tests.webapp.store.test_store_projects import *  # noqa: F403
from tests.webapp.store.test_store_quotes import (  # noqa: F401  those that do not open the file themselves
    quoted,
    test_a_quote_that_fails_half_way_takes_no_number,
    test_a_quote_that_is_not_there,
    test_the_quote_that_was_issued_comes_back,
)
from tests.webapp.store.test_store_races import *  # noqa: F403
from tests.webapp.store.test_store_revisions import (  # noqa: F401  those that do not open the file themselves
    issued,
    test_a_document_that_is_not_in_the_revision,
    test_a_revision_that_is_not_there,
    test_what_was_issued_comes_back,
)
from tests.webapp.store.test_store_tokens import *  # noqa: F403
from webapp.store import Store, ledger, projects, revisions, schema, server
from webapp.store.errors import Busy, NewerDatabase, ReadOnly, Unreachable
from webapp.store.shop import load_shop

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
        ("UPDATE revision SET snapshot = '{}'", "what was issued stays as it is"),
        ("DELETE FROM revision", "what was issued stays as it is"),
        ("UPDATE revision_document SET paper = 'Letter'", "what was issued stays as it is"),
        ("DELETE FROM revision_document", "what was issued stays as it is"),
        ("TRUNCATE revision_document", "what was issued stays as it is"),
        ("TRUNCATE revision CASCADE", "what was issued stays as it is"),
        (
            "INSERT INTO revision_document SELECT revision_id, kind, paper, sha256, body FROM revision_document "
            "ON CONFLICT (revision_id, kind, paper) DO UPDATE SET body = 'x'",
            "what was issued stays as it is",
        ),
        (
            "INSERT INTO revision (project_id, number, project_name, issued_at, program, templates, snapshot, "
            "snapshot_sha256) SELECT 1, 7, project_name, issued_at, program, templates, snapshot, snapshot_sha256 "
            "FROM revision LIMIT 1",
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


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ("UPDATE quote SET total_minor = 1", "what was issued stays as it is"),
        ("DELETE FROM quote", "what was issued stays as it is"),
        ("TRUNCATE quote CASCADE", "what was issued stays as it is"),
        ("UPDATE quote_document SET body = 'x'", "what was issued stays as it is"),
        ("DELETE FROM quote_document", "what was issued stays as it is"),
        ("TRUNCATE quote_document", "what was issued stays as it is"),
        (
            "INSERT INTO quote (number, project_id, project_name, currency, total_minor, issued_at, valid_until, "
            "program, templates, snapshot, snapshot_sha256) SELECT 7, 1, project_name, currency, total_minor, "
            "issued_at, valid_until, program, templates, snapshot, snapshot_sha256 FROM quote LIMIT 1",
            "numbered one after the other",
        ),
    ],
)
def test_the_server_itself_refuses_to_change_a_quote(
    quoted: Store,  # noqa: F811
    change: str,
    why: str,
) -> None:
    with pytest.raises(DBAPIError, match=why), quoted.writing() as session:
        session.connection().execute(text(change))
    test_the_quote_that_was_issued_comes_back(quoted)


BY_VERSION_4 = """
INSERT INTO section (id, position, name, waist, half_depth, flank, tip_diameter, oversize_tip_diameter,
    drive_limit, stock_from, stock_to, reach_limit, version)
    VALUES (7, 0, '14', 11200000, 6000000, 12000000, 13815000, 14100000, 60000000, 14000000, 40000000,
    40000000, 1);
INSERT INTO trial (id, section, cutter, tip_diameter, species, thickness, projection, depth, fence_reading,
    outcome, day, at) VALUES (1, '14', 'oversize', 14100000, 'oak', 20000000, 6100000, 16500000, 12000000, 'snug',
    '2026-03-02', '2026-03-02T08:30:00.000000Z');
INSERT INTO accepted_start (id, section, cutter, species, snug, projection, tip_diameter, day, at)
    VALUES (1, '14', 'standard', '', 6200000, 6300000, 13815000, '2026-03-02', '2026-03-02T08:30:00.000000Z');
INSERT INTO calibration (id, scale, section, cutter, reading, measured, day, at)
    VALUES (1, 'depth', '14', 'standard', 16500000, 16800000, '2026-03-02', '2026-03-02T08:30:00.000000Z'),
    (2, 'fence', NULL, NULL, 12000000, 12100000, '2026-03-02', '2026-03-02T08:30:00.000000Z');
INSERT INTO issue (project_id, number, project_name, issued_at, program, templates, snapshot, snapshot_sha256)
    VALUES (1, 1, 'Window seat', '2026-03-02T08:30:00.000000Z', '0.1.0', repeat('a', 64), '{}',
    '44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a');
INSERT INTO issued_document VALUES (1, 'keys', 'A4', repeat('b', 64), 'x');
UPDATE shop SET revision = 6
"""


def test_version_4_is_carried_over_under_todays_names(store: Store) -> None:
    store.close()
    engine = create_engine(SERVER.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
        schema.upgrade(connection, "0004")
        for statement in BY_VERSION_4.split(";"):
            connection.exec_driver_sql(statement)
    with closing(Store.open(SERVER)) as again, again.reading() as session:
        read = session.connection().execute
        assert read(text("SELECT free_tip_diameter FROM section")).scalars().all() == [14100000]
        assert read(text("SELECT cutter FROM trial")).scalars().all() == ["free"]
        assert read(text("SELECT cutter FROM accepted_start")).scalars().all() == ["close"]
        assert read(text("SELECT cutter FROM calibration ORDER BY id")).scalars().all() == ["close", None]
        assert load_shop(session).edition == 6
        assert [head.project_name for head in revisions.list_revisions(session)] == ["Window seat"]
        assert revisions.load_revision(session, 1, 1).snapshot == "{}"
        names = (
            read(
                text(
                    "SELECT conname FROM pg_constraint UNION SELECT tgname FROM pg_trigger UNION "
                    "SELECT relname FROM pg_class"
                )
            )
            .scalars()
            .all()
        )
        assert [name for name in names if "issue" in name or "oversize" in name] == []
    for change in ("UPDATE revision SET number = 2", "DELETE FROM trial", "UPDATE calibration SET reading = 1"):
        with pytest.raises(DBAPIError, match="stays as it is"), engine.begin() as connection:
            connection.execute(text(change))
    refused = text(
        "INSERT INTO revision (project_id, number, project_name, issued_at, program, templates, snapshot, "
        "snapshot_sha256) SELECT 1, 7, project_name, issued_at, program, templates, snapshot, snapshot_sha256 "
        "FROM revision"
    )
    with pytest.raises(DBAPIError, match="one after the other"), engine.begin() as connection:
        connection.execute(refused)
    engine.dispose()


@pytest.mark.parametrize("version", range(1, schema.HEAD))
def test_a_database_of_an_earlier_version_is_brought_up_to_date(store: Store, version: int) -> None:
    store.close()
    engine = create_engine(SERVER.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
        schema.upgrade(connection, f"{version:04}")
        connection.execute(
            text(
                "INSERT INTO project (name, units, version, created, updated) VALUES "
                "('Window seat', 'mm', 1, '2026-03-02T08:30:00.000000Z', '2026-03-02T08:30:00.000000Z')"
            )
        )
    engine.dispose()
    again = Store.open(SERVER)
    with again.reading() as session:
        assert [(head.name, head.stage) for head in projects.list_projects(session)] == [
            ("Window seat", Stage.PLANNED)
        ]
        assert revisions.list_revisions(session) == ()
    again.close()


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ("UPDATE movement SET note = 'x'", "what is booked stays as it is"),
        ("DELETE FROM movement", "what is booked stays as it is"),
        ("TRUNCATE movement", "what is booked stays as it is"),
        (
            "INSERT INTO movement SELECT 9, item_id, 'used', -99, 0, 0, 1, NULL, NULL, note, at FROM movement",
            "on hand cannot go below 0",
        ),
        (
            "INSERT INTO movement SELECT 9, item_id, 'counted', 1, 0, 0, NULL, NULL, 3, note, at FROM movement",
            "on hand is what was counted",
        ),
        (
            "INSERT INTO movement SELECT 9, item_id, 'returned', 1, 0, 0, 1, NULL, NULL, note, at FROM movement",
            "no more comes back than was used",
        ),
        (
            "INSERT INTO movement SELECT 9, item_id, 'released', 0, -1, -1, 1, NULL, NULL, note, at FROM movement",
            "cannot go below 0",
        ),
    ],
)
def test_the_server_itself_keeps_the_ledger(store: Store, change: str, why: str) -> None:
    with store.writing() as session:
        ledger.receive(session, GLUE, 5)
    with pytest.raises(DBAPIError, match=why), store.writing() as session:
        session.connection().execute(text(change))
