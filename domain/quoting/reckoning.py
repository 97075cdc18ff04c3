"""What a quote comes to, amount by amount: materials, work, margin, the shop's own lines, discount, tax.

Cost is materials and work; the margin is a share of it that is put on top. Lines of the shop's own are prices as
the customer pays them and take no margin. A discount comes off all of that, tax on what is left. Every amount is
rounded by itself, by the one rule of ``rounding``. Where something is not known there is no sum of it, and
``missing`` says what is to be said first: nothing unknown counts as nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction

from domain.problems import Problem
from domain.quoting.materials import Material, in_order, not_taken, told, with_typed
from domain.quoting.missing import Missing
from domain.quoting.rounding import exact, half_up, percent_of
from domain.spec.quote import (
    VALID_DAYS,
    Depth,
    MinutesOf,
    OtherWork,
    OwnLine,
    QuoteTerms,
    ShopTerms,
    Tax,
    TypedPrice,
)

HOUR = 60
MINUTE_PLACES = 2
"""Decimals of a minute that are charged, as every face says them."""


class WorkKind(StrEnum):
    """Work that is planned for the project; what else there is the shop types itself."""

    SETTING_UP = "setting_up"
    MILLING = "milling"
    DRIVING = "driving"
    AT_THE_MACHINE = "at_the_machine"
    """Setting up and milling together, as it was ticked off: the clock cannot part them."""


@dataclass(frozen=True, slots=True)
class Minutes:
    """Minutes of a project as planned, and what is known of those ticked off at the machine.

    ``ticked`` is setting up and milling together: what was ticked as it was ticked, the rest as planned. It is
    None where ticks do not tell; ``why`` says why, in words.
    """

    setting_up: Fraction = Fraction(0)
    milling: Fraction = Fraction(0)
    driving: Fraction = Fraction(0)
    ticked: Fraction | None = None
    why: str = ""

    @property
    def at_the_machine(self) -> Fraction:
        """Setting up and milling as planned."""
        return self.setting_up + self.milling


@dataclass(frozen=True, slots=True)
class Basis:
    """What a project takes, before any term: materials, minutes, its currency, and what keeps it from a quote.

    ``clashes`` are marks of assemblies that cannot be taken off, ``not_made`` counts joints that cannot be made:
    their keys and minutes are in nothing.
    """

    currency: str
    materials: tuple[Material, ...]
    minutes: Minutes
    assemblies: int
    clashes: tuple[str, ...] = ()
    not_made: int = 0


@dataclass(frozen=True, slots=True)
class Terms:
    """A project's terms with the shop's in the place of what it does not say."""

    rate: int | None
    margin: Fraction | None
    tax: Tax | None
    minutes: MinutesOf
    depth: Depth
    valid_days: int
    discount: Fraction
    work: tuple[OtherWork, ...]
    lines: tuple[OwnLine, ...]
    prices: tuple[TypedPrice, ...]


def settle(own: QuoteTerms, shop: ShopTerms) -> Terms:
    """What goes for a quote: the project's own where it says something, else the shop's usual."""
    margin = own.margin if own.margin is not None else shop.margin
    return Terms(
        rate=own.rate if own.rate is not None else shop.rate,
        margin=None if margin is None else exact(margin),
        tax=own.tax or shop.tax,
        minutes=own.minutes or shop.minutes or MinutesOf.PLANNED,
        depth=own.depth or shop.depth or Depth.SUMMED,
        valid_days=own.valid_days or shop.valid_days or VALID_DAYS,
        discount=exact(own.discount or 0),
        work=own.work,
        lines=own.lines,
        prices=own.prices,
    )


@dataclass(frozen=True, slots=True)
class Work:
    """One sort of work: ``name`` a kind, or the shop's own words. ``cost`` is None while no rate is known."""

    name: WorkKind | str
    minutes: Fraction
    cost: int | None


@dataclass(frozen=True, slots=True)
class Own:
    """A line of the shop's own, with what it comes to."""

    line: OwnLine
    amount: int


@dataclass(frozen=True, slots=True)
class Reckoning:
    """A quote reckoned. Amounts are whole minor units of ``basis.currency``; None where something is missing.

    ``own`` goes by ``own_sum``; ``before_discount`` is cost, margin and that, ``net`` what is left to be taxed.
    """

    basis: Basis
    terms: Terms
    materials: tuple[Material, ...]
    work: tuple[Work, ...]
    own: tuple[Own, ...]
    material_cost: int | None
    work_cost: int | None
    cost: int | None
    margin: int | None
    own_sum: int
    before_discount: int | None
    discount: int | None
    net: int | None
    tax: int | None
    total: int | None
    missing: tuple[Problem, ...]

    @property
    def currency(self) -> str:
        """The currency of every amount."""
        return self.basis.currency

    def valid_until(self, day: date) -> date:
        """The last day on which the shop stands by a quote of that day."""
        return day + timedelta(days=self.terms.valid_days)


def reckon(basis: Basis, terms: Terms) -> Reckoning:
    """The quote of a project with these terms."""
    materials = in_order(with_typed(basis.materials, terms.prices))
    work = tuple(_work(basis.minutes, terms))
    own = tuple(Own(line, half_up(exact(line.count) * line.price)) for line in terms.lines)
    material_cost = _sum(each.cost for each in materials)
    work_cost = _sum(each.cost for each in work)
    missing = tuple(_missing(basis, terms, materials))
    cost = _sum((material_cost, work_cost))
    margin = None if cost is None or terms.margin is None else percent_of(terms.margin, cost)
    own_sum = sum(each.amount for each in own)
    before = _sum((cost, margin, own_sum))
    discount = None if before is None else percent_of(terms.discount, before)
    net = None if before is None or discount is None else before - discount
    tax = None if net is None or terms.tax is None else percent_of(exact(terms.tax.rate), net)
    # a sum of what is known would pass for the price where an assembly or its minutes are in nothing
    total = None if missing else _sum((net, tax))
    return Reckoning(
        basis=basis,
        terms=terms,
        materials=materials,
        work=work,
        own=own,
        material_cost=material_cost,
        work_cost=work_cost,
        cost=cost,
        margin=margin,
        own_sum=own_sum,
        before_discount=before,
        discount=discount,
        net=net,
        tax=tax,
        total=total,
        missing=missing,
    )


def _sum(amounts: Iterable[int | None]) -> int | None:
    """The sum; None where one of them is not known."""
    total = 0
    for amount in amounts:
        if amount is None:
            return None
        total += amount
    return total


def _work(minutes: Minutes, terms: Terms) -> Iterator[Work]:
    ticked = minutes.ticked if terms.minutes is MinutesOf.TICKED else None
    planned: Sequence[tuple[WorkKind | str, Fraction]] = (
        (WorkKind.SETTING_UP, minutes.setting_up),
        (WorkKind.MILLING, minutes.milling),
    )
    at_machine = planned if ticked is None else ((WorkKind.AT_THE_MACHINE, ticked),)
    others = ((each.text, exact(each.minutes)) for each in terms.work)
    for name, taken in (*at_machine, (WorkKind.DRIVING, minutes.driving), *others):
        charged = charged_minutes(taken)
        if charged:
            yield Work(name, charged, None if terms.rate is None else half_up(charged * terms.rate / HOUR))


def charged_minutes(minutes: Fraction) -> Fraction:
    """Minutes as they are said and charged: to a hundredth, an exact half up."""
    whole = 10**MINUTE_PLACES
    return Fraction(half_up(minutes * whole), whole)


def _missing(basis: Basis, terms: Terms, materials: Sequence[Material]) -> Iterator[Problem]:
    if not basis.assemblies:
        yield Problem.of(("assemblies",), "missing", Missing.NOTHING)
    for mark in basis.clashes:
        yield Problem.of(("assemblies",), mark, Missing.CLASH, mark_text=mark)
    if terms.rate is None:
        yield Problem.of(("quote", "rate"), "missing", Missing.RATE)
    if terms.margin is None:
        yield Problem.of(("quote", "margin"), "missing", Missing.MARGIN)
    if terms.tax is None:
        yield Problem.of(("quote", "tax"), "missing", Missing.TAX)
    if terms.minutes is MinutesOf.TICKED and basis.minutes.ticked is None:
        yield Problem.of(("quote", "minutes"), "ticked", Missing.NOT_TICKED, why_text=basis.minutes.why)
    for each in materials:
        if each.cost is None:
            yield _no_price(each)
    for item in not_taken(materials, terms.prices):
        yield Problem.of(("quote", "prices"), item, Missing.NOT_TAKEN)


def _no_price(material: Material) -> Problem:
    path = ("quote", "prices")
    quantity = float(told(material.quantity))
    if material.typed_for is None:
        return Problem.of(path, material.name, Missing.PRICE, quantity_n=quantity, unit_text=material.unit)
    return Problem.of(
        path,
        material.name,
        Missing.OTHER_QUANTITY,
        before_n=float(material.typed_for),
        quantity_n=quantity,
        unit_text=material.unit,
    )
