"""What to buy: a request from projects, stock and offers; the plan for it; and its placing, exactly as shown."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date

from domain.lengths import Length
from domain.ordering.item_plan import ItemPlan, order_request
from domain.ordering.items import Item, ItemKind
from domain.ordering.needs import Job, Need, Needs, needs_together, project_needs, with_wood
from domain.ordering.order import Order, OrderLine
from domain.ordering.packs import plan_order
from domain.ordering.replacing import Replacement, next_cheaper
from domain.ordering.request import OrderRequest
from domain.ordering.why import SupplierWeighed, suppliers_weighed
from domain.reading import read
from webapp.store import Store
from webapp.store.balances import Balance, Claim, balances, claims_of
from webapp.store.catalogue import list_sections
from webapp.store.engine import today
from webapp.store.shop import load_shop
from webapp.store.stages import StagedProject, staged_projects
from webapp.store.stock_edition import StockEdition, stock_edition
from webapp.store.stock_values import OrderDraft, OrderLineDraft
from webapp.store.suppliers import StoredOffer
from webapp.usecases.days_offers import DaysOffers, days_offers_in
from webapp.usecases.projects import PlannedProject, plan_all_soon
from webapp.usecases.wood_needs import wood_needs


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """A plan on a day. ``drafts`` are the orders that placing it makes, ``gone`` numbers that are no project's.

    ``clashes`` are the marks of assemblies that could not be counted, by project; ``woodless`` woods of the parts
    list of which nothing is kept or offered, in a shop that keeps some.
    """

    day: date
    edition: StockEdition
    projects: Mapping[int, StagedProject]
    chosen: tuple[int, ...]
    gone: tuple[int, ...]
    clashes: Mapping[str, tuple[str, ...]]
    items: tuple[ItemPlan, ...]
    offers: DaysOffers
    request: OrderRequest
    order: Order
    drafts: tuple[OrderDraft, ...]
    woodless: tuple[str, ...] = ()

    @property
    def not_weighed(self) -> tuple[str, ...]:
        """Suppliers of these items that there are too many of to weigh."""
        wanted = {each.item.name for each in self.items}
        weighed = {supplier.name for supplier in self.request.suppliers}
        return tuple(sorted({pack.supplier for pack in self.offers.packs if pack.item in wanted} - weighed))

    @property
    def fingerprint(self) -> str:
        """The same text for the same plan: all that it was worked out from, and all that it would place."""
        whole = [self.request.model_dump(), [draft.model_dump(exclude={"lines"}) for draft in self.drafts]]
        lines = [
            [line.item.name, line.size, line.packs, line.pack_price, line.article, line.lead_days]
            for draft in self.drafts
            for line in draft.lines
        ]
        text = json.dumps([whole, lines], sort_keys=True, ensure_ascii=False)
        return hashlib.sha256(text.encode()).hexdigest()


def order_plan(store: Store, chosen: Iterable[int]) -> OrderPlan:
    """The cheapest order for these projects and for what is kept in stock.

    Raises BadInput or Unreadable; TakesLong where plans are to be found first.
    """
    with store.reading() as session:
        # before anything else: what changes from here on shows when the plan is placed
        edition, projects = stock_edition(session), staged_projects(session)
    asked = tuple(dict.fromkeys(chosen))
    numbers = tuple(number for number in asked if number in projects and _is_open(projects[number]))
    planned = dict(zip(numbers, plan_all_soon(store, numbers), strict=True))
    jobs = {number: job_of(project) for number, project in planned.items()}
    wood = wood_needs(store, tuple(planned.values()))
    with store.reading() as session:
        day, stock = today(session), balances(session)
        taken = {number: claims_of(session, number) for number in numbers}
        offers = days_offers_in(session, day, load_shop(session).currency)
    items = _items(jobs, wood.items, stock, taken)
    request = order_request(items, offers.packs, offers.terms, offers.currency)
    order = plan_order(request)
    return OrderPlan(
        day=day,
        edition=edition,
        projects={number: each for number, each in projects.items() if _is_open(each)},
        chosen=numbers,
        gone=tuple(number for number in asked if number not in numbers),
        clashes=_clashes(planned.values()),
        items=items,
        offers=offers,
        request=request,
        order=order,
        drafts=drafts(order, offers, numbers),
        woodless=wood.unmet,
    )


def _is_open(project: StagedProject) -> bool:
    """Whether something may still be bought for it."""
    return not (project.stage.is_done or project.is_away)


def job_of(project: PlannedProject) -> Job:
    """The project as the needs are counted from it; assemblies whose sizes clash are left out."""
    good = tuple(each.takeoff for each in project.assemblies if each.takeoff is not None)
    return Job(project.head.name, good, project.rules)


def drafts(order: Order, offers: DaysOffers, projects: Sequence[int]) -> tuple[OrderDraft, ...]:
    """One order to be placed for each supplier that the plan buys from, by name. Raises BadInput."""
    lines: dict[str, list[OrderLineDraft]] = {}
    for line in order.lines:
        lines.setdefault(line.pack.supplier, []).append(_line(line, offers.packs[line.pack]))
    return tuple(
        read(
            OrderDraft,
            {
                "supplier_id": offers.suppliers[name].id,
                "currency": offers.currency,
                "shipping": offers.suppliers[name].terms.shipping,
                "lines": sorted(lines[name], key=lambda each: each.item.order),
                "projects": tuple(projects),
            },
        )
        for name in sorted(lines)
    )


def _line(line: OrderLine, offer: StoredOffer) -> OrderLineDraft:
    return read(
        OrderLineDraft,
        {
            "item": offer.item,
            "size": line.pack.size,
            "packs": line.packs,
            "pack_price": line.pack.price,
            "article": offer.terms.article,
            "lead_days": offer.terms.lead_days,
        },
    )


def edition_text(edition: StockEdition) -> str:
    """The edition as a form carries it."""
    return json.dumps(asdict(edition), separators=(",", ":"))


def what_changed(seen: str, now: StockEdition) -> tuple[str, ...]:
    """What has changed since the edition of that text, in words; () where nothing has, or it cannot be read."""
    try:
        earlier = json.loads(seen)
        differing = {name for name, value in asdict(now).items() if _plain(value) != earlier[name]}
    except (ValueError, KeyError, TypeError, RecursionError):
        return ()
    return tuple(words for words, names in _CHANGES.items() if differing & names)


_CHANGES: dict[str, set[str]] = {
    "prices or offers": {"price", "offers", "suppliers"},
    "the stock": {"movement", "items"},
    "other orders": {"order", "cancelled"},
    "projects": {"projects"},
    "the shop's catalogue or rules": {"shop"},
}


def _plain(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


def _items(
    jobs: Mapping[int, Job],
    wood: Mapping[Item, int],
    stock: Iterable[Balance],
    claims: Mapping[int, Mapping[Item, Claim]],
) -> tuple[ItemPlan, ...]:
    """Every item that is needed, kept at a minimum or reserved for others."""
    needs = with_wood(needs_together(list(jobs.values())), wood)
    taken: Counter[Item] = Counter()
    for number, job in jobs.items():
        for item, need in project_needs(job).items():
            if item in claims[number]:
                # what one project took beyond its need is nothing that another has
                taken[item] += min(claims[number][item].used, need.total)
    for item, need_of_it in wood.items():
        # the wood of all is planned together, so what each has used of it is used for all
        taken[item] = min(need_of_it, sum(each[item].used for each in claims.values() if item in each))
    balance_of = {balance.item: balance for balance in stock}
    every = sorted({*needs.items, *balance_of}, key=lambda item: item.order)
    plans = (_item(item, needs, taken[item], balance_of.get(item), jobs) for item in every)
    return tuple(each for each in plans if each.need or each.taken or each.minimum or each.reserved)


def _item(item: Item, needs: Needs, taken: int, balance: Balance | None, chosen: Container[int]) -> ItemPlan:
    need = needs.items.get(item, Need(0))
    claims = balance.claims if balance else {}
    return ItemPlan(
        item,
        used=need.used,
        tests=need.tests,
        saved=needs.tests_saved.get(item, 0),
        spare=need.spare,
        taken=taken,
        minimum=balance.minimum_stock if balance else 0,
        reserved=sum(claim.reserved for number, claim in claims.items() if number not in chosen),
        on_hand=balance.on_hand if balance else 0,
        on_order=balance.on_order if balance else 0,
    )


def _clashes(planned: Iterable[PlannedProject]) -> dict[str, tuple[str, ...]]:
    found = {
        project.head.name: tuple(each.stored.spec.mark for each in project.assemblies if each.takeoff is None)
        for project in planned
    }
    return {name: marks for name, marks in found.items() if marks}


MOST_TRIED = 12
"""Keys for which stacks are tried: those that cost most."""


@dataclass(frozen=True, slots=True)
class OtherWays:
    """Suppliers weighed, replacements that are cheaper, and the keys that were not tried for one."""

    suppliers: tuple[SupplierWeighed, ...]
    replacements: tuple[Replacement, ...]
    tried: int
    not_tried: tuple[Item, ...]


def other_ways(store: Store, plan: OrderPlan) -> OtherWays:
    """Other ways for the plan, with the lengths that the shop's catalogue has."""
    with store.reading() as session:
        lengths: dict[str, tuple[Length, ...]] = {
            each.section.name: tuple(each.section.lengths) for each in list_sections(session)
        }
    spent: dict[str, int] = {}
    for line in plan.order.lines:
        spent[line.pack.item] = spent.get(line.pack.item, 0) + line.line_price
    keys = sorted(
        (each.item for each in plan.items if each.item.kind is ItemKind.KEY and each.item.name in spent),
        key=lambda item: -spent[item.name],
    )
    found = [_cheaper(plan, item, lengths.get(item.section, ())) for item in keys[:MOST_TRIED]]
    return OtherWays(
        suppliers=suppliers_weighed(plan.request, plan.order),
        replacements=tuple(each for each in found if each is not None),
        tried=len(keys[:MOST_TRIED]),
        not_tried=tuple(keys[MOST_TRIED:]),
    )


def _cheaper(plan: OrderPlan, item: Item, lengths: Sequence[Length]) -> Replacement | None:
    """The cheapest stack in the item's place, of lengths that the plan itself may have no need of."""
    stack = {Item.key(item.section, length).name for length in lengths}
    wanted = {pack.item for pack in plan.request.packs}
    packs = tuple(pack for pack in plan.offers.packs if pack.item in wanted | stack)
    terms = tuple(plan.offers.terms[name] for name in sorted({pack.supplier for pack in packs}))
    request = plan.request.model_copy(update={"packs": packs, "suppliers": terms})
    # more packs to fill a minimum order up with may make the order as it is cheaper: that is no stack's doing
    return next_cheaper(request, plan_order(request), item, lengths)
