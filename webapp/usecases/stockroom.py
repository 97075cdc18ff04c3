"""The stockroom as the pages need it: what there is, and every way that stock comes and goes.

Every function that books has committed it when it returns; what it returns are the movements' numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time

from sqlmodel import Session

from domain.lengths import Units
from domain.ordering.items import GLUE, Item
from domain.problems import BadInput, Problem
from webapp.store import Store, ledger
from webapp.store.balances import Balance, balances
from webapp.store.catalogue import list_plugs, list_sections
from webapp.store.engine import today
from webapp.store.errors import NotFound
from webapp.store.items import ensure_item, list_items, set_minimum_stock
from webapp.store.ledger import LedgerPage, Movement, counts_since, find_movement, item_ledger
from webapp.store.orders import OrderLine, list_running_orders
from webapp.store.projects import project_version
from webapp.store.shop import load_shop
from webapp.store.stages import StagedProject, staged_projects
from webapp.store.stock_values import remark
from webapp.store.suppliers import StoredOffer, list_offers
from webapp.store.tokens import Sending
from webapp.usecases.booking import Numbers, book_once
from webapp.wording.problems import InputProblem


@dataclass(frozen=True, slots=True)
class LateLine:
    """A line of an order that should have come."""

    order: int
    supplier: str
    line: OrderLine


@dataclass(frozen=True, slots=True)
class StockNow:
    """The stockroom on a day. ``projects`` are those that stand, by number; one that used stock may be gone."""

    day: date
    balances: tuple[Balance, ...]
    projects: Mapping[int, StagedProject]
    late: tuple[LateLine, ...]
    units: Units
    missing: tuple[Item, ...]
    """What the catalogue has sizes for and the stockroom does not keep yet."""


def stock_now(store: Store) -> StockNow:
    """Every item's balance, who has reserved it, what is on order, and what is late, the longest first."""
    with store.reading() as session:
        day = today(session)
        late = [
            LateLine(order.number, order.supplier, line)
            for order in list_running_orders(session)
            for line in order.late(day)
        ]
        return StockNow(
            day=day,
            balances=balances(session),
            projects=staged_projects(session),
            late=tuple(sorted(late, key=lambda each: (each.line.due, each.order, each.line.position))),
            units=load_shop(session).units,
            missing=missing_from_catalogue_in(session),
        )


def keep(store: Store, sent: Sending, item: Item, quantity: int, note: str = "") -> tuple[int, int]:
    """Make an item where the shop has none of that name, and book what there is of it as received.

    The numbers of the item and of the movement, 0 where there is nothing to book. Raises BadInput.
    """

    def act(session: Session) -> Numbers:
        booked = ledger.receive(session, item, quantity, note) if quantity else 0
        return (ensure_item(session, item), booked)

    item_id, booked = book_once(store, sent, act)
    return item_id, booked


def receive(store: Store, sent: Sending, item: Item, quantity: int, note: str = "") -> Numbers:
    """Book in what came without an order. Raises BadInput."""
    return book_once(store, sent, lambda session: (ledger.receive(session, item, quantity, note),))


def receive_order(store: Store, sent: Sending, order: int, packs: Mapping[int, int], note: str = "") -> Numbers:
    """Book in whole packs of an order's lines, by their positions; all of it or nothing.

    Raises NotFound, AlreadyEnded, OverReceived or BadInput.
    """
    _some(("packs",), packs)

    def act(session: Session) -> list[int]:
        return [ledger.receive_packs(session, order, position, count, note) for position, count in packs.items()]

    return book_once(store, sent, act)


def use(store: Store, sent: Sending, project_id: int, quantities: Mapping[Item, int], note: str = "") -> Numbers:
    """Book out for a project, whatever is reserved for others; all of it or nothing.

    Raises NotFound, NotEnough or BadInput.
    """
    return _for_project(store, sent, project_id, quantities, note, ledger.use)


def give_back(
    store: Store, sent: Sending, project_id: int, quantities: Mapping[Item, int], note: str = ""
) -> Numbers:
    """Book in what a project brings back; all of it or nothing. Raises NotFound, NotUsed or BadInput."""
    return _for_project(store, sent, project_id, quantities, note, ledger.give_back)


def count(store: Store, sent: Sending, item: Item, counted: int, seen: int, note: str = "") -> Numbers:
    """Book what a count found. ``seen`` is the balance's ``last`` that the form was made with.

    Raises StaleCount where the item was booked in or out since, with what there should be now, or
    BadInput.
    """
    return book_once(store, sent, lambda session: (ledger.count(session, item, counted, seen, note),))


def adjust(store: Store, sent: Sending, item: Item, change: int, note: str) -> Numbers:
    """Book a change for a reason, which the note tells. Raises NotEnough or BadInput."""
    if not remark(note):
        raise BadInput([Problem.of(("note",), note, InputProblem.NO_REASON)])
    return book_once(store, sent, lambda session: (ledger.adjust(session, item, change, note),))


def _for_project(
    store: Store,
    sent: Sending,
    project_id: int,
    quantities: Mapping[Item, int],
    note: str,
    book: Callable[[Session, int, Item, int, str], int],
) -> Numbers:
    _some(("quantities",), quantities)

    def act(session: Session) -> list[int]:
        project_version(session, project_id)
        return [book(session, project_id, item, quantity, note) for item, quantity in quantities.items()]

    return book_once(store, sent, act)


def _some(path: tuple[str], given: Mapping[int, int] | Mapping[Item, int]) -> None:
    if not given:
        raise BadInput([Problem.of(path, "nothing", InputProblem.NOTHING_ENTERED)])


@dataclass(frozen=True, slots=True)
class ItemView:
    """An item with everything that its page tells. ``booked`` is the movement that was just made."""

    day: date
    balance: Balance
    projects: Mapping[int, StagedProject]
    offers: tuple[StoredOffer, ...]
    ledger: LedgerPage
    booked: Movement | None
    currency: str
    units: Units


@dataclass(frozen=True, slots=True)
class CountView:
    """The stock count of a day: every item, and the counts of those that were counted, by number.

    ``just`` is the count that was booked a moment ago; ``packs`` the sizes that an item is sold in.
    """

    day: date
    balances: tuple[Balance, ...]
    counted: Mapping[int, Movement]
    just: Movement | None
    packs: Mapping[Item, tuple[int, ...]]
    units: Units

    def next_after(self, item_id: int | None) -> Balance | None:
        """The first item after that one, going round, that was not counted today; None once all were."""
        numbers = [balance.item_id for balance in self.balances]
        start = numbers.index(item_id) + 1 if item_id in numbers else 0
        going_round = (*self.balances[start:], *self.balances[:start])
        open_ones = (each for each in going_round if each.item_id not in self.counted and each.item_id != item_id)
        return next(open_ones, None)


def item_view(store: Store, item_id: int, *, before: int | None = None, booked: int = 0) -> ItemView:
    """The item's page. Raises NotFound."""
    with store.reading() as session:
        balance, shop = _balance(session, item_id), load_shop(session)
        day = today(session)
        return ItemView(
            day=day,
            balance=balance,
            projects=staged_projects(session),
            offers=tuple(offer for offer in list_offers(session, day) if offer.item == balance.item),
            ledger=item_ledger(session, item_id, before),
            booked=find_movement(session, item_id, booked),
            currency=shop.currency,
            units=shop.units,
        )


def balance_of(store: Store, item_id: int) -> Balance:
    """The balance of the item of that number. Raises NotFound."""
    with store.reading() as session:
        return _balance(session, item_id)


def _balance(session: Session, item_id: int) -> Balance:
    for balance in balances(session):
        if balance.item_id == item_id:
            return balance
    raise NotFound("item", item_id)


def count_view(store: Store, just: tuple[int, int] = (0, 0)) -> CountView:
    """How far today's stock count has come; the day is the shop's own, from midnight to midnight.

    ``just`` are the numbers of the item and of the movement that was booked a moment ago.
    """
    with store.reading() as session:
        day = today(session)
        midnight: datetime = datetime.combine(day, time.min).astimezone()
        sizes: dict[Item, set[int]] = {}
        for offer in list_offers(session, day):
            sizes.setdefault(offer.item, set()).add(offer.terms.size)
        return CountView(
            day=day,
            balances=balances(session),
            counted=counts_since(session, midnight),
            just=find_movement(session, *just),
            packs={item: tuple(sorted(found)) for item, found in sizes.items()},
            units=load_shop(session).units,
        )


def missing_from_catalogue_in(session: Session) -> tuple[Item, ...]:
    """Items that the catalogue has sizes for and the stockroom does not keep yet, glue among them.

    A plug has no section of its own: it is one item for each section.
    """
    sections = [stored.section for stored in list_sections(session)]
    plugs = [stored.plug for stored in list_plugs(session)]
    if not sections:
        return ()
    known = {stored.item for stored in list_items(session)}
    wanted = (
        *(Item.key(section.name, length) for section in sections for length in sorted(section.lengths)),
        *(Item.plug(plug.material, section.name, plug.height) for plug in plugs for section in sections),
        GLUE,
    )
    return tuple(item for item in wanted if item not in known)


def add_from_catalogue(store: Store, sent: Sending) -> Numbers:
    """Make an item of everything that the catalogue has a size for; the new items' numbers."""
    return book_once(
        store,
        sent,
        lambda session: [ensure_item(session, item) for item in missing_from_catalogue_in(session)],
    )


def change_minimum(store: Store, sent: Sending, item_id: int, version: int, minimum_stock: int) -> None:
    """Keep at least so many of the item from now on. Raises NotFound, StaleEdit or BadInput."""
    book_once(store, sent, lambda session: (set_minimum_stock(session, item_id, version, minimum_stock),))
