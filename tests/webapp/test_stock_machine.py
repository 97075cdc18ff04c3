"""The stockroom against a plain dictionary: whatever is done in whatever order, the sums are the same.

The model is the specification in the fewest words: on hand is what came minus what went, a project's claim
is what it still needs, on order is what was ordered and has not come.
"""

from __future__ import annotations

import os
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from sqlalchemy import text
from sqlmodel import Session

from domain.ordering.items import GLUE, Item
from domain.spec.project import Project
from tests.factories import sending
from tests.torture import Tally, torture
from tests.webapp.databases import Databases
from tests.webapp.postgresql import Cluster
from webapp.store import Store, ledger
from webapp.store.balances import balances, claims_of
from webapp.store.errors import AlreadyEnded, NotEnough, NotUsed, OverReceived, StaleCount, StoreError
from webapp.store.orders import OrderStatus, list_orders
from webapp.store.projects import create_project, project_version
from webapp.store.stock_edition import stock_edition
from webapp.store.stock_values import OrderDraft, OrderLineDraft, SupplierTerms
from webapp.store.suppliers import create_supplier
from webapp.store.tokens import Sending
from webapp.usecases import placed_orders, stockroom
from webapp.usecases import project_stock as stages
from webapp.usecases.projects import delete_project

ITEMS = (
    *(Item.key("14", 16), Item.key("14", 22), Item.plug("walnut", "14", 3), GLUE),
    *(Item.bar("ash", 45, 24, 2310), Item.sheet("birch plywood", 18, 2440, 1220), Item.board("ash", 27)),
    Item.strip("ash", 30, 15),
)
STEPS = 50
items = st.sampled_from(ITEMS)
few = st.integers(1, 30)
places = st.integers(0, 3)
needs = st.dictionaries(items, st.integers(0, 40))
lines = st.lists(st.tuples(items, st.sampled_from([1, 10, 25]), st.integers(1, 4)), min_size=1, max_size=3)


@dataclass
class Line:
    """A line of an order in the model; ``packs`` and ``come`` count packs."""

    item: Item
    size: int
    packs: int
    come: int = 0


@dataclass
class Order:
    """An order in the model."""

    lines: list[Line]
    cancelled: bool = False

    @property
    def status(self) -> OrderStatus:
        if self.cancelled:
            return OrderStatus.CANCELLED
        if all(line.come == line.packs for line in self.lines):
            return OrderStatus.RECEIVED
        return OrderStatus.PARTLY_RECEIVED if any(line.come for line in self.lines) else OrderStatus.PLACED


@dataclass
class Model:
    """What should be, as plain figures."""

    on_hand: Counter[Item] = field(default_factory=Counter)
    needed: dict[int, Counter[Item]] = field(default_factory=lambda: defaultdict(Counter))
    used: dict[int, Counter[Item]] = field(default_factory=lambda: defaultdict(Counter))
    orders: dict[int, Order] = field(default_factory=dict)

    def claim(self, project: int, item: Item) -> tuple[int, int, int]:
        """What is needed, used and reserved."""
        needed, used = self.needed[project][item], self.used[project][item]
        return needed, used, max(0, needed - used)

    def on_order(self, item: Item) -> int:
        return sum(
            line.size * (line.packs - line.come)
            for order in self.orders.values()
            if not order.cancelled
            for line in order.lines
            if line.item == item
        )


class LampGoesOut(Exception):
    """The program stops in the middle of a transaction."""


Place = AbstractContextManager[Path | str]
"""Where a run's own copy of the fresh database is, for as long as the run takes."""


def begin(session: Session) -> None:
    """A supplier, and nothing else."""
    create_supplier(session, SupplierTerms(name="North", currency="EUR", shipping=690))


@pytest.fixture(scope="module", params=["file", "server"])
def fresh(request: pytest.FixtureRequest, databases: Databases) -> Iterator[Callable[[], Place]]:
    """A new database with a supplier, made once and copied for every run: in memory where there is such a disk.

    What a commit outlives is another test's business.
    """
    if request.param == "server":
        cluster: Cluster = request.getfixturevalue("cluster")

        @contextmanager
        def on_server() -> Iterator[str]:
            with cluster.copy("one supplier", begin) as name:
                yield cluster.url(name)

        yield on_server
        return

    @contextmanager
    def in_file() -> Iterator[Path]:
        memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
        with tempfile.TemporaryDirectory(dir=memory) as folder:
            databases.copy("one supplier", begin, Path(folder) / "shop.db")
            yield Path(folder) / "shop.db"

    yield in_file


class StockMachine(RuleBasedStateMachine):
    fresh: Callable[[], Place]
    steps = 0

    def __init__(self) -> None:
        super().__init__()
        self.held = ExitStack()
        self.place = self.held.enter_context(type(self).fresh())
        self.store = self.open()
        self.model = Model()
        self.last: Callable[[], Any] | None = None
        self.orders_moved = False
        self.projects = [self.new_project() for _ in range(3)]

    def open(self) -> Store:
        return Store.open(self.place, clock=lambda: datetime(2026, 3, 2, 12, tzinfo=UTC))

    def new_project(self) -> int:
        with self.store.writing() as session:
            return create_project(session, Project(name="Window seat"))

    def version(self, project: int) -> int:
        with self.store.reading() as session:
            return project_version(session, project)

    def project(self, place: int) -> int:
        return self.projects[place % len(self.projects)]

    def book(self, act: Callable[[Sending], Any]) -> Any:
        """Act with a token of its own; ``again`` sends the same form once more."""
        sent = sending(uuid4().hex)
        done = act(sent)
        self.last = lambda: (act(sent), done)
        return done

    @contextmanager
    def refused(self, kind: type[StoreError], when: bool, **figures: int | str) -> Iterator[None]:
        """The block is refused with these figures just when it should be."""
        if not when:
            yield
            return
        with pytest.raises(kind) as refusal:
            yield
        assert {name: getattr(refusal.value, name) for name in figures} == figures

    @rule(item=items, quantity=few)
    def receive(self, item: Item, quantity: int) -> None:
        self.book(lambda sent: stockroom.receive(self.store, sent, item, quantity))
        self.model.on_hand[item] += quantity

    @rule(place=places, item=items, quantity=few)
    def use(self, place: int, item: Item, quantity: int) -> None:
        project, there = self.project(place), self.model.on_hand[item]
        with self.refused(NotEnough, quantity > there, on_hand=there, asked=quantity):
            self.book(lambda sent: stockroom.use(self.store, sent, project, {item: quantity}))
        if quantity <= there:
            self.model.on_hand[item] -= quantity
            self.model.used[project][item] += quantity

    @rule(place=places, quantities=st.dictionaries(items, few, min_size=2))
    def use_several(self, place: int, quantities: dict[Item, int]) -> None:
        project = self.project(place)
        enough = all(quantity <= self.model.on_hand[item] for item, quantity in quantities.items())
        with self.refused(NotEnough, not enough):
            self.book(lambda sent: stockroom.use(self.store, sent, project, quantities))
        if enough:
            self.model.on_hand.subtract(quantities)
            self.model.used[project].update(quantities)

    @rule(place=places, item=items, quantity=few)
    def give_back(self, place: int, item: Item, quantity: int) -> None:
        project = self.project(place)
        used = self.model.used[project][item]
        with self.refused(NotUsed, quantity > used, used=used, asked=quantity):
            self.book(lambda sent: stockroom.give_back(self.store, sent, project, {item: quantity}))
        if quantity <= used:
            self.model.on_hand[item] += quantity
            self.model.used[project][item] -= quantity

    @rule(item=items, counted=st.integers(0, 60), meanwhile=st.sampled_from([0, 0, 3]))
    def count(self, item: Item, counted: int, meanwhile: int) -> None:
        """Someone counts; ``meanwhile`` some come in."""
        with self.store.reading() as session:
            last = {balance.item: balance.last for balance in balances(session)}
        if meanwhile:
            self.receive(item, meanwhile)
        there = self.model.on_hand[item]
        with self.refused(StaleCount, meanwhile > 0, on_hand=there):
            self.book(lambda sent: stockroom.count(self.store, sent, item, counted, last.get(item, 0)))
        if not meanwhile:
            self.model.on_hand[item] = counted

    @rule(item=items, change=st.integers(-20, 20).filter(bool))
    def adjust(self, item: Item, change: int) -> None:
        there = self.model.on_hand[item]
        with self.refused(NotEnough, there + change < 0, on_hand=there, asked=-change):
            self.book(lambda sent: stockroom.adjust(self.store, sent, item, change, "found behind the shelf"))
        if there + change >= 0:
            self.model.on_hand[item] += change

    @rule(place=places, needs=needs)
    def go_ahead(self, place: int, needs: dict[Item, int]) -> None:
        project = self.project(place)
        version = self.version(project)
        self.book(lambda sent: stages.go_ahead(self.store, sent, project, version, needs))
        self.model.needed[project] = Counter(needs)

    @rule(place=places)
    def back_to_planned(self, place: int) -> None:
        project = self.project(place)
        version = self.version(project)
        self.book(lambda sent: stages.back_to_planned(self.store, sent, project, version))
        self.model.needed[project].clear()

    @rule(place=places, used=needs)
    def built(self, place: int, used: dict[Item, int]) -> None:
        project = self.project(place)
        version = self.version(project)
        enough = all(quantity <= self.model.on_hand[item] for item, quantity in used.items())
        with self.refused(NotEnough, not enough):
            self.book(lambda sent: stages.built(self.store, sent, project, version, used))
        if enough:
            self.model.on_hand.subtract(used)
            self.model.used[project].update(used)
            self.model.needed[project].clear()

    @rule(place=places)
    def delete(self, place: int) -> None:
        """A project is deleted; what it has used stays used. Another takes its place."""
        project = self.project(place)
        delete_project(self.store, sending(""), project, self.version(project))
        self.model.needed[project].clear()
        self.projects[place % len(self.projects)] = self.new_project()
        self.last = None

    @rule(lines=lines)
    def order(self, lines: list[tuple[Item, int, int]]) -> None:
        packs = [OrderLineDraft(item=item, size=size, packs=packs, pack_price=1290) for item, size, packs in lines]
        draft = OrderDraft(
            supplier_id=1, currency="EUR", shipping=690, lines=tuple(packs), projects=(self.projects[0],)
        )
        with self.store.reading() as session:
            seen = stock_edition(session)
        numbers = self.book(lambda sent: placed_orders.place(self.store, sent, seen, [draft]))
        assert numbers == (len(self.model.orders) + 1,)
        self.model.orders[numbers[0]] = Order([Line(*line) for line in lines])
        self.orders_moved = True

    @precondition(lambda self: self.model.orders)
    @rule(data=st.data(), packs=st.integers(1, 4))
    def receive_order(self, data: st.DataObject, packs: int) -> None:
        number = data.draw(st.sampled_from(sorted(self.model.orders)))
        order = self.model.orders[number]
        position = data.draw(st.integers(1, len(order.lines)))
        line = order.lines[position - 1]
        ended = order.status in (OrderStatus.CANCELLED, OrderStatus.RECEIVED)
        over = packs > line.packs - line.come
        kind = AlreadyEnded if ended else OverReceived
        with self.refused(kind, ended or over, order=number):
            self.book(lambda sent: stockroom.receive_order(self.store, sent, number, {position: packs}))
        if not ended and not over:
            line.come += packs
            self.orders_moved = True
            self.model.on_hand[line.item] += packs * line.size

    @precondition(lambda self: self.model.orders)
    @rule(data=st.data())
    def cancel(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from(sorted(self.model.orders)))
        order = self.model.orders[number]
        ended = order.status in (OrderStatus.CANCELLED, OrderStatus.RECEIVED)
        with self.refused(AlreadyEnded, ended, order=number, status=order.status.value):
            self.book(lambda sent: placed_orders.cancel(self.store, sent, number))
        order.cancelled = order.cancelled or not ended
        self.orders_moved = True

    @precondition(lambda self: self.last is not None)
    @rule()
    def again(self) -> None:
        """The form that was sent last is sent once more."""
        assert self.last is not None
        told, first = self.last()
        assert told == first

    @rule(item=items, quantity=few, place=places)
    def crash(self, item: Item, quantity: int, place: int) -> None:
        """The lamp goes out between two bookings of one transaction; the program starts again."""
        project = self.project(place)

        def cut() -> None:
            with self.store.writing() as session:
                ledger.receive(session, item, quantity)
                ledger.use(session, project, item, quantity)
                ledger.reserve(session, project, {item: quantity})
                raise LampGoesOut

        with pytest.raises(LampGoesOut):
            cut()
        self.store.close()
        self.store = self.open()

    @invariant()
    def sums_are_the_models(self) -> None:
        StockMachine.steps += 1
        with self.store.reading() as session:
            found = {balance.item: balance for balance in balances(session)}
            least = session.execute(text(LEAST_SUMS)).one()
        assert min(figure or 0 for figure in least) == 0
        for item in ITEMS:
            if item not in found:
                assert (self.model.on_hand[item], self.model.on_order(item)) == (0, 0)
                continue
            balance = found[item]
            assert (balance.on_hand, balance.on_order) == (self.model.on_hand[item], self.model.on_order(item))
            claims = {
                project: (claim.needed, claim.used, claim.reserved) for project, claim in balance.claims.items()
            }
            assert claims == {
                project: self.model.claim(project, item)
                for project, needed in self.model.needed.items()
                if needed[item]
            }

    @precondition(lambda self: self.orders_moved)
    @invariant()
    def orders_are_the_models(self) -> None:
        with self.store.reading() as session:
            found = {order.number: order.status for order in list_orders(session)}
        assert found == {number: order.status for number, order in self.model.orders.items()}
        self.orders_moved = False

    def teardown(self) -> None:
        self.orders_are_the_models()
        with self.store.reading() as session:
            for project in {*self.model.needed, *self.model.used}:
                found = {
                    item: (claim.needed, claim.used, claim.reserved)
                    for item, claim in claims_of(session, project).items()
                }
                assert {item: found.get(item, (0, 0, 0)) for item in ITEMS} == {
                    item: self.model.claim(project, item) for item in ITEMS
                }
        self.store.close()
        self.held.close()


# the least sum of each kind, taken from the table itself
LEAST_SUMS = """SELECT
 (SELECT min(amount) FROM (SELECT sum(on_hand) AS amount FROM movement GROUP BY item_id) AS sums),
 (SELECT min(amount) FROM (SELECT sum(reserved) AS amount FROM movement GROUP BY item_id, project_id) AS sums),
 (SELECT min(amount) FROM (SELECT sum(needed) AS amount FROM movement GROUP BY item_id, project_id) AS sums), 0"""


def run(fresh: Callable[[], Place], examples: int) -> None:
    StockMachine.fresh = staticmethod(fresh)
    StockMachine.steps = 0
    run_state_machine_as_test(
        StockMachine,
        settings=settings(
            max_examples=examples,
            stateful_step_count=STEPS,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


def test_whatever_is_booked_the_sums_are_those_of_a_plain_dictionary(
    fresh: Callable[[], Place], request: pytest.FixtureRequest
) -> None:
    examples = 40 if "file" in request.node.name else 3
    run(fresh, examples)
    assert StockMachine.steps >= 25 * examples


@torture
def test_the_sums_hold_for_10_000_steps(fresh: Callable[[], Place], tally: Tally) -> None:
    tally("S4 the sums of the stock hold, step by step", 10000)
    run(fresh, 400)
    assert StockMachine.steps >= 10_000
