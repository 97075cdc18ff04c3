"""The ledger at rest: unchangeable, never below nothing, and booked once however often a form is sent."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

from domain.ordering.items import GLUE, Item
from domain.problems import BadInput
from domain.spec.job import Stage
from tests.factories import sending
from tests.torture import Tally, torture
from tests.webapp.store.filled import STOCK
from tests.webapp.store.store_samples import project
from webapp.store import Store, ledger
from webapp.store.balances import Balance, Claim, balances, claims_of
from webapp.store.errors import NotEnough, NotFound, NotUsed, StaleCount, StaleEdit
from webapp.store.projects import create_project, load_project, project_version
from webapp.store.sqlite import THREADS, Journal
from webapp.store.stock_values import MovementKind, remark
from webapp.store.tokens import Sending
from webapp.usecases import project_stock as stages
from webapp.usecases import stockroom
from webapp.usecases.projects import delete_project

KEY = Item.key("14", 16)
KEPT = "what is booked stays as it is"


def sent_as(which: str) -> Sending:
    """A form of the stockroom's, sent."""
    return sending(f"a-form-of-the-stockroom-{which}")


def balance(store: Store, item: Item = KEY) -> Balance:
    with store.reading() as session:
        return next(each for each in balances(session) if each.item == item)


def with_stock(store: Store, quantity: int) -> int:
    """A shop with so many keys on hand; the number of its project."""
    with store.writing() as session:
        ledger.receive(session, KEY, quantity)
        return create_project(session, project())


def test_40_threads_draw_on_one_shelf_and_never_oversell(journal: Journal, store: Store) -> None:
    """Five times 3 each from 100: 33 times there is enough, and 1 is left (reliability.md, section 1)."""
    number = with_stock(store, 100)
    begin = threading.Barrier(THREADS)

    def draw(thread: int) -> tuple[int, int]:
        begin.wait()
        taken = refused = 0
        for turn in range(5):
            try:
                stockroom.use(store, sent_as(f"{thread}-{turn}"), number, {KEY: 3})
                taken += 1
            except NotEnough:
                refused += 1
        return taken, refused

    with ThreadPoolExecutor(THREADS) as pool:
        done = list(pool.map(draw, range(THREADS)))
    assert (sum(taken for taken, _ in done), sum(refused for _, refused in done)) == (33, 167)
    assert balance(store).on_hand == 1


def send_five_times(store: Store, forms: int) -> None:
    """Each form is sent five times at once, forms of every kind in turn."""
    number = with_stock(store, 10_000)
    kinds: list[Callable[[Sending], object]] = [
        lambda sent: stockroom.receive(store, sent, KEY, 2),
        lambda sent: stockroom.use(store, sent, number, {KEY: 1}),
        lambda sent: stockroom.give_back(store, sent, number, {KEY: 1}),
        lambda sent: stockroom.adjust(store, sent, KEY, 1, "found"),
    ]
    with ThreadPoolExecutor(5) as pool:
        for form in range(forms):
            begin = threading.Barrier(5)

            def send(_: int, form: int = form, begin: threading.Barrier = begin) -> object:
                begin.wait()
                return kinds[form % len(kinds)](sent_as(str(form)))

            assert len(set(pool.map(send, range(5)))) == 1
    with store.reading() as session:
        assert len(ledger.list_movements(session, most=10_000)) == 1 + forms
    turns = forms // len(kinds)
    assert balance(store).on_hand == 10_000 + turns * (2 - 1 + 1 + 1)


@pytest.mark.long_on_server
def test_each_of_200_forms_sent_five_times_at_once_books_once(store: Store) -> None:
    send_five_times(store, 200)


@torture
def test_each_of_1000_forms_sent_five_times_at_once_books_once(store: Store, tally: Tally) -> None:
    tally("S5 forms sent five times at once: booked once", 1000)
    send_five_times(store, 1_000)


def test_a_projects_claim_follows_what_it_needs_and_has_used(store: Store) -> None:
    number = with_stock(store, 50)
    stages.go_ahead(store, sent_as("1"), number, 1, {KEY: 20, GLUE: 150})
    assert (balance(store).reserved, balance(store).free) == (20, 30)
    stockroom.use(store, sent_as("2"), number, {KEY: 12})
    assert balance(store).claims == {number: Claim(20, 12, 8)}
    stockroom.use(store, sent_as("3"), number, {KEY: 10})
    assert balance(store).claims == {number: Claim(20, 22, 0)}
    stockroom.give_back(store, sent_as("4"), number, {KEY: 5})
    assert balance(store).claims == {number: Claim(20, 17, 3)}
    with store.reading() as session:
        head = load_project(session, number).head
    assert head.stage is Stage.GOING_AHEAD
    stages.go_ahead(store, sent_as("5"), number, head.version, {KEY: 30})  # it has grown, and needs no glue
    assert balance(store).claims == {number: Claim(30, 17, 13)}
    assert balance(store, GLUE).reserved == 0
    stages.built(store, sent_as("6"), number, head.version + 1, {KEY: 10, GLUE: 0})
    assert (balance(store).on_hand, balance(store).reserved) == (23, 0)
    with store.reading() as session:
        assert claims_of(session, number)[KEY] == Claim(0, 27, 0)
        assert load_project(session, number).head.stage is Stage.BUILT


def test_one_project_may_use_what_another_has_reserved(store: Store) -> None:
    first = with_stock(store, 10)
    with store.writing() as session:
        second = create_project(session, project())
    stages.go_ahead(store, sent_as("1"), first, 1, {KEY: 10})
    stockroom.use(store, sent_as("2"), second, {KEY: 4})
    assert (balance(store).reserved, balance(store).free, balance(store).missing) == (10, 0, 4)


def test_needs_worked_out_at_an_older_version_are_refused(store: Store) -> None:
    number = with_stock(store, 10)
    stages.go_ahead(store, sent_as("1"), number, 1, {KEY: 10})
    with pytest.raises(StaleEdit):
        stages.go_ahead(store, sent_as("2"), number, 1, {KEY: 12})
    assert balance(store).reserved == 10
    stages.back_to_planned(store, sent_as("3"), number, 2)
    assert balance(store).reserved == 0


def test_a_deleted_projects_claims_are_free_and_its_entries_stay(store: Store) -> None:
    number = with_stock(store, 10)
    stages.go_ahead(store, sent_as("1"), number, 1, {KEY: 8})
    stockroom.use(store, sent_as("2"), number, {KEY: 3})
    with store.reading() as session:
        version = project_version(session, number)
    delete_project(store, sending(""), number, version)
    assert (balance(store).on_hand, balance(store).reserved) == (7, 0)
    with store.reading() as session:
        kinds = [each.kind for each in ledger.list_movements(session, project_id=number)]
    assert kinds == [MovementKind.RELEASED, MovementKind.USED, MovementKind.RESERVED]
    with pytest.raises(NotFound):
        stockroom.use(store, sent_as("3"), number, {KEY: 1})


def test_a_count_is_refused_where_the_shelf_has_moved_and_not_where_a_claim_has(store: Store) -> None:
    number = with_stock(store, 10)
    seen = balance(store).last
    stages.go_ahead(store, sent_as("1"), number, 1, {KEY: 8})
    stockroom.count(store, sent_as("2"), KEY, 9, seen)
    assert balance(store).on_hand == 9
    with pytest.raises(StaleCount, match="there should be 9 pcs now"):
        stockroom.count(store, sent_as("3"), KEY, 10, seen)
    assert balance(store).on_hand == 9


def test_refusals_name_the_figures_and_book_nothing(store: Store) -> None:
    number = with_stock(store, 5)
    with pytest.raises(NotEnough, match="There are 5 pcs of key 14 × 16 on hand, so 6 pcs cannot be taken"):
        stockroom.use(store, sent_as("1"), number, {KEY: 6})
    with pytest.raises(NotUsed, match="has used 0 pcs of key 14 × 16, so 1 pcs cannot come back"):
        stockroom.give_back(store, sent_as("2"), number, {KEY: 1})
    with pytest.raises(BadInput, match="say why"):
        stockroom.adjust(store, sent_as("3"), KEY, 1, "  ")
    for wrong in (0, -1, 1_000_001):
        with pytest.raises(BadInput, match="must be a whole number from 1 to 1 000 000"):
            stockroom.receive(store, sent_as("4"), KEY, wrong)
    with store.reading() as session:
        assert len(ledger.list_movements(session)) == 1


@pytest.fixture
def sql(store: Store, file: Path) -> Iterator[sqlite3.Connection]:
    """The database opened by SQLite alone, set as the store sets it, with a row in every table."""
    with store.writing() as session:
        create_project(session, project())
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.execute("PRAGMA recursive_triggers=ON")
        connection.execute("PRAGMA foreign_keys=ON")
        connection.executescript(STOCK)
        yield connection


@pytest.mark.parametrize(
    "table", ["offer_price", "placed_order", "order_line", "order_project", "order_end", "movement"]
)
@pytest.mark.parametrize(
    "change",
    [
        "UPDATE {table} SET {column} = {column}",
        "DELETE FROM {table}",
        "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
        "REPLACE INTO {table} SELECT * FROM {table}",
    ],
)
def test_the_database_itself_refuses_to_change_what_is_booked(
    sql: sqlite3.Connection, table: str, change: str
) -> None:
    before = list(sql.iterdump())
    column = "order_id" if table in {"order_project", "order_end"} else "id"
    why = KEPT
    if "REPLACE" in change:  # an order's number is looked at first, and what would be received of a line
        why = f"{KEPT}|one after the other|than was ordered"
    with pytest.raises(sqlite3.IntegrityError, match=why):
        sql.execute(change.format(table=table, column=column))
    assert list(sql.iterdump()) == before


COLUMNS = "item_id, kind, on_hand, reserved, needed, project_id, order_line_id, counted, note, at"


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ("1, 'used', -101, 0, 0, 1, NULL, NULL", "on hand cannot go below 0"),
        ("1, 'adjusted', -101, 0, 0, NULL, NULL, NULL", "on hand cannot go below 0"),
        ("1, 'counted', -5, 0, 0, NULL, NULL, 99", "on hand is what was counted"),
        ("1, 'used', -1, -1, 0, 1, NULL, NULL", "reserved cannot go below 0"),
        ("1, 'released', 0, 0, -1, 1, NULL, NULL", "needed cannot go below 0"),
        ("1, 'returned', 1, 0, 0, 1, NULL, NULL", "no more comes back than was used"),
        ("1, 'received', 101, 0, 0, NULL, 1, NULL", "no more is received than was ordered"),
    ],
)
def test_the_database_itself_refuses_what_would_go_below_nothing(
    sql: sqlite3.Connection, values: str, why: str
) -> None:
    with pytest.raises(sqlite3.IntegrityError, match=why):
        sql.execute(f"INSERT INTO movement ({COLUMNS}) VALUES ({values}, '', '2026-03-02T08:30:00.000000Z')")


def test_a_note_that_cannot_be_printed_is_refused_in_words() -> None:
    with pytest.raises(BadInput) as refusal:
        remark("pack\u200b torn\ue000")
    assert [problem.text() for problem in refusal.value.problems] == ["must be printable text"]
