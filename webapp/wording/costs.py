"""What a project costs, in words: the same on its page, on paper and in the spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from domain.lengths import Units
from domain.ordering.costs import CostLine, Costs, UnitPrice
from domain.ordering.order import Order
from webapp.wording.amounts import amount
from webapp.wording.money import format_money
from webapp.wording.unit_price import each_text, source_text

ABOUT_PACKS = (
    "What is paid is the price of whole packs, the ones that cost least together, with nothing on hand. Its share"
    " is what the pieces that go into it come to at the price that one piece has in the cheapest pack: the rest of"
    " the packs stays on the shelf for other jobs. Whoever quotes the share must be sure of those."
)
SHARE = "Its share of those packs"
NO_PRICE = "no price known"
AGAIN = "The project as it stands now, at the prices of both days."
NOT_YET = (
    "The project has not gone ahead and was not issued yet. From then on, the prices of that day are compared with"
    " today’s."
)


@dataclass(frozen=True, slots=True)
class LineWords:
    """An item of a part; ``each`` and ``cost`` are "" where no price is known."""

    item: str
    quantity: str
    each: str
    source: str
    cost: str


@dataclass(frozen=True, slots=True)
class PartWords:
    """A part with its lines."""

    name: str
    cost: str
    lines: tuple[LineWords, ...]


@dataclass(frozen=True, slots=True)
class PackWords:
    """So many packs of a size of an item."""

    item: str
    supplier: str
    packs: str
    size: str
    sum: str


@dataclass(frozen=True, slots=True)
class PacksWords:
    """What whole packs come to; ``heading`` says it with what it is without, ``unmet`` names that and why.

    There may be no rows: then ``total`` is of nothing.
    """

    rows: tuple[PackWords, ...]
    shipping: str
    total: str
    heading: str
    unmet: str


@dataclass(frozen=True, slots=True)
class SharesWords:
    """What it takes at the price of one, by part; ``heading`` is of the sum, ``by_part`` of the table.

    ``each`` heads the column of prices, ``about`` says how they are reckoned.
    """

    heading: str
    by_part: str
    each: str
    parts: tuple[PartWords, ...]
    total: str
    about: str


@dataclass(frozen=True, slots=True)
class ChangeWords:
    """An item's price of one, then and today."""

    item: str
    quantity: str
    then: str
    now: str
    direction: str


@dataclass(frozen=True, slots=True)
class RepeatWords:
    """The project at the prices of an earlier day and of today: ``when``, both sums, what came of them.

    ``then`` and ``now`` are "" where nothing had a price on both days; ``more`` is the difference with its word.
    """

    when: str
    then: str
    now: str
    more: str
    left_out: str
    each_then: str
    rows: tuple[ChangeWords, ...]

    @property
    def says(self) -> str:
        """All of it as one sentence."""
        if not self.rows:
            return f"{self.when}: nothing of it had a price from a supplier on both days."
        more = f", {self.more}" if self.more else ""
        return " ".join(filter(None, (f"{self.when}: {self.then} then, {self.now} today{more}.", self.left_out)))


def packs_words(order: Order, currency: str, units_of: Mapping[str, str], units: Units) -> PacksWords:
    """Whole packs; ``units_of`` is what every item is counted in."""
    unmet = ", ".join(f"{one.item} ({one.why})" for one in order.unmet)
    without = f", without {len(order.unmet)} that cannot be bought" if order.unmet else ""
    return PacksWords(
        tuple(
            PackWords(
                line.pack.item,
                line.pack.supplier,
                str(line.packs),
                amount(line.pack.size, units_of[line.pack.item], units),
                format_money(line.line_price, currency),
            )
            for line in order.lines
        ),
        format_money(order.shipping, currency),
        format_money(order.total, currency),
        f"Bought in whole packs today{without}",
        f"{'Not in it' if order.lines else 'Nothing of it can be bought'}: {unmet}." if unmet else "",
    )


def shares_words(
    costs: Costs, currency: str, units_of: Mapping[str, str], units: Units, *, of_packs: bool
) -> SharesWords:
    """What it takes, by part; ``of_packs`` where whole packs are told beside it."""
    of_one = any(line.price and not line.price.pack for part in costs.parts for line in part.lines)
    catalogue = ", or the catalogue’s price of one where no pack is" if of_one else ""
    return SharesWords(
        heading=SHARE if of_packs else "What it takes, at the least price of one",
        by_part=f"{SHARE}, by assembly" if of_packs else "By assembly",
        each=f"Each, {currency}",
        parts=tuple(
            PartWords(
                part.name,
                format_money(part.cost, currency),
                tuple(_line(line, currency, units_of[line.item], units) for line in part.lines),
            )
            for part in costs.parts
            if part.lines
        ),
        total=format_money(costs.total, currency),
        about=(
            f"Each: the least price of one piece among the packs on offer{catalogue}. The whole is rounded once;"
            " its parts are rounded so that they add up to it. Tests and spares are the project’s, not an"
            " assembly’s; glue is rounded up to whole grams there."
        ),
    )


def _line(line: CostLine, currency: str, unit: str, units: Units) -> LineWords:
    quantity = quantity_text(line.quantity, unit, units)
    if line.price is None:
        return LineWords(line.item, quantity, "", NO_PRICE, "")
    return LineWords(
        line.item,
        quantity,
        each_text(line.price, currency, unit, units),
        source_text(line.price, currency, unit, units),
        format_money(line.cost, currency),
    )


def change_words(
    item: str, quantity: str, then: UnitPrice, now: UnitPrice, currency: str, unit: str, units: Units
) -> ChangeWords:
    """What one of an item cost on an earlier day and costs today."""
    direction = "same" if then.each == now.each else "dearer" if now.each > then.each else "cheaper"
    return ChangeWords(
        item,
        quantity,
        each_text(then, currency, unit, units),
        each_text(now, currency, unit, units),
        direction,
    )


def repeat_words(
    day: date,
    revision: int | None,
    then: int,
    now: int,
    currency: str,
    rows: Iterable[ChangeWords],
    left_out: Sequence[str],
) -> RepeatWords:
    """The comparison with the day it last went ahead or, where ``revision`` names one, was issued."""
    more = f"{format_money(abs(now - then), currency)} {'more' if now > then else 'less'}" if now != then else ""
    when = f"Last issued as revision {revision}, on" if revision else "Last went ahead on"
    return RepeatWords(
        when=f"{when} {day.isoformat()}",
        then=format_money(then, currency),
        now=format_money(now, currency),
        more=more,
        left_out=f"Without {', '.join(left_out)}: no supplier’s price on both days." if left_out else "",
        each_then=f"Each then, {currency}",
        rows=tuple(rows),
    )


def unpriced_text(items: Sequence[str]) -> str:
    """What is not in the sums, for nobody knows its price; "" where that is nothing."""
    return f"No price is known of {', '.join(items)}." if items else ""


def quantity_text(quantity: Fraction, unit: str, units: Units) -> str:
    """Pieces whole, grams to a tenth, wood as its amounts are said.

    >>> quantity_text(Fraction(35), "pcs", Units.MM).split(), quantity_text(Fraction(37, 2), "g", Units.MM).split()
    (['35', 'pcs'], ['18.5', 'g'])
    """
    if unit not in {"pcs", "g"}:
        return amount(round(quantity), unit, units)
    number = str(quantity) if quantity.denominator == 1 else f"{float(quantity):.1f}"
    return f"{number}\xa0{unit}"
