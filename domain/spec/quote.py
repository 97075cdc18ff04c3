"""What a quote is made of that no takeoff knows: what an hour costs, margin, tax, work and lines of one's own.

All of it may be left out: what a project does not say is the shop's usual, and what neither says is asked for.
Shares are in percent, money is whole minor units.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any

from pydantic import Field

from domain.spec.fields import Money, Name, Number, Spec

MOST_LINES = 200
VALID_DAYS = 30
"""Days that a quote holds where nobody says otherwise: common practice (no source)."""

Percent = Annotated[Number, Field(ge=0, le=1_000)]
Share = Annotated[Number, Field(ge=0, le=100)]
Above = Annotated[Number, Field(gt=0, le=1_000_000)]
Days = Annotated[int, Field(strict=True, ge=1, le=3_650)]
TextLines = Annotated[tuple[Name, ...], Field(max_length=12)]
"""Text of several lines, such as an address."""


class Tax(Spec):
    """The tax that is added, as the shop calls it. A rate of 0 says that none is, and the name why."""

    name: Name
    rate: Share


class MinutesOf(StrEnum):
    """Which minutes of the machine are asked for: those planned, or those that were ticked off."""

    PLANNED = "planned"
    TICKED = "ticked"


class Depth(StrEnum):
    """How much the customer's paper tells: one price for the work, or a price for every item of it."""

    SUMMED = "summed"
    DETAILED = "detailed"


class OtherWork(Spec):
    """Work that no takeoff counts, such as sanding: its minutes, asked at the same rate."""

    text: Name
    minutes: Above


class OwnLine(Spec):
    """A line of the shop's own: so many at a price that the customer pays as it is, without margin."""

    text: Name
    count: Above = 1
    price: Money


class TypedPrice(Spec):
    """What all of an item costs, where no offer tells: its ``item`` as costs and parts list call it.

    ``quantity`` is how much of it that was typed for; where the project takes another quantity by now, the price
    counts no longer.
    """

    item: Name
    price: Money
    quantity: Annotated[Number, Field(ge=0, le=1_000_000_000)] | None = None


class UsualTerms(Spec):
    """What every quote needs, said by a project or by the shop: ``rate`` an hour, ``margin`` on the cost."""

    rate: Money | None = None
    margin: Percent | None = None
    tax: Tax | None = None
    minutes: MinutesOf | None = None
    depth: Depth | None = None
    valid_days: Days | None = None


class ShopTerms(UsualTerms):
    """The shop's usual terms, its address, and what stands at the foot of every quote."""

    address: TextLines = ()
    closing: TextLines = ()


class QuoteTerms(UsualTerms):
    """A project's own: ``address`` is the customer's, ``note`` stands below the total."""

    discount: Share | None = None
    work: Annotated[tuple[OtherWork, ...], Field(max_length=MOST_LINES)] = ()
    lines: Annotated[tuple[OwnLine, ...], Field(max_length=MOST_LINES)] = ()
    prices: Annotated[tuple[TypedPrice, ...], Field(max_length=1_000)] = ()
    address: TextLines = ()
    note: TextLines = ()


NO_TERMS = QuoteTerms()


def terms_document(terms: UsualTerms) -> dict[str, Any]:
    """Terms as a project file writes them: what says something."""
    written = terms.model_dump(mode="json", exclude_none=True)
    return {name: value for name, value in written.items() if value not in ([], ())}
