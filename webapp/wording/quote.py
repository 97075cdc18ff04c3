"""A quote in words, once: the shop's own reckoning with the why of every amount, and what the customer reads.

The customer's words know nothing of cost and margin; they are made of ``asked_lines`` alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from domain.lengths import Units
from domain.problems import Problem
from domain.quoting.asked import asked_lines
from domain.quoting.materials import Material, PricedBy, Sort, told
from domain.quoting.reckoning import Own, Reckoning, Work, WorkKind
from domain.spec.assemblies import Assembly
from domain.spec.quote import Depth, MinutesOf
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.wording.amounts import amount, plain
from webapp.wording.money import format_money
from webapp.wording.set_up import minutes_text
from webapp.wording.unit_price import each_text, source_text
from webapp.wording.wood import sizes_said, wood_said
from webapp.wording.words import sizes

NOT_KNOWN = "not known"
ROUNDING = (
    "Every amount is rounded by itself to the smallest coin, an exact half up; every sum is the sum of what stands"
    " above it. Keys, plugs, glue and wood on offer come as the costs of the project have them: each its share of"
    " the packs, at the least price of one, for what is left of a pack serves the next job."
)
"""How a quote is reckoned, said once on it."""
SORTS = {Sort.WOOD: "Wood", Sort.KEYS: "Keys", Sort.PLUGS: "Plugs", Sort.GLUE: "Glue"}
WORK = {
    WorkKind.SETTING_UP: "Setting up the machine",
    WorkKind.MILLING: "Milling slots",
    WorkKind.DRIVING: "Driving keys",
    WorkKind.AT_THE_MACHINE: "Setting up and milling, as ticked",
}
FOR_CUSTOMERS = {**WORK, WorkKind.AT_THE_MACHINE: "Setting up and milling"}
MATERIALS, OTHER_WORK, OWN_LINES = "Materials", "Work", "Your own lines"
ASKED_FOR: dict[tuple[str, ...], str] = {
    ("quote", "rate"): "Rate of work",
    ("quote", "margin"): "Margin",
    ("quote", "tax"): "Tax",
    ("quote", "minutes"): "Minutes",
}
MINUTES = {MinutesOf.PLANNED: "as planned", MinutesOf.TICKED: "as ticked at the machine"}
DEPTHS = {
    Depth.SUMMED: "one price for the work, and your own lines",
    Depth.DETAILED: "a price for every item and every sort of work",
}


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the reckoning: ``why`` says how the amount came about, ``minor`` is None where it is not known."""

    sort: str
    what: str
    quantity: str
    why: str
    amount: str
    minor: int | None


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the reckoning with what it comes to."""

    name: str
    lines: tuple[Line, ...]
    amount: str


@dataclass(frozen=True, slots=True)
class Sum:
    """An amount that is made of those above it; ``strong`` for those that others are made of."""

    what: str
    why: str
    amount: str
    minor: int | None
    strong: bool = False


@dataclass(frozen=True, slots=True)
class MissingWords:
    """What must be said first: of what, and what would do."""

    what: str
    says: str


@dataclass(frozen=True, slots=True)
class ReckoningWords:
    """The shop's own reckoning; ``total`` is "not known" while anything is missing, ``notes`` are cautions."""

    parts: tuple[Part, ...]
    sums: tuple[Sum, ...]
    missing: tuple[MissingWords, ...]
    notes: tuple[str, ...]
    total: str


@dataclass(frozen=True, slots=True)
class LetterLine:
    """A line of the customer's paper."""

    what: str
    quantity: str
    amount: str


@dataclass(frozen=True, slots=True)
class LetterWords:
    """What the customer's paper says of money: lines, then sums, the last of them the total."""

    lines: tuple[LetterLine, ...]
    sums: tuple[tuple[str, str], ...]
    total: str


def money(minor: int | None, currency: str) -> str:
    """An amount, or that it is not known."""
    return NOT_KNOWN if minor is None else format_money(minor, currency)


def percent_text(percent: Fraction) -> str:
    """A share as one types it, kept on one line.

    >>> percent_text(Fraction(35, 2)).split()
    ['17.5', '%']
    """
    return f"{plain(percent, 4)}\N{NO-BREAK SPACE}%"


def reckoning_words(reckoning: Reckoning, units: Units = Units.MM) -> ReckoningWords:
    """The reckoning for the shop's own eyes."""
    return ReckoningWords(
        parts=tuple(_parts(reckoning, units)),
        sums=tuple(_sums(reckoning)),
        missing=tuple(_missing(problem, units) for problem in reckoning.missing),
        notes=tuple(_notes(reckoning)),
        total=money(reckoning.total, reckoning.currency),
    )


def _parts(reckoning: Reckoning, units: Units) -> Iterator[Part]:
    currency = reckoning.currency
    materials = tuple(_material(each, currency, units) for each in reckoning.materials)
    yield Part(MATERIALS, materials, money(reckoning.material_cost, currency))
    work = tuple(_work(each, reckoning) for each in reckoning.work)
    yield Part(OTHER_WORK, work, money(reckoning.work_cost, currency))


def _material(material: Material, currency: str, units: Units) -> Line:
    return Line(
        sort=SORTS[material.sort],
        what=named(material, units),
        quantity=quantity_text(material, units),
        why=_why_material(material, currency, units),
        amount=money(material.cost, currency),
        minor=material.cost,
    )


def named(material: Material, units: Units) -> str:
    """What the shop calls it; wood with its sizes in the reader's inches beside."""
    inches = sizes_said(material.name, units) if material.sort is Sort.WOOD else ""
    return f"{material.name} ({inches})" if inches else material.name


def quantity_text(material: Material, units: Units) -> str:
    """How much of it, in the units of whoever reads it; quantities of items are whole."""
    return amount(round(material.quantity), material.unit, units)


def _why_material(material: Material, currency: str, units: Units) -> str:
    if material.each is not None:
        each = each_text(material.each, currency, material.unit, units)
        return f"{each} each; {source_text(material.each, currency, material.unit, units)}"
    match material.priced_by:
        case PricedBy.HAND:
            return "typed by hand, for all of it"
        case PricedBy.OWN_STOCK:
            return "lengths or sheets of the project’s own stock, by its cutting plan"
        case _ if material.typed_for is not None:
            before = amount(round(material.typed_for), material.unit, units)
            return f"a price was typed for {before}; it takes another quantity by now"
        case _:
            return "no offer, no price typed by hand"


def work_text(work: Work) -> str:
    """What a sort of work is called."""
    return WORK[work.name] if isinstance(work.name, WorkKind) else work.name


def _work(work: Work, reckoning: Reckoning) -> Line:
    rate, minutes = reckoning.terms.rate, plain(work.minutes, 2)
    why = "no rate is known" if rate is None else f"{minutes} min × {money(rate, reckoning.currency)} / 60 min"
    text, cost = minutes_text(float(work.minutes)), money(work.cost, reckoning.currency)
    return Line(OTHER_WORK, work_text(work), text, why, cost, work.cost)


def own_line(own: Own, currency: str) -> Line:
    """A line of the shop's own."""
    count, price = plain(Fraction(str(own.line.count)), 6), money(own.line.price, currency)
    return Line(OWN_LINES, own.line.text, count, f"{count} × {price}", money(own.amount, currency), own.amount)


def _sums(reckoning: Reckoning) -> Iterator[Sum]:
    terms, currency = reckoning.terms, reckoning.currency

    def said(minor: int | None) -> str:
        return money(minor, currency)

    yield Sum("Cost", "materials and work", said(reckoning.cost), reckoning.cost, strong=True)
    yield Sum("Margin", _why_margin(reckoning), said(reckoning.margin), reckoning.margin)
    for own in reckoning.own:
        line = own_line(own, currency)
        yield Sum(line.what, f"{line.why}; your own line, without margin", line.amount, line.minor)
    if terms.discount:
        before = said(reckoning.before_discount)
        yield Sum("Before discount", "", before, reckoning.before_discount, strong=True)
        why = f"{percent_text(terms.discount)} of {before}"
        taken = None if reckoning.discount is None else -reckoning.discount
        yield Sum("Discount", why, said(taken), taken)
    yield Sum("Net", "before tax", said(reckoning.net), reckoning.net, strong=True)
    if terms.tax is None:
        yield Sum("Tax", "not named yet", NOT_KNOWN, None)
    else:
        rate = percent_text(Fraction(str(terms.tax.rate)))
        yield Sum(terms.tax.name, f"{rate} of {said(reckoning.net)}", said(reckoning.tax), reckoning.tax)
    yield Sum("Total", "what the customer pays", said(reckoning.total), reckoning.total, strong=True)


def _why_margin(reckoning: Reckoning) -> str:
    percent = reckoning.terms.margin
    if percent is None:
        return "not said yet"
    why = f"{percent_text(percent)} on the cost"
    if not percent or not reckoning.cost or reckoning.margin is None:
        return why
    share = Fraction(100 * reckoning.margin, reckoning.cost + reckoning.margin)
    return f"{why}; that is {plain(share, 1)}\N{NO-BREAK SPACE}% of the price of materials and work"


def _missing(problem: Problem, units: Units) -> MissingWords:
    path = tuple(str(step) for step in problem.path)
    if path[0] == "assemblies":
        return MissingWords("Assemblies", problem.text(units))
    return MissingWords(ASKED_FOR.get(path, str(problem.value)), problem.text(units))


def _notes(reckoning: Reckoning) -> Iterator[str]:
    count = reckoning.basis.not_made
    if count:
        one, they, their = ("joint", "it stands", "its") if count == 1 else ("joints", "they stand", "their")
        yield f"{count} {one} cannot be made as {they}; {their} keys and minutes are in nothing here."
    if reckoning.work_cost is not None and not reckoning.work:
        yield "No minutes of work are in it."


def minutes_rows(reckoning: Reckoning) -> tuple[tuple[str, str, str], ...]:
    """Minutes as planned and as ticked, side by side: what for, planned, ticked."""
    minutes = reckoning.basis.minutes

    def said(value: Fraction) -> str:
        return minutes_text(round(float(value), 2))

    ticked = minutes.why or NOT_KNOWN if minutes.ticked is None else said(minutes.ticked)
    return (
        ("Setting up and milling", said(minutes.at_the_machine), ticked),
        ("Driving keys", said(minutes.driving), "not ticked at the machine"),
    )


def letter_words(reckoning: Reckoning, units: Units = Units.MM) -> LetterWords:
    """What the customer reads; there must be a total."""
    currency = reckoning.currency
    lines = tuple(_letter_line(line.of, line.amount, currency, units) for line in asked_lines(reckoning))
    return LetterWords(lines, tuple(_letter_sums(reckoning)), money(reckoning.total, currency))


def _letter_line(of: Material | Work | Own | None, minor: int, currency: str, units: Units) -> LetterLine:
    said = money(minor, currency)
    match of:
        case Material():
            name = wood_said(of.name, units) if of.sort is Sort.WOOD else of.name
            return LetterLine(name, quantity_text(of, units), said)
        case Work(name=name):
            what = FOR_CUSTOMERS[name] if isinstance(name, WorkKind) else name
            return LetterLine(what, minutes_text(float(of.minutes)), said)
        case Own():
            line = own_line(of, currency)
            return LetterLine(line.what, "" if of.line.count == 1 else line.why, said)
        case None:
            return LetterLine("Made as described: material and work", "", said)


def _letter_sums(reckoning: Reckoning) -> Iterator[tuple[str, str]]:
    terms, currency = reckoning.terms, reckoning.currency
    if reckoning.discount:
        yield "Together", money(reckoning.before_discount, currency)
        yield f"Discount {percent_text(terms.discount)}", money(-reckoning.discount, currency)
    if terms.tax is not None:
        yield "Net", money(reckoning.net, currency)
        rate = percent_text(Fraction(str(terms.tax.rate)))
        yield f"{terms.tax.name}, {rate}" if terms.tax.rate else terms.tax.name, money(reckoning.tax, currency)


def made_lines(specs: Iterable[Assembly], taken_off: Iterable[AssemblyTakeoff], units: Units) -> tuple[str, ...]:
    """What is made, as the customer reads it: how many of what, how large, of which wood."""
    names = {each.expansion.mark: each.expansion.name for each in taken_off}
    return tuple(_made(spec, names.get(spec.mark, spec.mark), units) for spec in specs)


def _made(spec: Assembly, name: str, units: Units) -> str:
    wood = f"; {spec.material}" if spec.material else ""
    return f"{spec.quantity} × {name}: {sizes(spec, units)}{wood}"


@dataclass(frozen=True, slots=True)
class Difference:
    """An amount of an issued quote that is another one today."""

    what: str
    then: str
    now: str


def changed_since(before: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[Difference, ...]:
    """What a quote comes to otherwise, of two as open JSON."""
    old, new = _amounts(before), _amounts(now)
    return tuple(
        Difference(what, money(old[what], before["currency"]), money(new[what], now["currency"]))
        for what in old
        if (old[what], before["currency"]) != (new[what], now["currency"])
    )


def _amounts(quote: Mapping[str, Any]) -> dict[str, int | None]:
    def together(name: str, field: str) -> int | None:
        amounts = [each[field] for each in quote[name]]
        return None if None in amounts else sum(amounts)

    tax = quote["tax"]
    return {
        MATERIALS: together("materials", "cost"),
        OTHER_WORK: together("work", "cost"),
        "Margin": quote["margin"]["amount"],
        OWN_LINES: together("lines", "amount"),
        "Discount": quote["discount"]["amount"],
        "Tax": None if tax is None else tax["amount"],
        "Total": quote["total"],
    }


def told_quantity(material: Material) -> float:
    """The quantity as documents and forms carry it."""
    return float(told(material.quantity))
