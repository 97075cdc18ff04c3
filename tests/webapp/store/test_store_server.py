"""What is a database server's own: several stations on one shop, and what the server itself refuses.

The store's promises are tested on both (see conftest), the schema in test_server_schema.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import closing

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from domain.ordering.items import GLUE
from tests.webapp.databases import nothing
from tests.webapp.postgresql import Cluster
from tests.webapp.store import test_store_quotes as of_quotes
from tests.webapp.store import test_store_revisions as of_revisions
from tests.webapp.store.store_samples import Clock, joint, project
from tests.webapp.store.test_store_quotes import quoted  # noqa: F401  a fixture
from tests.webapp.store.test_store_revisions import issued  # noqa: F401  a fixture
from webapp.store import Store, ledger, projects, revisions, schema, server
from webapp.store.errors import Busy, DamagedOnServer, NewerDatabase, NothingWritten, ReadOnly, Unreachable
from webapp.store.shop import load_shop


@pytest.fixture
def url(cluster: Cluster, clock: Clock) -> Iterator[str]:
    """The address of an empty shop."""
    with cluster.copy("empty", nothing, clock) as name:
        yield cluster.url(name)


@pytest.fixture
def store(url: str, clock: Clock) -> Iterator[Store]:
    with closing(Store.open(url, clock=clock)) as opened:
        yield opened


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
    store: Store, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "WAIT_MS", 1_000)
    other = Store.open(url)
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


def test_a_newer_database_is_refused(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "HEAD", 0)
    with pytest.raises(NewerDatabase, match="install the newer Dovetally"):
        Store.open(url)


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
    of_revisions.test_what_was_issued_comes_back(issued)


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
    of_quotes.test_the_quote_that_was_issued_comes_back(quoted)


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


def test_version_4_is_carried_over_under_todays_names(cluster: Cluster) -> None:
    with cluster.empty() as name:
        _carried_over(cluster.url(name))


def _carried_over(url: str) -> None:
    engine = create_engine(url)
    with engine.begin() as connection:
        schema.upgrade(connection, "0004")
        for statement in BY_VERSION_4.split(";"):
            connection.exec_driver_sql(statement)
    with closing(Store.open(url)) as again, again.reading() as session:
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


ODD = {
    "a guard dropped": ("DROP TRIGGER tick_no_change ON tick", "trigger tick_no_change is missing"),
    "a guard put out of force": (
        "ALTER TABLE movement DISABLE TRIGGER movement_on_hand",
        "trigger movement_on_hand is not as it should be",
    ),
    "a trigger of another's": (
        "CREATE TRIGGER evil BEFORE INSERT ON project FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()",
        "trigger evil does not belong there",
    ),
    "a check dropped": ("ALTER TABLE item DROP CONSTRAINT ck_item_wood", "check item.ck_item_wood is missing"),
    "a table dropped": ("DROP TABLE form_token", "table form_token is missing"),
}


@pytest.mark.parametrize(("change", "why"), ODD.values(), ids=ODD)
def test_a_database_that_was_altered_is_looked_at_and_never_written(
    cluster: Cluster, url: str, change: str, why: str
) -> None:
    with closing(cluster.connect(str(make_url(url).database))) as connection:
        connection.execute(change.encode())
    with closing(Store.open(url)) as store:
        assert isinstance(store.trouble, DamagedOnServer)
        assert str(store.trouble).startswith(f"The data on the server is not as it should be (the {why}")
        with pytest.raises(NothingWritten, match="Stop Dovetally at every station"), store.writing() as session:
            projects.create_project(session, project())
        with store.reading() as session:
            assert projects.list_projects(session) == ()


def test_a_sound_database_with_somebody_elses_table_beside_ours_is_served(cluster: Cluster, url: str) -> None:
    with closing(cluster.connect(str(make_url(url).database))) as connection:
        connection.execute("CREATE TABLE beside (note TEXT)")
    with closing(Store.open(url)) as store:
        assert store.trouble is None
        assert store.look_over().faults == ()
        with store.writing() as session:
            projects.create_project(session, project())


def test_a_server_that_goes_away_is_told_and_the_program_goes_on_once_it_is_back(
    cluster: Cluster, store: Store
) -> None:
    name = str(store._writer.url.database)
    with closing(cluster.connect("postgres")) as admin:
        admin.execute(f'ALTER DATABASE "{name}" ALLOW_CONNECTIONS false'.encode())
        admin.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", (name,))
        with pytest.raises(Unreachable), store.writing() as session:
            projects.create_project(session, project())
        with pytest.raises(Unreachable), store.reading() as session:
            projects.list_projects(session)
        admin.execute(f'ALTER DATABASE "{name}" ALLOW_CONNECTIONS true'.encode())
    with store.writing() as session:
        projects.create_project(session, project())


def test_a_server_that_goes_away_in_the_middle_has_kept_nothing_of_it(cluster: Cluster, store: Store) -> None:
    name = str(store._writer.url.database)

    def cut_off_half_way() -> None:
        with store.writing() as session, closing(cluster.connect("postgres")) as admin:
            projects.create_project(session, project())
            admin.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", (name,))
            projects.create_project(session, project())

    with pytest.raises(Unreachable):
        cut_off_half_way()
    with store.reading() as session:
        assert projects.list_projects(session) == ()
