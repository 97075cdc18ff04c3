"""Offers from a file: what its good lines would change, and changing it, all in one transaction."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from sqlmodel import Session

from domain.ordering.items import Item
from domain.problems import BadInput, Problem
from domain.reading import read
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.items import ensure_item, list_items, load_item, set_minimum_stock
from webapp.store.shop import load_shop
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import (
    History,
    NewOffer,
    StoredOffer,
    add_new_offers,
    add_price,
    create_offer,
    create_supplier,
    find_offer,
    list_offers,
    list_suppliers,
    price_histories,
    price_on,
    update_offer,
)
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once
from webapp.usecases.offer_file import OfferLine, read_offer_file
from webapp.wording.money import format_money


class ChangeKind(StrEnum):
    """What a line would do; the value is how one of it is called."""

    SUPPLIER = "new supplier"
    ITEM = "new item"
    OFFER = "new offer"
    AGAIN = "offer that can be had again"
    PRICE = "new price"
    ARTICLE = "article number"
    LEAD = "lead time"
    MINIMUM = "minimum stock"


_OF_AN_OFFER = {ChangeKind.AGAIN, ChangeKind.PRICE, ChangeKind.ARTICLE, ChangeKind.LEAD}


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that a line would do. ``before`` is what stands now, "" where there is nothing yet."""

    kind: ChangeKind
    after: str
    before: str = ""


@dataclass(frozen=True, slots=True)
class LineEffect:
    """A good line with all that it would change; nothing where all of it stands already."""

    line: OfferLine
    changes: tuple[Change, ...]
    foreign: bool
    """Whether its price is in another currency than the shop's, so that no order uses it."""

    @property
    def kinds(self) -> frozenset[ChangeKind]:
        """The sorts of its changes."""
        return frozenset(change.kind for change in self.changes)


@dataclass(frozen=True, slots=True)
class OfferImport:
    """What a file would do. ``mark`` is the same for as long as it would do the same."""

    effects: tuple[LineEffect, ...]
    problems: tuple[Problem, ...]
    currency: str

    @property
    def changing(self) -> tuple[LineEffect, ...]:
        """The lines that would change something."""
        return tuple(effect for effect in self.effects if effect.changes)

    @property
    def counts(self) -> dict[ChangeKind, int]:
        """How many changes of each kind there would be, of those that there are."""
        counted = Counter(change.kind for effect in self.effects for change in effect.changes)
        return {kind: counted[kind] for kind in ChangeKind if counted[kind]}

    @property
    def mark(self) -> str:
        """A figure of all that was shown: every line, every change with what stands now."""
        shown = "\n".join(repr(effect) for effect in self.effects) + repr(self.problems)
        return hashlib.sha256(shown.encode("utf-8", "surrogatepass")).hexdigest()


class ImportMoved(Exception):
    """The catalogue has moved since the import was shown; it would do something else now."""


def preview_offers(store: Store, body: bytes) -> OfferImport:
    """What the file would do. Raises BadInput for what is no such file; nothing is stored."""
    with store.reading() as session:
        return preview_offers_in(session, body)


def preview_offers_in(session: Session, body: bytes) -> OfferImport:
    """The same within a transaction that may go on to do it."""
    currency = load_shop(session).currency
    file = read_offer_file(body, currency, today(session))
    catalogue = _Catalogue.of(session)
    effects: list[LineEffect] = []
    problems = list(file.problems)
    for line in file.lines:
        try:
            _values(line)
        except BadInput as refusal:
            problems += [problem.under(f"line {line.line}") for problem in refusal.problems]
        else:
            effects.append(LineEffect(line, tuple(catalogue.take(line)), line.currency != currency))
    return OfferImport(tuple(effects), tuple(problems), currency)


def book_offers(store: Store, sent: Sending, body: bytes, mark: str) -> None:
    """Do what the preview with that ``mark`` showed, once for each form sent, all of it or nothing.

    Raises ImportMoved where the file would do something else by now, or BadInput as the preview does.
    """

    def act(session: Session) -> tuple[int]:
        seen = preview_offers_in(session, body)
        if seen.mark != mark:
            raise ImportMoved
        _apply(session, seen.changing)
        return (len(seen.changing),)

    book_once(store, sent, act)


def _values(line: OfferLine) -> tuple[OfferTerms, Price]:
    """The line as the store keeps it. Raises BadInput."""
    terms = read(OfferTerms, {"size": line.size, "article": line.article, "lead_days": line.lead_days})
    price = read(Price, {"minor": line.price, "currency": line.currency, "since": line.since})
    return terms, price


@dataclass
class _Catalogue:
    """What stands, and what earlier lines of the file have brought already."""

    suppliers: set[str]
    items: dict[Item, int]
    offers: dict[tuple[Item, str, int], StoredOffer]
    histories: dict[int, History]

    @classmethod
    def of(cls, session: Session) -> _Catalogue:
        return cls(
            {stored.terms.name for stored in list_suppliers(session)},
            {stored.item: stored.minimum_stock for stored in list_items(session)},
            {
                (offer.item, offer.supplier, offer.terms.size): offer
                for offer in list_offers(session, today(session), withdrawn=True)
            },
            price_histories(session),
        )

    def take(self, line: OfferLine) -> Iterator[Change]:
        """What the line would change after those before it."""
        if line.supplier not in self.suppliers:
            self.suppliers.add(line.supplier)
            yield Change(ChangeKind.SUPPLIER, line.supplier)
        if line.item not in self.items:
            self.items[line.item] = 0
            yield Change(ChangeKind.ITEM, line.item.name)
        offer = self.offers.get((line.item, line.supplier, line.size))
        if offer is None:
            yield Change(ChangeKind.OFFER, _priced(line))
        else:
            yield from self._changed(offer, line)
        minimum = self.items[line.item]
        if line.minimum_stock is not None and line.minimum_stock != minimum:
            self.items[line.item] = line.minimum_stock
            yield Change(ChangeKind.MINIMUM, str(line.minimum_stock), str(minimum))

    def _changed(self, offer: StoredOffer, line: OfferLine) -> Iterator[Change]:
        if offer.withdrawn:
            yield Change(ChangeKind.AGAIN, f"pack of {line.size}")
        price = price_on(self.histories.get(offer.id, ()), line.since)
        if price is None or (price.minor, price.currency) != (line.price, line.currency):
            yield Change(
                ChangeKind.PRICE, _priced(line), format_money(price.minor, price.currency) if price else ""
            )
        # an empty article number and no lead time say nothing: what is known stays
        if line.article and line.article != offer.terms.article:
            yield Change(ChangeKind.ARTICLE, line.article, offer.terms.article)
        if line.lead_days and line.lead_days != offer.terms.lead_days:
            yield Change(ChangeKind.LEAD, f"{line.lead_days} days", f"{offer.terms.lead_days} days")


def _priced(line: OfferLine) -> str:
    return f"{format_money(line.price, line.currency)} from {line.since.isoformat()}"


def _apply(session: Session, effects: Sequence[LineEffect]) -> None:
    """Do what was shown: first what is new, all at once, then what changes, line by line."""
    suppliers = {stored.terms.name: stored.id for stored in list_suppliers(session)}
    fresh: list[NewOffer] = []
    for effect in effects:
        line = effect.line
        if ChangeKind.SUPPLIER in effect.kinds:
            new = read(SupplierTerms, {"name": line.supplier, "currency": line.currency})
            suppliers[line.supplier] = create_supplier(session, new)
        if ChangeKind.OFFER in effect.kinds:
            fresh.append(NewOffer(line.item, suppliers[line.supplier], *_values(line)))
    add_new_offers(session, fresh)
    for effect in effects:
        line = effect.line
        if effect.kinds & _OF_AN_OFFER:
            _change_offer(session, line, suppliers[line.supplier], effect.kinds)
        if ChangeKind.MINIMUM in effect.kinds and line.minimum_stock is not None:
            stored = load_item(session, ensure_item(session, line.item))
            set_minimum_stock(session, stored.id, stored.version, line.minimum_stock)


def _change_offer(session: Session, line: OfferLine, supplier_id: int, kinds: frozenset[ChangeKind]) -> None:
    stored = find_offer(session, line.item, supplier_id, line.size, line.since)
    assert stored is not None  # the effect was worked out in this transaction
    article, lead_days = line.article or stored.terms.article, line.lead_days or stored.terms.lead_days
    if stored.withdrawn:
        again = OfferTerms(size=line.size, article=article, lead_days=lead_days)
        create_offer(session, line.item, supplier_id, again)
    elif kinds & {ChangeKind.ARTICLE, ChangeKind.LEAD}:
        update_offer(session, stored.id, stored.version, article=article, lead_days=lead_days)
    if ChangeKind.PRICE in kinds:
        add_price(session, stored.id, _values(line)[1])
