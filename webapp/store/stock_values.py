"""What the stockroom's tables are filled from: terms, prices and orders as they were typed or worked out.

Money is whole minor units; a quantity is whole pieces, grams, cm³ or mm, as the item counts.
"""

from __future__ import annotations

import unicodedata
from datetime import date
from enum import StrEnum
from typing import Annotated

from pydantic import AfterValidator, Field, InstanceOf

from domain.ordering.items import Item
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem, Refused
from domain.reading import read
from domain.spec.fields import Name, Spec
from webapp.wording.problems import InputProblem

MOST = 1_000_000
"""The largest pack: so many pieces or grams, 1 m³ of boards, 1 km of a strip."""
MOST_PACKS = 1_000
LONGEST_LEAD = 1_000
"""Days."""
HIGHEST_PRICE = 100_000_000
MOST_LINES = 1_000


class MovementKind(StrEnum):
    """Why a balance changed."""

    RECEIVED = "received"
    USED = "used"
    RETURNED = "returned"
    COUNTED = "counted"
    ADJUSTED = "adjusted"
    RESERVED = "reserved"
    RELEASED = "released"


def _remark(text: str) -> str:
    text = " ".join(text.split())
    if any(unicodedata.category(sign) in {"Cc", "Cs", "Co", "Cn"} for sign in text):
        raise Refused(ProblemCode.UNPRINTABLE)
    return text


Remark = Annotated[str, Field(max_length=500), AfterValidator(_remark)]
"""Text that may be empty: a note, an article number."""
Money = Annotated[int, Field(strict=True, ge=0, le=HIGHEST_PRICE)]
Currency = Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
Quantity = Annotated[int, Field(strict=True, ge=1, le=MOST)]
Days = Annotated[int, Field(strict=True, ge=0, le=LONGEST_LEAD)]


class SupplierTerms(Spec):
    """A supplier: its shipping for one order, and the goods' value that an order must reach."""

    name: Name
    currency: Currency
    shipping: Money = 0
    minimum_order: Money = 0


class OfferTerms(Spec):
    """A pack of ``size``; the supplier's own article number, and the days until it comes."""

    size: Quantity
    article: Remark = ""
    lead_days: Days = 0


class Price(Spec):
    """What a pack costs from a day on."""

    minor: Money
    currency: Currency
    since: date


class OrderLineDraft(Spec):
    """So many packs of one size to order."""

    item: InstanceOf[Item]
    size: Quantity
    packs: Annotated[int, Field(strict=True, ge=1, le=MOST_PACKS)]
    pack_price: Money
    article: Remark = ""
    lead_days: Days = 0


class OrderDraft(Spec):
    """An order as it is to go to one supplier, for these projects (their numbers)."""

    supplier_id: int
    currency: Currency
    shipping: Money
    lines: Annotated[tuple[OrderLineDraft, ...], Field(min_length=1, max_length=MOST_LINES)]
    projects: tuple[int, ...] = ()
    note: Remark = ""


class _Remarked(Spec):
    note: Remark


def remark(note: str) -> str:
    """The note as it is kept: one line. Raises BadInput."""
    return read(_Remarked, {"note": note}).note


def check_quantity(path: Path, value: int, *, item: Item | None = None, least: int = 1) -> None:
    """Raise BadInput where ``value`` is no quantity, of the item where it has its own, of at least ``least``."""
    most = MOST if item is None else item.most
    if not least <= value <= most:
        text = f"{most:,}".replace(",", " ")
        raise BadInput([Problem.of(path, value, InputProblem.OUT_OF_RANGE, least_text=str(least), most_text=text)])
