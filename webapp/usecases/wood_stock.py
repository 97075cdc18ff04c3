"""What wood may be cut from: bars and sheets that lie in the stockroom, and those that are for sale today."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from domain.cutting.request import BarStock, SheetStock
from domain.ordering.costs import unit_prices
from domain.ordering.items import Item, ItemKind, WoodKey, wood_of
from domain.reading import read
from webapp.store.balances import Balance, balances
from webapp.store.engine import today
from webapp.store.shop import load_shop
from webapp.usecases.days_offers import days_offers_in

MOST_OF_ONE = 100_000
"""Pieces of one length that a plan takes into account: what a cutting request has room for."""


@dataclass(frozen=True, slots=True)
class WoodStock:
    """By the cut list's name of a wood, what it may be cut from; a wood of which there is nothing is not there.

    What is on hand and free, offcuts among it, has a count and no price; what is for sale has a price, in minor
    units of ``currency``, and no count. On hand stands first, each by size, the smallest first.
    """

    currency: str
    bars: Mapping[str, tuple[BarStock, ...]]
    sheets: Mapping[str, tuple[SheetStock, ...]]
    items: Mapping[str, tuple[Item, ...]]
    """What each of them is an item of, in their order."""


def wood_stock_in(session: Session, names: Iterable[str], projects: Container[int] = ()) -> WoodStock:
    """What there is for these names of the cut list, such as "ash 45 × 24" and "birch plywood 18".

    What is reserved for ``projects`` is theirs to cut, and so is what they have used already: a plan stays the
    same while it is carried out. What is reserved for others is not there. Capitals and the
    order of a section's sides make no difference. The price of one is the least that any pack comes to a piece,
    rounded half to even.
    """
    currency = load_shop(session).currency
    stock = {each.item: each for each in balances(session) if each.item.kind in _CUT}
    offers = days_offers_in(session, today(session), currency)
    prices = unit_prices(offers.packs, {})
    sold = {offer.item: prices[offer.item.name] for offer in offers.packs.values() if offer.item.kind in _CUT}
    by_wood: dict[WoodKey, list[Item]] = {}
    for item in sorted({*stock, *sold}, key=lambda item: item.order):
        by_wood.setdefault(item.wood_key, []).append(item)
    bars: dict[str, tuple[BarStock, ...]] = {}
    sheets: dict[str, tuple[SheetStock, ...]] = {}
    items: dict[str, tuple[Item, ...]] = {}
    for name in dict.fromkeys(names):
        wood = wood_of(name)
        found = by_wood.get(wood, []) if wood else []
        free = {item: _theirs(stock[item], projects) for item in found if item in stock}
        there = [(item, None, min(count, MOST_OF_ONE)) for item, count in free.items() if count]
        lines = [*there, *((item, round(sold[item].each), None) for item in found if item in sold)]
        of_bars = tuple(_bar(*line) for line in lines if line[0].kind is ItemKind.BAR)
        of_sheets = tuple(_sheet(*line) for line in lines if line[0].kind is ItemKind.SHEET)
        bars |= {name: of_bars} if of_bars else {}
        sheets |= {name: of_sheets} if of_sheets else {}
        items |= {name: tuple(line[0] for line in lines)} if lines else {}
    return WoodStock(currency, bars, sheets, items)


_CUT = frozenset({ItemKind.BAR, ItemKind.SHEET})


def _theirs(balance: Balance, projects: Container[int]) -> int:
    used = sum(claim.used for number, claim in balance.claims.items() if number in projects)
    return balance.free_for(projects) + used


def _bar(item: Item, price: int | None, count: int | None) -> BarStock:
    return read(BarStock, {"length": item.size, "price": price, "count": count})


def _sheet(item: Item, price: int | None, count: int | None) -> SheetStock:
    return read(SheetStock, {"length": item.size, "width": item.width, "price": price, "count": count})
